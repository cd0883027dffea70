//! A site's records become months of its people.

use std::collections::BTreeMap;

use jiff::Timestamp;
use ouncewise_estate::{Address, Estate, Key, MarksRead, Reads};
use ouncewise_ledger::{Body, Entered, LineState, PersonId, Record};
use ouncewise_measure::showing;
use ouncewise_measure::{AmountRead, Draw, Target};
use rust_decimal::prelude::ToPrimitive;

use super::{Caught, Month, Round, Timing};
use crate::visit::{CatchRead, LONGEST_PAUSE};

/// Whose month, and which.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Asked {
    /// The person.
    pub by: PersonId,
    /// The month: `2026-03`.
    pub month: String,
}

/// Standard deviation of a draw about its line's level, at the least. Assumed.
const DRAW: f64 = 0.004;

/// What people read of a division by eye: a triangle of half a division either way, 0.5/√6 (JCGM 100, 4.3.9).
const EYE: f64 = 0.204;

/// A scale is read to so many of its steps at the coarsest. Assumed.
const COARSE: f64 = 10.0;

/// The months of a site's people. `machines` are the site's, each with its records in the order of events and the body
/// that holds after corrections.
///
/// A month holds all rounds of the site's machines on which the person worked, and of each the last one before it.
/// Only records made by somebody at the machine or copied from paper are looked at. What was brought in from a file may have
/// been rounded, averaged or filled down by it, which looks just like what is asked about, and honest months are made up here
/// by how people read a measure and by nothing else; what was made at a desk corrects or sets up, and catches nothing.
#[must_use]
pub fn months<'a, R>(
    estate: &Estate,
    site: &str,
    machines: impl IntoIterator<Item = (&'a str, R)>,
) -> BTreeMap<Asked, Month>
where
    R: IntoIterator<Item = (&'a Record, &'a Body)>,
{
    let mut all: Vec<(Made, Round)> = Vec::new();
    for (index, (machine, records)) in machines.into_iter().enumerate() {
        all.extend(rounds(estate, site, (index, machine), records));
    }
    all.sort_by_key(|(made, _)| made.first);
    let asked: Vec<Option<Asked>> = all
        .iter()
        .map(|(made, _)| Some(Asked { by: made.by?, month: made.month.clone() }))
        .collect();
    let mut months: BTreeMap<Asked, Month> = BTreeMap::new();
    for who in asked.iter().flatten() {
        if months.contains_key(who) {
            continue;
        }
        let theirs = |place: usize| asked[place].as_ref() == Some(who);
        let worked = |machine: usize| {
            (0..all.len()).any(|place| theirs(place) && all[place].1.machine == machine)
        };
        let mut rounds = Vec::new();
        for (place, (made, round)) in all.iter().enumerate() {
            let next = all[place + 1..].iter().position(|(_, r)| r.machine == round.machine);
            // The last before the month counts as what was carried forward.
            let leads = next.is_some_and(|next| all[place + 1 + next].0.month == who.month);
            if worked(round.machine) && (made.month == who.month || leads) {
                rounds.push(Round { theirs: theirs(place), ..round.clone() });
            }
        }
        months.insert(who.clone(), Month { rounds });
    }
    months
}

/// By whom and when a round was made.
struct Made {
    by: Option<PersonId>,
    month: String,
    first: Timestamp,
}

fn rounds<'a>(
    estate: &Estate,
    site: &str,
    (index, machine): (usize, &str),
    records: impl IntoIterator<Item = (&'a Record, &'a Body)>,
) -> Vec<(Made, Round)> {
    let Some(known) = estate.machine(site, machine) else { return Vec::new() };
    let mut lines: Vec<&Key> = known.lines.keys().collect();
    lines.sort_by(|a, b| a.natural_cmp(b));
    let mut rounds: Vec<(Made, Round)> = Vec::new();
    let mut last: Option<Timestamp> = None;
    // When the first record of the round was made, of whatever kind.
    let mut began: Option<Timestamp> = None;
    for (record, body) in records {
        let Ok(instant) = record.instant() else { continue };
        if matches!(record.entered, Entered::Imported | Entered::AtDesk) {
            continue;
        }
        if last.is_none_or(|last| instant.duration_since(last) > LONGEST_PAUSE) {
            began = Some(instant);
        }
        let since = last.replace(instant);
        let Some((caught, ran)) = catch(estate, site, machine, &lines, record, body) else {
            continue;
        };
        let same = |(made, _): &&mut (Made, Round)| {
            made.by == record.by && began.is_some_and(|began| made.first >= began)
        };
        let at_machine = record.entered == Entered::AtMachine;
        match rounds.last_mut().filter(same) {
            Some((_, round)) => {
                if round.caught.iter().any(|other| other.line == caught.line) {
                    continue;
                }
                round.caught.push(caught);
                if let (Some(timing), Some(since), Some(began)) = (&mut round.timing, since, began)
                {
                    timing.gaps.push(instant.duration_since(since).as_secs_f64());
                    timing.span = instant.duration_since(began).as_secs_f64();
                    timing.ran += ran;
                }
            }
            None => {
                let span = began.map_or(0.0, |began| instant.duration_since(began).as_secs_f64());
                // The draw of a first record was over when it was made.
                let ran = if span > 0.0 { ran } else { 0.0 };
                let timing = at_machine.then(|| Timing { gaps: Vec::new(), span, ran });
                let month = record.at.get(..7).unwrap_or_default().to_owned();
                rounds.push((
                    Made { by: record.by, month, first: instant },
                    Round { machine: index, theirs: false, caught: vec![caught], timing },
                ));
            }
        }
    }
    rounds
}

/// An as-found catch of a number, and the seconds that it ran at least.
fn catch(
    estate: &Estate,
    site: &str,
    machine: &str,
    lines: &[&Key],
    record: &Record,
    body: &Body,
) -> Option<(Caught, f64)> {
    let Body::CatchTaken { state: LineState::AsFound, amount, .. } = body else { return None };
    let key = record.subject.line.as_deref()?;
    let line = lines.iter().position(|line| line.as_str() == key)?;
    let catch = CatchRead::from_body(body)?.ok()?;
    let address = Address::new(site, machine, key).ok()?;
    let setup = estate.setup(&address, Some(catch.measure())).ok()?;
    let target = match setup.aim.target {
        Target::Volume(volume) => volume.0,
        Target::Mass(mass) => mass.0,
    };
    let seen = showing::Checked::new(setup).ok()?.seen(&catch.catch()).ok()??;
    let AmountRead::Number(read) = amount.parse().ok()? else { return None };
    let place = estate.sites.get(site)?;
    let kind = &place.measures.get(catch.measure())?.kind;
    // Steps in the unit of the reading: a measure whose steps are written in another unit says nothing here.
    let (step, eye) = match &estate.measures.get(kind.as_str())?.reads {
        Reads::Vessel { marks: MarksRead::Every(division), .. } => (*division, EYE),
        Reads::Vessel { .. } => return None,
        Reads::Scale { resolution, .. } => (*resolution, 0.0),
    };
    if step.unit != read.unit || seen.from != seen.to {
        return None;
    }
    let (written, step) = (read.number.to_f64()?, step.number.to_f64()?);
    if written <= 0.0 || step <= 0.0 {
        return None;
    }
    let ran = match catch.catch().draw {
        Draw::Time(seconds) => seconds.0,
        Draw::Doses(_) => 0.0,
    };
    let caught = Caught {
        line,
        amount: written,
        coarsest: if eye > 0.0 { step } else { COARSE * step },
        level: seen.from - libm::log(target),
        noise: seen.passing.sqrt(),
        steady: libm::hypot(eye * step / written, DRAW),
    };
    Some((caught, ran))
}
