//! Reports of the commands that bring data in, write it out, or look after the ledger.

use std::path::PathBuf;

use jiff::Timestamp;
use ouncewise_estate::sheets;
use ouncewise_estate::{Fault, Severity};
use schemars::JsonSchema;
use serde::Serialize;

use crate::allergens::AllergenReport;
use crate::failure::Failure;
use crate::far::FarReading;

/// A fault in a file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FaultReport {
    /// Its code; `docs/faults.md` explains each.
    pub code: String,
    /// `error`: refused. `warning`: taken, but probably not what was meant.
    pub severity: String,
    /// Name of the file.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// First byte of the place and the byte after its last, where the file is text.
    pub span: Option<(usize, usize)>,
    /// What is wrong.
    pub message: String,
    /// How to mend it.
    pub hint: Option<String>,
}

impl From<&Fault> for FaultReport {
    fn from(fault: &Fault) -> Self {
        let place = &fault.place;
        Self {
            code: fault.code.to_owned(),
            severity: match fault.severity {
                Severity::Error => "error",
                Severity::Warning => "warning",
            }
            .to_owned(),
            file: place.file.clone(),
            line: place.line,
            column: place.column,
            span: place.span.clone().map(|span| (span.start, span.end)),
            message: fault.message.clone(),
            hint: fault.hint.clone(),
        }
    }
}

/// `check`: what is wrong with estate files.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CheckReport {
    /// Whether they can be loaded: there are no faults but warnings.
    pub passes: bool,
    /// Files that were read.
    pub files: usize,
    /// Sites in them.
    pub sites: usize,
    /// Machines in them.
    pub machines: usize,
    /// Lines in them.
    pub lines: usize,
    /// All faults, by file and place.
    pub faults: Vec<FaultReport>,
    /// What was mended before that, where it was asked for.
    pub fixed: Vec<FixReport>,
    /// The procedures among them, each with what the check says of its text.
    pub procedures: Vec<crate::ProcedureReport>,
    /// What these were held to; none, where there are no procedures.
    pub held_to: Option<crate::HeldTo>,
}

/// A thing that `check --fix` mended.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FixReport {
    /// Name of the file.
    pub file: String,
    /// Line in the file as it was, from 1.
    pub line: usize,
    /// What was done.
    pub says: String,
}

/// `load estate`: what changes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct EstateReport {
    /// Things to add.
    pub added: usize,
    /// Things to change.
    pub changed: usize,
    /// Things to retire.
    pub retired: usize,
    /// Things that stay as they are.
    pub unchanged: usize,
    /// Each change in words.
    pub changes: Vec<String>,
    /// What flushing cannot show after the changes of product among them.
    pub allergens: Vec<AllergenReport>,
    /// Whether the changes were appended to the ledger.
    pub loaded: bool,
}

/// A row that was refused, or that holds nothing to load.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct RefusalReport {
    /// Row as a spreadsheet program counts, from 1; 0 where it is about the sheet as a whole.
    pub row: u64,
    /// Heading or letter of the column, where it is about one cell.
    pub column: Option<String>,
    /// Its code; `docs/sheets.md` explains each.
    pub code: String,
    /// Why.
    pub reason: String,
    /// How to mend it.
    pub hint: Option<String>,
}

impl From<sheets::Refusal> for RefusalReport {
    fn from(refusal: sheets::Refusal) -> Self {
        let sheets::Refusal { row, column, code, reason, hint } = refusal;
        Self { row, column, code: code.as_str().to_owned(), reason, hint }
    }
}

impl std::fmt::Display for RefusalReport {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.row > 0 {
            write!(f, "row {}", self.row)?;
            if let Some(column) = &self.column {
                write!(f, ", column {column}")?;
            }
            f.write_str(": ")?;
        }
        write!(f, "{} ({})", self.reason, self.code)?;
        match &self.hint {
            Some(hint) => write!(f, "; {hint}"),
            None => Ok(()),
        }
    }
}

/// `load catches`, `adjustments`, `parts`, `products` and `records`: what became of the rows.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct RowsReport {
    /// Rows that hold anything to load, to refuse or to list.
    pub rows: u64,
    /// Records in them.
    pub records: u64,
    /// Records that were added.
    pub added: u64,
    /// Records that were there already.
    pub already_there: u64,
    /// Records that say otherwise than the one under their id; both are kept.
    pub conflicts: u64,
    /// Rows or cells that were refused.
    pub refused: u64,
    /// Rows with nothing to load and nothing wrong: titles, totals, blanks.
    pub listed: u64,
    /// Whether it was only a try.
    pub dry_run: bool,
    /// What flushing cannot show after the changes of product among the rows.
    pub allergens: Vec<AllergenReport>,
    /// Readings that are three times their target or more, or a third of it or less. They are kept.
    pub far_off: u64,
    /// The first ten thousand of those, each with its row.
    pub far: Vec<FarReading>,
    /// What was refused, at most ten thousand, each with its place and reason.
    pub refusals: Vec<RefusalReport>,
    /// What was listed, at most ten thousand.
    pub listings: Vec<RefusalReport>,
}

/// `load sheet`: how a sheet is read, and what became of its rows.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SheetReport {
    /// The mapping, as in a mapping file (`docs/sheets.md`).
    #[schemars(with = "serde_json::Map<String, serde_json::Value>")]
    pub mapping: sheets::Mapping,
    /// What the estate lacks and the sheet speaks of.
    pub sets_up: Vec<String>,
    /// Sheets of the workbook that were not read.
    pub other_sheets: Vec<String>,
    /// Names of the questions that still have no answer.
    pub open: Vec<String>,
    /// What was taken for granted, as nobody answered.
    pub assumed: Vec<Assumed>,
    /// Answers that changed nothing, because what they would set up is there already: names of their questions.
    pub unused_answers: Vec<String>,
    /// What became of the rows.
    pub rows: RowsReport,
}

/// An answer that nobody gave.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Assumed {
    /// Name of the question.
    pub question: String,
    /// The question.
    pub asks: String,
    /// The likeliest answer, which was taken.
    pub answer: String,
}

impl Assumed {
    /// What a mapping takes for granted: of the questions that only set up what the estate lacks, those that nobody answered;
    /// of all, where every default is to be taken.
    #[must_use]
    pub fn of(mapping: &sheets::Mapping, defaults: bool) -> Vec<Self> {
        let taken = mapping.open().filter(|question| defaults || question.sets_up);
        let taken = taken.map(|question| Self {
            question: question.id.clone(),
            asks: question.asks.clone(),
            answer: question.default.clone(),
        });
        taken.collect()
    }
}

/// One load.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LoadReport {
    /// Its number, from 1 in order of time: what `load undo` takes.
    pub number: usize,
    /// Its id.
    pub id: String,
    /// Name of the file.
    pub name: String,
    /// When (RFC 3339, UTC).
    pub at: String,
    /// Records that it added.
    pub added: u64,
    /// When it was withdrawn, if it was.
    pub withdrawn_at: Option<String>,
}

impl LoadReport {
    /// The report of a load.
    pub fn new(number: usize, load: &ouncewise_store::Load) -> Self {
        Self {
            number,
            id: load.id.to_string(),
            name: load.name.clone(),
            at: instant(load.at_ms),
            added: load.added,
            withdrawn_at: load.undone_ms.map(instant),
        }
    }
}

/// Milliseconds since 1970 as RFC 3339.
fn instant(ms: i64) -> String {
    Timestamp::from_millisecond(ms).map_or_else(|_| format!("{ms} ms"), |at| at.to_string())
}

/// `load list`: what was loaded.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LoadsReport {
    /// The loads, newest first.
    pub loads: Vec<LoadReport>,
}

/// `load undo`: what was withdrawn.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct UndoReport {
    /// Records that were withdrawn; they stay in the ledger, marked.
    pub withdrawn: u64,
    /// Things that the load set up, and that were withdrawn with it.
    pub set_up: u64,
    /// Things that the load set up, and that stay because other records are about them.
    pub kept: u64,
}

/// `new`: the files that were written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct NewReport {
    /// The folder.
    pub dir: PathBuf,
    /// The files in it.
    pub files: Vec<String>,
}

/// `export`: what was written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ExportReport {
    /// The folder.
    pub dir: PathBuf,
    /// Records in `records.jsonl`.
    pub records: u64,
}

/// `ledger`: what was written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LedgerReport {
    /// The folder.
    pub dir: PathBuf,
    /// Ledgers in it: one for each site, and one for the group.
    pub ledgers: u64,
    /// Records in them.
    pub records: u64,
}

/// `verify` and `backup`: whether anything was altered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct VerifyReport {
    /// Records that were checked and fit.
    pub records: u64,
    /// The heads of all ledgers.
    pub ledgers: Vec<HeadReport>,
    /// The first thing that does not fit; absent if all does.
    pub misfit: Option<MisfitReport>,
}

/// Head of one ledger.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct HeadReport {
    /// Key of the site, or `@group`.
    pub ledger: String,
    /// How many records it holds.
    pub records: u64,
    /// Root of their tree (RFC 6962), in hexadecimal.
    pub root: String,
}

/// Something stored that is not what it was.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MisfitReport {
    /// The ledger; absent where it is the file as a whole.
    pub ledger: Option<String>,
    /// The record's place in it, from 0.
    pub index: Option<u64>,
    /// The record's id, where it can be told.
    pub id: Option<String>,
    /// What does not fit.
    pub what: String,
}

impl From<&ouncewise_store::Verified> for VerifyReport {
    fn from(verified: &ouncewise_store::Verified) -> Self {
        Self {
            records: verified.records,
            ledgers: verified
                .ledgers
                .iter()
                .map(|head| HeadReport {
                    ledger: head.site.to_string(),
                    records: head.size,
                    root: head.root.to_string(),
                })
                .collect(),
            misfit: verified.misfit.as_ref().map(|misfit| MisfitReport {
                ledger: misfit.scope.clone(),
                index: misfit.index,
                id: misfit.id.map(|id| id.to_string()),
                what: misfit.what.clone(),
            }),
        }
    }
}

/// `restore`: what was put back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct RestoreReport {
    /// What the backup holds.
    pub verified: VerifyReport,
    /// Where the ledger is now that was there before, if there was one.
    pub aside: Option<PathBuf>,
}

/// `rebuild`: what was computed again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct RebuildReport {
    /// Machines whose lines were computed again.
    pub machines: u64,
}

/// `forget`: what was erased.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ForgetReport {
    /// Whether there was anything left to erase.
    pub erased: bool,
}

/// `schema` without a name: what there are schemas of.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SchemasReport {
    /// Reports that `--json` prints.
    pub reports: Vec<String>,
    /// Estate files.
    pub files: Vec<String>,
}

/// What `--json` prints on stderr when a command fails.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ErrorReport {
    /// The failure.
    pub error: ErrorDetail,
}

/// Why a command could not do what was asked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ErrorDetail {
    /// The exit code.
    pub exit: u8,
    /// What happened, and to what.
    pub message: String,
    /// How to mend it.
    pub hint: Option<String>,
}

impl From<&Failure> for ErrorReport {
    fn from(failure: &Failure) -> Self {
        Self {
            error: ErrorDetail {
                exit: failure.exit as u8,
                message: failure.message.clone(),
                hint: failure.hint.clone(),
            },
        }
    }
}
