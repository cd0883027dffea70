//! Sheets that people keep: catches, adjustments, part changes and product changes as CSV or XLSX.
//!
//! Three layers: [`table`] gives rows of text from any file; [`known`] takes files whose columns are
//! ours, row by row, to [`Draft`]s or refusals; [`mapping`] proposes, asks about, and applies a reading
//! of a stranger's sheet.
//!
//! Nothing is dropped in silence: every row of a sheet becomes a draft, or is refused with a reason,
//! or is listed as what it is (a title, a total, a blank).

use ouncewise_ledger::Draft;

mod build;
pub mod code;
#[cfg(test)]
pub(crate) mod fixture;
pub mod fuzz;
mod index;
pub mod known;
pub mod mapping;
mod quotes;
mod reading;
pub mod rounds;
pub mod table;
#[cfg(test)]
mod tests;
mod text;
mod when;
mod xlsx;

pub use code::{Code, Refusal};
pub use known::{Door, Known};
pub use mapping::{About, Mapping};
pub use table::{Hint, Table, TableRow};

/// What became of a row, or of one reading in it.
#[derive(Debug, Clone, PartialEq, Eq)]
#[expect(
    clippy::large_enum_variant,
    reason = "nearly all rows are drafts, and a box each would cost"
)]
pub enum Row {
    /// A record to load.
    Draft {
        /// Row number.
        row: u64,
        /// The record.
        draft: Draft,
    },
    /// Refused: something must be mended.
    Refused(Refusal),
    /// Listed: nothing to load, and nothing wrong.
    Listed(Refusal),
}

impl Row {
    /// The row number.
    #[must_use]
    pub fn number(&self) -> u64 {
        match self {
            Row::Draft { row, .. } => *row,
            Row::Refused(refusal) | Row::Listed(refusal) => refusal.row,
        }
    }
}

/// A count with its word, which ends in an s where it is not one.
fn many(count: usize, word: &str) -> String {
    if count == 1 { format!("1 {word}") } else { format!("{count} {word}s") }
}
