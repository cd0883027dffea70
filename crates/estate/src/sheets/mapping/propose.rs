//! Proposing a mapping: heading, columns, sections, and then the questions.

use std::collections::HashMap;

use jiff::Timestamp;

use super::super::code::{Code, Refusal};
use super::super::index::fold;
use super::super::table::{Hint, TableRow};
use super::shape::{self, Shape};
use super::words::{heading as known_heading, phrase};
use super::{About, Mapping, Means, Question, ask, column_number, dates, heading};
use crate::Estate;

/// What the rows above the heading, the sheet's name and the file's name tell.
#[derive(Debug, Default)]
pub(super) struct Told {
    pub(super) site: Option<String>,
    pub(super) machine: Option<String>,
    pub(super) date: Option<String>,
    /// The first title, as a guess for the site.
    pub(super) title: Option<String>,
    pub(super) year: Option<i16>,
}

/// Which sort of thing of the estate a text names. Bare numbers name nothing: they may be anything.
pub(super) fn namer(estate: &Estate) -> impl Fn(&str) -> Option<Means> {
    let mut names: HashMap<String, Means> = HashMap::new();
    for (key, site) in &estate.sites {
        for (machine_key, machine) in &site.machines {
            for (line_key, line) in &machine.lines {
                for name in
                    [Some(line_key.as_str()), line.name.as_deref(), Some(line.product.as_str())]
                        .into_iter()
                        .flatten()
                {
                    names.insert(fold(name), Means::Line);
                }
            }
            names.insert(fold(machine_key), Means::Machine);
            names.insert(fold(&machine.name), Means::Machine);
        }
        names.insert(fold(key), Means::Site);
        names.insert(fold(&site.name), Means::Site);
    }
    for (key, product) in &estate.products {
        names.entry(fold(key)).or_insert(Means::Line);
        names.entry(fold(&product.name)).or_insert(Means::Line);
    }
    move |text: &str| {
        let folded = fold(text);
        if folded.is_empty() || folded.bytes().all(|b| b.is_ascii_digit()) {
            None
        } else {
            names.get(&folded).copied()
        }
    }
}

pub(super) fn propose(
    rows: &[TableRow],
    about: About<'_>,
    estate: &Estate,
    now: Timestamp,
) -> Result<Mapping, Refusal> {
    let known = namer(estate);
    let place = heading::find(rows).ok_or_else(|| {
        Refusal::new(0, Code::NoHeading, "no row looks like a heading").hint("put a row of headings over the columns, such as Date, Site, Line, Amount (mL), Seconds")
    })?;
    let told = told(rows, about, place.row, &known);
    let (columns, names) = heading::columns(rows, place, told.site.is_some(), &known);
    let mut mapping = Mapping {
        version: 1,
        sheet: about.sheet.map(str::to_owned),
        heading_row: place.row,
        heading_rows: place.rows,
        columns,
        questions: Vec::new(),
    };
    ask::names(&mut mapping, names);
    sections(&mut mapping, rows, &known);
    fill_down(&mut mapping, rows);
    ask::questions(&mut mapping, rows, &told, estate, now);
    Ok(mapping)
}

/// Reads the rows above the heading, and the names of sheet and file.
fn told(
    rows: &[TableRow],
    about: About<'_>,
    heading: u64,
    known: &impl Fn(&str) -> Option<Means>,
) -> Told {
    let mut told = Told::default();
    let take = |word: &str, value: &str, told: &mut Told| {
        let (word, value) = (phrase(word), value.trim());
        if value.is_empty() || value.len() > 80 {
            return;
        }
        match known_heading(&word) {
            Some((Means::Site | Means::SiteNumber, _)) => {
                told.site.get_or_insert_with(|| value.to_owned())
            }
            Some((Means::Machine | Means::Serial, _)) => {
                told.machine.get_or_insert_with(|| value.to_owned())
            }
            Some((Means::Date, _)) if dates::within(value).is_some() => {
                told.date.get_or_insert_with(|| value.to_owned())
            }
            _ => return,
        };
    };
    for row in rows.iter().take_while(|r| r.number < heading) {
        let cells: Vec<&str> = (0..row.len())
            .filter(|i| !row.is_copied(*i))
            .map(|i| row.get(i))
            .filter(|c| !c.is_empty())
            .collect();
        for (i, cell) in cells.iter().enumerate() {
            match cell.split_once(':') {
                Some((word, "")) => {
                    take(word, cells.get(i + 1).copied().unwrap_or_default(), &mut told);
                }
                Some((word, value)) => take(word, value, &mut told),
                None if is_numbered_site(cell) => {
                    told.site.get_or_insert_with(|| (*cell).to_owned());
                }
                None if known_heading(&phrase(cell)).is_some_and(|(_, how)| how == 2) => {
                    take(cell, cells.get(i + 1).copied().unwrap_or_default(), &mut told);
                }
                None => {}
            }
        }
    }
    let file = about.file.rsplit_once('.').map_or(about.file, |(stem, _)| stem);
    let titles = rows
        .iter()
        .take_while(|r| r.number < heading)
        .flat_map(|r| r.iter().filter(|c| !c.is_empty()).map(str::to_owned).collect::<Vec<_>>());
    let all: Vec<String> =
        titles.chain(about.sheet.map(str::to_owned)).chain([file.to_owned()]).collect();
    for text in &all {
        if told.date.is_none() && dates::within(text).is_some() {
            told.date = Some(text.clone());
        }
        if told.year.is_none() {
            told.year = year_in(text);
        }
        let named = |part: &str| known(part.trim()) == Some(Means::Site);
        if told.site.is_none() {
            told.site = text
                .split([':', ',', '-', '–', '|'])
                .find(|part| named(part))
                .map(|p| p.trim().to_owned())
                .or_else(|| named(text).then(|| text.clone()));
        }
    }
    told.title = all
        .into_iter()
        .find(|t| t.chars().any(char::is_alphabetic) && !t.is_empty() && t.len() <= 60);
    told
}

/// `Store 114 - Riverside`, `Filiale #7`.
fn is_numbered_site(text: &str) -> bool {
    let phrase = phrase(text);
    let mut words = phrase.split(' ').filter(|w| *w != "no" && *w != "nr");
    let site =
        words.next().and_then(known_heading).is_some_and(|(m, how)| m == Means::Site && how == 2);
    site && text.len() <= 60 && words.next().is_some_and(|w| w.bytes().all(|b| b.is_ascii_digit()))
}

/// A year that stands alone or begins a date.
fn year_in(text: &str) -> Option<i16> {
    text.split(|c: char| !c.is_ascii_digit())
        .filter(|w| w.len() == 4)
        .filter_map(|w| w.parse().ok())
        .find(|y| (2000..2100).contains(y))
}

/// Columns of places and dates whose empty cells repeat the one above.
fn fill_down(mapping: &mut Mapping, rows: &[TableRow]) {
    let readings: Vec<usize> = mapping
        .columns
        .iter()
        .filter(|c| matches!(c.means, Means::Amount | Means::Done | Means::Adjusted))
        .filter_map(|c| column_number(&c.letter))
        .collect();
    let first = mapping.heading_row + mapping.heading_rows;
    let data: Vec<&TableRow> = rows
        .iter()
        .filter(|r| r.number >= first && readings.iter().any(|n| !r.get(*n).is_empty()))
        .collect();
    for column in &mut mapping.columns {
        let places = matches!(
            column.means,
            Means::Site
                | Means::SiteNumber
                | Means::Machine
                | Means::Serial
                | Means::Line
                | Means::Date
        );
        let Some(number) = column_number(&column.letter).filter(|_| places) else { continue };
        let empty = data.iter().filter(|r| r.get(number).is_empty()).count();
        // A site, a machine or a date may stand in a row of its own above the first readings.
        let above = || rows.iter().filter(|r| r.number >= first).find(|r| !r.is_empty());
        let led = data.first().is_some_and(|r| !r.get(number).is_empty())
            || (column.means.has_rows_of_its_own()
                && above().is_some_and(|r| !r.get(number).is_empty()));
        if led && empty * 5 >= data.len().max(1) && empty < data.len() {
            column.fill_down = true;
            column.because.push_str("; empty cells repeat the one above");
        }
    }
}

/// Rows with one text that name what the rows under them belong to.
fn sections(mapping: &mut Mapping, rows: &[TableRow], known: &impl Fn(&str) -> Option<Means>) {
    let first = mapping.heading_row + mapping.heading_rows;
    let notes: Vec<usize> = mapping
        .columns
        .iter()
        .filter(|c| matches!(c.means, Means::Note | Means::By) || c.means.has_rows_of_its_own())
        .filter_map(|c| column_number(&c.letter))
        .collect();
    let data: Vec<&TableRow> = rows.iter().filter(|r| r.number >= first && !r.is_empty()).collect();
    let lone = |row: &TableRow| -> Option<String> {
        let cells: Vec<(usize, &str)> =
            row.iter().enumerate().filter(|(i, c)| !c.is_empty() && !row.is_copied(*i)).collect();
        match cells.as_slice() {
            [(i, text)] if !notes.contains(i) => Some((*text).to_owned()),
            [(_, word), (_, text)] if word.ends_with(':') => Some(format!("{word} {text}")),
            _ => None,
        }
    };
    let mut found: Vec<(u64, String)> = Vec::new();
    for pair in data.windows(2) {
        if let Some(text) = lone(pair[0]) {
            let text_like = matches!(shape::of(&text, Hint::Text), Shape::Text | Shape::Date);
            let more = lone(pair[1]).is_none()
                || found.last().is_none_or(|(n, _)| *n + 1 < pair[0].number);
            if text_like && more {
                found.push((pair[0].number, text));
            }
        }
    }
    if found.is_empty() {
        return;
    }
    let name = |text: &str| text.split_once(':').map_or(text, |(_, n)| n).trim().to_owned();
    let word = |text: &str| {
        text.split_once(':')
            .and_then(|(w, _)| known_heading(&phrase(w)))
            .or_else(|| known_heading(&phrase(text)).filter(|(_, how)| *how == 1))
            .map(|(m, _)| m)
    };
    let count = |m: Means| {
        found.iter().filter(|(_, t)| known(&name(t)) == Some(m) || word(t) == Some(m)).count()
    };
    let has = |m: Means| {
        mapping.columns.iter().any(|c| {
            c.means == m
                || (m == Means::Site && c.site.is_some())
                || (m == Means::Machine && c.machine.is_some())
                || (m == Means::Date && c.date.is_some())
        })
    };
    let dated = found.iter().filter(|(_, t)| dates::within(t).is_some()).count();
    let leads = data.first().is_some_and(|r| lone(r).is_some());
    let (answer, because) = if dated * 2 > found.len() && !has(Means::Date) {
        ("date", "rows with a date alone stand over others, and there is no column of dates")
    } else if !has(Means::Site) && (leads || count(Means::Site) > 0) {
        ("site", "rows with a name alone stand over others, and there is no column of sites")
    } else if !has(Means::Machine) && (count(Means::Machine) > 0 || (leads && found.len() > 1)) {
        ("machine", "rows with a name alone stand over others, and there is no column of machines")
    } else {
        return;
    };
    mapping.questions.push(Question {
        id: "sections".to_owned(),
        asks: "what do rows with one text name?".to_owned(),
        choices: ["site", "machine", "date", "no"].map(str::to_owned).to_vec(),
        default: answer.to_owned(),
        answer: Some(answer.to_owned()),
        because: Some(because.to_owned()),
        sample: found.iter().take(3).map(|(n, t)| format!("row {n}: {t}")).collect(),
        sets_up: false,
    });
}
