//! `ouncewise rebuild`: what was computed is thrown away, and computed again from the ledger.

use super::opened;
use crate::args::Rebuild;
use crate::exit::{Exit, Failure};
use crate::output::Output;
use crate::plural::many;
use crate::report::RebuildReport;

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
