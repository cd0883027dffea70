//! What a line's own records answer already, so that nobody is asked for it.
//!
//! Each answer comes with its reason, and a person may take it out: who stands at the machine knows better. The thresholds are
//! common practice, no source. What records cannot tell for sure is left to be asked.

use ouncewise_estimate::joint::{Behaviour, Joint, Said, Scored};
use ouncewise_estimate::past::{Happened, Past};
use ouncewise_measure::special::{chi_squared_above, normal_below};

use super::noisy_or::Seen;

/// Keys of the signs that records may answer. A catalogue that has a sign by one of these keys must mean the same by it.
pub mod keys {
    /// The portion is low, and the same from catch to catch.
    pub const LOW: &str = "low-steady";
    /// The portion is high, and the same from catch to catch.
    pub const HIGH: &str = "high-steady";
    /// The portion got less from week to week.
    pub const DRIFTS: &str = "drifts-down";
    /// Catches differ from each other more than the measure explains.
    pub const SCATTERS: &str = "scatters";
    /// All lines of the machine are off the same way.
    pub const ALL: &str = "all-lines";
    /// Something comes, but less than half of what is asked.
    pub const HALF: &str = "under-half";
    /// Nothing comes at all.
    pub const NOTHING: &str = "nothing-comes";
    /// It began after a part was put in.
    pub const PART: &str = "since-part";
}

/// What a line's latest catch was, where it is no level: nothing came, or less than half.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Failed {
    /// When, in weeks, as the past counts them.
    pub at: f64,
    /// Whether nothing came at all.
    pub nothing: bool,
}

/// A line of a machine, and what its records say beside its machine's past.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Records<'a> {
    /// The machine's past.
    pub past: &'a Past,
    /// How its lines behave.
    pub behaviour: &'a Behaviour,
    /// For each line of the machine the logarithms between which it serves; none for one that cannot be judged or is out of use.
    pub limits: &'a [Option<(f64, f64)>],
    /// Which line.
    pub line: usize,
    /// Its latest catch, if that was a failure.
    pub failed: Option<Failed>,
    /// When a part of it was last replaced, in weeks.
    pub part: Option<f64>,
}

/// An answer that the records give.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Known {
    /// Key of the sign.
    pub sign: &'static str,
    /// Whether it is there.
    pub seen: Seen,
    /// Why.
    pub why: Why,
}

/// Why an answer is known. Times are weeks, amounts shares of the target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Why {
    /// Its latest catches lie this far off the target.
    Off {
        /// When.
        at: f64,
        /// How far.
        by: f64,
    },
    /// Its latest catches lie within tolerance.
    Right {
        /// When.
        at: f64,
    },
    /// The last catches of it agree.
    Agree(usize),
    /// The last catches of it differ more than measure and timer explain.
    Differ(usize),
    /// It changed from one catch to the next.
    AtOnce {
        /// The last catch before.
        after: f64,
        /// The first catch that showed it.
        before: f64,
    },
    /// It got less little by little.
    Slowly {
        /// Since when.
        since: f64,
        /// How much in all, adjustments taken out.
        by: f64,
        /// What adjusting put back meanwhile.
        put_back: f64,
    },
    /// So many lines of the machine are off the same way.
    Together(usize),
    /// This other line of the machine is not.
    Alone(usize),
    /// It was right before a part was replaced then, and never since.
    SincePart(f64),
    /// A part was replaced then, and it was right after that.
    RightAfterPart(f64),
    /// Nothing came.
    Nothing(f64),
    /// Something came, but less than half.
    UnderHalf(f64),
    /// More than half came.
    Something(f64),
}

/// Least probability with which a line is called low, high or right.
const SURE: f64 = 0.9;
/// The same for the other lines of its machine.
const LIKELY: f64 = 0.8;
/// A reading farther than this from what was expected, in standard deviations, does not agree with the history.
const AGREES: f64 = 2.0;
/// Farther than this it is taken for a sign of scatter, if others lie as far on the other side.
const FAR: f64 = 2.5;
/// Catches of one visit differ if luck alone explains as much with less probability than this.
const LUCK: f64 = 0.01;
/// The latest catches that are looked at for scatter.
const LATEST: usize = 6;
/// A sibling that was not caught for longer than this, in weeks, says nothing of today.
const LONG_AGO: f64 = 3.0;

/// One reading of a line with a value.
#[derive(Debug, Clone, Copy)]
struct Point {
    at: f64,
    value: f64,
    noise: f64,
    persistent: f64,
    scored: Scored,
    /// How often the line had begun anew, and had been set to an unknown level, before.
    anew: u32,
    unknown: u32,
    /// How often it had been set in any way.
    touched: u32,
    /// The sum of what it was adjusted by since it began anew.
    adjusted: f64,
}

/// A line's readings, and how often it was touched in all.
#[derive(Debug, Default)]
struct Line {
    points: Vec<Point>,
    anew: u32,
    unknown: u32,
    touched: u32,
    adjusted: f64,
}

impl Line {
    /// Not a clean: that moves a line little, and is done at each round.
    fn touch(&mut self, what: &Happened) {
        match what {
            Happened::Adjusted(_, Some(meant)) => self.adjusted += meant,
            Happened::Adjusted(_, None) | Happened::Taught(..) => self.unknown += 1,
            Happened::Renewed(..) | Happened::Swapped(_) => {
                (self.anew, self.adjusted) = (self.anew + 1, 0.0);
            }
            Happened::Read(_) | Happened::Failed(_) | Happened::Cleaned(_) => return,
        }
        self.touched += 1;
    }

    /// The latest readings that are judged together; none where it was set since.
    fn latest(&self) -> &[Point] {
        let Some(last) = self.points.last().filter(|last| last.touched == self.touched) else {
            return &[];
        };
        let same = |point: &&Point| point.at == last.at && point.touched == last.touched;
        let count = self.points.iter().rev().take_while(same).count();
        &self.points[self.points.len() - count..]
    }

    /// Its readings since it began anew.
    fn own(&self) -> &[Point] {
        let earlier = self.points.iter().take_while(|point| point.anew != self.anew).count();
        &self.points[earlier..]
    }
}

/// Probabilities that a level lies below, within and above limits.
#[derive(Debug, Clone, Copy)]
struct Lies {
    below: f64,
    within: f64,
    above: f64,
}

impl Lies {
    fn new(mean: f64, sd: f64, (low, high): (f64, f64)) -> Self {
        let below = normal_below((low - mean) / sd.max(1e-9));
        let above = normal_below((mean - high) / sd.max(1e-9));
        Self { below, within: (1.0 - below - above).max(0.0), above }
    }
}

/// All that the records answer, in the order in which people ask. Where the line was never read, or is not one of the
/// machine's, that is little or nothing.
#[must_use]
pub fn known(records: &Records<'_>) -> Vec<Known> {
    let Some((joint, lines)) = run(records) else { return Vec::new() };
    let Some(Some(limits)) = records.limits.get(records.line).copied() else { return Vec::new() };
    let line = &lines[records.line];
    let mut known = Vec::new();
    let mut add = |sign, yes, why| {
        known.push(Known { sign, seen: if yes { Seen::Yes } else { Seen::No }, why });
    };
    let latest = line.latest();
    let at = latest.last().map_or(0.0, |point| point.at);
    // After a failure the readings before it say nothing of today's portion.
    let lies =
        if records.failed.is_some() { None } else { now(&joint, records.line, latest, limits) };
    let scatters = scatter(line);
    let (low, high) =
        lies.map_or((false, false), |(lies, _)| (lies.below >= SURE, lies.above >= SURE));
    if let Some((lies, mean)) = lies {
        let target = records.past.targets.get(records.line).copied().unwrap_or(mean);
        let off = Why::Off { at, by: libm::expm1(mean - target) };
        let right = lies.within >= SURE;
        for (sign, is) in [(keys::LOW, low), (keys::HIGH, high)] {
            match scatters {
                Some((false, _)) if is => add(sign, true, off),
                Some((true, why)) if is => add(sign, false, why),
                _ if right => add(sign, false, Why::Right { at }),
                _ if (low || high) && !is => add(sign, false, off),
                _ => {}
            }
        }
    }
    if let Some((yes, why)) = scatters.filter(|_| records.failed.is_none()) {
        add(keys::SCATTERS, yes, why);
    }
    let off = low || high || records.failed.is_some();
    if let Some((yes, why)) = how(line, records.failed, limits, low || high) {
        add(keys::DRIFTS, yes, why);
    }
    if off {
        if let Some((yes, why)) = siblings(records, &joint, &lines, low, high) {
            add(keys::ALL, yes, why);
        }
        if let Some((yes, why)) = part(line, records.part, limits) {
            add(keys::PART, yes, why);
        }
    }
    match records.failed {
        Some(Failed { at, nothing }) => {
            let why = if nothing { Why::Nothing(at) } else { Why::UnderHalf(at) };
            add(keys::NOTHING, nothing, why);
            add(keys::HALF, !nothing, why);
        }
        // Less than half is no level, and among no readings.
        None if !latest.is_empty() => {
            add(keys::NOTHING, false, Why::Something(at));
            add(keys::HALF, false, Why::Something(at));
        }
        None => {}
    }
    known
}

/// Runs the filter, and sorts what it saw by lines.
fn run(records: &Records<'_>) -> Option<(Joint, Vec<Line>)> {
    let count = records.past.targets.len();
    if records.line >= count {
        return None;
    }
    let mut scored = Vec::new();
    let joint = records.past.run(records.behaviour, |_, _, _, score| scored.push(score));
    let mut scored = scored.into_iter();
    let mut lines: Vec<Line> = std::iter::repeat_with(Line::default).take(count).collect();
    for visit in &records.past.visits {
        for what in &visit.happened {
            let Happened::Read(reading) = what else {
                for (index, line) in lines.iter_mut().enumerate() {
                    if what.touches(index) {
                        line.touch(what);
                    }
                }
                continue;
            };
            let Some(line) = lines.get_mut(reading.line) else { continue };
            let scored = scored.next()?;
            // A mark alone has no value to put beside others.
            let Said::Value(value, noise) = reading.said else { continue };
            let persistent = reading.measure.map_or(0.0, |(_, variance)| variance);
            let Line { anew, unknown, touched, adjusted, .. } = *line;
            line.points.push(Point {
                at: visit.at,
                value,
                noise,
                persistent,
                scored,
                anew,
                unknown,
                touched,
                adjusted,
            });
        }
    }
    Some((joint, lines))
}

/// Where the line stands now, by its history where its latest readings agree with that, else by them alone; and its mean.
fn now(joint: &Joint, index: usize, latest: &[Point], limits: (f64, f64)) -> Option<(Lies, f64)> {
    let first = latest.first()?;
    if first.scored.surprise.abs() <= AGREES {
        let level = joint.level(index);
        return Some((Lies::new(level.mean, level.variance.max(0.0).sqrt(), limits), level.mean));
    }
    let count = latest.len() as f64;
    let mean = latest.iter().map(|point| point.value).sum::<f64>() / count;
    let noise = latest.iter().map(|point| point.noise).sum::<f64>() / (count * count);
    Some((Lies::new(mean, (noise + first.persistent).sqrt(), limits), mean))
}

/// Whether catches differ more than the measure explains: those of one visit among themselves, or the latest visits to and fro.
fn scatter(line: &Line) -> Option<(bool, Why)> {
    let latest = line.latest();
    if latest.len() > 1 {
        let mean = latest.iter().map(|point| point.value).sum::<f64>() / latest.len() as f64;
        let squares: f64 =
            latest.iter().map(|p| (p.value - mean).powi(2) / p.noise.max(1e-12)).sum();
        if chi_squared_above(squares, (latest.len() - 1) as f64) < LUCK {
            return Some((true, Why::Differ(latest.len())));
        }
    }
    let own = line.own();
    let last = &own[own.len().saturating_sub(LATEST)..];
    let far = |above: bool| {
        last.iter().any(|p| p.scored.surprise.abs() > FAR && (p.scored.surprise > 0.0) == above)
    };
    if far(true) && far(false) {
        return Some((true, Why::Differ(last.len())));
    }
    let agree = last.iter().rev().take_while(|point| point.scored.surprise.abs() <= AGREES).count();
    // The one before them is what they agree with, even if it had come as a surprise itself.
    if agree >= 2 && last.len() > 2 {
        return Some((false, Why::Agree(last.len().min(agree + 1))));
    }
    (latest.len() > 1).then_some((false, Why::Agree(latest.len())))
}

/// Whether the portion got less little by little, or changed at once.
fn how(line: &Line, failed: Option<Failed>, limits: (f64, f64), off: bool) -> Option<(bool, Why)> {
    let own = line.own();
    let last = own.last()?;
    let right = |point: &Point| point.value >= limits.0 && point.value <= limits.1;
    if let Some(failed) = failed {
        return right(last).then_some((false, Why::AtOnce { after: last.at, before: failed.at }));
    }
    // Between two settings of unknown effect: only there can readings be compared.
    let run: Vec<&Point> = own.iter().filter(|point| point.unknown == last.unknown).collect();
    let jumped = run.windows(2).rev().find(|pair| {
        let away = pair[1].scored.surprise * (pair[1].value - 0.5 * (limits.0 + limits.1));
        pair[1].scored.shocked > 0.5 && away > 0.0
    });
    if let (true, Some(pair)) = (off, jumped) {
        return Some((false, Why::AtOnce { after: pair[0].at, before: pair[1].at }));
    }
    if run.len() < 4 || jumped.is_some() {
        return None;
    }
    let (slope, sd) = slope(&run);
    let fell = slope * (last.at - run[0].at);
    let much = 0.25 * (limits.1 - limits.0);
    (fell < -much && slope < -FAR * sd).then(|| {
        let put_back = last.adjusted - run[0].adjusted;
        (
            true,
            Why::Slowly {
                since: run[0].at,
                by: -libm::expm1(fell),
                put_back: libm::expm1(put_back),
            },
        )
    })
}

/// The change by the week, adjustments taken out, by least squares; with its standard error from what is left.
fn slope(run: &[&Point]) -> (f64, f64) {
    let count = run.len() as f64;
    let own = |point: &Point| point.value - point.adjusted;
    let week = run.iter().map(|p| p.at).sum::<f64>() / count;
    let mean = run.iter().map(|p| own(p)).sum::<f64>() / count;
    let spread: f64 = run.iter().map(|p| (p.at - week).powi(2)).sum();
    if spread <= 0.0 {
        return (0.0, f64::INFINITY);
    }
    let slope = run.iter().map(|p| (p.at - week) * (own(p) - mean)).sum::<f64>() / spread;
    let left: f64 = run.iter().map(|p| (own(p) - mean - slope * (p.at - week)).powi(2)).sum();
    // No smoother than the readings themselves are.
    let noise = run.iter().map(|p| p.noise).sum::<f64>() / count;
    (slope, ((left / (count - 2.0)).max(noise) / spread).sqrt())
}

/// Whether the machine's other lines are off the same way.
fn siblings(
    records: &Records<'_>,
    joint: &Joint,
    lines: &[Line],
    low: bool,
    high: bool,
) -> Option<(bool, Why)> {
    let latest = |line: &Line| line.latest().last().map(|point| point.at);
    let today = records.failed.map(|failed| failed.at).or_else(|| latest(&lines[records.line]))?;
    let mut same = 0;
    let mut others = 0;
    for (index, line) in lines.iter().enumerate().filter(|(index, _)| *index != records.line) {
        let Some(Some(limits)) = records.limits.get(index).copied() else { continue };
        if latest(line).is_none_or(|at| today - at > LONG_AGO) {
            continue;
        }
        let Some((lies, _)) = now(joint, index, line.latest(), limits) else { continue };
        others += 1;
        let (together, apart) = match (low, high) {
            (true, _) => (lies.below, lies.within + lies.above),
            (_, true) => (lies.above, lies.within + lies.below),
            // After a failure it is enough that another line serves.
            _ => (0.0, lies.within),
        };
        if apart >= LIKELY {
            return Some((false, Why::Alone(index)));
        }
        same += usize::from(together >= LIKELY);
    }
    (same > 0 && same == others).then_some((true, Why::Together(same + 1)))
}

/// Whether it began when a part was put in.
fn part(line: &Line, part: Option<f64>, (low, high): (f64, f64)) -> Option<(bool, Why)> {
    let part = part?;
    let right = |point: &Point| point.value >= low && point.value <= high;
    let own = line.own();
    if own.iter().any(right) {
        return Some((false, Why::RightAfterPart(part)));
    }
    let before = &line.points[..line.points.len() - own.len()];
    // The part came between the two, give or take some hours of the same visit.
    let last = before.last().filter(|last| right(last) && last.at <= part + 0.05)?;
    own.first().is_none_or(|first| first.at >= last.at).then_some((true, Why::SincePart(part)))
}
