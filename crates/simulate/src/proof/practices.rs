//! The common practices, and one that knows the truth.

use super::facts::{Adjuster, Facts, Marks};
use super::reading::{Reading, Seen};
use super::table::Entry;
use super::visit::{Broken, Practice, Visit};

/// What everybody knows to do, whatever else they believe in: replace parts when the family says so,
/// look into a line that gives nothing or less than half, call where nobody can set a line.
#[derive(Debug)]
struct Usual {
    part_weeks: f64,
    /// When each line's part is due.
    due: Vec<f64>,
    /// Rounds in a row in which a line that cannot be set was out of tolerance.
    off: Vec<u32>,
}

impl Usual {
    fn new(facts: &Facts) -> Self {
        let lines = facts.lines.len();
        Self {
            part_weeks: facts.part_weeks,
            due: vec![facts.part_weeks; lines],
            off: vec![0; lines],
        }
    }

    /// Replaces the line's part if that is due.
    fn parts(&mut self, visit: &mut Visit<'_>, line: usize) {
        if visit.week() >= self.due[line] {
            visit.replace(line);
            self.due[line] = visit.week() + self.part_weeks;
        }
    }

    /// Catches a line. If nothing comes, or less than half: again, then cleans and catches once more,
    /// then calls. What is read is the log of portion over target; nothing for a line that is broken.
    fn catch(visit: &mut Visit<'_>, line: usize) -> Option<Reading> {
        for attempt in 0..3 {
            if attempt == 2 {
                visit.clean(line);
            }
            let reading = visit.catch(line);
            if !reading.is_fault() {
                return Some(reading);
            }
        }
        visit.call(Broken::Line(line));
        None
    }

    /// Sets a line that reads `off`, as its adjuster allows. False if nothing was done. Where it cannot
    /// be set and is out of tolerance for two rounds, a technician is called.
    fn set_right(&mut self, visit: &mut Visit<'_>, line: usize, off: f64) -> bool {
        let known = visit.facts().lines[line];
        let done = match known.adjuster {
            Adjuster::Taught => visit.teach(line, 0.0),
            _ => visit.adjust(line, -off).is_some(),
        };
        let stuck = !done && off.abs() > known.tolerance;
        self.off[line] = if stuck { self.off[line] + 1 } else { 0 };
        if self.off[line] == 2 {
            self.off[line] = 0;
            visit.call(Broken::Line(line));
        }
        done
    }
}

/// Whether a reading is at the mark: within half a division, or a display's step.
fn at_the_mark(facts: &Facts, reading: &Reading, off: f64) -> bool {
    match (reading.seen, facts.measures[reading.measure].marks) {
        (Seen::Between(low, high), _) => low < 0.0 && high > 0.0,
        (_, Marks::Every(step) | Marks::Weight(step)) => {
            let amount = facts.lines[reading.line].target * facts.portions_at_once(reading.line);
            off.abs() <= 0.5 * step / amount
        }
        (_, Marks::One) => off == 0.0,
    }
}

/// One catch a week; where it misses the mark, adjust by the whole of it.
#[derive(Debug)]
pub struct EveryCatch(Usual);

impl EveryCatch {
    /// For one machine.
    #[must_use]
    pub fn new(facts: &Facts) -> Self {
        Self(Usual::new(facts))
    }
}

impl Practice for EveryCatch {
    fn round(&mut self, visit: &mut Visit<'_>) {
        for line in 0..visit.facts().lines.len() {
            self.0.parts(visit, line);
            let Some(reading) = Usual::catch(visit, line) else { continue };
            let off = reading.guess().unwrap_or(0.0);
            if !at_the_mark(visit.facts(), &reading, off) {
                self.0.set_right(visit, line, off);
            }
        }
    }
}

/// Catch, adjust by the whole of it, and catch again, until a catch is at the mark; at most five.
#[derive(Debug)]
pub struct UntilAtTheMark(Usual);

impl UntilAtTheMark {
    /// For one machine.
    #[must_use]
    pub fn new(facts: &Facts) -> Self {
        Self(Usual::new(facts))
    }
}

impl Practice for UntilAtTheMark {
    fn round(&mut self, visit: &mut Visit<'_>) {
        for line in 0..visit.facts().lines.len() {
            self.0.parts(visit, line);
            for _catch in 0..5 {
                let Some(reading) = Usual::catch(visit, line) else { break };
                let off = reading.guess().unwrap_or(0.0);
                if at_the_mark(visit.facts(), &reading, off) || !self.0.set_right(visit, line, off)
                {
                    break;
                }
            }
        }
    }
}

/// Three catches a week; where their mean misses the mark, adjust by the mean.
#[derive(Debug)]
pub struct MeanOfThree(Usual);

impl MeanOfThree {
    /// For one machine.
    #[must_use]
    pub fn new(facts: &Facts) -> Self {
        Self(Usual::new(facts))
    }
}

impl Practice for MeanOfThree {
    fn round(&mut self, visit: &mut Visit<'_>) {
        for line in 0..visit.facts().lines.len() {
            self.0.parts(visit, line);
            let Some(first) = Usual::catch(visit, line) else { continue };
            let mut sum = first.guess().unwrap_or(0.0);
            let mut count = 1.0;
            for _more in 0..2 {
                let reading = visit.catch(line);
                if let Some(log) = reading.guess().filter(|_| !reading.is_fault()) {
                    sum += log;
                    count += 1.0;
                }
            }
            let mean = sum / count;
            let missed = match first.seen {
                // Three times at, over or under: moved by what most of them say.
                Seen::Between(..) => mean.abs() > 0.03,
                _ => !at_the_mark(visit.facts(), &first, mean),
            };
            if missed {
                self.0.set_right(visit, line, mean);
            }
        }
    }
}

/// How a [`Smoothed`] practice smooths, and when it acts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Smoothing {
    /// Weight of the newest reading.
    pub lambda: f64,
    /// How far the smoothed reading may lie from the target untouched, as a share of the tolerance.
    pub band: f64,
}

impl Smoothing {
    /// What [`tune`](super::tune) chose: see there how.
    pub const TUNED: Self = Self { lambda: 0.6, band: 0.2 };
}

/// One catch a week, smoothed with those before (an exponentially weighted mean); where that leaves a
/// dead band, adjust by it, and begin anew.
#[derive(Debug)]
pub struct Smoothed {
    usual: Usual,
    smoothing: Smoothing,
    means: Vec<f64>,
}

impl Smoothed {
    /// For one machine.
    #[must_use]
    pub fn new(facts: &Facts, smoothing: Smoothing) -> Self {
        Self { usual: Usual::new(facts), smoothing, means: vec![0.0; facts.lines.len()] }
    }
}

impl Practice for Smoothed {
    fn round(&mut self, visit: &mut Visit<'_>) {
        let Smoothing { lambda, band } = self.smoothing;
        for line in 0..visit.facts().lines.len() {
            self.usual.parts(visit, line);
            let Some(reading) = Usual::catch(visit, line) else { continue };
            let off = reading.guess().unwrap_or(0.0);
            let mean = self.means[line] + lambda * (off - self.means[line]);
            let outside = mean.abs() > band * visit.facts().lines[line].tolerance;
            let set = outside && self.usual.set_right(visit, line, mean);
            self.means[line] = if set { 0.0 } else { mean };
        }
    }
}

/// Knows the truth and catches nothing: cleans what is clogged, replaces what is split or worn out,
/// adjusts by the true error, in no more minutes than one catch of every line takes.
#[derive(Debug, Default)]
pub struct Oracle {
    /// Minutes that it may still spend.
    minutes: f64,
}

impl Oracle {
    /// For one machine.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Whether there is time for something; then it counts as spent.
    fn afford(&mut self, minutes: f64) -> bool {
        let enough = minutes <= self.minutes;
        if enough {
            self.minutes -= minutes;
        }
        enough
    }

    /// Takes crust and splits away. False for a line that even then gives less than half: nobody turns
    /// a screw that far.
    fn mend(&mut self, visit: &mut Visit<'_>, line: usize) -> bool {
        let minutes = visit.facts().minutes;
        while visit.truth(line).clogged && self.afford(minutes.clean) {
            visit.clean(line);
        }
        if visit.truth(line).split && self.afford(minutes.replace) {
            visit.replace(line);
        }
        visit.truth(line).level > -std::f64::consts::LN_2
    }

    fn set_right(&mut self, visit: &mut Visit<'_>, line: usize) {
        let minutes = visit.facts().minutes;
        let known = visit.facts().lines[line];
        for _attempt in 0..3 {
            let off = visit.truth(line).level;
            let done = match known.adjuster {
                // Teaching has an error of its own.
                Adjuster::Taught => {
                    off.abs() > 0.4 * known.tolerance
                        && self.afford(minutes.teach)
                        && visit.teach(line, 0.0)
                }
                Adjuster::None => {
                    if off.abs() > known.tolerance && self.afford(minutes.call) {
                        visit.call(Broken::Line(line));
                    }
                    false
                }
                _ => {
                    off.abs() > 0.2 * known.tolerance
                        && self.afford(minutes.adjust)
                        && visit.adjust(line, -off).is_some()
                }
            };
            if !done {
                return;
            }
        }
    }
}

impl Practice for Oracle {
    fn round(&mut self, visit: &mut Visit<'_>) {
        let count = visit.facts().lines.len();
        if !(0..count).any(|line| visit.truth(line).done) {
            return;
        }
        self.minutes += count as f64 * visit.facts().minutes.catch;
        // The worst first.
        let mut lines: Vec<usize> = (0..count).collect();
        let off = |visit: &Visit<'_>, line: usize| {
            visit.truth(line).level.abs() / visit.facts().lines[line].tolerance
        };
        lines.sort_by(|a, b| off(visit, *b).total_cmp(&off(visit, *a)));
        for line in &lines {
            if self.mend(visit, *line) {
                self.set_right(visit, *line);
            } else if self.afford(visit.facts().minutes.call) {
                visit.call(Broken::Line(*line));
            }
        }
        for line in lines {
            if visit.truth(line).worn_out && self.afford(visit.facts().minutes.replace) {
                visit.replace(line);
                self.set_right(visit, line);
            }
        }
    }
}

/// The common practices and the oracle, from the crudest on.
#[must_use]
pub fn common() -> [Entry; 5] {
    [
        Entry::new("one catch", |facts| Box::new(EveryCatch::new(facts))),
        Entry::new("until at the mark", |facts| Box::new(UntilAtTheMark::new(facts))),
        Entry::new("mean of three", |facts| Box::new(MeanOfThree::new(facts))),
        Entry::new("smoothed", |facts| Box::new(Smoothed::new(facts, Smoothing::TUNED))),
        Entry::new("oracle", |_| Box::new(Oracle::new())),
    ]
}
