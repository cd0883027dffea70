//! Rows of a sheet into the ledger: counted, and every one that does not go in listed with its reason.

use ouncewise_estate::sheets::{Code, Refusal, Row};
use ouncewise_store::{LoadOptions, Store};

use crate::data::RowsReport;
use crate::failure::Failure;
use crate::plural::many;

/// How many refusals are kept in words; all are counted.
const KEPT: usize = 10_000;

impl RowsReport {
    fn count(&mut self, row: Row) -> Option<ouncewise_ledger::Draft> {
        let (refusal, fault) = match row {
            Row::Draft { draft, .. } => {
                self.records += 1;
                return Some(draft);
            }
            Row::Refused(refusal) => (refusal, true),
            Row::Listed(refusal) => (refusal, false),
        };
        let (count, kept) = if fault {
            (&mut self.refused, &mut self.refusals)
        } else {
            (&mut self.listed, &mut self.listings)
        };
        *count += 1;
        if kept.len() < KEPT {
            kept.push(refusal.into());
        }
        None
    }

    /// The counts in words.
    #[must_use]
    pub fn summary(&self) -> String {
        let (records, rows) = (many(self.records, "record"), many(self.rows, "row"));
        let mut text = if self.dry_run {
            format!("{records} in {rows} would be loaded")
        } else {
            format!("{records} in {rows}: {} added", self.added)
        };
        if self.already_there > 0 {
            text.push_str(&format!(", {} there already", self.already_there));
        }
        if self.conflicts > 0 {
            text.push_str(&format!(
                ", {} unlike what is kept under the same id (both are kept)",
                self.conflicts
            ));
        }
        text.push_str(&format!("; {} refused, {} with nothing to load", self.refused, self.listed));
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
        report.count(row);
    }
    report
}

/// Loads rows. `progress` is told after each stretch how many drafts have gone by.
///
/// # Errors
///
/// If the store cannot keep them. Where nothing is to be loaded unless all is, and a row is refused: nothing was
/// loaded then, and the report tells which.
pub async fn load(
    store: &Store,
    rows: impl Iterator<Item = Row>,
    options: LoadOptions,
    progress: impl Fn(u64) + Send + 'static,
) -> Result<Result<RowsReport, RowsReport>, Failure> {
    let all_or_nothing = options.all_or_nothing;
    let mut loader = store.loader(options, move |so_far| progress(so_far.drafts)).await?;
    let mut report = RowsReport::default();
    let mut last = 0;
    for row in rows {
        report.rows += u64::from(row.number() != last);
        last = row.number();
        // Where one refusal undoes all, what follows it need not be written.
        if let Some(draft) = report.count(row)
            && !(all_or_nothing && report.refused > 0)
        {
            loader.push(draft).await?;
        }
    }
    if all_or_nothing && report.refused > 0 {
        // Dropped unfinished, an all-or-nothing load leaves nothing.
        return Ok(Err(report));
    }
    let loaded = loader.finish().await?;
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
    Ok(Ok(report))
}

/// One failure from all that is wrong with a sheet.
#[must_use]
pub fn refused(name: &str, refusals: &[Refusal]) -> Failure {
    let lines: Vec<String> = refusals.iter().map(ToString::to_string).collect();
    Failure::data(format!("{name}: {}", lines.join("\n  ")))
}
