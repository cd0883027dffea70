//! Where a line stood all along, by all that was read before and after: for pictures.
//!
//! The joint filter tells where a line stands now; of a day in the past it only knew what came
//! before. Here the same model runs over a machine's whole past, and the word of all later readings
//! is carried back (fixed-interval smoothing by the recursion of de Jong 1989, which inverts no
//! matrix). Every measure and person has a state of its own, however many they are. Whether a shock
//! came is taken from the filter: a reading that rather had one than not is given it whole, so that
//! a picture shows a jump and not a slope.

use crate::joint::{Behaviour, Level, Matched, Reading};
use crate::past::{Happened, Past};

#[cfg(test)]
mod tests;

/// Where a line stood at one visit, without the effect of the day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stood {
    /// When, in the past's weeks.
    pub at: f64,
    /// As it was found.
    pub found: Level,
    /// As it was left.
    pub left: Level,
}

/// Where a line stood at each visit of its machine's past. Empty where the machine has no such line.
#[must_use]
pub fn course(past: &Past, behaviour: &Behaviour, line: usize) -> Vec<Stood> {
    if line >= past.targets.len() {
        return Vec::new();
    }
    let mut shocks = Vec::new();
    past.run(behaviour, |_, _, _, scored| shocks.push((scored.shocked > 0.5, scored.together)));
    let mut forward = Forward::new(past, behaviour, line);
    let mut shocks = shocks.into_iter();
    let mut before = past.visits.first().map_or(0.0, |visit| visit.at);
    for visit in &past.visits {
        forward.pass(visit.at - before);
        before = visit.at;
        let mut found = false;
        for block in
            visit.happened.chunk_by(|a, b| matches!((a, b), (Happened::Read(_), Happened::Read(_))))
        {
            let touches = block.iter().any(|what| what.touches(line));
            if touches && !found {
                forward.look();
                found = true;
            }
            forward.take(block, &mut shocks);
        }
        if !found {
            forward.look();
        }
        forward.look();
    }
    let looks = forward.back();
    past.visits
        .iter()
        .zip(looks.chunks_exact(2))
        .map(|(visit, two)| Stood { at: visit.at, found: two[0], left: two[1] })
        .collect()
}

/// What the way back needs of a step forward.
enum Step {
    /// A state was made independent of all that was before.
    Forgot(usize),
    /// A line was set to a mark, less these states.
    Taught(usize, [usize; 4]),
    /// These states were read together: their covariance with all, and what it moved and took away.
    Read { states: [usize; 5], gain: Vec<f64>, step: f64, pull: f64 },
    /// The level was looked at: its covariance with all states.
    Looked { level: Level, gain: Vec<f64> },
}

/// The filter on its way forward. States in order: own levels; walk; day; measures; people; and one that is always nothing,
/// for readings without measure or person.
struct Forward<'a> {
    behaviour: &'a Behaviour,
    line: usize,
    lines: usize,
    /// Numbers of measures and people, by their states.
    known: Vec<Option<Who>>,
    mean: Vec<f64>,
    covariance: Vec<Vec<f64>>,
    steps: Vec<Step>,
}

#[derive(Clone, Copy, PartialEq)]
enum Who {
    Measure(u32),
    Person(u32),
}

impl<'a> Forward<'a> {
    fn new(past: &Past, behaviour: &'a Behaviour, line: usize) -> Self {
        let lines = past.targets.len();
        let mut known: Vec<Option<Who>> = vec![None; lines + 2];
        let mut drawn = Vec::new();
        for what in past.visits.iter().flat_map(|visit| &visit.happened) {
            let (measure, person) = match what {
                Happened::Read(reading) => (reading.measure, reading.person),
                Happened::Taught(_, _, measure, person) => (*measure, *person),
                _ => continue,
            };
            let measure = measure.map(|(who, variance)| (Who::Measure(who), variance));
            let person = person.map(|who| (Who::Person(who), behaviour.person));
            for (who, variance) in measure.into_iter().chain(person) {
                if !known.contains(&Some(who)) {
                    known.push(Some(who));
                    drawn.push(variance);
                }
            }
        }
        let states = known.len() + 1;
        let mut forward = Self {
            behaviour,
            line,
            lines,
            known,
            mean: vec![0.0; states],
            covariance: vec![vec![0.0; states]; states],
            steps: Vec::new(),
        };
        for (line, target) in past.targets.iter().enumerate() {
            forward.renew(line, *target);
        }
        for (place, variance) in drawn.into_iter().enumerate() {
            forward.add(lines + 2 + place, variance);
        }
        forward
    }

    fn add(&mut self, state: usize, variance: f64) {
        self.covariance[state][state] += variance;
    }

    fn forget(&mut self, state: usize, mean: f64, variance: f64) {
        self.covariance[state].fill(0.0);
        for row in &mut self.covariance {
            row[state] = 0.0;
        }
        self.mean[state] = mean;
        self.add(state, variance);
        self.steps.push(Step::Forgot(state));
    }

    fn renew(&mut self, line: usize, target: f64) {
        self.forget(line, target + self.behaviour.new_part, self.behaviour.new_part_spread);
    }

    fn pass(&mut self, weeks: f64) {
        let weeks = weeks.max(0.0);
        for line in 0..self.lines {
            self.mean[line] += self.behaviour.drift * weeks;
            self.add(line, self.behaviour.walk * weeks);
        }
        self.add(self.lines, self.behaviour.machine_walk * weeks);
        self.forget(self.lines + 1, 0.0, self.behaviour.day);
    }

    fn state(&self, who: Option<Who>) -> usize {
        let place = who.and_then(|who| self.known.iter().position(|known| *known == Some(who)));
        place.unwrap_or(self.known.len())
    }

    /// The states that all lines share in what one measure and one person show on this day.
    fn shared(&self, measure: Option<(u32, f64)>, person: Option<u32>) -> [usize; 4] {
        let measure = self.state(measure.map(|(who, _)| Who::Measure(who)));
        [self.lines, self.lines + 1, measure, self.state(person.map(Who::Person))]
    }

    /// The covariance of a sum of states with all.
    fn gain(&self, states: &[usize]) -> Vec<f64> {
        let mut gain = vec![0.0; self.mean.len()];
        for state in states {
            gain.iter_mut().zip(&self.covariance[*state]).for_each(|(sum, other)| *sum += other);
        }
        gain
    }

    /// Takes in what was done, or all readings of a visit before anything is touched.
    fn take(&mut self, block: &[Happened], shocks: &mut impl Iterator<Item = (bool, bool)>) {
        let readings: Vec<(&Reading, (bool, bool))> = block
            .iter()
            .filter_map(|what| match what {
                Happened::Read(reading) if reading.line < self.lines => Some(reading),
                _ => None,
            })
            .map(|reading| (reading, shocks.next().unwrap_or_default()))
            .collect();
        if readings.iter().any(|(_, (_, together))| *together) {
            self.add(self.lines, self.behaviour.shared_shock);
        }
        for (reading, (shocked, _)) in readings {
            if shocked {
                self.add(reading.line, self.behaviour.shock);
            }
            self.read(reading);
        }
        for what in block {
            self.done(what);
        }
    }

    fn done(&mut self, what: &Happened) {
        let b = self.behaviour;
        let known = |line: &usize| *line < self.lines;
        match what {
            Happened::Adjusted(line, Some(meant)) if known(line) => {
                self.mean[*line] += b.response * meant;
                self.add(*line, b.response_spread * meant * meant + b.adjusting);
            }
            Happened::Adjusted(line, None) if known(line) => self.add(*line, b.new_part_spread),
            Happened::Cleaned(line) if known(line) => self.add(*line, b.cleaning),
            Happened::Renewed(line, target) if known(line) => self.renew(*line, *target),
            Happened::Taught(line, mark, measure, person) if known(line) => {
                self.taught(*line, *mark, self.shared(*measure, *person));
            }
            Happened::Swapped(targets) => {
                for (line, target) in targets.iter().enumerate().take(self.lines) {
                    self.renew(line, *target);
                }
                self.forget(self.lines, 0.0, 0.0);
                self.forget(self.lines + 1, 0.0, b.day);
            }
            _ => {}
        }
    }

    fn read(&mut self, reading: &Reading) {
        let [walk, day, measure, person] = self.shared(reading.measure, reading.person);
        let states = [reading.line, walk, day, measure, person];
        let gain = self.gain(&states);
        let sum = |of: &[f64]| states.iter().map(|state| of[*state]).sum::<f64>();
        let matched = Matched::of(reading.said, sum(&self.mean), sum(&gain));
        let (step, pull) = (matched.step(), matched.pull());
        for (state, row) in self.covariance.iter_mut().enumerate() {
            self.mean[state] += step * gain[state];
            row.iter_mut().zip(&gain).for_each(|(own, other)| *own -= pull * gain[state] * other);
        }
        self.steps.push(Step::Read { states, gain, step, pull });
    }

    fn taught(&mut self, line: usize, mark: f64, shared: [usize; 4]) {
        let gain = self.gain(&shared);
        let sum = |of: &[f64]| shared.iter().map(|state| of[*state]).sum::<f64>();
        let (mean, variance) = (mark - sum(&self.mean), sum(&gain) + self.behaviour.teaching);
        self.covariance[line].fill(0.0);
        for (state, row) in self.covariance.iter_mut().enumerate() {
            row[line] = -gain[state];
        }
        for (state, other) in gain.iter().enumerate() {
            self.covariance[line][state] = -other;
        }
        self.covariance[line][line] = variance;
        self.mean[line] = mean;
        self.steps.push(Step::Taught(line, shared));
    }

    fn look(&mut self) {
        let states = [self.line, self.lines];
        let gain = self.gain(&states);
        let sum = |of: &[f64]| states.iter().map(|state| of[*state]).sum::<f64>();
        let level = Level { mean: sum(&self.mean), variance: sum(&gain) };
        self.steps.push(Step::Looked { level, gain });
    }

    /// The way back: every look, by all readings.
    fn back(self) -> Vec<Level> {
        let states = self.mean.len();
        // What later readings say of the states: as a slope of their log-likelihood, and its bend.
        let (mut slope, mut bend) = (vec![0.0; states], vec![vec![0.0; states]; states]);
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
        let mut looks = Vec::new();
        for step in self.steps.into_iter().rev() {
            match step {
                Step::Looked { level, gain } => {
                    let bent: Vec<f64> = bend.iter().map(|row| dot(row, &gain)).collect();
                    looks.push(Level {
                        mean: level.mean + dot(&gain, &slope),
                        variance: (level.variance - dot(&gain, &bent)).max(0.0),
                    });
                }
                Step::Forgot(state) => release(&mut slope, &mut bend, state),
                Step::Taught(line, shared) => {
                    for state in shared {
                        slope[state] -= slope[line];
                        for row in &mut bend {
                            row[state] -= row[line];
                        }
                    }
                    for state in shared {
                        let of_line = bend[line].clone();
                        bend[state].iter_mut().zip(of_line).for_each(|(own, l)| *own -= l);
                    }
                    release(&mut slope, &mut bend, line);
                }
                Step::Read { states, gain, step, pull } => {
                    let bent: Vec<f64> = bend.iter().map(|row| dot(row, &gain)).collect();
                    let both = pull + pull * pull * dot(&gain, &bent);
                    let move_by = step - pull * dot(&gain, &slope);
                    for state in states {
                        slope[state] += move_by;
                        bend[state].iter_mut().zip(&bent).for_each(|(own, b)| *own -= pull * b);
                        for (row, b) in bend.iter_mut().zip(&bent) {
                            row[state] -= pull * b;
                        }
                        for other in states {
                            bend[state][other] += both;
                        }
                    }
                }
            }
        }
        looks.reverse();
        looks
    }
}

/// Later readings say nothing of what a state was before it was made independent.
fn release(slope: &mut [f64], bend: &mut [Vec<f64>], state: usize) {
    slope[state] = 0.0;
    bend[state].fill(0.0);
    for row in bend {
        row[state] = 0.0;
    }
}
