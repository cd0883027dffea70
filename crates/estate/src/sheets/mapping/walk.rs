//! A sheet row by row: what each row is, and for a row of data what it says about each reading.

use std::collections::BTreeMap;

use super::super::code::{Code, Refusal};
use super::super::table::{Hint, TableRow};
use super::shape::{self, Shape};
use super::words::{FOUND, LEFT, TOTALS, holds, phrase};
use super::{Column, Mapping, Means, column_number, dates, heading, names};

/// Walks over the rows of one sheet.
pub(super) struct Walk<'m> {
    mapping: &'m Mapping,
    columns: Vec<(usize, Column, Means)>,
    /// The last text of columns that are filled down.
    above: BTreeMap<usize, (String, Hint)>,
    section: Section,
    sections: Option<Means>,
    heading: Vec<String>,
}

#[derive(Default, Clone)]
struct Section {
    site: String,
    machine: String,
    date: String,
}

/// What a row is.
pub(super) enum Kind {
    /// Nothing to load.
    Listed(Refusal),
    /// Data.
    Data(Data),
}

/// What a row of data says.
#[derive(Debug, Default)]
pub(super) struct Data {
    pub(super) readings: Vec<Reading>,
    /// Text of columns that hold for the whole row.
    pub(super) texts: BTreeMap<Means, String>,
    /// Place of the row, for readings whose column says none.
    pub(super) place: Place,
    pub(super) note: String,
}

/// Where and when.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) site: String,
    pub(super) machine: String,
    pub(super) line: String,
    pub(super) date: String,
    pub(super) date_is: Hint,
}

/// One cell that holds a reading, a tick, or what was adjusted.
#[derive(Debug)]
pub(super) struct Reading {
    pub(super) means: Means,
    pub(super) letter: String,
    pub(super) text: String,
    pub(super) unit: Option<String>,
    pub(super) place: Place,
    pub(super) state: Option<String>,
    pub(super) seconds: String,
    pub(super) doses: String,
    /// Whether the name over it is still to be answered.
    pub(super) waits: bool,
}

impl<'m> Walk<'m> {
    pub(super) fn new(mapping: &'m Mapping) -> Walk<'m> {
        let columns = mapping
            .columns
            .iter()
            .filter_map(|c| {
                let answer = mapping.answer(&format!("column {}", c.letter));
                let means = answer.and_then(means_of).unwrap_or(c.means);
                column_number(&c.letter).map(|n| (n, named(mapping, c), means))
            })
            .collect();
        let sections = match mapping.answer("sections") {
            Some("site") => Some(Means::Site),
            Some("machine") => Some(Means::Machine),
            Some("date") => Some(Means::Date),
            _ => None,
        };
        let mut heading: Vec<String> =
            mapping.columns.iter().map(|c| phrase(&c.heading)).filter(|h| !h.is_empty()).collect();
        heading.sort();
        Walk {
            mapping,
            columns,
            above: BTreeMap::new(),
            section: Section::default(),
            sections,
            heading,
        }
    }

    /// Whether a site, a machine, a line or a date can be told for readings at all.
    pub(super) fn tells(&self, means: Means) -> bool {
        self.columns.iter().any(|(_, c, m)| {
            *m == means
                || match means {
                    Means::Site => c.site.is_some() || *m == Means::SiteNumber,
                    Means::Machine => c.machine.is_some() || *m == Means::Serial,
                    Means::Line => c.line.is_some(),
                    Means::Date => c.date.is_some(),
                    _ => false,
                }
        }) || self.sections == Some(means)
    }

    /// Columns that are not loaded.
    pub(super) fn not_loaded(&self) -> impl Iterator<Item = &Column> {
        self.columns.iter().filter(|(_, _, m)| *m == Means::Nothing).map(|(_, c, _)| c)
    }

    /// What a row is.
    pub(super) fn look(&mut self, row: &TableRow) -> Kind {
        let listed = |code, reason: &str| Kind::Listed(Refusal::new(row.number, code, reason));
        let first = self.mapping.heading_row;
        if let Some(refusal) = row.refusal() {
            return Kind::Listed(refusal);
        }
        if row.is_empty() {
            return listed(Code::Blank, "blank row");
        }
        if row.number < first {
            return listed(Code::Title, "above the heading");
        }
        if row.number < first + self.mapping.heading_rows {
            return listed(Code::Heading, "the heading");
        }
        let mut cells: Vec<(usize, &str)> =
            row.iter().enumerate().filter(|(i, c)| !c.is_empty() && !row.is_copied(*i)).collect();
        if cells.is_empty() {
            cells = row.iter().enumerate().filter(|(_, c)| !c.is_empty()).collect();
        }
        if self.is_totals(&cells) {
            return listed(Code::Totals, "a row of totals");
        }
        if self.is_heading_again(row) {
            return listed(Code::HeadingAgain, "the heading once more");
        }
        if let Some(what) = self.take_section(&cells) {
            return Kind::Listed(Refusal::new(row.number, Code::Section, what));
        }
        Kind::Data(self.data(row))
    }

    fn is_totals(&self, cells: &[(usize, &str)]) -> bool {
        let texts = cells.iter().take(3).filter(|(i, _)| {
            // A note may begin with any word.
            !self.columns.iter().any(|(n, _, m)| n == i && *m == Means::Note)
        });
        let few = cells.len() * 5 <= self.columns.len() * 3;
        texts.clone().any(|(_, text)| {
            let phrase = phrase(text);
            let is = |word: Option<&str>| word.is_some_and(|w| w.len() > 2 && TOTALS.contains(&w));
            TOTALS.contains(&phrase.as_str())
                || (text.len() < 60
                    && few
                    && (is(phrase.split(' ').next()) || is(phrase.rsplit(' ').next())))
        })
    }

    fn is_heading_again(&self, row: &TableRow) -> bool {
        let mut texts: Vec<String> = row.iter().filter(|c| !c.is_empty()).map(phrase).collect();
        if texts.len() < 2 {
            return false;
        }
        texts.sort();
        let hits = texts
            .iter()
            .filter(|t| {
                self.heading.iter().any(|h| {
                    h == *t || h.ends_with(&format!(" {t}")) || h.starts_with(&format!("{t} "))
                })
            })
            .count();
        hits * 10 >= texts.len() * 9 && texts.len() * 2 >= self.heading.len()
    }

    /// A row with one text, or a word and a text, that says what the rows under it belong to.
    fn take_section(&mut self, cells: &[(usize, &str)]) -> Option<String> {
        let sections = self.sections?;
        let text = match cells {
            [(_, text)] => (*text).to_owned(),
            [(_, word), (_, text)] if word.ends_with(':') => format!("{word} {text}"),
            _ => return None,
        };
        let column = cells[0].0;
        let held = self.columns.iter().find(|(n, _, _)| *n == column).map(|(_, _, m)| *m);
        // A lone text in a column of notes is a remark, and in a column that is filled down it is data.
        if held.is_some_and(|m| matches!(m, Means::Note | Means::By))
            || held.is_some_and(Means::has_rows_of_its_own)
        {
            return None;
        }
        if !self.tells_by_column(Means::Date) && dates::within(&text).is_some() {
            self.section.date.clone_from(&text);
            return Some(format!("{text:?} dates the rows under it"));
        }
        if !matches!(shape::of(&text, Hint::Text), Shape::Text) {
            return None;
        }
        let name = text.split_once(':').map_or(text.as_str(), |(_, name)| name).trim();
        match sections {
            Means::Machine => name.clone_into(&mut self.section.machine),
            Means::Date => return None,
            _ => {
                name.clone_into(&mut self.section.site);
                self.section.machine.clear();
            }
        }
        Some(format!("{name:?} is what the rows under it belong to"))
    }

    fn tells_by_column(&self, means: Means) -> bool {
        self.columns
            .iter()
            .any(|(_, c, m)| *m == means || (means == Means::Date && c.date.is_some()))
    }

    /// The text of a column, from above where it is filled down.
    fn text<'t>(&'t self, number: usize, column: &Column, row: &'t TableRow) -> (&'t str, Hint) {
        let own = row.get(number);
        match self.above.get(&number) {
            Some((above, hint)) if own.is_empty() && column.fill_down => (above, *hint),
            _ => (own, row.hint(number)),
        }
    }

    fn data(&mut self, row: &TableRow) -> Data {
        for (number, column, _) in &self.columns {
            let own = row.get(*number);
            if column.fill_down && !own.is_empty() {
                self.above.insert(*number, (own.to_owned(), row.hint(*number)));
            }
        }
        let mut data = Data::default();
        let mut date_is = Hint::Text;
        for (number, column, means) in &self.columns {
            let (text, hint) = self.text(*number, column, row);
            if text.is_empty()
                || matches!(
                    means,
                    Means::Amount
                        | Means::Done
                        | Means::Adjusted
                        | Means::Seconds
                        | Means::Doses
                        | Means::Nothing
                )
            {
                continue;
            }
            if *means == Means::Note {
                if !data.note.is_empty() {
                    data.note.push_str("; ");
                }
                data.note.push_str(text);
            } else if !matches!(shape::of(text, hint), Shape::Nothing)
                || matches!(means, Means::Line | Means::SiteNumber)
            {
                data.texts.entry(*means).or_insert_with(|| text.to_owned());
                if *means == Means::Date {
                    date_is = hint;
                }
            }
        }
        let constant = |means: &str| self.mapping.answer(means).unwrap_or_default().to_owned();
        let or = |text: Option<&String>, section: &str, other: &str| match text {
            Some(text) => text.clone(),
            None if !section.is_empty() => section.to_owned(),
            None => constant(other),
        };
        data.place = Place {
            site: self.site(&data.texts),
            machine: or(
                data.texts.get(&Means::Machine).or(data.texts.get(&Means::Serial)),
                &self.section.machine,
                "machine",
            ),
            line: data.texts.get(&Means::Line).cloned().unwrap_or_default(),
            date: or(data.texts.get(&Means::Date), &self.section.date, "date"),
            date_is,
        };
        data.readings = self.readings(row, &data.place);
        data
    }

    /// The site of a row: its name, with its number where the name has several.
    fn site(&self, texts: &BTreeMap<Means, String>) -> String {
        match (texts.get(&Means::Site), texts.get(&Means::SiteNumber)) {
            (Some(name), Some(number))
                if self
                    .mapping
                    .question(&names::question(Means::Site, name))
                    .is_some_and(|q| q.answer.as_deref() == Some("by number")) =>
            {
                format!("{name} {number}")
            }
            (Some(name), _) => name.clone(),
            (None, Some(number)) => number.clone(),
            (None, None) if !self.section.site.is_empty() => self.section.site.clone(),
            (None, None) => self.mapping.answer("site").unwrap_or_default().to_owned(),
        }
    }

    fn readings(&self, row: &TableRow, place: &Place) -> Vec<Reading> {
        let held: Vec<_> = self
            .columns
            .iter()
            .filter(|(n, _, m)| {
                matches!(m, Means::Amount | Means::Done | Means::Adjusted)
                    && !row.get(*n).is_empty()
            })
            .collect();
        held.iter()
            .map(|(number, column, means)| {
                let beside = |wanted: Means| self.beside(wanted, column, row);
                let place = Place {
                    site: column.site.clone().unwrap_or_else(|| place.site.clone()),
                    machine: column.machine.clone().unwrap_or_else(|| place.machine.clone()),
                    line: column.line.clone().unwrap_or_else(|| place.line.clone()),
                    date: column.date.clone().unwrap_or_else(|| place.date.clone()),
                    date_is: if column.date.is_some() { Hint::Text } else { place.date_is },
                };
                Reading {
                    means: *means,
                    letter: column.letter.clone(),
                    text: row.get(*number).to_owned(),
                    unit: column.unit.clone(),
                    place,
                    state: column.state.clone(),
                    seconds: beside(Means::Seconds),
                    doses: beside(Means::Doses),
                    waits: column.called.is_some(),
                }
            })
            .collect()
    }

    /// The seconds or doses that belong to a reading: of the same line, date and state before of all.
    fn beside(&self, wanted: Means, reading: &Column, row: &TableRow) -> String {
        let fits = |a: &Option<String>, b: &Option<String>| a.is_none() || a == b;
        let found = self
            .columns
            .iter()
            .filter(|(_, c, m)| {
                *m == wanted
                    && fits(&c.line, &reading.line)
                    && fits(&c.date, &reading.date)
                    && fits(&c.state, &reading.state)
                    && fits(&c.site, &reading.site)
            })
            .max_by_key(|(_, c, _)| {
                [&c.line, &c.date, &c.state, &c.site].iter().filter(|q| q.is_some()).count()
            });
        found
            .map(|(n, c, _)| self.text(*n, c, row).0.to_owned())
            .filter(|t| shape::of(t, Hint::Text) != Shape::Nothing)
            .unwrap_or_default()
    }
}

/// A column with the name in its heading where the question `names` puts it.
fn named(mapping: &Mapping, column: &Column) -> Column {
    let mut column = column.clone();
    match mapping.answer("names") {
        Some("site") => column.site = column.site.or(column.called.take()),
        Some("machine") => column.machine = column.machine.or(column.called.take()),
        Some("line") => column.line = column.line.or(column.called.take()),
        Some(_) => column.called = None,
        None => {}
    }
    column
}

/// As found or as left, by a word.
pub(super) fn state_of(text: &str) -> Option<ouncewise_ledger::LineState> {
    use ouncewise_ledger::LineState::{AsFound, AsLeft};
    let phrase = phrase(text);
    let any = |words: &[&str]| words.iter().any(|w| holds(&phrase, w));
    match (any(FOUND), any(LEFT)) {
        (true, false) => Some(AsFound),
        (false, true) => Some(AsLeft),
        _ => match phrase.as_str() {
            "f" | "b" => Some(AsFound),
            "l" | "a" => Some(AsLeft),
            _ => None,
        },
    }
}

/// A meaning by the name that a mapping file has for it.
pub(super) fn means_of(text: &str) -> Option<Means> {
    serde_json::from_value(serde_json::Value::String(text.to_owned())).ok()
}

/// Whether a sheet's heading is the one that a mapping was made for; what differs.
pub(super) fn misfits(mapping: &Mapping, rows: &[TableRow]) -> Vec<Refusal> {
    let headings = heading::joined(rows, mapping.heading_row, mapping.heading_rows);
    mapping
        .columns
        .iter()
        .filter_map(|c| {
            let found =
                column_number(&c.letter).and_then(|n| headings.get(n)).map_or("", String::as_str);
            (found != c.heading).then(|| {
                Refusal::new(
                    mapping.heading_row,
                    Code::MappingMisfit,
                    format!(
                        "column {} is headed {found:?}, and the mapping expects {:?}",
                        c.letter, c.heading
                    ),
                )
                .column(&c.letter)
                .hint("propose a new mapping for this sheet, or mend the old one")
            })
        })
        .collect()
}
