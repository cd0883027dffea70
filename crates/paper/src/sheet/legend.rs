//! What is said once for several lines: how each measure is read, and what none of its readings can show.

use std::collections::BTreeSet;

use ouncewise_estate::{Estate, MarksRead, Reads};

use super::Legend;
use super::row::Made;

/// A sentence about lines, whose keys stand in its middle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Note {
    pub start: String,
    pub end: String,
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

fn read(reads: &Reads) -> String {
    match reads {
        Reads::Vessel { marks, tolerance, film } => {
            let marks = match marks {
                MarksRead::Every(division) => format!("a mark every {division}, ± {tolerance}"),
                MarksRead::One(mark) => format!("one mark at {mark}, ± {tolerance}"),
            };
            let film = match film {
                Some(_) => "; use it wet and drained",
                None => "; read it level, at the eye",
            };
            format!("{marks}{film}")
        }
        Reads::Scale { resolution, tolerance, tared } => {
            let tare = if *tared { "; weigh the cup empty, then full, and write the difference" } else { "" };
            format!("steps of {resolution}, ± {tolerance}{tare}")
        }
    }
}

/// Notes of the rows, each once, with the lines that it is about.
pub(super) fn notes(made: &[Made]) -> Vec<String> {
    let mut notes: Vec<(&Note, Vec<&str>)> = Vec::new();
    for Made { row, note } in made {
        let Some(note) = note else { continue };
        match notes.iter_mut().find(|(known, _)| *known == note) {
            Some((_, lines)) => lines.push(&row.line),
            None => notes.push((note, vec![&row.line])),
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
            format!("{} {which} {}", note.start, note.end)
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
