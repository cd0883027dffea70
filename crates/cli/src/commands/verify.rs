//! `ouncewise verify`: whether a record was altered since it was received.

use super::opened;
use crate::args::Verify;
use crate::exit::{Exit, Failure};
use crate::output::Output;

/// Runs it. The answer is no if something does not fit.
pub fn run(args: &Verify, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let verified = store.verify().await?;
        store.close().await?;
        output.result(&verified, || match &verified.misfit {
            None => format!(
                "{} records in {} ledgers: none was altered since it was received\n\
                 This shows that records are as they came, not that the work was done.\n",
                verified.records,
                verified.ledgers.len()
            ),
            Some(misfit) => format!("does not fit: {misfit}\n"),
        });
        Ok(if verified.misfit.is_none() { Exit::Done } else { Exit::No })
    })
}
