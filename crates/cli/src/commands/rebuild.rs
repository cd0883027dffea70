//! `ouncewise rebuild`: what was computed is thrown away, and computed again from the ledger.

use serde_json::json;

use super::opened;
use crate::args::Rebuild;
use crate::exit::{Exit, Failure};
use crate::output::Output;

/// Runs it.
pub fn run(args: &Rebuild, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let machines = store.rebuild().await?;
        store.close().await?;
        output.result(&json!({ "machines": machines }), || {
            format!("{machines} machines computed again from their records\n")
        });
        Ok(Exit::Done)
    })
}
