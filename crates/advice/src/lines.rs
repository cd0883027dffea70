//! Each line of a machine by its history: what holds of it, the one act, and what to expect.
//!
//! Takes the standings that the catches of a machine's lines give, and its records, and says of each line what
//! its history makes of that. The two statements stay apart: what a catch shows is kept beside what the history says,
//! a line that was touched is released by a catch alone, and where the two contradict each other the one act is
//! another catch.

use std::collections::BTreeMap;

use ouncewise_estate::{Address, Estate};
use ouncewise_estimate::ahead::Tails;
use ouncewise_estimate::history::{self, History};
use ouncewise_estimate::joint::Behaviour;
use ouncewise_estimate::past::Happened;
use ouncewise_estimate::stands::{Asked, Machine, follow};
use ouncewise_estimate::{ActKind, Basis, ByHistory, LineRow, Says, Standing, Told};
use ouncewise_ledger::{Body, Record};
use ouncewise_measure::adjust::Direction;
use ouncewise_measure::{Adjuster, Marks, Measure, Setup, Vessel};

use crate::decide::{Act, Advised, Case, Line, Means, Policy, Visit, advise};

mod common;
mod words;

#[cfg(test)]
mod tests;

/// How families behave: fitted values that a record adopted; the stated priors for all others.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Behaviours(BTreeMap<String, Adopted>);

/// A family's adopted parameters.
#[derive(Debug, Clone, PartialEq)]
struct Adopted {
    behaviour: Behaviour,
    by: String,
}

impl Behaviours {
    /// Adopts a family's parameters from the record `by`.
    pub fn adopt(&mut self, family: &str, behaviour: Behaviour, by: &str) {
        self.0.insert(family.to_owned(), Adopted { behaviour, by: by.to_owned() });
    }

    /// How machines of a family behave, and where that is from.
    #[must_use]
    pub fn of(&self, family: &str) -> (Behaviour, String) {
        match self.0.get(family) {
            Some(adopted) => (adopted.behaviour.clone(), adopted.by.clone()),
            None => (Behaviour::default(), "stated priors".to_owned()),
        }
    }
}

/// Says of each line of a machine what its history makes of it. `rows` are what its catches say by themselves;
/// `happenings` are the machine's records in the order of events, each with the body that holds after corrections.
///
/// All is said as of the machine's last visit, so that the same records give the same answer on any day.
#[must_use]
pub fn by_history<'a>(
    estate: &Estate,
    behaviours: &Behaviours,
    (site, machine): (&str, &str),
    rows: Vec<LineRow>,
    happenings: impl IntoIterator<Item = (&'a Record, &'a Body)>,
) -> Vec<LineRow> {
    let happenings: Vec<(&Record, &Body)> = happenings.into_iter().collect();
    let put_in = put_in(&happenings);
    let Some(history) = history::read(estate, site, machine, happenings) else { return rows };
    let Some(known) = estate.machine(site, machine) else { return rows };
    let Some(now) = history.past.visits.last().map(|visit| visit.at) else { return rows };
    let (behaviour, parameters) = behaviours.of(&known.family);
    let setups: Vec<Option<Setup>> =
        history.addresses.iter().map(|address| setup(estate, &history, address)).collect();
    let asked: Vec<Option<Asked>> = setups
        .iter()
        .map(|setup| {
            let setup = setup.as_ref()?;
            Some(Asked { tolerance: setup.aim.tolerance, risk: setup.risk })
        })
        .collect();
    let tails = Tails::default();
    let followed = follow(&history, &behaviour, &tails, &asked, now);
    let common = common::moved(&history, &followed, &asked);
    let machine = OneMachine {
        estate,
        history,
        followed,
        setups,
        behaviour,
        parameters,
        tails,
        common,
        put_in,
        now,
    };
    rows.into_iter().map(|row| machine.row(row)).collect()
}

/// A line as it is read with its usual measure, or with any that it was caught with.
fn setup(estate: &Estate, history: &History, address: &Address) -> Option<Setup> {
    let measures = history.measures.iter().map(|key| Some(key.as_str()));
    std::iter::once(None).chain(measures).find_map(|measure| estate.setup(address, measure).ok())
}

struct OneMachine<'e> {
    estate: &'e Estate,
    history: History,
    followed: Machine,
    setups: Vec<Option<Setup>>,
    behaviour: Behaviour,
    parameters: String,
    tails: Tails,
    common: Option<common::Moved>,
    put_in: PutIn<'e>,
    now: f64,
}

/// When each part of each line was put in last, in weeks since 1970 UTC, where a record says so.
type PutIn<'e> = BTreeMap<(&'e str, &'e str), f64>;

fn put_in<'a>(happenings: &[(&'a Record, &'a Body)]) -> PutIn<'a> {
    let mut put_in = PutIn::new();
    for (record, body) in happenings {
        match (body, &record.subject.line, &record.subject.part) {
            (Body::PartReplaced { .. }, Some(line), Some(part)) => {
                if let Ok(at) = record.instant() {
                    put_in.insert((line, part), history::weeks(at));
                }
            }
            // What another machine has in it nobody knows.
            (Body::MachineSwapped { .. }, ..) => put_in.clear(),
            _ => {}
        }
    }
    put_in
}

impl OneMachine<'_> {
    fn row(&self, row: LineRow) -> LineRow {
        let Some(index) = self.history.lines.iter().position(|line| line.as_str() == row.line)
        else {
            return row;
        };
        let (Some(stands), Some(setup)) = (&self.followed.lines[index], &self.setups[index]) else {
            return row;
        };
        let mut standing = row.standing;
        let policy = Policy { gain: 0.4 * setup.risk, ..Policy::default() };
        let advised = self.advised(index, setup, &policy);
        let about = words::About {
            stands,
            setup: &self.adjusting(index, setup),
            advised: &advised,
            seen: &self.followed.seen[index],
            weeks: policy.weeks,
            share: self.share(index),
            part: self.part_due(index).map(|(name, _)| name),
            read: standing.latest.as_ref().and_then(|latest| latest.shown.as_ref()?.deviation()),
        };
        let says = says(&standing, &about);
        let governs = says.as_ref().is_none_or(|says| says.act == about.kind());
        let off_after = match advised.act {
            Act::Adjust(_) | Act::Teach(_) if governs => Some(advised.off_after),
            _ => None,
        };
        let by_history = ByHistory {
            stands: stands.clone(),
            off_if_left: advised.off_if_left,
            off_after,
            weeks: policy.weeks,
            change: match advised.act {
                Act::Adjust(by) if governs => Some(libm::expm1(by)),
                _ => None,
            },
            parameters: self.parameters.clone(),
        };
        standing.follow(by_history, says);
        LineRow::new(standing)
    }

    fn advised(&self, index: usize, setup: &Setup, policy: &Policy) -> Advised {
        let seen = &self.followed.seen[index];
        let latest = seen.latest.map(|(_, scored)| scored);
        let visit = Visit {
            fault: false,
            surprise: latest
                .map_or(0.0, |scored| if scored.together { 0.0 } else { scored.surprise }),
            shocked: latest.map_or(0.0, |scored| scored.shocked),
            catches: seen.catches,
            cleaned: seen.cleaned,
            shared: self.share(index).is_some_and(|share| share.moved.adjust_none),
        };
        let line = Line {
            target: self.history.past.targets[index],
            tolerance: setup.aim.tolerance,
            means: means(setup),
            measure: self.usual(index),
            person: None,
            part_due: self.part_due(index).map(|(_, weeks)| weeks),
        };
        let (joint, behaviour) = (&self.followed.joint, &self.behaviour);
        let (line, visit, tails) = (&line, &visit, &self.tails);
        advise(&Case { joint, behaviour, index, line, visit, policy, tails })
    }

    /// The measure that it was read with last, with the variance of its error.
    fn usual(&self, index: usize) -> Option<(u32, f64)> {
        self.history
            .past
            .visits
            .iter()
            .rev()
            .flat_map(|visit| visit.happened.iter().rev())
            .find_map(|what| match what {
                Happened::Read(reading) if reading.line == index => reading.measure,
                _ => None,
            })
    }

    /// The wear part that is due first, and weeks until then: where a life is stated and a record says when it was put in.
    fn part_due(&self, index: usize) -> Option<(&str, f64)> {
        let address = &self.history.addresses[index];
        let family = self.estate.family_of(&address.site, &address.machine)?;
        let due = family.parts.iter().filter_map(|(key, part)| {
            let put_in = self.put_in.get(&(address.line.as_str(), key.as_str()))?;
            Some((part.name.as_str(), put_in + part.life?.days() / 7.0 - self.now))
        });
        due.min_by(|(_, a), (_, b)| a.total_cmp(b))
    }

    /// The setup with the direction in which its adjuster was last moved.
    fn adjusting(&self, index: usize, setup: &Setup) -> Setup {
        let latest_first = self.history.past.visits.iter().rev();
        let last_adjusted = latest_first
            .flat_map(|visit| visit.happened.iter().rev())
            .find_map(|what| match what {
                Happened::Adjusted(line, Some(meant)) if *line == index && *meant != 0.0 => {
                    Some(Some(if *meant > 0.0 { Direction::More } else { Direction::Less }))
                }
                Happened::Adjusted(line, None) | Happened::Renewed(line, _) if *line == index => {
                    Some(None)
                }
                Happened::Swapped(_) => Some(None),
                _ => None,
            })
            .flatten();
        Setup { last_adjusted, ..setup.clone() }
    }

    fn share(&self, index: usize) -> Option<words::Share<'_>> {
        let moved = self.common.as_ref().filter(|moved| moved.together.lines.contains(&index))?;
        Some(words::Share {
            moved,
            of: self.history.lines.len(),
            measure: moved.measure.and_then(|measure| self.history.measures.get(measure as usize)),
        })
    }
}

/// How a line can be set, as the policy takes it.
fn means(setup: &Setup) -> Means {
    let relative = |step: f64| {
        let of = setup.setting.filter(|setting| *setting > 0.0).unwrap_or(100.0);
        Means::Steps(libm::log1p((step / of).abs()))
    };
    match &setup.adjuster {
        // Nobody turns an unmarked screw more finely than an eighth by eye.
        Adjuster::Screw { per_turn: Some(per_turn), .. } => {
            Means::Steps(libm::log1p(per_turn.abs() / 8.0))
        }
        Adjuster::Screw { per_turn: None, .. } => Means::Steps(0.0),
        Adjuster::Notches { per_notch, .. } => Means::Steps(libm::log1p(per_notch.abs())),
        Adjuster::Number { step, .. } | Adjuster::Percent { step, .. } => relative(*step),
        Adjuster::Taught => Means::Taught(matches!(
            &setup.measure,
            Measure::Vessel(Vessel { marks: Marks::Every(_), .. })
        )),
        Adjuster::None => Means::None,
    }
}

/// What holds, where the history decides it; none where the catches alone do.
fn says(standing: &Standing, about: &words::About<'_>) -> Option<Says> {
    let by_itself = [ActKind::FindFault, ActKind::SeeToWater, ActKind::Describe];
    let stands = about.stands;
    let catch = standing.verdict?;
    if by_itself.contains(&standing.act) || about.seen.touched || about.seen.failed {
        return None;
    }
    let contrary = about.seen.readings > 1
        && matches!(
            (catch, stands.verdict),
            (Told::OnTarget, Told::OffTarget) | (Told::OffTarget, Told::OnTarget)
        );
    if contrary {
        return Some(Says {
            basis: Basis::History,
            verdict: Some(Told::Undecided),
            probability_on_target: Some(stands.probability_on_target),
            act: ActKind::CatchAgain,
            advice: about.again(),
            reason: about.contrary(catch),
        });
    }
    let kind = about.kind();
    // One reading is no history: the catch says all there is, but for what it shares with those of other lines.
    if about.seen.readings < 2 && (about.share.is_none() || kind == ActKind::LeaveAlone) {
        return None;
    }
    // A catch that is sure by itself stays sure, unless the history has something to do about it.
    let catch_decides = stands.verdict == Told::Undecided && catch != Told::Undecided;
    if catch_decides && kind == ActKind::LeaveAlone {
        return None;
    }
    let (basis, verdict, probability_on_target) = if catch_decides {
        (Basis::Catch, catch, standing.probability_on_target)
    } else {
        (Basis::History, stands.verdict, Some(stands.probability_on_target))
    };
    Some(Says {
        basis,
        verdict: Some(verdict),
        probability_on_target,
        act: kind,
        advice: about.advice(),
        reason: about.reason(),
    })
}
