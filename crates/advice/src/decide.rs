//! From where a line stands to the one act.
//!
//! In this order: nothing that was read can be a level, so find the fault;
//! the reading is far from what was expected, so catch again; all lines of
//! the machine moved, so see to what they share and adjust none; one line
//! fell fast, so clean it first; its part is due; an act would lower the
//! chance of serving off target by more than it is worth, so adjust by minus
//! the *estimate*; otherwise leave it alone.
//!
//! An adjustment by the whole of one reading doubles the variance of a
//! healthy line (Deming's funnel, rule 2). The estimate moves by a part of
//! each reading only, and small estimates are left alone, because adjusting
//! has an error of its own.

use ouncewise_estimate::ahead::{Tails, ahead};
use ouncewise_estimate::joint::{Behaviour, Joint, Level};

#[cfg(test)]
mod tests;

/// How a line can be set, in changes of the natural logarithm of its portion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Means {
    /// By turning, in steps of so much; 0 is any amount.
    Steps(f64),
    /// By teaching its draw to a mark of its usual measure; true where the measure has other marks than the target's.
    Taught(bool),
    /// Not by the crew.
    None,
}

/// What is known of a line beside its estimate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Natural logarithm of the target.
    pub target: f64,
    /// How far off still serves, as a fraction.
    pub tolerance: f64,
    /// How it can be set.
    pub means: Means,
    /// Its usual measure, with the variance of that measure's error by its class.
    pub measure: Option<(u32, f64)>,
    /// Who would read it.
    pub person: Option<u32>,
    /// Weeks until its wear part should be replaced, by its family or by what parts have lasted.
    pub part_due: Option<f64>,
}

impl Line {
    /// The logarithms between which it serves.
    #[must_use]
    pub fn limits(&self) -> (f64, f64) {
        (
            self.target + libm::log1p(-self.tolerance.clamp(0.0, 0.999)),
            self.target + libm::log1p(self.tolerance),
        )
    }
}

/// What this visit showed of a line.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Visit {
    /// Nothing came, or less than half, twice.
    pub fault: bool,
    /// How far the reading was from what was expected, in standard deviations.
    pub surprise: f64,
    /// Posterior chance of a shock.
    pub shocked: f64,
    /// Catches of this visit so far.
    pub catches: u32,
    /// Whether it was cleaned at this visit beyond the round's own clean.
    pub cleaned: bool,
    /// Whether it stands off together with the machine's other lines, and none of them is to be set: see [`crate::shared`].
    pub shared: bool,
}

/// When to act.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Policy {
    /// By how much the chance of serving off target must fall for an adjustment to be worth its trouble.
    pub gain: f64,
    /// Over so many weeks, on average.
    pub weeks: u32,
    /// A reading farther than this from what was expected, in standard deviations, is caught again first.
    pub surprise: f64,
    /// A line whose chance of a shock downwards exceeds this is cleaned first.
    pub shocked: f64,
    /// A technician is called for a line that the crew cannot set where its chance of serving off target exceeds this.
    pub call: f64,
    /// How many weeks of drift to aim ahead of, half of it.
    pub ahead: f64,
}

impl Default for Policy {
    /// Chosen on virtual estates (seeds 2001 to 2003, 60 sites, all worlds together), so that it takes no more minutes
    /// than one catch a line and its adjustments do.
    fn default() -> Self {
        Self { gain: 0.02, weeks: 8, surprise: 3.5, shocked: 0.8, call: 0.4, ahead: 6.0 }
    }
}

/// The one act.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Act {
    /// Leave it alone.
    LeaveAlone,
    /// Catch it once more before anything else.
    CatchAgain,
    /// See to what all lines of the machine share; adjust none of them.
    SeeToShared,
    /// Change its flow by this much, natural logarithm.
    Adjust(f64),
    /// Teach it again, stopping where the measure shows this much over the target, natural logarithm.
    Teach(f64),
    /// Clean it thoroughly, then catch it.
    Clean,
    /// Replace its wear part, then catch it.
    Replace,
    /// Call a technician.
    Call,
}

/// The act, and what is expected of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Advised {
    /// The act.
    pub act: Act,
    /// Chance of serving off target over the coming weeks, on average, if it is left alone.
    pub off_if_left: f64,
    /// The same after the act, where that can be told.
    pub off_after: f64,
}

/// Chance that a line that stands so serves off target, on average over the coming weeks.
#[must_use]
pub fn chance_off(
    behaviour: &Behaviour,
    now: Level,
    line: &Line,
    policy: &Policy,
    tails: &Tails,
) -> f64 {
    let (low, high) = line.limits();
    let weeks = policy.weeks.max(1);
    let sum: f64 = (1..=weeks)
        .map(|week| ahead(behaviour, now, f64::from(week), tails).outside(low, high))
        .sum();
    sum / f64::from(weeks)
}

/// One line of a machine after the readings of a visit were taken in: all that an act is decided by.
#[derive(Debug, Clone, Copy)]
pub struct Case<'a> {
    /// Where the lines of its machine stand.
    pub joint: &'a Joint,
    /// How they behave.
    pub behaviour: &'a Behaviour,
    /// Which of them it is.
    pub index: usize,
    /// What is known of it beside that.
    pub line: &'a Line,
    /// What the visit showed of it.
    pub visit: &'a Visit,
    /// When to act.
    pub policy: &'a Policy,
    /// By how much forecasts are too narrow.
    pub tails: &'a Tails,
}

/// Advises on one line.
#[must_use]
pub fn advise(case: &Case<'_>) -> Advised {
    let advised = by_itself(case);
    // What moved with all the others is not to be set by itself; what stands well may stay.
    if case.visit.shared && !case.visit.fault && advised.act != Act::LeaveAlone {
        let off_after = advised.off_if_left;
        return Advised { act: Act::SeeToShared, off_after, ..advised };
    }
    advised
}

/// The act for a line that shares nothing with others.
fn by_itself(case: &Case<'_>) -> Advised {
    let Case { joint, behaviour, index, line, visit, policy, tails } = *case;
    let now = joint.level(index);
    let off = |level: Level| chance_off(behaviour, level, line, policy, tails);
    let off_if_left = off(now);
    let told = |act: Act, off_after: f64| Advised { act, off_if_left, off_after };
    if visit.fault {
        return told(if visit.cleaned { Act::Call } else { Act::Clean }, off_if_left);
    }
    if visit.surprise.abs() > policy.surprise && visit.catches < 2 {
        return told(Act::CatchAgain, off_if_left);
    }
    if line.part_due.is_some_and(|weeks| weeks <= 0.0) {
        return told(Act::Replace, off_if_left);
    }
    let fell = now.mean < line.target - line.tolerance;
    if visit.shocked > policy.shocked && fell && !visit.cleaned {
        return told(Act::Clean, off_if_left);
    }
    // Half of the coming drift ahead, where the tolerance leaves room for it.
    let room = 0.25 * line.tolerance;
    let lead = (-0.5 * behaviour.drift * policy.ahead).clamp(-room, room);
    let (act, then) = match line.means {
        Means::None => {
            let call = off_if_left > policy.call && visit.catches > 0;
            return told(if call { Act::Call } else { Act::LeaveAlone }, off_if_left);
        }
        Means::Steps(step) => {
            let wanted = (line.target + lead - now.mean) / behaviour.response.max(0.2);
            let by = if step > 0.0 { libm::round(wanted / step) * step } else { wanted };
            if by == 0.0 {
                return told(Act::LeaveAlone, off_if_left);
            }
            let mut then = joint.clone();
            then.adjust(behaviour, index, by);
            (Act::Adjust(by), then)
        }
        Means::Taught(any_mark) => {
            let error = line.measure.and_then(|(who, _)| joint.measure_error(who));
            // A measure that is known to read high is read high on purpose.
            let at = if any_mark { lead + error.map_or(0.0, |error| error.mean) } else { 0.0 };
            let mut then = joint.clone();
            then.teach(behaviour, index, line.target + at, line.measure, line.person);
            (Act::Teach(at), then)
        }
    };
    let off_after = off(then.level(index));
    if off_if_left - off_after > policy.gain {
        told(act, off_after)
    } else {
        told(Act::LeaveAlone, off_if_left)
    }
}
