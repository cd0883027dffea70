//! Who does the rounds, and how some make readings up.

use crate::chance::Chance;

use super::facts::{DrawFacts, Facts, Marks};
use super::nature::Nature;
use super::reading::{Reading, Seen};

/// How a person does the records.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Habit {
    /// Catches, and writes what was read.
    Honest,
    /// Draws shorter, and reads to whole divisions.
    Hurried,
    /// Sometimes writes the same list of readings again.
    Copies,
    /// Sometimes writes last week's readings again.
    CarriesForward,
    /// Sometimes writes readings that are too near the target.
    TooNear,
    /// Sometimes writes numbers that look likely, in whole mL.
    Invents,
}

/// One person of a machine's crew.
#[derive(Debug, Clone)]
pub(crate) struct Person {
    pub(crate) number: usize,
    /// What their stopwatch shows beyond the true seconds.
    pub(crate) bias: f64,
    pub(crate) habit: Habit,
    /// The list that a person who copies writes every time.
    list: Vec<f64>,
}

impl Person {
    /// Somebody new.
    pub(crate) fn new(number: usize, lines: usize, nature: &Nature, chance: &mut Chance) -> Self {
        let bias = chance.normal(nature.person_bias);
        let kind = chance.between(0.0, 1.0);
        let made_up =
            *chance.pick(&[Habit::Copies, Habit::CarriesForward, Habit::TooNear, Habit::Invents]);
        let habit = if kind < nature.makers_up {
            made_up
        } else if kind < nature.makers_up + nature.hurried {
            Habit::Hurried
        } else {
            Habit::Honest
        };
        let list = if habit == Habit::Copies {
            (0..lines).map(|_| chance.normal(LIKELY)).collect()
        } else {
            Vec::new()
        };
        Self { number, bias, habit, list }
    }

    /// Whether this person makes readings up now and then.
    pub(crate) fn makes_up(&self) -> bool {
        !matches!(self.habit, Habit::Honest | Habit::Hurried)
    }

    /// A reading of a line that nobody drew. `before` is what was written of it last week.
    pub(crate) fn made_up(
        &self,
        (line, measure): (usize, usize),
        before: Option<Seen>,
        facts: &Facts,
        nature: &Nature,
        chance: &mut Chance,
    ) -> Reading {
        let known = &facts.lines[line];
        let class = &facts.measures[measure];
        let near = chance.normal(TOO_NEAR);
        let likely = chance.normal(LIKELY);
        let amount = |log: f64, step: f64| {
            let portion = known.target * facts.portions_at_once(line);
            let written = (portion * libm::exp(log) / step).round() * step;
            Seen::Amount(libm::log(written.max(step) / portion))
        };
        let seen = match (class.marks, self.habit) {
            (_, Habit::CarriesForward) if before.is_some() => before.unwrap_or(Seen::Nothing),
            (Marks::One, _) => Seen::beside_mark(0.0, nature.at_mark),
            (_, Habit::Copies) => amount(self.list[line], class.step()),
            (_, Habit::Invents) => amount(likely, 1.0),
            _ => amount(near, class.step()),
        };
        let seconds = match known.draw {
            DrawFacts::Seconds { recipe, .. } => Some(recipe),
            DrawFacts::Doses { .. } => None,
        };
        let hoped = known.target * facts.portions_at_once(line);
        Reading {
            line,
            seen,
            variance: facts.noise_variance(line, measure, seconds),
            measure,
            class_variance: class.class_variance(hoped),
            person: self.number,
            seconds,
        }
    }
}

/// Spread of readings that are too near the target. Assumed: well below what any cup can show.
pub(crate) const TOO_NEAR: f64 = 0.004;

/// Spread of readings that a person thinks likely. Assumed.
pub(crate) const LIKELY: f64 = 0.02;
