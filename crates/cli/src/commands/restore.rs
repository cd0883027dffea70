//! `ouncewise restore`: puts a copy back, keeping what was there beside it.

use ouncewise_report::{Exit, Failure, RestoreReport, VerifyReport, many};
use ouncewise_store::{Location, Options, Store};

use super::{ask, opened};
use crate::args::Restore;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Restore, output: &Output) -> Result<Exit, Failure> {
    let Location::Dir(dir) = opened::location(&args.data)? else {
        return Err(Failure::usage("a PostgreSQL database cannot be put back from here")
            .hint("restore it with `pg_restore`"));
    };
    let question = format!(
        "Put {} in the place of the ledger in {}? What is there now is kept beside it.",
        args.file.display(),
        dir.display()
    );
    if !ask::go_on(&question, args.yes)? {
        return Ok(Exit::No);
    }
    opened::block_on(async {
        let restored = Store::restore(&args.file, &dir, Options::default()).await?;
        let report = RestoreReport {
            verified: VerifyReport::from(&restored.verified),
            aside: restored.aside,
        };
        output.result(&report, || {
            let aside = report.aside.as_ref().map_or_else(String::new, |path| {
                format!("What was there before is in {}.\n", path.display())
            });
            format!("{} put back, and verified\n{aside}", many(report.verified.records, "record"))
        });
        Ok(Exit::Done)
    })
}
