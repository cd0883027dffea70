//! A round on one machine as a practice does it.

use super::facts::{Adjuster, Facts, Marks};
use super::machine::{Machine, TrueLine};
use super::people::Habit;
use super::reading::{Draw, Reading};

/// A way of doing the weekly round on one machine, from its first week to its last.
///
/// It is made from the [`Facts`] of its machine, and learns the rest from its visits. A missed round
/// is no visit: the next one has a later [`Visit::week`].
pub trait Practice {
    /// Does one round.
    fn round(&mut self, visit: &mut Visit<'_>);
}

/// What a technician is called for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Broken {
    /// What all lines of the machine share.
    Supply,
    /// One line, by its index.
    Line(usize),
}

/// One round: what can be seen and done at the machine.
///
/// Some people make their rounds up. Then [`Visit::catch`] gives what they wrote, everything that the
/// practice asks for is written down as done, and nothing is; a practice cannot tell, but by the
/// readings.
pub struct Visit<'m> {
    machine: &'m mut Machine,
}

impl<'m> Visit<'m> {
    pub(crate) fn new(machine: &'m mut Machine) -> Self {
        Self { machine }
    }

    /// Weeks since the start.
    #[must_use]
    pub fn week(&self) -> f64 {
        f64::from(self.machine.week)
    }

    /// What is known about the machine.
    #[must_use]
    pub fn facts(&self) -> &Facts {
        &self.machine.facts
    }

    /// Who does the round; nobody else at this machine has the same number, now or later.
    #[must_use]
    pub fn person(&self) -> usize {
        self.machine.person().number
    }

    /// Catches a line with its usual measure at the recipe's own draw, or what the person takes for it.
    pub fn catch(&mut self, line: usize) -> Reading {
        self.draw(line, self.machine.facts.lines[line].measure)
    }

    /// Catches a line on the scale; nothing where there is none.
    pub fn weigh(&mut self, line: usize) -> Option<Reading> {
        let scale = self.machine.facts.scale?;
        Some(self.draw(line, scale))
    }

    fn draw(&mut self, line: usize, measure: usize) -> Reading {
        let machine = &mut *self.machine;
        let nth = machine.lines[line].catches;
        machine.lines[line].catches += 1;
        machine.go_to_read(line, nth);
        if machine.made_up {
            let before = machine.lines[line].written_before;
            let Machine { facts, nature, reads, crew, on_duty, .. } = &mut *machine;
            let reading = crew[*on_duty].made_up((line, measure), before, facts, nature, reads);
            self.spend(self.machine.facts.minutes.claim);
            return self.written(reading, nth);
        }
        let (bias, habit, number) = {
            let person = machine.person();
            (person.bias, person.habit, person.number)
        };
        let level = machine.today(line);
        let now = &mut machine.lines[line];
        let known = &machine.facts.measures[measure];
        let weighed = matches!(known.marks, Marks::Weight(_));
        let rest = now.empty.take();
        let draw = Draw {
            line,
            measure,
            level: level + rest.map_or(0.0, |share| libm::log(share.max(1e-3))),
            spread: if now.split > 0.0 { machine.nature.split_spread } else { 1.0 },
            error: machine.errors[measure],
            density: if weighed { now.density } else { 1.0 },
            late: machine.late,
            bias,
            hurried: habit == Habit::Hurried,
            person: number,
        };
        // A draw takes half of the air along; a new container brings some.
        now.air = if rest.is_some() { NEW_CONTAINER_AIR } else { 0.5 * now.air };
        let (reading, poured) = draw.read(&machine.facts, &machine.nature, &mut machine.reads);
        machine.tally.catches += 1.0;
        let minutes = machine.facts.minutes;
        let container = if rest.is_some() { minutes.container } else { 0.0 };
        self.spend(container + if weighed { minutes.weigh } else { minutes.catch });
        self.pour(poured);
        self.written(reading, nth)
    }

    fn written(&mut self, reading: Reading, nth: u64) -> Reading {
        if nth == 0 {
            self.machine.lines[reading.line].written = Some(reading.seen);
        }
        reading
    }

    /// Adjusts a line by about `meant` (0.05 gives 5 % more), in the steps that its adjuster has.
    ///
    /// Gives the change that was asked of the adjuster, by what a step is thought to do; nothing where
    /// there is nothing to turn, `meant` is less than half a step, or the adjuster is at its end.
    pub fn adjust(&mut self, line: usize, meant: f64) -> Option<f64> {
        let meant = if meant.is_finite() { meant.clamp(-2.0, 2.0) } else { return None };
        let adjuster = self.machine.facts.lines[line].adjuster;
        let shown = self.machine.lines[line].shown;
        let asked = match adjuster {
            Adjuster::Screw { step, .. } | Adjuster::Notches { step } => stepped(meant, step),
            Adjuster::Panel { step, range } => {
                stepped(meant, step).clamp(range.0 - shown, range.1 - shown)
            }
            Adjuster::Taught | Adjuster::None => return None,
        };
        if asked == 0.0 || self.machine.lines[line].at_end(asked > 0.0) {
            return None;
        }
        let minutes = self.machine.facts.minutes.adjust;
        if self.begin_act(line, minutes) {
            self.count_adjustment(line);
            let wrong = self.machine.acts.happens(self.machine.nature.wrong_way);
            let turned = if wrong { -asked } else { asked };
            let now = &mut self.machine.lines[line];
            let up = turned > 0.0;
            let lost = if up == now.turned_up { 0.0 } else { now.slack.min(turned.abs()) };
            now.turn((turned.abs() - lost).copysign(turned) * now.response);
            now.turned_up = up;
            now.shown += turned;
        }
        Some(asked)
    }

    /// Teaches a draw: it is stopped where the line's usual measure stands at `at` (log over target;
    /// a cup with one mark has no other place than 0). The old setting is lost. False where the line
    /// is not taught.
    pub fn teach(&mut self, line: usize, at: f64) -> bool {
        let known = self.machine.facts.lines[line];
        if !matches!(known.adjuster, Adjuster::Taught) || !at.is_finite() {
            return false;
        }
        let minutes = self.machine.facts.minutes.teach;
        if self.begin_act(line, minutes) {
            self.count_adjustment(line);
            let measure = &self.machine.facts.measures[known.measure];
            let at = if matches!(measure.marks, Marks::One) { 0.0 } else { at };
            let error = self.machine.errors[known.measure] / known.target;
            let spread = self.machine.acts.normal(self.machine.nature.teach_spread);
            let level = at.clamp(-1.0, 1.0) + libm::log1p(-error) + spread;
            let today = self.machine.today(line);
            self.machine.lines[line].set += level - today;
            self.pour(known.target);
        }
        true
    }

    /// Cleans a line thoroughly, beyond the clean that every round has: takes crust away, and air.
    pub fn clean(&mut self, line: usize) {
        let minutes = self.machine.facts.minutes.clean;
        if self.begin_act(line, minutes) {
            let works = Machine::service(&self.machine.nature, &mut self.machine.acts);
            let stirred = self.machine.acts.normal(self.machine.nature.clean_spread);
            let now = &mut self.machine.lines[line];
            now.clog *= 1.0 - works;
            now.air = 0.0;
            now.walk += stirred;
            self.pour(3.0 * self.machine.facts.lines[line].target);
        }
    }

    /// Replaces a line's wear part: its loss by wear ends (the adjuster stays where it stands), and a
    /// split with it.
    pub fn replace(&mut self, line: usize) {
        let minutes = self.machine.facts.minutes.replace;
        if self.begin_act(line, minutes) {
            let machine = &mut *self.machine;
            let works = Machine::service(&machine.nature, &mut machine.acts);
            let stirred = machine.acts.normal(machine.nature.new_part_spread);
            let now = &mut machine.lines[line];
            now.parts += 1;
            machine.parts.go_to(((line as u64) << 20) + now.parts);
            let life = machine.parts.weibull(machine.nature.life_shape, machine.nature.life_weeks);
            now.wear *= 1.0 - works;
            now.split *= 1.0 - works;
            now.walk += stirred;
            now.part_age = 0.0;
            now.part_life = life;
            machine.tally.parts += 1.0;
            machine.tally.money.parts += machine.facts.prices.part;
            self.pour(4.0 * self.machine.facts.lines[line].target);
        }
    }

    /// Calls a technician, who comes before the next week, for the machine's supply or one line: what
    /// is broken is mended and a line set to its target, so far as the work succeeds. The same call
    /// twice in a round is one.
    pub fn call(&mut self, broken: Broken) {
        let what = match broken {
            Broken::Supply => None,
            Broken::Line(line) => Some(line),
        };
        if self.machine.called.contains(&what) {
            return;
        }
        self.machine.called.push(what);
        // A call is made from the desk, also by those who make their rounds up.
        self.spend(self.machine.facts.minutes.call);
        self.machine.tally.calls += 1.0;
        self.machine.tally.money.calls += self.machine.facts.prices.call;
    }

    /// How a line really stands. Only a practice that is called an oracle may ask.
    #[must_use]
    pub fn truth(&self, line: usize) -> TrueLine {
        let now = &self.machine.lines[line];
        TrueLine {
            level: self.machine.served(line),
            clogged: now.clog > 0.0,
            worn_out: now.worn_out(),
            split: now.split > 0.0,
            done: !self.machine.made_up,
        }
    }

    /// Minutes of the crew so far, all rounds together.
    #[must_use]
    pub fn minutes(&self) -> f64 {
        self.machine.tally.minutes
    }

    /// Begins an act; false if it is only written down.
    fn begin_act(&mut self, line: usize, minutes: f64) -> bool {
        if self.machine.made_up {
            self.spend(self.machine.facts.minutes.claim);
            return false;
        }
        let nth = self.machine.lines[line].acts;
        self.machine.lines[line].acts += 1;
        self.machine.go_to_act(line, nth);
        self.spend(minutes);
        true
    }

    fn count_adjustment(&mut self, line: usize) {
        let off = (libm::exp(self.machine.served(line)) - 1.0).abs();
        self.machine.tally.adjusted += 1.0;
        if off <= 0.5 * self.machine.facts.lines[line].tolerance {
            self.machine.tally.needless += 1.0;
        }
    }

    fn spend(&mut self, minutes: f64) {
        self.machine.tally.minutes += minutes;
        self.machine.tally.money.crew += minutes / 60.0 * self.machine.facts.prices.hour;
    }

    fn pour(&mut self, amount: f64) {
        self.machine.tally.poured += amount;
        self.machine.tally.money.poured += amount * self.machine.facts.prices.product;
    }
}

/// What the air that a new container brings takes away. Assumed.
const NEW_CONTAINER_AIR: f64 = 0.1;

fn stepped(meant: f64, step: f64) -> f64 {
    if step > 0.0 { (meant / step).round() * step } else { meant }
}
