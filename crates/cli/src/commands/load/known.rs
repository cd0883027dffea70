//! `ouncewise load catches` and its siblings: files with known columns.

use jiff::Timestamp;
use ouncewise_estate::sheets::{Door, Known, Table};

use super::rows;
use crate::args::LoadFile;
use crate::commands::opened;
use crate::output::Output;
use ouncewise_report::{Exit, Failure};

/// Runs it. Refused rows make the exit code 65; the good ones are loaded all the same.
pub fn run(args: &LoadFile, door: Door, output: &Output) -> Result<Exit, Failure> {
    let file = &args.file;
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let estate = store.estate().await?;
        if estate.sites.is_empty() {
            return Err(Failure::data("the ledger has no sites yet, so no row could find its line")
                .hint(
                    "describe the group first: `ouncewise new DIR`, edit the files, \
                     `ouncewise load estate DIR`; or bring in a spreadsheet as it is with `ouncewise load sheet FILE`",
                ));
        }
        let table = Table::open(rows::open(file)?).map_err(|r| rows::refused(file, &[r]))?;
        let known = Known::open(table, door, &estate, Timestamp::now())
            .map_err(|all| rows::refused(file, &all))?;
        let report = if args.dry_run {
            ouncewise_report::try_out(known, &estate)
        } else {
            rows::load(
                &store,
                Vec::new(),
                known,
                &estate,
                rows::from(file, args.all_or_nothing),
                output,
            )
            .await?
        };
        store.close().await?;
        output.result(&report, || rows::words(&report));
        Ok(if report.refused == 0 { Exit::Done } else { Exit::Data })
    })
}
