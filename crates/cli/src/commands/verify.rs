//! `ouncewise verify`: whether a record was altered since it was received.

use ouncewise_report::{Exit, Failure, VerifyReport, many};

use super::opened;
use crate::args::Verify;
use crate::output::Output;

/// Runs it. The answer is no if something does not fit.
pub fn run(args: &Verify, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let verified = store.verify().await?;
        store.close().await?;
        output.result(&VerifyReport::from(&verified), || match &verified.misfit {
            None => format!(
                "{} in {}: none was altered since it was received.\n\
                 This shows that records are as they came, not that the work was done.\n",
                many(verified.records, "record"),
                many(verified.ledgers.len(), "ledger")
            ),
            Some(misfit) => format!(
                "Something was altered: {misfit}\n\
                 Keep this ledger as it is; `ouncewise restore FILE` puts a backup in its place, and\n\
                 moves it aside.\n"
            ),
        });
        Ok(if verified.misfit.is_none() { Exit::Done } else { Exit::No })
    })
}
