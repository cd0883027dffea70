//! What a crew sees when it catches a line.

use crate::chance::Chance;

use super::facts::{DrawFacts, Facts, Marks};
use super::nature::Nature;

/// A catch as it is written down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Index of the line.
    pub line: usize,
    /// What was read.
    pub seen: Seen,
    /// Variance of the noise of this one reading, relative, as its budget says: draw, thumb, eye and
    /// rounding. The persistent errors of measure and person are not in it.
    pub variance: f64,
    /// Index of the measure.
    pub measure: usize,
    /// Variance of that measure's persistent error on this amount, relative, by its class.
    pub class_variance: f64,
    /// Who caught it; nobody else at this machine has the same number, now or later.
    pub person: usize,
    /// Seconds that were shown, where it was drawn by time.
    pub seconds: Option<f64>,
}

/// What was read: the logarithm of portion over target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Seen {
    /// An amount.
    Amount(f64),
    /// At, over or under a mark: somewhere between these; either may be infinite.
    Between(f64, f64),
    /// Nothing came.
    Nothing,
}

impl Reading {
    /// What a person takes it to mean: the amount; at a mark none off, over or under it 6 % (assumed).
    /// Nothing where nothing came.
    #[must_use]
    pub fn guess(&self) -> Option<f64> {
        self.seen.guess()
    }

    /// Whether nothing came, or less than half: a fault, and no level.
    #[must_use]
    pub fn is_fault(&self) -> bool {
        self.guess().is_none_or(|log| log < -std::f64::consts::LN_2)
    }
}

/// One draw as it really is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Draw {
    pub(crate) line: usize,
    pub(crate) measure: usize,
    /// log(true portion / target) now, at the recipe's own draw.
    pub(crate) level: f64,
    /// How much wider than usual its draws spread.
    pub(crate) spread: f64,
    /// The measure's own error, mL of this product.
    pub(crate) error: f64,
    /// True density over the stated.
    pub(crate) density: f64,
    /// Seconds that pour nothing.
    pub(crate) late: f64,
    /// The person's timing error, seconds.
    pub(crate) bias: f64,
    /// Whether the person is in a hurry: draws shorter, and reads to whole divisions.
    pub(crate) hurried: bool,
    pub(crate) person: usize,
}

/// A draw is cut to this share of the recipe's seconds by people in a hurry. Assumed.
const SHORT: f64 = 0.6;

/// Less than this share of a portion is nothing to the eye. Assumed.
const NOTHING: f64 = 0.05;

impl Draw {
    /// Draws and reads. Gives also the mL that were really poured.
    pub(crate) fn read(
        &self,
        facts: &Facts,
        nature: &Nature,
        chance: &mut Chance,
    ) -> (Reading, f64) {
        let line = &facts.lines[self.line];
        let shape = nature.noise_shape;
        let portions = facts.portions_at_once(self.line);
        let noise = shape.draw(nature.draw_spread * self.spread, chance);
        // Drawn whether or not it is used, so that the same place in the stream means the same.
        let thumb = shape.draw(nature.thumb, chance) + self.bias;
        let eye = shape.draw(1.0, chance);
        // What portion of its recipe's amount is asked for, poured, and thought to be asked for.
        let (asked, flowed, shown, seconds) = match line.draw {
            DrawFacts::Doses { .. } => (portions, portions, portions, None),
            DrawFacts::Seconds { recipe, .. } => {
                let asked = if self.hurried { SHORT * recipe } else { recipe };
                let flowed = (asked - self.late).max(0.0) / (recipe - self.late);
                let shown = (10.0 * (asked + thumb)).round().max(5.0) / 10.0;
                (asked / recipe, flowed, shown / recipe, Some(shown))
            }
        };
        let poured = line.target * flowed * libm::exp(self.level + noise / portions.sqrt());
        let hoped = line.target * asked;
        let measure = &facts.measures[self.measure];
        let seen = match measure.marks {
            Marks::Every(division) => {
                let step = if self.hurried { division } else { measure.step() };
                rounded(poured + self.error + eye * nature.reading_share * division, step)
            }
            Marks::Weight(resolution) => rounded(poured * self.density + self.error, resolution),
            Marks::One => poured + self.error + eye * nature.at_mark / 3.0 * hoped,
        };
        let log = libm::log((seen / line.target).max(1e-9) / shown);
        let seen = if seen < NOTHING * hoped {
            Seen::Nothing
        } else if matches!(measure.marks, Marks::One) {
            Seen::beside_mark(log, nature.at_mark)
        } else {
            Seen::Amount(log)
        };
        let reading = Reading {
            line: self.line,
            seen,
            variance: facts.noise_variance(self.line, self.measure, seconds),
            measure: self.measure,
            class_variance: measure.class_variance(hoped),
            person: self.person,
            seconds,
        };
        (reading, poured)
    }
}

impl Seen {
    pub(crate) fn guess(self) -> Option<f64> {
        match self {
            Self::Amount(log) => Some(log),
            Self::Between(_, high) if high.is_infinite() => Some(0.06),
            Self::Between(low, _) if low.is_infinite() => Some(-0.06),
            Self::Between(low, high) => Some(0.5 * (low + high)),
            Self::Nothing => None,
        }
    }

    /// What a cup with one mark says of a level.
    pub(crate) fn beside_mark(log: f64, width: f64) -> Self {
        let (low, high) = (libm::log1p(-width), libm::log1p(width));
        if log > high {
            Self::Between(high, f64::INFINITY)
        } else if log < low {
            Self::Between(f64::NEG_INFINITY, low)
        } else {
            Self::Between(low, high)
        }
    }
}

fn rounded(amount: f64, step: f64) -> f64 {
    if step > 0.0 { (amount / step).round() * step } else { amount }
}
