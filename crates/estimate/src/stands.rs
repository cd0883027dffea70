//! *The line stands*: the statement that rests on a line's history, and its guards.
//!
//! It never stands in for *this catch shows*. Only a catch releases a line
//! after it was touched; history settles a rough reading only if that reading
//! agrees with it; and a line that no reading has shown by itself for four
//! weeks, or that only ever one measure was used on, is due a better catch.

use serde::{Deserialize, Serialize};

use crate::ahead::{Tails, Weekly, ahead};
use crate::history::History;
use crate::joint::{Behaviour, Joint, Level, Reading, Scored};
use crate::past::Happened;
use crate::shown::Told;

#[cfg(test)]
mod tests;

/// A reading farther than this from what was expected, in standard deviations, does not agree with the history.
pub const AGREES: f64 = 2.0;

/// A line that no reading alone has shown for so many weeks is due a better catch.
pub const SHOWN_ALONE: f64 = 4.0;

/// How many weeks ahead it is looked for when a line will be off: what wears is renewed before longer.
pub const LOOK_AHEAD: usize = 52;

/// Where a line stands by its history.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stands {
    /// The portion at the recipe's own draw, in the target's unit.
    pub portion: f64,
    /// Its standard uncertainty.
    pub standard_uncertainty: f64,
    /// Probability that it lies in tolerance now.
    pub probability_on_target: f64,
    /// The verdict at the group's risk, after the guards.
    pub verdict: Told,
    /// Chance of being off at the next round, a week later, if nobody touches it.
    pub off_next_round: f64,
    /// Weeks after which it will have been off with a chance of 10, 50 and 90 %; absent beyond a year.
    pub weeks_until_off: [Option<u32>; 3],
    /// How many readings it rests on.
    pub readings: u32,
    /// Change by the week, as a fraction, that its family shows.
    pub drift_per_week: f64,
    /// What all lines of its machine share by now, as a fraction.
    pub shared: f64,
    /// Why the verdict is no better, or what to do for it: the guards that hold, in words.
    pub guards: Vec<String>,
}

/// What the filter says of a line after each visit, for pictures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Followed {
    /// Weeks since 1970 UTC.
    pub at: f64,
    /// The level after the visit: natural logarithm of mL, g or as the target is.
    pub level: Level,
}

/// Each line of a machine by its history, in the order of [`History::lines`], and what the filter said after each visit.
#[derive(Debug, Clone)]
pub struct Machine {
    /// None for a line that was never read.
    pub lines: Vec<Option<Stands>>,
    /// What the filter said, line by line.
    pub followed: Vec<Vec<Followed>>,
    /// What was seen of each line lately.
    pub seen: Vec<Seen>,
    /// The filter after the last visit.
    pub joint: Joint,
}

/// What was seen of a line on the way.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Seen {
    /// How many readings.
    pub readings: u32,
    /// When it was last read, and what that reading was worth.
    pub latest: Option<(f64, Scored)>,
    /// Catches of that visit.
    pub catches: u32,
    /// Cleaned at that visit or since.
    pub cleaned: bool,
    /// When all lines of the machine last moved together.
    pub together: Option<f64>,
    /// When a reading alone last had a doubt that could decide.
    alone: Option<f64>,
    /// By number, those that it was read with.
    pub measures: Vec<u32>,
    /// Something was done to it after its last reading.
    pub touched: bool,
    /// Nothing, or less than half, came since.
    pub failed: bool,
}

impl Seen {
    fn read(&mut self, at: f64, reading: &Reading, scored: Scored, asked: Option<Asked>) {
        let same = self.latest.is_some_and(|(before, _)| before == at);
        self.catches = if same { self.catches + 1 } else { 1 };
        self.readings += 1;
        self.latest = Some((at, scored));
        if scored.together {
            self.together = Some(at);
        }
        let (measure, persistent) = reading.measure.unwrap_or((u32::MAX, 0.0));
        if !self.measures.contains(&measure) {
            self.measures.push(measure);
        }
        if asked.is_some_and(|asked| reading.doubt(persistent) < asked.tolerance / ALONE) {
            self.alone = Some(at);
        }
    }

    /// What was done after its last reading, or at the visit of it.
    fn look_back(&mut self, line: usize, history: &History) {
        let last = self.latest.map_or(f64::NEG_INFINITY, |(at, _)| at);
        let mut after = true;
        for visit in history.past.visits.iter().rev().take_while(|visit| visit.at >= last) {
            for what in visit.happened.iter().rev() {
                after &= !matches!(what, Happened::Read(reading) if reading.line == line);
                self.cleaned |= *what == Happened::Cleaned(line);
                if after {
                    self.touched |= what.touches(line);
                    self.failed |= *what == Happened::Failed(line);
                }
            }
        }
    }
}

/// What is asked of a line: its target's logarithm is the history's; this is how far off still serves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// As a fraction.
    pub tolerance: f64,
    /// The group's risk.
    pub risk: f64,
}

impl Asked {
    /// The logarithm of the least that serves, over the target.
    fn below(self) -> f64 {
        libm::log1p(-self.tolerance.clamp(0.0, 0.999))
    }

    /// The logarithm of the most that serves, over the target.
    fn above(self) -> f64 {
        libm::log1p(self.tolerance)
    }
}

/// Follows a machine's history and says where each line stands `now` (weeks since 1970 UTC).
///
/// `asked` has one entry per line; none for one that cannot be judged.
#[must_use]
pub fn follow(
    history: &History,
    behaviour: &Behaviour,
    tails: &Tails,
    asked: &[Option<Asked>],
    now: f64,
) -> Machine {
    let count = history.lines.len();
    let mut seen = vec![Seen::default(); count];
    let mut followed: Vec<Vec<Followed>> = vec![Vec::new(); count];
    let joint = history.past.run(behaviour, |joint, visit, reading, scored| {
        let asked = asked.get(reading.line).copied().flatten();
        seen[reading.line].read(visit.at, reading, scored, asked);
        let level = joint.level(reading.line);
        let told = Followed { at: visit.at, level };
        match followed[reading.line].last_mut() {
            Some(last) if last.at == visit.at => *last = told,
            _ => followed[reading.line].push(told),
        }
    });
    for (line, seen) in seen.iter_mut().enumerate() {
        seen.look_back(line, history);
    }
    let end = history.past.visits.last().map_or(now, |visit| visit.at);
    let since = (now - end).max(0.0);
    let levels: Vec<Level> =
        (0..count).map(|line| ahead(behaviour, joint.level(line), since, tails).calm).collect();
    let mut weekly: Option<(f64, Weekly)> = None;
    let lines = (0..count)
        .map(|line| {
            let (seen, asked) = (&seen[line], asked.get(line).copied().flatten()?);
            if seen.readings == 0 {
                return None;
            }
            let target = history.past.targets[line];
            // Most lines of a machine are asked the same.
            if weekly.as_ref().is_none_or(|(tolerance, _)| *tolerance != asked.tolerance) {
                let range = asked.above() - asked.below();
                weekly = Weekly::new(behaviour, range).map(|weekly| (asked.tolerance, weekly));
            }
            let weekly = weekly.as_ref().map(|(_, weekly)| weekly);
            let shared = joint.shared().mean;
            let stands = stand(behaviour, tails, levels[line], (target, asked), shared, weekly);
            Some(guard(stands, seen, asked, now))
        })
        .collect();
    Machine { lines, followed, seen, joint }
}

/// A reading alone can decide where its standard uncertainty is this many times smaller than the
/// tolerance: dead centre it is then on target with 95 % (1.96, JCGM 106).
const ALONE: f64 = 1.96;

fn stand(
    behaviour: &Behaviour,
    tails: &Tails,
    level: Level,
    (target, asked): (f64, Asked),
    shared: f64,
    weekly: Option<&Weekly>,
) -> Stands {
    let (low, high) = (target + asked.below(), target + asked.above());
    let portion = libm::exp(level.mean);
    let probability = level.chance_between(low, high);
    let inside = level.mean >= low && level.mean <= high;
    let verdict = if probability >= 1.0 - asked.risk {
        Told::OnTarget
    } else if probability <= asked.risk && !inside {
        Told::OffTarget
    } else {
        Told::Undecided
    };
    let first = weekly.map(|weekly| weekly.first_off(level, low, LOOK_AHEAD, 0.9));
    let week = |p: f64| match &first {
        Some(first) => first.week(p).and_then(|week| u32::try_from(week).ok()),
        // Without a tolerance nothing serves.
        None => Some(0),
    };
    Stands {
        portion,
        standard_uncertainty: portion * level.variance.max(0.0).sqrt(),
        probability_on_target: probability,
        verdict,
        off_next_round: ahead(behaviour, level, 1.0, tails).outside(low, high),
        weeks_until_off: [week(0.1), week(0.5), week(0.9)],
        readings: 0,
        drift_per_week: libm::expm1(behaviour.drift),
        shared: libm::expm1(shared),
        guards: Vec::new(),
    }
}

fn guard(mut stands: Stands, seen: &Seen, asked: Asked, now: f64) -> Stands {
    stands.readings = seen.readings;
    let mut hold = |words: String| {
        stands.verdict = Told::Undecided;
        stands.guards.push(words);
    };
    if seen.failed {
        hold(
            "nothing came at its last catch, or less than half: that is a fault and no level, so find the fault; \
             what is said here is of the catches before"
                .to_owned(),
        );
    }
    if seen.touched {
        hold("it was touched after its last reading: only a catch releases it".to_owned());
    }
    if let Some((_, scored)) = seen.latest
        && scored.surprise.abs() > AGREES
    {
        hold(format!(
            "its last reading does not agree with its history (it lies {} standard deviations from what was expected): catch it again",
            match scored.surprise.abs() {
                far if far < 10.0 => format!("{far:.1}"),
                _ => "more than 10".to_owned(),
            }
        ));
    }
    let one = seen.measures.len() == 1;
    let late = seen.alone.is_none_or(|at| now - at > SHOWN_ALONE);
    let gone = seen.latest.map_or(0.0, |(at, _)| now - at);
    if gone > SHOWN_ALONE {
        stands.guards.push(format!(
            "nobody caught it for {gone:.0} weeks: this is what it was then, and what wear and chance make of that"
        ));
    } else if late {
        stands.guards.push(match seen.alone {
            Some(at) => format!(
                "for {:.0} weeks no reading alone could show it: it is due a better catch",
                now - at
            ),
            None => format!(
                "no reading alone was ever good enough for ±{:.3} %: it is due a better catch",
                100.0 * asked.tolerance
            )
            .replace(".000 %", " %"),
        });
    } else if one && seen.readings > 4 {
        stands.guards.push(
            "only ever one measure was used on it, whose own error is in all its readings: it is due a catch with another"
                .to_owned(),
        );
    }
    stands
}
