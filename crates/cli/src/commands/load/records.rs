//! `ouncewise load records`: everything that `export` wrote, back to the same state.

use std::io::{BufRead, BufReader, Read};

use ouncewise_estate::Estate;
use ouncewise_estate::sheets::{Code, Refusal, Row};
use ouncewise_ledger::record::MAX_BYTES;
use ouncewise_ledger::{Draft, canonical};

use super::rows;
use crate::args::LoadRecords;
use crate::commands::opened;
use crate::output::Output;
use ouncewise_report::{Exit, Failure};

/// Runs it. Refused lines make the exit code 65; the good ones are loaded all the same.
pub fn run(args: &LoadRecords, output: &Output) -> Result<Exit, Failure> {
    let file = &args.file;
    opened::block_on(async {
        let drafts = drafts(rows::open(file)?);
        let report = if args.dry_run {
            ouncewise_report::try_out(drafts, &Estate::default())
        } else {
            let store = opened::make(&args.data).await?;
            // What was exported stood in a ledger: it is taken as it is.
            let estate = Estate::default();
            let options = rows::from(file, args.all_or_nothing);
            let report = rows::load(&store, Vec::new(), drafts, &estate, options, output).await?;
            store.close().await?;
            report
        };
        output.result(&report, || rows::words(&report));
        Ok(if report.refused == 0 { Exit::Done } else { Exit::Data })
    })
}

/// A draft a line.
fn drafts(reader: impl Read) -> impl Iterator<Item = Row> {
    // A line is a record, a name and a note; what is much longer is no such line, and not read to its end.
    const LONGEST: u64 = 4 * MAX_BYTES as u64;
    let mut reader = BufReader::new(reader);
    let mut number = 0;
    let mut ended = false;
    std::iter::from_fn(move || {
        if ended {
            return None;
        }
        number += 1;
        let refuse = |reason: String| {
            Some(Row::Refused(
                Refusal::new(number, Code::Unreadable, reason)
                    .hint("a line is as `ouncewise export` wrote it; load that file unchanged"),
            ))
        };
        let mut line = Vec::new();
        match (&mut reader).take(LONGEST).read_until(b'\n', &mut line) {
            Ok(0) => None,
            Ok(n) if n as u64 == LONGEST => {
                ended = true;
                refuse("the line is longer than any record".to_owned())
            }
            Ok(_) if line.trim_ascii().is_empty() => {
                Some(Row::Listed(Refusal::new(number, Code::Blank, "blank line")))
            }
            Ok(_) => match read(line.trim_ascii()) {
                Ok(draft) => Some(Row::Draft { row: number, draft }),
                Err(reason) => refuse(reason),
            },
            Err(e) => {
                ended = true;
                refuse(e.to_string())
            }
        }
    })
}

fn read(line: &[u8]) -> Result<Draft, String> {
    let value = canonical::parse(line).map_err(|e| e.to_string())?;
    let draft: Draft = serde_json::from_value(value).map_err(|e| e.to_string())?;
    // Checked here, so that it is refused at its line.
    match draft.record.check() {
        Ok(()) => Ok(draft),
        Err(faults) => Err(faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")),
    }
}
