//! `ouncewise backup`: a verified copy, while others may go on writing.

use ouncewise_report::{Exit, Failure, VerifyReport, many};

use super::opened;
use crate::args::Backup;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Backup, output: &Output) -> Result<Exit, Failure> {
    if args.file.exists() {
        return Err(Failure::usage(format!("{} is there already", args.file.display()))
            .hint("name a new file: nothing is ever written over"));
    }
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let verified = store.backup(&args.file).await?;
        store.close().await?;
        output.result(&VerifyReport::from(&verified), || {
            format!(
                "{} copied to {}, and verified\n",
                many(verified.records, "record"),
                args.file.display()
            )
        });
        Ok(Exit::Done)
    })
}
