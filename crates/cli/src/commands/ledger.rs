//! `ouncewise ledger`: the ledgers as files, for a verifier that does not trust this program.

use std::fs::File;
use std::io::{BufWriter, Write};

use ouncewise_report::{Exit, Failure, LedgerReport, many};

use super::{folder, opened};
use crate::args::Ledger;
use crate::output::Output;

/// How many leaves are read at once.
const PAGE: u32 = 2_000;

/// Runs it: for each ledger `NAME.jsonl`, an entry a line, and `NAME.checkpoint`.
pub fn run(args: &Ledger, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        folder::empty(&args.dir)?;
        let estate = store.estate_at("").await?;
        let origin = origin(&estate.group.name);
        let heads = store.heads().await?;
        let bar = output.progress(Some(heads.iter().map(|head| head.size).sum()), "writing");
        for head in &heads {
            let name = head.site.as_str().trim_start_matches('@');
            let path = args.dir.join(format!("{name}.jsonl"));
            let file = File::create_new(&path).map_err(|e| Failure::io(&path, &e))?;
            let mut file = BufWriter::new(file);
            let mut from = 0;
            while from < head.size {
                let leaves = store.leaves(&head.site, from, PAGE).await?;
                // Others may be appending: only what the head speaks of belongs here.
                for (leaf, index) in leaves.iter().zip(from..head.size) {
                    write_entry(&mut file, index, leaf).map_err(|e| Failure::io(&path, &e))?;
                }
                if leaves.is_empty() {
                    break;
                }
                from += leaves.len() as u64;
                bar.inc(leaves.len() as u64);
            }
            file.flush().map_err(|e| Failure::io(&path, &e))?;
            let checkpoint = ouncewise_ledger::checkpoint::Checkpoint::new(
                &format!("{origin}/{}", head.site),
                head.size,
                head.root,
            )
            .map_err(|e| Failure::data(e.to_string()))?;
            let path = args.dir.join(format!("{name}.checkpoint"));
            std::fs::write(&path, checkpoint.to_string()).map_err(|e| Failure::io(&path, &e))?;
        }
        bar.finish_and_clear();
        store.close().await?;
        let report = LedgerReport {
            dir: args.dir.clone(),
            ledgers: heads.len() as u64,
            records: heads.iter().map(|head| head.size).sum(),
        };
        output.result(&report, || {
            format!(
                "{} with {} written to {}. Keep the checkpoints somewhere else.\n",
                many(report.ledgers, "ledger"),
                many(report.records, "record"),
                args.dir.display()
            )
        });
        Ok(Exit::Done)
    })
}

/// An entry: its leaf, with its index in front (`docs/records.md`).
fn write_entry(file: &mut impl Write, index: u64, leaf: &[u8]) -> std::io::Result<()> {
    let leaf = leaf.strip_prefix(b"{").unwrap_or(leaf);
    write!(file, "{{\"index\":{index},")?;
    file.write_all(leaf)?;
    file.write_all(b"\n")
}

/// A name for the group that can stand in a line of a checkpoint.
fn origin(group: &str) -> String {
    let origin: String =
        group.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
    if origin.is_empty() { "ouncewise".to_owned() } else { origin }
}
