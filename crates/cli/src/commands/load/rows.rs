//! Rows of a sheet into the ledger: counted, and every one that does not go in listed with its reason.

use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;

use ouncewise_estate::sheets::{Code, Refusal, Row};
use ouncewise_ledger::merkle;
use ouncewise_store::{LoadOptions, Store};

use crate::exit::Failure;
use crate::output::Output;
use crate::plural::many;
use crate::report::RowsReport;

/// How many refusals are kept in words; all are counted.
const KEPT: usize = 10_000;

/// How many are shown to people.
const SHOWN: usize = 20;

impl RowsReport {
    fn take(&mut self, refusal: Refusal, fault: bool) {
        let (count, kept) = if fault {
            (&mut self.refused, &mut self.refusals)
        } else {
            (&mut self.listed, &mut self.listings)
        };
        *count += 1;
        if kept.len() < KEPT {
            kept.push(refusal.into());
        }
    }

    /// In words.
    pub fn words(&self) -> String {
        let mut text = String::new();
        for refusal in self.refusals.iter().take(SHOWN) {
            text.push_str(&format!("{refusal}\n"));
        }
        if self.refused > SHOWN as u64 {
            text.push_str(&format!(
                "… and {} more refused (--json lists them)\n",
                self.refused - SHOWN as u64
            ));
        }
        text + &self.summary()
    }

    /// The counts in words.
    pub fn summary(&self) -> String {
        let mut text = String::new();
        let (records, rows) = (many(self.records, "record"), many(self.rows, "row"));
        text.push_str(&if self.dry_run {
            format!("{records} in {rows} would be loaded")
        } else {
            format!("{records} in {rows}: {} added", self.added)
        });
        if self.already_there > 0 {
            text.push_str(&format!(", {} there already", self.already_there));
        }
        if self.conflicts > 0 {
            text.push_str(&format!(
                ", {} unlike what is kept under the same id (both are kept)",
                self.conflicts
            ));
        }
        text.push_str(&format!(
            "; {} refused, {} with nothing to load\n",
            self.refused, self.listed
        ));
        text
    }
}

/// Counts rows without loading them.
pub fn try_out(rows: impl Iterator<Item = Row>) -> RowsReport {
    let mut report = RowsReport { dry_run: true, ..RowsReport::default() };
    let mut last = 0;
    for row in rows {
        report.rows += u64::from(row.number() != last);
        last = row.number();
        match row {
            Row::Draft { .. } => report.records += 1,
            Row::Refused(refusal) => report.take(refusal, true),
            Row::Listed(refusal) => report.take(refusal, false),
        }
    }
    report
}

/// Loads rows.
pub async fn load(
    store: &Store,
    rows: impl Iterator<Item = Row>,
    name: String,
    hash: String,
    all_or_nothing: bool,
    output: &Output,
) -> Result<RowsReport, Failure> {
    let bar = output.progress(None, "loading");
    let progress = bar.clone();
    let options = LoadOptions { name, hash, all_or_nothing };
    let mut loader =
        store.loader(options, move |so_far| progress.set_position(so_far.drafts)).await?;
    let mut report = RowsReport::default();
    let mut last = 0;
    for row in rows {
        report.rows += u64::from(row.number() != last);
        last = row.number();
        match row {
            Row::Draft { draft, .. } => {
                report.records += 1;
                // Where one refusal undoes all, what follows it need not be written.
                if !(all_or_nothing && report.refused > 0) {
                    loader.push(draft).await?;
                }
            }
            Row::Refused(refusal) => report.take(refusal, true),
            Row::Listed(refusal) => report.take(refusal, false),
        }
    }
    if all_or_nothing && report.refused > 0 {
        // Dropped unfinished, an all-or-nothing load leaves nothing.
        drop(loader);
        bar.finish_and_clear();
        output.say(&report.words());
        return Err(Failure::data(format!("{} refused, so nothing was loaded", report.refused))
            .hint("mend them, or leave out --all-or-nothing to load the good rows"));
    }
    let loaded = loader.finish().await?;
    bar.finish_and_clear();
    report.added = loaded.added;
    report.already_there = loaded.already_there;
    report.conflicts = loaded.conflicts;
    report.refused += loaded.refused;
    // What the ledger itself refuses is a slip of the door before it; it is said all the same.
    report.refusals.extend(
        loaded
            .refusals
            .iter()
            .map(|refusal| Refusal::new(0, Code::Unreadable, refusal.to_string()).into()),
    );
    Ok(report)
}

/// A file to read; `-` is the standard input.
pub fn open(path: &Path) -> Result<Box<dyn Read>, Failure> {
    if path.as_os_str() == "-" {
        return Ok(Box::new(std::io::stdin().lock()));
    }
    let file = File::open(path).map_err(|e| Failure::io(path, &e))?;
    if file.metadata().is_ok_and(|meta| meta.is_dir()) {
        return Err(Failure::usage(format!("{} is a folder", path.display()))
            .hint("name a CSV or XLSX file"));
    }
    Ok(Box::new(BufReader::with_capacity(1 << 20, file)))
}

/// What to call a load of this file: its name and size, hashed with the time it was changed.
/// Only a mark to tell loads apart; what keeps a row from going in twice is its own id.
pub fn mark(path: &Path) -> String {
    let meta = std::fs::metadata(path).ok();
    let text = format!("{} {meta:?}", path.display());
    merkle::leaf_hash(text.as_bytes()).to_string()
}

/// One failure from all that is wrong with a sheet.
pub fn refused(path: &Path, refusals: &[Refusal]) -> Failure {
    let lines: Vec<String> = refusals.iter().map(ToString::to_string).collect();
    Failure::data(format!("{}: {}", path.display(), lines.join("\n  ")))
}
