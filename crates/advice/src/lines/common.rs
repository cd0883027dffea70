//! Whether the lines of a machine moved together: then what they share is to be seen to, and none of them adjusted.

use ouncewise_estimate::history::History;
use ouncewise_estimate::joint::Reading;
use ouncewise_estimate::past::{Happened, Visit};
use ouncewise_estimate::stands::{Asked, Machine};

/// Lines that stand off on one side together, by the machine's last visit.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// Which, in the order of the history.
    pub lines: Vec<usize>,
    /// By how much: the middle one, natural logarithm of flow over target.
    pub by: f64,
    /// At how many visits one after the other, at most three.
    pub visits: usize,
    /// The measure with which all of them were read at the last visit, if it was one.
    pub measure: Option<u32>,
    /// It was not used at the visit before.
    pub measure_is_new: bool,
    /// One person read all of them.
    pub one_person: bool,
}

/// Of fewer lines nobody can say that all moved.
const FEWEST: usize = 3;

/// So many of the lines that were read must stand off on one side by more than half the tolerance.
const SHARE: f64 = 2.0 / 3.0;

/// At this many visits running each line is seen to by itself again: what they share was looked for and called for.
const ENOUGH: usize = 3;

/// None where they did not move together, or have done so for so long that each is seen to by itself again.
pub fn moved(history: &History, followed: &Machine, asked: &[Option<Asked>]) -> Option<Moved> {
    let mut caught =
        history.past.visits.iter().rev().filter(|visit| readings(visit).next().is_some());
    let last = caught.next()?;
    let before: Vec<&Visit> = caught.take(ENOUGH - 1).collect();
    let (lines, by) = off_together(last, history, followed, asked)?;
    let so_before = |visit: &&&Visit| {
        off_together(visit, history, followed, asked).is_some_and(|(_, was)| was * by > 0.0)
    };
    let visits = 1 + before.iter().take_while(so_before).count();
    if visits >= ENOUGH {
        return None;
    }
    let of_these = || readings(last).filter(|reading| lines.contains(&reading.line));
    let measure = one(of_these().map(|reading| reading.measure.map(|(measure, _)| measure)));
    let used_before = |measure: u32| {
        before.first().is_none_or(|visit| {
            readings(visit).any(|reading| reading.measure.is_some_and(|(who, _)| who == measure))
        })
    };
    let one_person = one(of_these().map(|reading| reading.person)).is_some();
    let measure_is_new = measure.is_some_and(|measure| !used_before(measure));
    Some(Moved { visits, measure, measure_is_new, one_person, lines, by })
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

/// The lines that stood off on the one side after a visit, and the middle one of them.
fn off_together(
    visit: &Visit,
    history: &History,
    followed: &Machine,
    asked: &[Option<Asked>],
) -> Option<(Vec<usize>, f64)> {
    let mut apart: Vec<(usize, f64, f64)> = Vec::new();
    for (line, asked) in asked.iter().enumerate() {
        let Some(asked) = asked else { continue };
        let at = followed.followed[line].iter().rev().find(|told| told.at == visit.at);
        if let Some(told) = at {
            let by = told.level.mean - history.past.targets[line];
            apart.push((line, by, by / asked.tolerance));
        }
    }
    let enough = |count: usize| count >= FEWEST && count as f64 >= SHARE * apart.len() as f64;
    [-1.0, 1.0].into_iter().find_map(|side| {
        let mut off: Vec<&(usize, f64, f64)> =
            apart.iter().filter(|(_, _, tolerances)| side * tolerances > 0.5).collect();
        if !enough(off.len()) {
            return None;
        }
        off.sort_by(|a, b| a.1.total_cmp(&b.1));
        let middle = off[off.len() / 2].1;
        let mut lines: Vec<usize> = off.iter().map(|(line, ..)| *line).collect();
        lines.sort_unstable();
        Some((lines, middle))
    })
}
