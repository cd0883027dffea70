//! Looking at a sheet: which reading of it is proposed, or remembered from one with the same headings.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use jiff::Timestamp;
use ouncewise_estate::Estate;
use ouncewise_estate::sheets::mapping::{self, Column, LOOKED_AT, Means};
use ouncewise_estate::sheets::{About, Code, Mapping, Refusal, Table, TableRow};
use ouncewise_report::Failure;

use super::follow;
use super::uploads::{Reading, Received};
use super::words::{number, short};
use crate::App;

/// Cells of a column that are shown, and of how many columns.
const CELLS: usize = 3;
pub const COLUMNS: usize = 200;

/// Sheets of a workbook that are looked into for one that can be read.
const SHEETS: usize = 20;

/// An open file.
pub type Open = Table<BufReader<File>>;

/// What is known besides the sheet itself.
pub struct Beside {
    pub estate: Arc<Estate>,
    pub now: Timestamp,
    /// Where readings are remembered, and those that are held in memory.
    mappings: Option<PathBuf>,
    readings: Vec<Mapping>,
}

impl Beside {
    /// As it is now.
    pub async fn of(app: &App) -> Result<Self, Failure> {
        Ok(Self {
            estate: app.store().estate().await?,
            now: app.now(),
            mappings: app.mappings().map(ToOwned::to_owned),
            readings: app.uploads().readings(),
        })
    }
}

/// The first rows of a sheet.
pub struct Seen {
    pub sheets: Vec<String>,
    pub which: Option<String>,
    pub rows: Vec<TableRow>,
}

/// One sheet as it was looked at.
pub struct Looked {
    pub which: Option<String>,
    pub sheets: Vec<String>,
    pub reading: Reading,
}

/// Opens a file at one of its sheets.
pub fn open(path: &Path, which: Option<&str>) -> Result<Open, Refusal> {
    let file = File::open(path).map_err(|e| {
        Refusal::new(0, Code::Unreadable, format!("the file that was put aside is gone: {e}"))
            .hint("choose it again")
    })?;
    Table::open_sheet(BufReader::with_capacity(1 << 18, file), which).map_err(mendable)
}

/// A refusal of a damaged workbook says how to go on.
fn mendable(refusal: Refusal) -> Refusal {
    match refusal.hint {
        Some(_) => refusal,
        None => refusal.hint(
            "open it in your spreadsheet program, save it anew as .xlsx or as CSV, and choose that",
        ),
    }
}

/// The first rows of a sheet, up to as many as a proposal looks at.
pub fn seen(path: &Path, which: Option<&str>) -> Result<Seen, Refusal> {
    let mut table = open(path, which)?;
    let rows = table.take_rows(LOOKED_AT).map_err(mendable)?;
    Ok(Seen { sheets: table.sheets().to_vec(), which: table.sheet().map(ToOwned::to_owned), rows })
}

/// Looks at the sheet that is named; or else at the first, and where that holds no readings at the next that does.
pub fn look(file: &Received, which: Option<&str>, beside: &Beside) -> Result<Looked, Refusal> {
    let path = file.file.path();
    let first = seen(path, which)?;
    let (sheets, at) = (first.sheets.clone(), first.which.clone());
    let mut best = looked(first, &file.name, beside);
    if which.is_some() || best.as_ref().is_ok_and(reads) {
        return best;
    }
    for other in sheets.iter().take(SHEETS).filter(|other| at.as_ref() != Some(other)) {
        let next = seen(path, Some(other)).and_then(|seen| looked(seen, &file.name, beside));
        match next {
            Ok(next) if reads(&next) => return Ok(next),
            Ok(next) if best.is_err() => best = Ok(next),
            _ => {}
        }
    }
    best
}

fn reads(looked: &Looked) -> bool {
    looked.reading.mapping.columns.iter().any(holds_readings)
}

/// Whether records can come of a column.
pub fn holds_readings(column: &Column) -> bool {
    matches!(column.means, Means::Amount | Means::Done | Means::Adjusted)
}

fn looked(mut seen: Seen, name: &str, beside: &Beside) -> Result<Looked, Refusal> {
    if seen.rows.iter().all(TableRow::is_empty) {
        return Err(Refusal::new(0, Code::Unreadable, "there is nothing in it"));
    }
    let about = About { file: name, sheet: seen.which.as_deref() };
    let proposal = mapping::propose(&seen.rows, about, &beside.estate, beside.now)?;
    let below = proposal.heading_row + proposal.heading_rows;
    if !seen.rows.iter().any(|row| row.number >= below && !row.is_empty()) {
        return Err(Refusal::new(0, Code::NoReading, "it has headings, and no rows under them")
            .hint("choose a sheet with readings in it"));
    }
    let cells = cells(&seen.rows, &proposal);
    let proposed = Arc::new(proposal.columns.clone());
    let earlier = beside.readings.iter().find(|mapping| mapping.fits(&seen.rows)).cloned();
    let earlier = earlier.or_else(|| {
        beside.mappings.as_deref().and_then(|dir| ouncewise_report::remembered(dir, &seen.rows))
    });
    let known = earlier.is_some();
    let mapping = match earlier {
        None => proposal,
        Some(earlier) => as_before(proposal, earlier, &proposed, &mut seen, name, beside),
    };
    let reading =
        Reading { mapping, proposed, cells: Arc::new(cells), left_open: BTreeSet::new(), known };
    Ok(Looked { which: seen.which, sheets: seen.sheets, reading })
}

/// A sheet read as one with the same headings was: its columns, and the answers that hold for more than one sheet.
fn as_before(
    mut fresh: Mapping,
    mut earlier: Mapping,
    proposed: &[Column],
    seen: &mut Seen,
    name: &str,
    beside: &Beside,
) -> Mapping {
    settle_columns(&mut earlier);
    let heading = |mapping: &Mapping| {
        let letters: Vec<String> = mapping.columns.iter().map(|c| c.letter.clone()).collect();
        (mapping.heading_row, mapping.heading_rows, letters)
    };
    if heading(&earlier) == heading(&fresh) {
        fresh.columns.clone_from(&earlier.columns);
        fresh.questions.retain(|question| !question.id.starts_with("column "));
        let changed = fresh.columns.iter().zip(proposed).any(|(a, b)| !follow::alike(a, b));
        if changed {
            fresh = follow::asked_anew(fresh, proposed, seen, name, beside);
        }
    }
    // Where this sheet suggests an answer by itself, what was decided about the earlier one still goes first.
    for question in fresh.questions.iter_mut().filter(|question| question.because.is_some()) {
        question.answer = None;
    }
    fresh.remember(&earlier);
    for question in fresh.questions.iter_mut().filter(|question| question.because.is_some()) {
        question.answer.get_or_insert_with(|| question.default.clone());
    }
    fresh
}

/// Puts answers to what a column holds into the columns themselves, where the page shows them.
pub fn settle_columns(mapping: &mut Mapping) {
    let Mapping { columns, questions, .. } = mapping;
    questions.retain(|question| {
        let Some(letter) = question.id.strip_prefix("column ") else { return true };
        let means = question.answer.as_deref().and_then(super::words::from_key);
        if let (Some(means), Some(column)) =
            (means, columns.iter_mut().find(|c| c.letter == letter))
        {
            column.means = means;
        }
        false
    });
}

/// Some cells of each column that the page shows.
fn cells(rows: &[TableRow], mapping: &Mapping) -> BTreeMap<String, Vec<String>> {
    let below = mapping.heading_row + mapping.heading_rows;
    let of = |column: &Column| {
        let mut cells: Vec<String> = Vec::new();
        let Some(nth) = number(&column.letter) else { return cells };
        for row in rows.iter().filter(|row| row.number >= below) {
            let cell = row.get(nth);
            if !cell.is_empty() {
                let cell = short(cell, 40);
                if !cells.contains(&cell) {
                    cells.push(cell);
                }
            }
            if cells.len() == CELLS {
                break;
            }
        }
        cells
    };
    mapping.columns.iter().take(COLUMNS).map(|c| (c.letter.clone(), of(c))).collect()
}
