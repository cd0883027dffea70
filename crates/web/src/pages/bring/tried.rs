//! What would become of a sheet: its rows as they are understood, and each that does not go in with its reason.

use std::collections::BTreeMap;

use ouncewise_estate::plan::{self, Plan};
use ouncewise_estate::sheets::mapping;
use ouncewise_estate::sheets::{Code, Mapping, Refusal, Row};
use ouncewise_estate::{Estate, Line, Machine, Site};
use ouncewise_ledger::{Body, LineState, Record};
use ouncewise_report::{RowsReport, try_out};

use super::look::{self, Beside, Seen};
use super::uploads::Sheet;
use super::words::{asked, short};

/// How many readings are shown as they were understood.
const SAMPLES: usize = 8;

/// How many rows of each reason are shown.
const ROWS: usize = 5;

/// The most text of refusals that is written out.
const MOST: usize = 32 << 20;

/// What would become of a sheet.
pub struct Tried {
    /// What became of its rows.
    pub rows: RowsReport,
    /// Rows that are refused, by reason, most first.
    pub refused: Vec<Group>,
    /// Rows with nothing to load, by what they are, most first.
    pub nothing: Vec<Group>,
    /// What the estate lacks and the sheet speaks of: its sort and what it is called.
    pub sets_up: Vec<(String, String)>,
    /// Some readings as they were understood.
    pub samples: Vec<String>,
}

/// Rows that share a reason.
pub struct Group {
    /// The reason, in words.
    pub why: String,
    /// How many.
    pub count: u64,
    /// The first of them.
    pub first: Vec<Refusal>,
}

/// The estate with what the sheet speaks of.
pub fn wanted(sheet: &Sheet, mapping: &Mapping, beside: &Beside) -> Result<Estate, Vec<Refusal>> {
    let Seen { rows, .. } =
        look::seen(sheet.file.file.path(), sheet.which.as_deref()).map_err(|r| vec![r])?;
    mapping::estate_from(mapping, &rows, &beside.estate)
}

/// Tries a sheet without keeping anything.
pub fn tried(sheet: &Sheet, beside: &Beside) -> Result<Tried, Vec<Refusal>> {
    let mapping = sheet.reading.decided();
    let wanted = wanted(sheet, &mapping, beside)?;
    let table = look::open(sheet.file.file.path(), sheet.which.as_deref()).map_err(|r| vec![r])?;
    let applied = mapping::apply(&mapping, table, &wanted, beside.now)?;
    let (mut refused, mut nothing) = (Groups::default(), Groups::default());
    let mut samples = Samples::default();
    let rows = applied.inspect(|row| match row {
        Row::Draft { row, draft } => samples.take(*row, &draft.record),
        Row::Refused(refusal) => refused.take(&mapping, refusal),
        Row::Listed(refusal) => nothing.take(&mapping, refusal),
    });
    let rows = try_out(rows, &wanted);
    Ok(Tried {
        rows,
        refused: refused.sorted(),
        nothing: nothing.sorted(),
        sets_up: sets_up(&plan::changes(&beside.estate, &wanted)),
        samples: samples.kept.iter().map(|(row, record)| said(*row, record, &wanted)).collect(),
    })
}

/// Each thing that is set up: `line`, `fernhollow/counter-1/3`.
fn sets_up(plan: &Plan) -> Vec<(String, String)> {
    let words = |about: &str| match about.rsplit_once(' ') {
        Some((sort, which)) => (sort.to_owned(), which.to_owned()),
        None => (about.to_owned(), String::new()),
    };
    plan.changes.iter().map(|change| words(&change.about)).collect()
}

#[derive(Default)]
struct Groups(BTreeMap<(Code, String), Group>);

impl Groups {
    fn take(&mut self, mapping: &Mapping, refusal: &Refusal) {
        // Rows that wait are told apart by what they wait for.
        let waits = refusal.code == Code::Waiting;
        let about = if waits { refusal.reason.clone() } else { String::new() };
        let group = self.0.entry((refusal.code, about)).or_insert_with(|| Group {
            why: if waits { waiting(mapping, refusal) } else { refusal.code.title().to_owned() },
            count: 0,
            first: Vec::new(),
        });
        group.count += 1;
        if group.first.len() < ROWS {
            let reason = short(&refusal.reason, 200);
            group.first.push(Refusal { reason, ..refusal.clone() });
        }
    }

    fn sorted(self) -> Vec<Group> {
        let mut groups: Vec<Group> = self.0.into_values().collect();
        groups.sort_by_key(|group| std::cmp::Reverse(group.count));
        groups
    }
}

fn waiting(mapping: &Mapping, refusal: &Refusal) -> String {
    let question = mapping
        .questions
        .iter()
        .find(|question| refusal.reason.contains(&format!("{:?}", question.id)));
    match question {
        Some(question) => format!("waits for your answer to “{}”", asked(question).0),
        None => short(&refusal.reason, 200),
    }
}

/// A few records, evenly spread over the sheet however long it is.
#[derive(Default)]
struct Samples {
    kept: Vec<(u64, Record)>,
    seen: u64,
    every: u64,
}

impl Samples {
    fn take(&mut self, row: u64, record: &Record) {
        let every = self.every.max(1);
        if self.seen.is_multiple_of(every) {
            if self.kept.len() == SAMPLES {
                let mut nth = 0;
                self.kept.retain(|_| {
                    nth += 1;
                    nth % 2 == 1
                });
                self.every = every * 2;
            }
            if self.seen.is_multiple_of(self.every.max(1)) {
                self.kept.push((row, record.clone()));
            }
        }
        self.seen += 1;
    }
}

/// A record in words: `12 Mar 2026, Fern Hollow, line 3: 29.6 mL in 7 s, as found`.
fn said(row: u64, record: &Record, estate: &Estate) -> String {
    let what = match &record.body {
        Body::CatchTaken { state, amount, draw, measure, .. } => {
            let state = match state {
                LineState::AsFound => "as found",
                LineState::AsLeft => "as left",
            };
            format!("{amount} in {draw}, {state}, read with {measure}")
        }
        Body::ClaimMade { said } => format!("the log says “{}”, no measurement", short(said, 60)),
        Body::LineAdjusted { done, .. } => format!("adjusted, {}", short(done, 60)),
        other => other.kind().replace('-', " "),
    };
    let (place, day) = (place(record, estate), crate::words::day(&record.at));
    format!("Row {row}: {day}, {place}: {what}")
}

/// Where a record is of, by the names that people use.
fn place(record: &Record, estate: &Estate) -> String {
    let key = record.scope.as_str();
    let site = estate.sites.get(key);
    let mut parts = vec![site.map_or(key, |site| site.name.as_str()).to_owned()];
    let one = |site: &Site| site.machines.values().filter(|m| !m.retired()).count() == 1;
    let machine_key = record.subject.machine.as_deref();
    let machine: Option<&Machine> = site.and_then(|site| site.machines.get(machine_key?));
    if !site.is_some_and(one) {
        parts.extend(machine.map(|m| m.name.as_str()).or(machine_key).map(ToOwned::to_owned));
    }
    if let Some(key) = record.subject.line.as_deref() {
        let line = machine.and_then(|m| m.lines.get(key));
        let product = |line: &Line| Some(estate.products.get(&line.product)?.name.clone());
        let name = line.and_then(|line| line.name.clone().or_else(|| product(line)));
        // A number tells which line it is, and a name that is none tells more.
        let numbered = |text: &str| !text.chars().any(char::is_alphabetic);
        parts.push(match name {
            Some(name) if !numbered(key) && !numbered(&name) => name,
            _ => format!("line {key}"),
        });
    }
    parts.join(", ")
}

/// Every row that does not go in, with its reason, for a spreadsheet program: it begins with a byte order mark, by which
/// such a program knows the letters. Blank rows are left out.
pub fn refused(sheet: &Sheet, beside: &Beside) -> Result<String, Vec<Refusal>> {
    let mapping = sheet.reading.decided();
    // Once it was kept, the estate has what it speaks of.
    let wanted = match sheet.kept {
        Some(_) => (*beside.estate).clone(),
        None => wanted(sheet, &mapping, beside)?,
    };
    let table = look::open(sheet.file.file.path(), sheet.which.as_deref()).map_err(|r| vec![r])?;
    let mut text = String::from("\u{feff}row,column,code,reason,hint\r\n");
    let mut more = 0u64;
    for row in mapping::apply(&mapping, table, &wanted, beside.now)? {
        let (Row::Refused(refusal) | Row::Listed(refusal)) = row else { continue };
        if refusal.code == Code::Blank {
            continue;
        }
        if text.len() > MOST {
            more += 1;
            continue;
        }
        let cells = [
            refusal.row.to_string(),
            refusal.column.unwrap_or_default(),
            refusal.code.as_str().to_owned(),
            refusal.reason,
            refusal.hint.unwrap_or_default(),
        ];
        push(&mut text, &cells);
    }
    if more > 0 {
        let what = format!("{more} more are not listed here: mend these first");
        push(&mut text, &[String::new(), String::new(), String::new(), what, String::new()]);
    }
    Ok(text)
}

/// Adds a row. Cells that a spreadsheet program would take for a formula begin with an apostrophe.
fn push(text: &mut String, cells: &[String]) {
    for (nth, cell) in cells.iter().enumerate() {
        if nth > 0 {
            text.push(',');
        }
        text.push('"');
        if cell.starts_with(['=', '+', '-', '@', '\t', '\r']) {
            text.push('\'');
        }
        text.push_str(&cell.replace('"', "\"\""));
        text.push('"');
    }
    text.push_str("\r\n");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn samples_are_few_and_spread() {
        let record =
            crate::testing::caught("fernhollow", "counter-1", "1", "2026-02-09", "30 mL", 1).record;
        for rows in [0u64, 3, 8, 9, 100, 12_345] {
            let mut samples = Samples::default();
            (1..=rows).for_each(|row| samples.take(row, &record));
            let kept: Vec<u64> = samples.kept.iter().map(|(row, _)| *row).collect();
            assert!(
                kept.len() <= SAMPLES && kept.len() as u64 >= rows.min(SAMPLES as u64 / 2),
                "{kept:?}"
            );
            assert!(kept.windows(2).all(|pair| pair[0] < pair[1]), "{kept:?}");
            if rows > 100 {
                assert!(kept.last().is_some_and(|last| *last > rows / 2), "{kept:?}");
            }
        }
    }

    #[test]
    fn a_cell_is_no_formula() {
        let mut text = String::new();
        push(&mut text, &["=1+1".to_owned(), "a \"b\", c".to_owned(), "B".to_owned()]);
        assert_eq!(text, "\"'=1+1\",\"a \"\"b\"\", c\",\"B\"\r\n");
    }
}
