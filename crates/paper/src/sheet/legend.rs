//! What is said once for several lines: how each measure is read, and what none of its readings can show.

use std::collections::BTreeSet;

use ouncewise_estate::{Estate, MarksRead, Reads, Units};
use ouncewise_measure::print::Figure;
use ouncewise_measure::{Grams, Millilitres, Unit};

use super::Legend;
use super::row::Made;

/// A sentence about lines, whose keys stand in its middle.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Note {
    pub start: String,
    pub end: String,
    /// What it takes to show them on target, where that is to be said.
    pub takes: Option<Takes>,
}

/// A measure that would do: of several lines, the one that does for all of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Takes {
    /// The step of a scale in grams, where a scale can do.
    pub scale: Option<f64>,
    /// The tolerance of a vessel in mL.
    pub vessel: f64,
}

impl Note {
    /// Of no measure.
    pub fn new(start: String, end: &str) -> Note {
        Note { start, end: end.to_owned(), takes: None }
    }
}

impl Takes {
    fn both(self, other: Takes) -> Takes {
        Takes {
            scale: self.scale.zip(other.scale).map(|(a, b)| a.min(b)),
            vessel: self.vessel.min(other.vessel),
        }
    }

    fn words(self, units: Units) -> String {
        let vessel = Figure::volume(Millilitres(self.vessel)).at_most().words(units);
        let vessel = format!("a vessel good to ± {vessel}");
        match self.scale.map(|step| Figure::mass(Grams(step)).marked(Unit::Gram).at_most()) {
            Some(step) => {
                format!(": it takes a scale that reads {}, or {vessel}.", step.words(units))
            }
            None => format!(": it takes {vessel}."),
        }
    }
}

/// The measures that the rows name.
pub(super) fn measures(estate: &Estate, site: &str, made: &[Made]) -> Vec<Legend> {
    let Some(here) = estate.sites.get(site) else { return Vec::new() };
    let named: BTreeSet<&str> = made.iter().filter_map(|m| m.row.measure.as_deref()).collect();
    named
        .into_iter()
        .filter_map(|key| {
            let kind = estate.measures.get(&here.measures.get(key)?.kind)?;
            Some(Legend { key: key.to_owned(), name: kind.name.clone(), read: read(&kind.reads) })
        })
        .collect()
}

/// How it is read, where that is not plain.
fn read(reads: &Reads) -> String {
    let words = match reads {
        Reads::Vessel { film: Some(_), .. } => "wet and drained, read level at the eye",
        Reads::Vessel { marks: MarksRead::One(_), .. } => "dry, its one mark at the eye",
        Reads::Vessel { .. } => "dry, read level at the eye",
        Reads::Scale { tared: true, .. } => "weigh the cup empty, then full: write the difference",
        Reads::Scale { tared: false, .. } => "set to zero with the empty cup on it",
    };
    words.to_owned()
}

/// Notes of the rows, each once, with the lines that it is about.
pub(super) fn notes(made: &[Made], units: Units) -> Vec<String> {
    let mut notes: Vec<(Note, Vec<&str>)> = Vec::new();
    for (row, note) in made.iter().flat_map(|m| m.notes.iter().map(|note| (&m.row, note))) {
        let same = |known: &Note| (&known.start, &known.end) == (&note.start, &note.end);
        match notes.iter_mut().find(|(known, _)| same(known)) {
            Some((known, lines)) => {
                known.takes = known.takes.zip(note.takes).map(|(a, b)| a.both(b));
                lines.push(&row.line);
            }
            None => notes.push((note.clone(), vec![&row.line])),
        }
    }
    notes
        .into_iter()
        .map(|(note, lines)| {
            let which = if lines.len() == made.len() && lines.len() > 1 {
                "any line".to_owned()
            } else {
                listed(&lines)
            };
            let takes = note.takes.map_or(String::new(), |takes| takes.words(units));
            format!("{} {which} {}{takes}", note.start, note.end)
        })
        .collect()
}

/// `line 3`, `lines 1, 2 and 5`.
fn listed(lines: &[&str]) -> String {
    match lines {
        [] => String::new(),
        [one] => format!("line {one}"),
        [all @ .., last] => format!("lines {} and {last}", all.join(", ")),
    }
}
