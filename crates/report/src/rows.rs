//! Rows of a sheet into the ledger: counted, and every one that does not go in listed with its reason.

use ouncewise_estate::Estate;
use ouncewise_estate::sheets::{Code, Refusal, Row};
use ouncewise_ledger::Draft;
use ouncewise_store::{LoadOptions, Store};

use crate::allergens::ProductChanges;
use crate::data::RowsReport;
use crate::failure::Failure;
use crate::far::{FarReading, far_off};
use crate::plural::many;

/// How many refusals are kept in words; all are counted.
const KEPT: usize = 10_000;

impl RowsReport {
    fn count(&mut self, row: Row) -> Option<Draft> {
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
        if self.far_off > 0 {
            text.push_str(&format!(
                "; {} far off the target, and kept: look at them",
                self.far_off
            ));
        }
        text
    }
}

/// Counts rows as they go by, and notes what should be looked at in those that go in.
struct Counting<'e> {
    report: RowsReport,
    last: u64,
    estate: &'e Estate,
    changes: ProductChanges<'e>,
}

impl<'e> Counting<'e> {
    fn of(estate: &'e Estate) -> Self {
        let changes = ProductChanges::of(estate);
        Self { report: RowsReport::default(), last: 0, estate, changes }
    }

    fn row(&mut self, row: Row) -> Option<Draft> {
        let number = row.number();
        self.report.rows += u64::from(number != self.last);
        self.last = number;
        self.changes.note(&row);
        let draft = self.report.count(row)?;
        if let Some((line, words)) = far_off(self.estate, &draft.record) {
            self.report.far_off += 1;
            if self.report.far.len() < KEPT {
                self.report.far.push(FarReading { row: number, line: line.to_string(), words });
            }
        }
        Some(draft)
    }

    fn told(self) -> RowsReport {
        RowsReport { allergens: self.changes.told(), ..self.report }
    }
}

/// Counts rows without loading them. `estate` is the one that they are held to.
pub fn try_out(rows: impl Iterator<Item = Row>, estate: &Estate) -> RowsReport {
    let mut counting = Counting::of(estate);
    for row in rows {
        counting.row(row);
    }
    RowsReport { dry_run: true, ..counting.told() }
}

/// Loads rows. What they need of the estate and it lacks is `described` first, in the same load: taking it back takes that
/// back too, as far as nobody else uses it. `estate` is the one that they are held to, with all of that. `progress` is told
/// after each stretch how many drafts have gone by.
///
/// # Errors
///
/// If the store cannot keep them. Where nothing is to be loaded unless all is, and a row is refused: nothing was
/// loaded then, and the report tells which.
pub async fn load(
    store: &Store,
    described: Vec<Draft>,
    rows: impl Iterator<Item = Row>,
    estate: &Estate,
    options: LoadOptions,
    progress: impl Fn(u64) + Send + 'static,
) -> Result<Result<RowsReport, RowsReport>, Failure> {
    let all_or_nothing = options.all_or_nothing;
    let mut loader = store.loader(options, move |so_far| progress(so_far.drafts)).await?;
    let mut counting = Counting::of(estate);
    let descriptions = described.len() as u64;
    for draft in described {
        loader.push(draft).await?;
    }
    for row in rows {
        // Where one refusal undoes all, what follows it need not be written.
        if let Some(draft) = counting.row(row)
            && !(all_or_nothing && counting.report.refused > 0)
        {
            loader.push(draft).await?;
        }
    }
    let mut report = counting.told();
    if all_or_nothing && report.refused > 0 {
        // Dropped unfinished, an all-or-nothing load leaves nothing.
        return Ok(Err(report));
    }
    let loaded = loader.finish().await?;
    // Each description is new: they are counted apart from what was read.
    report.added = loaded.added.saturating_sub(descriptions);
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
