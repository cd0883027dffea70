//! Sheets that people keep: catches, adjustments, part changes and product changes as CSV or XLSX.
//!
//! Three layers: [`table`] gives rows of text from any file; [`known`] takes files whose columns are
//! ours, row by row, to [`ledger::Draft`](ouncewise_ledger::Draft)s or refusals; [`mapping`] proposes,
//! asks about, and applies a reading of a stranger's sheet.
//!
//! Nothing is dropped in silence: every row of a sheet becomes a draft, or is refused with a reason,
//! or is listed as what it is (a title, a total, a blank).

pub mod code;
pub mod table;
mod text;
mod xlsx;

pub use code::{Code, Refusal};
pub use table::{Hint, Table, TableRow};
