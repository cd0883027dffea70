//! `ouncewise backup`: a verified copy, while others may go on writing.

use super::opened;
use crate::args::Backup;
use crate::exit::{Exit, Failure};
use crate::output::Output;

/// Runs it.
pub fn run(args: &Backup, output: &Output) -> Result<Exit, Failure> {
    if args.file.exists() {
        return Err(Failure::usage(format!("{} is there already", args.file.display()))
            .hint("name a new file: a backup is never written over by hand"));
    }
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let verified = store.backup(&args.file).await?;
        store.close().await?;
        output.result(&verified, || {
            format!("{}: {} records, verified\n", args.file.display(), verified.records)
        });
        Ok(Exit::Done)
    })
}
