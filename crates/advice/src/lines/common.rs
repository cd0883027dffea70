//! Whether the lines of a machine moved together, from its history.

use ouncewise_estimate::history::History;
use ouncewise_estimate::joint::Reading;
use ouncewise_estimate::past::{Happened, Visit};
use ouncewise_estimate::stands::{Asked, Machine};

use crate::shared::{Apart, FEWEST, Read, Suspect, Together, suspect, together};

/// Lines that stand off on one side together, by the last visit at which enough of them were read.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// Which, in the order of the history, and by how much.
    pub together: Together,
    /// None of them is to be set yet.
    pub adjust_none: bool,
    /// Where to look first.
    pub suspect: Suspect,
    /// The measure with which all of them were read at the last visit, if it was one.
    pub measure: Option<u32>,
    /// One person read all of them.
    pub one_person: bool,
}

/// None where they do not stand off together.
pub fn moved(history: &History, followed: &Machine, asked: &[Option<Asked>]) -> Option<Moved> {
    let visits = &history.past.visits;
    let read = |visit: &Visit| apart(visit, history, followed, asked);
    // One line that is caught in between, to see what they share, says nothing of the others.
    let tells = |visit: &Visit| read(visit).len() >= FEWEST;
    let last = visits.iter().rposition(tells)?;
    let (earlier, last) = (&visits[..last], &visits[last]);
    let mut now = together(&read(last))?;
    let before = earlier.iter().rev().find(|visit| tells(visit));
    let before = before.and_then(|visit| together(&read(visit)));
    // That one was read at another visit since, and is judged by itself.
    now.lines.retain(|line| followed.followed[*line].last().is_none_or(|told| told.at <= last.at));
    if now.lines.is_empty() {
        return None;
    }
    let who = |reading: &Reading| Read {
        measure: reading.measure.map(|(measure, _)| measure),
        person: reading.person,
    };
    let reads: Vec<Read> =
        readings(last).filter(|read| now.lines.contains(&read.line)).map(who).collect();
    let known: Vec<Read> = earlier.iter().flat_map(readings).map(who).collect();
    Some(Moved {
        adjust_none: now.adjust_none(before.as_ref()),
        suspect: suspect(&reads, &known),
        measure: one(reads.iter().map(|read| read.measure)),
        one_person: one(reads.iter().map(|read| read.person)).is_some(),
        together: now,
    })
}

/// What all of them are, if they are all the same.
fn one(mut all: impl Iterator<Item = Option<u32>>) -> Option<u32> {
    let first = all.next()??;
    all.all(|other| other == Some(first)).then_some(first)
}

fn readings(visit: &Visit) -> impl Iterator<Item = &Reading> {
    visit.happened.iter().filter_map(|what| match what {
        Happened::Read(reading) => Some(reading),
        _ => None,
    })
}

/// How the lines that were read at a visit stood after it.
fn apart(
    visit: &Visit,
    history: &History,
    followed: &Machine,
    asked: &[Option<Asked>],
) -> Vec<Apart> {
    let of_line = |(line, asked): (usize, &Option<Asked>)| {
        let told = followed.followed[line].iter().rev().find(|told| told.at == visit.at)?;
        let by = told.level.mean - history.past.targets[line];
        Some(Apart { line, by, tolerance: asked.as_ref()?.tolerance })
    };
    asked.iter().enumerate().filter_map(of_line).collect()
}
