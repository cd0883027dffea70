//! A machine's records become a past that the joint filter takes.
//!
//! Catches are read with the estate as it is now: today's recipe, measures and
//! families. A reading of nothing, or of less than half the target, is a fault
//! and no level: the filter passes over it. So is what cannot be read, and what was
//! caught with a measure that the estate does not know.

use jiff::Timestamp;
use ouncewise_estate::{Address, Estate, Key};
use ouncewise_ledger::{Body, PersonId, Record};
use ouncewise_measure::quantity::{Dimension, Fault};
use ouncewise_measure::showing::Checked;
use ouncewise_measure::{Adjuster, Catch, Quantity, Target, Unit};
use rustc_hash::FxHashMap;

use crate::joint::{Reading, Said};
use crate::past::{Happened, Past, Visit};
use crate::visit::{LONGEST_PAUSE, Spellings};

/// A machine's lines, in the order in which people list them, and its past.
#[derive(Debug, Clone, PartialEq)]
pub struct History {
    /// Keys of the lines: a line's index in the past is its place here.
    pub lines: Vec<Key>,
    /// Their addresses.
    pub addresses: Vec<Address>,
    /// What happened.
    pub past: Past,
    /// Keys of the measures, by the numbers that readings name.
    pub measures: Vec<String>,
}

/// Less of the target than this is a fault and no level.
const LEAST_FLOW: f64 = 0.5;

/// Weeks since 1970 UTC.
#[must_use]
pub fn weeks(instant: Timestamp) -> f64 {
    instant.as_millisecond() as f64 / (7.0 * 86_400_000.0)
}

/// Reads one machine's records, which are in the order of events, each with the body that holds after corrections.
///
/// None where the estate does not know the machine, or it has no line that can be computed with.
#[must_use]
pub fn read<'a>(
    estate: &Estate,
    site: &str,
    machine: &str,
    happenings: impl IntoIterator<Item = (&'a Record, &'a Body)>,
) -> Option<History> {
    let known = estate.machine(site, machine)?;
    let mut lines: Vec<Key> = known.lines.keys().cloned().collect();
    lines.sort_by(Key::natural_cmp);
    let addresses: Vec<Address> = lines
        .iter()
        .map(|line| Address::new(site, machine, line.as_str()))
        .collect::<Result<_, _>>()
        .ok()?;
    let mut reader = Reader {
        estate,
        targets: addresses.iter().map(|address| target(estate, address)).collect(),
        addresses: &addresses,
        setups: FxHashMap::default(),
        spellings: Spellings::default(),
        measures: Vec::new(),
        people: Vec::new(),
        latest: vec![None; lines.len()],
        taught: estate
            .family_of(site, machine)
            .is_some_and(|family| matches!(family.adjuster, Adjuster::Taught)),
    };
    if reader.targets.iter().all(Option::is_none) {
        return None;
    }
    // A line is mostly followed by itself or by the next one.
    let mut last = 0;
    let mut index = |key: &str| {
        let likely = [last, (last + 1) % lines.len()];
        let is = |at: &usize| lines[*at].as_str() == key;
        last = likely.into_iter().find(is).or_else(|| (0..lines.len()).find(is))?;
        Some(last)
    };
    let mut visits: Vec<Visit> = Vec::new();
    let mut before: Option<Timestamp> = None;
    let mut happened = Vec::new();
    for (record, body) in happenings {
        let Ok(instant) = record.instant() else { continue };
        happened.clear();
        match (body, &record.subject.line) {
            (Body::MachineSwapped { .. }, _) => {
                let targets = reader.targets.iter().map(|target| target.unwrap_or(0.0));
                happened.push(Happened::Swapped(targets.collect()));
            }
            (_, Some(line)) => {
                happened.extend(index(line).and_then(|line| reader.what(line, record, body)));
            }
            (_, None) => {
                let all = 0..lines.len();
                happened.extend(all.filter_map(|line| reader.what(line, record, body)));
            }
        }
        if happened.is_empty() {
            continue;
        }
        let same = before.is_some_and(|before| instant.duration_since(before) <= LONGEST_PAUSE);
        match visits.last_mut() {
            Some(visit) if same => visit.happened.append(&mut happened),
            _ => {
                // Visits are much alike.
                let mut all = Vec::with_capacity(visits.last().map_or(0, |v| v.happened.len()));
                all.append(&mut happened);
                visits.push(Visit { at: weeks(instant), happened: all });
            }
        }
        before = Some(instant);
    }
    // A fit holds thousands of pasts.
    visits.iter_mut().for_each(|visit| visit.happened.shrink_to_fit());
    let targets = reader.targets.iter().map(|target| target.unwrap_or(0.0)).collect();
    let measures = reader.measures;
    Some(History { past: Past { targets, visits }, lines, addresses, measures })
}

/// The log of a line's target, in mL or g as its recipe says.
fn target(estate: &Estate, address: &Address) -> Option<f64> {
    let setup = estate.setup(address, None).ok().or_else(|| {
        // Which measure is usual does not matter here.
        let site = estate.sites.get(&address.site)?;
        site.measures.keys().find_map(|key| estate.setup(address, Some(key.as_str())).ok())
    })?;
    let amount = match setup.aim.target {
        Target::Volume(volume) => volume.0,
        Target::Mass(mass) => mass.0,
    };
    (amount > 0.0).then(|| libm::log(amount))
}

struct Reader<'e, 'a> {
    estate: &'e Estate,
    addresses: &'e [Address],
    targets: Vec<Option<f64>>,
    setups: FxHashMap<(usize, u32), Option<Checked>>,
    spellings: Spellings<'a>,
    measures: Vec<String>,
    people: Vec<PersonId>,
    /// The measure, with the variance of its error, that each line was caught with last.
    latest: Vec<Option<(u32, f64)>>,
    /// Whether the machine's draws are taught.
    taught: bool,
}

impl<'a> Reader<'_, 'a> {
    fn what(&mut self, line: usize, record: &Record, body: &'a Body) -> Option<Happened> {
        self.targets[line]?;
        Some(match body {
            Body::CatchTaken { measure, .. } => {
                let catch = self.spellings.catch(body)?.ok()?;
                return self.reading(line, record, measure, &catch);
            }
            Body::LineAdjusted { done, meant, .. } => {
                self.adjusted(line, record, done, meant.as_deref())
            }
            Body::LineCleaned {}
            | Body::Flushed { .. }
            | Body::ContactEnded { .. }
            | Body::Drained { .. } => Happened::Cleaned(line),
            Body::PartReplaced { .. } | Body::ProductChanged { .. } => {
                Happened::Renewed(line, self.targets[line]?)
            }
            _ => return None,
        })
    }

    fn reading(
        &mut self,
        line: usize,
        record: &Record,
        caught_in: &str,
        catch: &Catch,
    ) -> Option<Happened> {
        let measure = number(&mut self.measures, caught_in);
        let setup = self.setups.entry((line, measure)).or_insert_with(|| {
            let setup = self.estate.setup(&self.addresses[line], Some(caught_in)).ok()?;
            Checked::new(setup).ok()
        });
        let seen = setup.as_ref()?.seen(catch).ok()?;
        let least = self.targets[line]? + libm::log(LEAST_FLOW);
        let Some(seen) = seen.filter(|seen| seen.to >= least) else {
            return Some(Happened::Failed(line));
        };
        let person = record.by.as_ref().map(|by| number(&mut self.people, by));
        let said = if seen.from == seen.to {
            Said::Value(seen.from, seen.passing)
        } else {
            Said::Between(seen.from, seen.to, seen.passing)
        };
        self.latest[line] = Some((measure, seen.persistent));
        Some(Happened::Read(Reading { line, said, measure: self.latest[line], person }))
    }

    fn adjusted(
        &mut self,
        line: usize,
        record: &Record,
        done: &str,
        meant: Option<&str>,
    ) -> Happened {
        if let Some(target) = self.targets[line]
            && self.taught
        {
            let person = record.by.as_ref().map(|by| number(&mut self.people, by));
            let mark = self.stopped_at(line, done).unwrap_or(target);
            return Happened::Taught(line, mark, self.latest[line], person);
        }
        let meant = meant.and_then(fraction).filter(|fraction| *fraction > -0.95);
        Happened::Adjusted(line, meant.map(libm::log1p))
    }

    /// The log of the mark at which a taught draw was stopped, where the record names one that can be: `stopped at 31 mL`.
    fn stopped_at(&self, line: usize, done: &str) -> Option<f64> {
        let target = self.targets[line]?;
        let asked = self.estate.line(&self.addresses[line])?.target;
        let mark = mark(done, asked.unit)?;
        let amount = match asked.unit.dimension() {
            Dimension::Mass => mark.mass()?.0,
            _ => mark.volume()?.0,
        };
        let log = (amount > 0.0).then(|| libm::log(amount))?;
        ((log - target).abs() < -libm::log(LEAST_FLOW)).then_some(log)
    }
}

/// The amount after an `at` of what was done, the last first, or at its beginning, as the form asks for it. A bare number is in the
/// recipe's own unit; it counts where no amount is written with one.
fn mark(done: &str, unit: Unit) -> Option<Quantity> {
    let words: Vec<&str> = done
        .split([' ', ';'])
        .map(|word| word.trim_end_matches([',', '.', ':']))
        .filter(|word| !word.is_empty())
        .collect();
    let after = (0..words.len()).rev().filter(|at| words[*at].eq_ignore_ascii_case("at"));
    let starts: Vec<&[&str]> = after.map(|at| &words[at + 1..]).chain([&words[..]]).collect();
    let stated = starts.iter().find_map(|words| stated(words));
    stated.or_else(|| starts.iter().find_map(|words| bare(words, unit)))
}

/// The amount that some words begin with, in a unit that is written there; an hour or the seconds of a draw are no amount.
fn stated(words: &[&str]) -> Option<Quantity> {
    let read = |many: usize| words[..many].join(" ").parse::<Quantity>().ok();
    let amount = |read: &Quantity| read.volume().is_some() || read.mass().is_some();
    (1..=words.len().min(4)).rev().filter_map(read).find(amount)
}

/// The number that some words begin with, in this unit, unless another unit follows it.
fn bare(words: &[&str], unit: Unit) -> Option<Quantity> {
    let number = words.first()?;
    let follows = words.get(1).is_some_and(|next| match next.parse::<Unit>() {
        Ok(_) => true,
        Err(why) => why.fault == Fault::WhichUnit,
    });
    if follows {
        return None;
    }
    format!("{number} {unit}").parse().ok()
}

/// A thing's number, by the order in which they come.
fn number<T: PartialEq + Clone, Q: ?Sized + PartialEq<T> + ToOwned<Owned = T>>(
    known: &mut Vec<T>,
    thing: &Q,
) -> u32 {
    let place = known.iter().position(|other| thing == other).unwrap_or_else(|| {
        known.push(thing.to_owned());
        known.len() - 1
    });
    u32::try_from(place).unwrap_or(u32::MAX)
}

/// `-8 %` as −0.08.
fn fraction(text: &str) -> Option<f64> {
    let number = text.trim().trim_end_matches('%').trim().replace('−', "-").replace(',', ".");
    number.parse::<f64>().ok().filter(|percent| percent.is_finite()).map(|percent| percent / 100.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What crews write for a taught draw, and what follows from it.
    #[test]
    fn a_taught_draw_names_its_mark() {
        let told = |done: &str| mark(done, Unit::Millilitre).map(|q| q.to_string());
        for (done, want) in [
            ("stopped at 31 mL", "31 mL"),
            ("Taught again, stopped at 31,5 ml; old setting lost", "31.5 mL"),
            ("taught at 1 fl oz (US)", "1 fl oz (US)"),
            ("stopped at 31", "31 mL"),
            ("at the machine: stopped at 28 g", "28 g"),
            ("31 mL", "31 mL"),
            ("31", "31 mL"),
            ("31, old setting lost", "31 mL"),
            ("stopped at 31 g, old setting lost", "31 g"),
            ("taught at 31 mL at 9:15", "31 mL"),
            ("taught at 31 mL at 9", "31 mL"),
            ("at 6 s, stopped at 31.", "31 mL"),
        ] {
            assert_eq!(told(done).as_deref(), Some(want), "{done}");
        }
        for done in ["taught again", "stopped at the mark", "at", "", "31 s", "stopped at 31 oz"] {
            assert_eq!(told(done), None, "{done}");
        }
    }
}
