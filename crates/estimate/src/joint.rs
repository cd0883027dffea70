//! Where the lines of one machine stand together: the joint filter.
//!
//! The natural logarithm of flow of line *i*, read on some day, is
//!
//! ```text
//! y = own level i + machine level + effect of the day + error of the measure + error of the person + noise
//! ```
//!
//! Own levels are random walks with the family's drift and, rarely, a shock;
//! the machine level is a slow walk that all its lines share; the effect of
//! the day is drawn anew at each visit; the errors of a measure and of a
//! person persist, so that repeating a catch never averages them away. All
//! this is normal but the shocks, so that the filter is Kalman's (1960) in
//! its sequential form: each reading is one scalar update of the mean and
//! covariance of all states. A shock is a mixture of two normals, put
//! together again by its first two moments after each reading (the
//! Gaussian sum of Alspach & Sorenson 1972, collapsed to one term). A
//! reading that says only *over*, *under* or *at* a mark is an interval: its
//! posterior is matched by the moments of the truncated normal.
//!
//! Levels are natural logarithms of mL, g or a ratio: 0.01 is one percent.
//! Time is in weeks. All functions are total: absurd inputs give absurd
//! numbers, never a panic.

use ouncewise_measure::special::normal_below;

use crate::lanes;

pub(crate) use matched::Matched;

mod matched;
#[cfg(test)]
pub(crate) mod tests;

/// How the lines of a family behave. Variances are of natural logarithms.
#[derive(Debug, Clone, PartialEq)]
pub struct Behaviour {
    /// Variance of a line's own walk, per week.
    pub walk: f64,
    /// Mean change of a line's own level, per week (wear makes it negative).
    pub drift: f64,
    /// Variance of the machine's slow walk, per week.
    pub machine_walk: f64,
    /// Variance of the effect of the day.
    pub day: f64,
    /// Variance of the persistent error of a person.
    pub person: f64,
    /// Chance of a shock, per line and week.
    pub shock_chance: f64,
    /// Variance of a shock.
    pub shock: f64,
    /// Chance of a shock that all lines of a machine share, per week: its supply, its cold.
    pub shared_chance: f64,
    /// Variance of such a shock.
    pub shared_shock: f64,
    /// Mean of the log of a new part's flow over the target.
    pub new_part: f64,
    /// Variance of the level that a new part, a new product or another machine brings.
    pub new_part_spread: f64,
    /// What a stated adjustment really does: its mean share of what was meant.
    pub response: f64,
    /// Variance of that share.
    pub response_spread: f64,
    /// Variance that any adjustment adds, however small: slack and a hand's aim.
    pub adjusting: f64,
    /// Variance that a clean adds.
    pub cleaning: f64,
    /// Variance of the level after teaching a draw, besides the errors of measure and person.
    pub teaching: f64,
}

impl Default for Behaviour {
    /// The stated priors of a family of which little is known. All are assumed: no published
    /// figures were found for such machines. They are wide where a fleet would tell more.
    fn default() -> Self {
        Self {
            walk: 0.006 * 0.006,
            drift: -0.001,
            machine_walk: 0.003 * 0.003,
            day: 0.008 * 0.008,
            person: 0.01 * 0.01,
            shock_chance: 0.01,
            shock: 0.15 * 0.15,
            shared_chance: 0.005,
            shared_shock: 0.08 * 0.08,
            new_part: 0.0,
            new_part_spread: 0.05 * 0.05,
            response: 1.0,
            response_spread: 0.15 * 0.15,
            adjusting: 0.01 * 0.01,
            cleaning: 0.004 * 0.004,
            teaching: 0.012 * 0.012,
        }
    }
}

impl Behaviour {
    /// Chance that a line had a shock in so many weeks.
    #[must_use]
    pub fn chance_of_shock(&self, weeks: f64) -> f64 {
        within(self.shock_chance, weeks)
    }

    /// Chance that all lines of a machine had one together in so many weeks.
    #[must_use]
    pub fn chance_of_shared_shock(&self, weeks: f64) -> f64 {
        within(self.shared_chance, weeks)
    }
}

/// Chance that something with this chance a week comes in so many weeks.
fn within(chance: f64, weeks: f64) -> f64 {
    let chance = chance.clamp(0.0, 1.0);
    match weeks {
        0.0 => 0.0,
        1.0 => chance,
        weeks => 1.0 - libm::pow(1.0 - chance, weeks),
    }
}

/// What a reading says of the log of flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Said {
    /// A value with the variance of its noise.
    Value(f64, f64),
    /// Somewhere between, with the variance of its noise: an end may be infinite.
    Between(f64, f64, f64),
}

/// One reading of one line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Index of the line.
    pub line: usize,
    /// What was read.
    pub said: Said,
    /// Which measure, and the variance of its persistent error by its class; none for one that has no such error.
    pub measure: Option<(u32, f64)>,
    /// Which person.
    pub person: Option<u32>,
}

impl Reading {
    /// Its own standard uncertainty, where the measure's persistent error has this variance. Of an
    /// interval it is that of a value evenly spread between its ends; infinite where one is open.
    #[must_use]
    pub fn doubt(&self, persistent: f64) -> f64 {
        let (width, noise) = match self.said {
            Said::Value(_, noise) => (0.0, noise),
            Said::Between(low, high, noise) => (high - low, noise),
        };
        (width * width / 12.0 + noise + persistent).sqrt()
    }
}

/// What one reading was worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scored {
    /// How far it was from what was expected, in standard deviations of what was expected
    /// without a shock; of an interval, that of its expected value.
    pub surprise: f64,
    /// That standard deviation.
    pub sd: f64,
    /// Posterior chance that the line had a shock since it was last read.
    pub shocked: f64,
    /// It was taken in with all lines of its machine moving together.
    pub together: bool,
    plain: f64,
    determinant: f64,
    odds: f64,
}

impl Scored {
    /// Natural logarithm of its predictive density (of an interval: of its probability).
    #[must_use]
    pub fn log_likelihood(&self) -> f64 {
        self.plain + libm::log(self.odds / self.determinant.sqrt())
    }
}

/// A mean and a variance of a level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// Mean, natural logarithm.
    pub mean: f64,
    /// Variance.
    pub variance: f64,
}

impl Level {
    /// Chance that the level lies between two others.
    #[must_use]
    pub fn chance_between(&self, low: f64, high: f64) -> f64 {
        let sd = self.variance.max(1e-300).sqrt();
        (normal_below((high - self.mean) / sd) - normal_below((low - self.mean) / sd)).max(0.0)
    }
}

/// Measures that are remembered at once; the one that was longest not used makes room, and starts
/// from its class again if it returns.
const MEASURES: usize = 2;
/// People that are remembered at once.
const PEOPLE: usize = 4;
/// Shared states besides them: the machine's walk and the day.
const SHARED: usize = 2;

/// The state of one machine's lines.
///
/// States in order: own levels; machine walk; day; measures; people.
#[derive(Debug, Clone)]
pub struct Joint {
    lines: usize,
    /// Length of a row, in numbers.
    width: usize,
    mean: Vec<f64>,
    /// Symmetric, all of it kept.
    covariance: Vec<f64>,
    /// Weeks in which a shock may have come unseen, per line, and to all of them.
    unseen: Vec<f64>,
    unseen_shared: f64,
    /// Weeks and the chance of a shock in them, as they were last asked for: most lines of a visit were last read together.
    chance: (f64, f64),
    slots: Slots,
    gain: Vec<f64>,
    /// Where the mean, covariance and unseen weeks of before a visit are kept while its readings are taken in.
    kept: Vec<f64>,
}

/// Which measures and people are remembered, and where.
#[derive(Debug, Clone, Copy)]
struct Slots {
    measures: [Option<u32>; MEASURES],
    people: [Option<u32>; PEOPLE],
    /// Slots of measures and of people by how lately they were used, latest last.
    used: [usize; MEASURES + PEOPLE],
}

impl Joint {
    /// A machine whose lines begin with new-part levels about their targets, given as logs.
    #[must_use]
    pub fn new(behaviour: &Behaviour, targets: &[f64]) -> Self {
        let lines = targets.len();
        let states = lines + SHARED + MEASURES + PEOPLE;
        let width = states.next_multiple_of(4);
        let mut joint = Self {
            lines,
            width,
            mean: vec![0.0; width],
            covariance: vec![0.0; width * width],
            unseen: vec![0.0; lines],
            unseen_shared: 0.0,
            chance: (0.0, 0.0),
            slots: Slots {
                measures: [None; MEASURES],
                people: [None; PEOPLE],
                used: std::array::from_fn(|slot| slot),
            },
            gain: vec![0.0; width],
            kept: Vec::new(),
        };
        for (line, target) in targets.iter().enumerate() {
            joint.renew(behaviour, line, *target);
        }
        joint
    }

    /// How many lines it has.
    #[must_use]
    pub fn lines(&self) -> usize {
        self.lines
    }

    fn at(&self, row: usize, column: usize) -> f64 {
        self.covariance[row * self.width + column]
    }

    fn walk_state(&self) -> usize {
        self.lines
    }

    fn day_state(&self) -> usize {
        self.lines + 1
    }

    fn add(&mut self, state: usize, variance: f64) {
        self.covariance[state * self.width + state] += variance;
    }

    /// Makes a state independent of all others, with this mean and variance.
    fn forget(&mut self, state: usize, mean: f64, variance: f64) {
        let width = self.width;
        self.covariance[state * width..(state + 1) * width].fill(0.0);
        for row in 0..width {
            self.covariance[row * width + state] = 0.0;
        }
        self.covariance[state * width + state] = variance;
        self.mean[state] = mean;
    }

    /// Lets weeks pass, and a new day begin.
    pub fn pass(&mut self, behaviour: &Behaviour, weeks: f64) {
        let weeks = weeks.max(0.0);
        for line in 0..self.lines {
            self.mean[line] += behaviour.drift * weeks;
            self.add(line, behaviour.walk * weeks);
            self.unseen[line] += weeks;
        }
        self.unseen_shared += weeks;
        self.add(self.walk_state(), behaviour.machine_walk * weeks);
        let day = self.day_state();
        self.forget(day, 0.0, behaviour.day);
    }

    /// Takes in all readings of a visit before anything is touched, and tells what each was worth.
    ///
    /// Where most of the lines lie far from what was expected, and on one side, the visit is tried
    /// with a shock to all of them as well; the better of the two is kept. Tells whether it was.
    pub fn read_together(
        &mut self,
        behaviour: &Behaviour,
        readings: &[Reading],
    ) -> (Vec<Scored>, bool) {
        // Of fewer lines nobody can say that all moved: what may have come unseen is still to be looked for.
        let weeks = match readings.len() {
            0..3 => 0.0,
            _ => std::mem::take(&mut self.unseen_shared),
        };
        let chance = behaviour.chance_of_shared_shock(weeks);
        let slots = self.slots;
        if chance > 0.0 {
            self.keep();
        }
        let scored = self.read_all(behaviour, readings);
        if chance <= 0.0 || !moved_together(&scored) {
            return (scored, false);
        }
        let mut other = self.clone();
        other.take_back(slots);
        other.add(other.walk_state(), behaviour.shared_shock);
        let mut otherwise = other.read_all(behaviour, readings);
        let sum = |scored: &[Scored]| scored.iter().map(Scored::log_likelihood).sum::<f64>();
        if sum(&otherwise) + libm::log(chance) > sum(&scored) + libm::log(1.0 - chance) {
            *self = other;
            otherwise.iter_mut().for_each(|scored| scored.together = true);
            return (otherwise, true);
        }
        (scored, false)
    }

    fn keep(&mut self) {
        self.kept.clear();
        for part in [&self.mean, &self.covariance, &self.unseen] {
            self.kept.extend_from_slice(part);
        }
    }

    /// Goes back to what was kept, and to the slots of then.
    fn take_back(&mut self, slots: Slots) {
        let mut kept = &self.kept[..];
        for part in [&mut self.mean, &mut self.covariance, &mut self.unseen] {
            let (this, rest) = kept.split_at(part.len());
            part.copy_from_slice(this);
            kept = rest;
        }
        self.slots = slots;
    }

    fn read_all(&mut self, behaviour: &Behaviour, readings: &[Reading]) -> Vec<Scored> {
        readings.iter().map(|reading| self.read(behaviour, reading)).collect()
    }

    /// Takes a reading in.
    pub fn read(&mut self, behaviour: &Behaviour, reading: &Reading) -> Scored {
        let measure = reading.measure.map(|(who, variance)| self.measure_slot(who, variance));
        let person = match reading.person {
            Some(who) if behaviour.person > 0.0 => Some(self.person_slot(who, behaviour.person)),
            _ => None,
        };
        let line = reading.line;
        let mut states = [line, self.walk_state(), self.day_state(), 0, 0];
        let mut count = 3;
        for state in [measure, person].into_iter().flatten() {
            states[count] = state;
            count += 1;
        }
        let states = &states[..count];
        lanes::gather(&mut self.gain, &self.covariance, states);
        let expected: f64 = states.iter().map(|state| self.mean[*state]).sum();
        let own: f64 = states.iter().map(|state| self.gain[*state]).sum();
        let plain = Matched::of(reading.said, expected, own);
        let weeks = std::mem::take(&mut self.unseen[line]);
        if self.chance.0 != weeks {
            self.chance = (weeks, behaviour.chance_of_shock(weeks));
        }
        let chance = self.chance.1;
        let mut scored = Scored {
            surprise: plain.shift / plain.expected.sqrt(),
            sd: plain.expected.sqrt(),
            shocked: 0.0,
            together: false,
            plain: plain.exponent,
            determinant: plain.determinant,
            odds: 1.0,
        };
        if chance > 0.0 && behaviour.shock > 0.0 {
            let shocked = Matched::of(reading.said, expected, own + behaviour.shock);
            let times = libm::exp((shocked.exponent - plain.exponent).min(600.0))
                * (plain.determinant / shocked.determinant).sqrt();
            scored.odds = 1.0 - chance + chance * times;
            scored.shocked = chance * times / scored.odds;
            self.update_mixed(line, plain, shocked, scored.shocked, behaviour.shock);
        } else {
            self.update(plain);
        }
        scored
    }

    /// m + g t; P − c g gᵀ.
    fn update(&mut self, matched: Matched) {
        let step = matched.step();
        for (mean, gain) in self.mean.iter_mut().zip(&self.gain) {
            *mean += gain * step;
        }
        self.shrink(matched.pull());
    }

    fn shrink(&mut self, pull: f64) {
        lanes::shrink(&mut self.covariance, &self.gain, pull);
    }

    /// The mixture of "no shock" and "a shock of this variance before the reading", by its first
    /// two moments. With g the gain without a shock and e the line's own direction, the gain with
    /// one is g + s e; all that follows is in the span of g and e.
    fn update_mixed(&mut self, line: usize, plain: Matched, shocked: Matched, weight: f64, s: f64) {
        let (rest, width) = (1.0 - weight, self.width);
        let (step, shocked_step) = (plain.step(), shocked.step());
        let apart = shocked_step - step;
        let spread = rest * weight;
        let along = rest * plain.pull() + weight * shocked.pull() - spread * apart * apart;
        let across = weight * shocked.pull() * s - spread * apart * shocked_step * s;
        let own = weight * s - weight * shocked.pull() * s * s
            + spread * (shocked_step * s) * (shocked_step * s);
        let mean_step = rest * step + weight * shocked_step;
        for (mean, gain) in self.mean.iter_mut().zip(&self.gain) {
            *mean += gain * mean_step;
        }
        self.mean[line] += weight * shocked_step * s;
        // g and e in one: c g gᵀ + d (g eᵀ + e gᵀ) = c (g + d/c e)(g + d/c e)ᵀ − d²/c e eᵀ.
        let turned = across / along;
        if turned.abs() < 1.0 {
            self.gain[line] += turned;
            self.shrink(along);
            self.covariance[line * width + line] += own + across * turned;
            return;
        }
        self.shrink(along);
        for state in 0..width {
            let share = across * self.gain[state];
            self.covariance[line * width + state] -= share;
            self.covariance[state * width + line] -= share;
        }
        self.covariance[line * width + line] += own;
    }

    fn measure_slot(&mut self, who: u32, variance: f64) -> usize {
        let first = self.lines + SHARED;
        let slot = self.slots.measures.iter().position(|m| *m == Some(who));
        let slot = slot.unwrap_or_else(|| {
            let slot = self.longest_unused(0..MEASURES);
            self.slots.measures[slot] = Some(who);
            self.forget(first + slot, 0.0, variance);
            slot
        });
        self.touch(slot);
        first + slot
    }

    fn person_slot(&mut self, who: u32, variance: f64) -> usize {
        let first = self.lines + SHARED + MEASURES;
        let slot = self.slots.people.iter().position(|p| *p == Some(who));
        let slot = slot.unwrap_or_else(|| {
            let slot = self.longest_unused(MEASURES..MEASURES + PEOPLE) - MEASURES;
            self.slots.people[slot] = Some(who);
            self.forget(first + slot, 0.0, variance);
            slot
        });
        self.touch(MEASURES + slot);
        first + slot
    }

    fn longest_unused(&self, slots: std::ops::Range<usize>) -> usize {
        self.slots.used.iter().copied().find(|slot| slots.contains(slot)).unwrap_or(slots.start)
    }

    fn touch(&mut self, slot: usize) {
        if let Some(at) = self.slots.used.iter().position(|other| *other == slot) {
            self.slots.used[at..].rotate_left(1);
        }
    }

    /// A line was adjusted by a stated amount: the log of the wanted ratio of flows.
    pub fn adjust(&mut self, behaviour: &Behaviour, line: usize, meant: f64) {
        self.mean[line] += behaviour.response * meant;
        self.add(line, behaviour.response_spread * meant * meant + behaviour.adjusting);
    }

    /// A line was adjusted, and nobody wrote by how much: it may stand anywhere about its target.
    pub fn adjust_unknown(&mut self, behaviour: &Behaviour, line: usize) {
        self.add(line, behaviour.new_part_spread);
    }

    /// A draw was taught until a measure showed a mark: the line now stands where the measure
    /// and the person who read it say, errors and all.
    pub fn teach(
        &mut self,
        behaviour: &Behaviour,
        line: usize,
        mark: f64,
        measure: Option<(u32, f64)>,
        person: Option<u32>,
    ) {
        let measure = measure.map(|(who, variance)| self.measure_slot(who, variance));
        let person = person
            .filter(|_| behaviour.person > 0.0)
            .map(|who| self.person_slot(who, behaviour.person));
        let width = self.width;
        let shared = [Some(self.walk_state()), Some(self.day_state()), measure, person]
            .map(|s| s.unwrap_or(width));
        self.gain.fill(0.0);
        let mut mean = mark;
        for state in shared.into_iter().filter(|state| *state < width) {
            mean -= self.mean[state];
            for other in 0..width {
                self.gain[other] -= self.at(state, other);
            }
        }
        let own: f64 =
            -shared.into_iter().filter(|state| *state < width).map(|s| self.gain[s]).sum::<f64>();
        self.forget(line, mean, own + behaviour.teaching);
        for state in (0..width).filter(|state| *state != line) {
            // What the line had to do with itself is gone with its old setting.
            let covariance = self.gain[state];
            self.covariance[line * width + state] = covariance;
            self.covariance[state * width + line] = covariance;
        }
        self.unseen[line] = 0.0;
    }

    /// Something was done to a line that may have moved it by as much as this variance says.
    pub fn disturb(&mut self, line: usize, variance: f64) {
        self.add(line, variance.max(0.0));
    }

    /// A line got a new part after so many weeks, its adjuster left where it stood: what wore away
    /// comes back, give or take what new parts differ.
    pub fn replace(&mut self, behaviour: &Behaviour, line: usize, weeks: f64) {
        self.mean[line] -= behaviour.drift * weeks.max(0.0);
        self.add(line, behaviour.new_part_spread);
        self.unseen[line] = 0.0;
    }

    /// A line was cleaned.
    pub fn clean(&mut self, behaviour: &Behaviour, line: usize) {
        self.add(line, behaviour.cleaning);
    }

    /// A line got a new part, another product or another machine: it starts anew about its target (a log).
    pub fn renew(&mut self, behaviour: &Behaviour, line: usize, target: f64) {
        self.forget(line, target + behaviour.new_part, behaviour.new_part_spread);
        self.unseen[line] = 0.0;
    }

    /// Another machine stands in this place: all starts anew, but the measures and people.
    pub fn swap(&mut self, behaviour: &Behaviour, targets: &[f64]) {
        for (line, target) in targets.iter().enumerate().take(self.lines) {
            self.renew(behaviour, line, *target);
        }
        let walk = self.walk_state();
        self.forget(walk, 0.0, 0.0);
        let day = self.day_state();
        self.forget(day, 0.0, behaviour.day);
    }

    /// Where a line stands: its own level and the machine's, without the effect of the day.
    #[must_use]
    pub fn level(&self, line: usize) -> Level {
        let walk = self.walk_state();
        Level {
            mean: self.mean[line] + self.mean[walk],
            variance: self.at(line, line) + 2.0 * self.at(line, walk) + self.at(walk, walk),
        }
    }

    /// What the machine's lines share beyond today.
    #[must_use]
    pub fn shared(&self) -> Level {
        let walk = self.walk_state();
        Level { mean: self.mean[walk], variance: self.at(walk, walk) }
    }

    /// The effect of the latest visit's day.
    #[must_use]
    pub fn today(&self) -> Level {
        let day = self.day_state();
        Level { mean: self.mean[day], variance: self.at(day, day) }
    }

    /// The persistent error of a measure, if it is remembered.
    #[must_use]
    pub fn measure_error(&self, who: u32) -> Option<Level> {
        let slot = self.slots.measures.iter().position(|m| *m == Some(who))?;
        let state = self.lines + SHARED + slot;
        Some(Level { mean: self.mean[state], variance: self.at(state, state) })
    }
}

/// Whether the first surprises of a visit are worth asking whether all lines had a shock: later ones
/// were told by the first.
fn moved_together(scored: &[Scored]) -> bool {
    let far = |sign: f64| scored.iter().filter(|s| sign * s.surprise > 1.0).count();
    let shocked = scored.iter().filter(|s| s.shocked > 0.2).count();
    scored.first().is_some_and(|first| first.surprise.abs() > 2.0)
        || 3 * shocked >= scored.len()
        || 2 * far(1.0).max(far(-1.0)) > scored.len()
}
