//! How to read a stranger's sheet: proposed from what the sheet shows, asked about where it does not
//! tell, saved as TOML that a person can edit, and applied.
//!
//! A [`Mapping`] says where the heading is, what each column means, and the answer to each question.
//! [`propose`] makes one, [`apply`] reads a sheet by it, [`estate_from`] makes the sites, machines and
//! lines that the sheet speaks of and the estate does not have.

use std::io::Read;

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use super::code::{Code, Refusal};
use super::table::{Table, TableRow};
use crate::Estate;

mod apply;
mod ask;
mod ask_dates;
mod ask_names;
mod ask_units;
mod dates;
mod draws;
mod grow;
mod heading;
mod names;
mod propose;
mod shape;
#[cfg(test)]
mod tests;
mod units;
mod walk;
mod words;

pub use apply::Applied;

/// Rows that are looked at to propose a mapping.
pub const LOOKED_AT: usize = 50_000;

/// How to read one sheet, and others like it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mapping {
    /// Version of this form; 1.
    pub version: u32,
    /// The workbook's sheet; none for CSV.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sheet: Option<String>,
    /// First row of the heading, as a spreadsheet program counts.
    pub heading_row: u64,
    /// Rows of the heading: 1, or 2 where groups stand over columns.
    pub heading_rows: u64,
    /// The columns that have a heading or hold anything.
    #[serde(default, rename = "column")]
    pub columns: Vec<Column>,
    /// What the sheet does not tell.
    #[serde(default, rename = "question")]
    pub questions: Vec<Question>,
}

/// One column of the sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Column {
    /// Its letter: `A`, `AB`.
    pub letter: String,
    /// Its heading; two rows of heading are joined by ` / `.
    pub heading: String,
    /// What it holds.
    pub means: Means,
    /// The unit of its numbers, where the heading says it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// The site that all its readings belong to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub site: Option<String>,
    /// The machine that all its readings belong to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub machine: Option<String>,
    /// The line that all its readings belong to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<String>,
    /// A name in its heading that may be a site's, a machine's or a line's: the question `names` says which.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub called: Option<String>,
    /// The date of all its readings, as written.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub date: Option<String>,
    /// The state of all its readings: `as-found` or `as-left`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub state: Option<String>,
    /// Whether an empty cell repeats the one above it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub fill_down: bool,
    /// Why it is taken for this.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub because: String,
}

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Means {
    /// The site.
    Site,
    /// The group's number for the site.
    SiteNumber,
    /// The machine.
    Machine,
    /// The machine's serial number.
    Serial,
    /// The line.
    Line,
    /// What the line carries.
    Product,
    /// The date, perhaps with a time.
    Date,
    /// The time of day.
    Time,
    /// Amounts read; also marks, and words such as OK.
    Amount,
    /// The unit of the amounts.
    Unit,
    /// Seconds that a catch ran.
    Seconds,
    /// Doses that a catch was.
    Doses,
    /// What it was read with.
    Measure,
    /// Who.
    By,
    /// As found or as left.
    State,
    /// Free text.
    Note,
    /// Temperature of the product.
    Temperature,
    /// Water of a ratio line.
    Water,
    /// What the recipe asks; used to set up lines, not loaded as a reading.
    Target,
    /// How far off still serves; used to set up lines.
    Tolerance,
    /// A tick or an OK.
    Done,
    /// What was adjusted.
    Adjusted,
    /// Nothing that is loaded.
    Nothing,
}

impl Means {
    /// Whether a lone text in such a column says what the rows under it belong to by filling the column down.
    pub(super) fn has_rows_of_its_own(self) -> bool {
        matches!(
            self,
            Means::Site | Means::SiteNumber | Means::Machine | Means::Serial | Means::Date
        )
    }
}

/// Whether the day or the month comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Order {
    DayMonth,
    MonthDay,
}

/// Something that the sheet does not tell, or tells by a sign that a person may overrule.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Question {
    /// What it is about: `date-order`, `unit oz`, `site "Fern Holow"`.
    pub id: String,
    /// The question, in a sentence.
    pub asks: String,
    /// The answers that are taken; empty where any text is.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub choices: Vec<String>,
    /// The answer that is likeliest.
    pub default: String,
    /// The answer. Without one, rows that need it wait.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub answer: Option<String>,
    /// Where the answer follows from the sheet itself: why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub because: Option<String>,
    /// Some cells that it is about, each with its row.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sample: Vec<String>,
    /// Whether it only sets up what the estate lacks. Such a question keeps no row waiting.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub sets_up: bool,
}

/// What is known of a sheet besides its cells.
#[derive(Debug, Clone, Copy, Default)]
pub struct About<'t> {
    /// Name of the file, without its folder.
    pub file: &'t str,
    /// Name of the workbook's sheet.
    pub sheet: Option<&'t str>,
}

/// Proposes a mapping from the first rows of a sheet (up to [`LOOKED_AT`]).
///
/// # Errors
/// [`Code::NoHeading`] where nothing in the sheet looks like a log.
pub fn propose(
    rows: &[TableRow],
    about: About<'_>,
    estate: &Estate,
    now: Timestamp,
) -> Result<Mapping, Refusal> {
    propose::propose(rows, about, estate, now)
}

/// Reads a sheet by a mapping: each row becomes drafts, refusals, or an entry in the list of what is not loaded.
/// Rows that need an open question wait ([`Code::Waiting`]).
///
/// # Errors
/// [`Code::MappingMisfit`] where the headings are not those of the mapping.
pub fn apply<'a, R: Read>(
    mapping: &'a Mapping,
    table: Table<R>,
    estate: &'a Estate,
    now: Timestamp,
) -> Result<Applied<'a, R>, Vec<Refusal>> {
    Applied::open(mapping, table, estate, now)
}

/// The estate as it is, and with what the sheet speaks of and it does not have: sites, machines, lines,
/// products, and where there is none a family and a measure. Takes answers, and defaults where there are none.
/// Compare it with the present one ([`crate::plan`]) to show and load what is new.
///
/// # Errors
/// What cannot be made, such as a target that is no amount.
pub fn estate_from(
    mapping: &Mapping,
    rows: &[TableRow],
    estate: &Estate,
) -> Result<Estate, Vec<Refusal>> {
    grow::estate_from(mapping, rows, estate)
}

impl Mapping {
    /// The question with this id.
    #[must_use]
    pub fn question(&self, id: &str) -> Option<&Question> {
        self.questions.iter().find(|q| q.id == id)
    }

    /// The answer to a question, if it has one.
    #[must_use]
    pub fn answer(&self, id: &str) -> Option<&str> {
        self.question(id).and_then(|q| q.answer.as_deref())
    }

    /// The answer to a question, or its default.
    pub(super) fn likely(&self, id: &str) -> Option<&str> {
        self.question(id).map(|q| q.answer.as_deref().unwrap_or(&q.default))
    }

    /// Questions without an answer.
    pub fn open(&self) -> impl Iterator<Item = &Question> {
        self.questions.iter().filter(|q| q.answer.is_none())
    }

    /// Answers a question.
    ///
    /// # Errors
    /// [`Code::MappingMisfit`] where there is no such question, or no such choice.
    pub fn set(&mut self, id: &str, answer: &str) -> Result<(), Refusal> {
        let Some(question) = self.questions.iter_mut().find(|q| q.id == id) else {
            return Err(Refusal::new(
                0,
                Code::MappingMisfit,
                format!("there is no question {id:?}"),
            ));
        };
        question.takes(answer)?;
        question.answer = Some(answer.to_owned());
        Ok(())
    }

    /// Takes the default of every open question.
    pub fn accept_defaults(&mut self) {
        for question in &mut self.questions {
            question.answer.get_or_insert_with(|| question.default.clone());
        }
    }

    /// Takes over what was answered for an earlier sheet, where the same is asked here, and the meaning of
    /// columns with the same heading. What holds for one sheet only (its site, its day, the order of its
    /// dates) is not taken over.
    pub fn remember(&mut self, earlier: &Mapping) {
        for question in
            self.questions.iter_mut().filter(|q| q.answer.is_none() && !q.is_of_one_sheet())
        {
            if let Some(answer) = earlier.answer(&question.id).filter(|a| question.takes(a).is_ok())
            {
                question.answer = Some(answer.to_owned());
            }
        }
        for column in &mut self.columns {
            if let Some(known) = earlier
                .columns
                .iter()
                .find(|c| c.heading == column.heading && !c.heading.is_empty())
            {
                column.means = known.means;
                column.unit.clone_from(&known.unit);
            }
        }
    }

    /// Whether a sheet has the heading of this mapping, so that it can be read by it.
    #[must_use]
    pub fn fits(&self, rows: &[TableRow]) -> bool {
        let heading = heading::joined(rows, self.heading_row, self.heading_rows);
        self.columns.iter().all(|c| {
            column_number(&c.letter)
                .is_some_and(|n| heading.get(n).map_or("", String::as_str) == c.heading)
        })
    }

    /// As TOML, for people.
    #[must_use]
    pub fn to_toml(&self) -> String {
        const ABOVE: &str = "\
# How to read a sheet. Every [[column]] says what it means; every [[question]] may be given an `answer`.
# A column that shall not be loaded means \"nothing\". All of this is explained in docs/sheets.md.

";
        format!(
            "{ABOVE}{}",
            toml::to_string(self).expect("a mapping has only text, numbers and lists")
        )
    }

    /// From TOML.
    ///
    /// # Errors
    /// [`Code::MappingMisfit`] with the line of the fault; and one for each answer that is none of its choices.
    pub fn from_toml(text: &str) -> Result<Mapping, Vec<Refusal>> {
        let mapping: Mapping = toml::from_str(text).map_err(|error| {
            let line = error.span().map_or(0, |span| {
                text[..span.start.min(text.len())].matches('\n').count() as u64 + 1
            });
            vec![Refusal::new(line, Code::MappingMisfit, error.message().to_owned())]
        })?;
        let mut faults = Vec::new();
        if mapping.version != 1 {
            faults.push(Refusal::new(
                0,
                Code::MappingMisfit,
                format!("a mapping of version {} is not known here", mapping.version),
            ));
        }
        if mapping.heading_row == 0 || !(1..=2).contains(&mapping.heading_rows) {
            faults.push(Refusal::new(
                0,
                Code::MappingMisfit,
                "a heading begins at row 1 or below, and has one row or two",
            ));
        }
        faults.extend(mapping.columns.iter().filter(|c| column_number(&c.letter).is_none()).map(
            |c| {
                Refusal::new(
                    0,
                    Code::MappingMisfit,
                    format!("{:?} is not the letter of a column", c.letter),
                )
            },
        ));
        faults.extend(
            mapping
                .questions
                .iter()
                .filter_map(|q| q.answer.as_deref().and_then(|a| q.takes(a).err())),
        );
        if faults.is_empty() { Ok(mapping) } else { Err(faults) }
    }
}

impl Question {
    /// Whether another sheet may have another answer.
    fn is_of_one_sheet(&self) -> bool {
        matches!(self.id.as_str(), "site" | "machine" | "date" | "year" | "sections")
            || self.id.starts_with("date-order")
            || self.id.starts_with("column ")
    }

    fn takes(&self, answer: &str) -> Result<(), Refusal> {
        if answer.trim().is_empty()
            || !(self.choices.is_empty() || self.choices.iter().any(|c| c == answer))
        {
            return Err(Refusal::new(
                0,
                Code::MappingMisfit,
                format!("{answer:?} does not answer {:?}", self.id),
            )
            .hint(format!("choose one of: {}", self.choices.join(", "))));
        }
        Ok(())
    }
}

/// The letter of a column: 0 is `A`, 26 is `AA`.
pub(super) fn letter(mut number: usize) -> String {
    let mut letters = Vec::new();
    loop {
        letters.push(b'A' + (number % 26) as u8);
        if number < 26 {
            break;
        }
        number = number / 26 - 1;
    }
    letters.iter().rev().map(|b| char::from(*b)).collect()
}

/// The number of a column by its letter.
pub(super) fn column_number(letters: &str) -> Option<usize> {
    if letters.is_empty() || letters.len() > 3 {
        return None;
    }
    letters
        .bytes()
        .try_fold(0, |n: usize, b| {
            b.is_ascii_uppercase().then(|| n * 26 + usize::from(b - b'A') + 1)
        })
        .map(|n| n - 1)
}
