//! `ouncewise rebuild`: what was computed is thrown away, and computed again from the ledger.

use ouncewise_report::{Exit, Failure, RebuildReport, many};

use super::opened;
use crate::args::Rebuild;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Rebuild, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let machines = store.rebuild().await?;
        store.close().await?;
        output.result(&RebuildReport { machines }, || {
            format!("{} computed again from the records\n", many(machines, "machine"))
        });
        Ok(Exit::Done)
    })
}
