//! What the weeks ahead will bring: how a line will stand, and when it will first be off.
//!
//! The forecast of a level is normal, and with a shock a mixture of two
//! normals; its tails are widened by a factor that a hold-out gave
//! ([`Tails`]). When a line is first found off, at rounds a week apart, is
//! computed by carrying the level's distribution from week to week on a grid
//! from which all that lies outside tolerance is taken away: no path is
//! simulated, so that the answer has no luck in it.

use ouncewise_measure::special::{normal_below, normal_quantile};

use crate::joint::{Behaviour, Level};
use crate::lanes;

#[cfg(test)]
mod tests;

/// By how much the spread of forecasts must be widened to cover what they should, by horizon.
///
/// Found on one part of the past and scored on another; 1 where nothing was found yet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tails {
    /// For the next round.
    pub near: f64,
    /// For a quarter of a year ahead and beyond; between, in proportion to the logarithm of time.
    pub far: f64,
}

impl Default for Tails {
    fn default() -> Self {
        Self { near: 1.0, far: 1.0 }
    }
}

impl Tails {
    /// The factor for so many weeks ahead.
    #[must_use]
    pub fn at(&self, weeks: f64) -> f64 {
        let share = libm::log(weeks.clamp(1.0, 13.0)) / libm::log(13.0);
        self.near + share * (self.far - self.near)
    }
}

/// A level so many weeks ahead, or a reading of it: one normal, and another with a shock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ahead {
    /// Without a shock.
    pub calm: Level,
    /// With one.
    pub shocked: Level,
    /// Chance of one.
    pub chance: f64,
}

impl Ahead {
    fn parts(&self) -> [(f64, Level); 2] {
        [(1.0 - self.chance, self.calm), (self.chance, self.shocked)]
    }

    /// Chance of lying below a level.
    #[must_use]
    pub fn below(&self, level: f64) -> f64 {
        let below = |l: Level| normal_below((level - l.mean) / l.variance.max(1e-300).sqrt());
        self.parts().iter().map(|(weight, part)| weight * below(*part)).sum()
    }

    /// Chance of lying outside two levels.
    #[must_use]
    pub fn outside(&self, low: f64, high: f64) -> f64 {
        (1.0 - self.below(high) + self.below(low)).clamp(0.0, 1.0)
    }

    /// The level that a share `p` lies below.
    #[must_use]
    pub fn quantile(&self, p: f64) -> f64 {
        let ends = self.parts().map(|(_, l)| {
            let z = normal_quantile(p.clamp(1e-12, 1.0 - 1e-12));
            l.mean + z * l.variance.max(0.0).sqrt()
        });
        let (mut low, mut high) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.below(middle) < p { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    }
}

/// How a line that stands so will stand so many weeks later, if nobody touches it.
#[must_use]
pub fn ahead(behaviour: &Behaviour, now: Level, weeks: f64, tails: &Tails) -> Ahead {
    let weeks = weeks.max(0.0);
    let wider = tails.at(weeks) * tails.at(weeks);
    let calm = Level {
        mean: now.mean + behaviour.drift * weeks,
        variance: wider * (now.variance + (behaviour.walk + behaviour.machine_walk) * weeks),
    };
    let shocked = Level { variance: calm.variance + behaviour.shock, ..calm };
    Ahead { calm, shocked, chance: behaviour.chance_of_shock(weeks) }
}

/// When a line will first be off.
#[derive(Debug, Clone, PartialEq)]
pub struct FirstOff {
    /// Chance of having been off at any round up to the one of each week, from this one (index 0).
    pub by_week: Vec<f64>,
}

impl FirstOff {
    /// The first week by which the chance has reached `p`; none within the weeks that were looked at.
    #[must_use]
    pub fn week(&self, p: f64) -> Option<usize> {
        self.by_week.iter().position(|chance| *chance >= p)
    }
}

/// The most and the fewest cells across the tolerance: of a level that walks slowly, a cell must be as narrow as its step.
const CELLS: (usize, usize) = (32, 160);

/// Cells to one standard deviation of a week's walk, where that lies between the two.
const CELLS_A_STEP: f64 = 3.0;

/// How a level moves from week to week within a tolerance, for all lines of which the same is asked.
#[derive(Debug, Clone)]
pub struct Weekly {
    cells: usize,
    width: f64,
    /// The share of a cell that is found so many cells above the lowest one that can be reached, a week later.
    step: Vec<f32>,
}

impl Weekly {
    /// Between two levels so far apart; none where they are not.
    #[must_use]
    pub fn new(behaviour: &Behaviour, range: f64) -> Option<Self> {
        if range.is_nan() || range <= 0.0 {
            return None;
        }
        let walk = behaviour.walk + behaviour.machine_walk;
        let cells = (CELLS_A_STEP * range / walk.max(0.0).sqrt()).ceil();
        let cells = cells.clamp(CELLS.0 as f64, CELLS.1 as f64) as usize;
        Some(Self::of(cells, behaviour, range))
    }

    /// With so many cells.
    fn of(cells: usize, behaviour: &Behaviour, range: f64) -> Self {
        let width = range / cells as f64;
        let walk = behaviour.walk + behaviour.machine_walk;
        // From the middle of a cell to one so many cells up. That all in a cell is then put in its middle is a spread of its
        // own (Sheppard's correction takes it off), and a drift of less than a cell needs some.
        let spread = (walk - width * width / 12.0).max(0.25 * width * width);
        let chance = behaviour.chance_of_shock(1.0);
        let reach = cells - 1;
        let steps = |variance: f64| {
            let lowest = -(reach as f64 + 0.5) * width;
            between_edges(2 * reach + 1, lowest, width, behaviour.drift, variance)
        };
        let mut step = steps(spread);
        if chance > 0.0 {
            for (calm, shocked) in step.iter_mut().zip(steps(spread + behaviour.shock)) {
                *calm += chance * (shocked - *calm);
            }
        }
        // Single precision: six digits of a chance are enough, and twice as many are added at once.
        let mut step: Vec<f32> = step.into_iter().map(|share| share as f32).collect();
        step.resize(reach + cells.next_multiple_of(lanes::CELLS), 0.0);
        Self { cells, width, step }
    }

    /// When a line that stands so will first lie outside the tolerance that begins at `low`, at rounds a week apart: for so
    /// many weeks, or until the chance has reached `enough`.
    #[must_use]
    pub fn first_off(&self, now: Level, low: f64, weeks: usize, enough: f64) -> FirstOff {
        // The mass of each cell: exact at the start, so that a narrow start is not missed.
        let mass = between_edges(self.cells, low, self.width, now.mean, now.variance);
        let mut mass: Vec<f32> = mass.into_iter().map(|share| share as f32).collect();
        let off =
            |mass: &[f32]| (1.0 - mass.iter().map(|m| f64::from(*m)).sum::<f64>()).clamp(0.0, 1.0);
        let mut by_week = vec![off(&mass)];
        let mut next = vec![0.0; self.cells.next_multiple_of(lanes::CELLS)];
        mass.resize(next.len(), 0.0);
        for _ in 0..weeks {
            if by_week.last().is_some_and(|chance| *chance >= enough) {
                break;
            }
            lanes::carry(&mut next, &self.step, &mass, self.cells - 1);
            // What lies beyond the last cell is off.
            next[self.cells..].fill(0.0);
            std::mem::swap(&mut mass, &mut next);
            by_week.push(off(&mass));
        }
        FirstOff { by_week }
    }
}

/// How much of a normal lies in each of so many cells of a width, from `low` up.
fn between_edges(cells: usize, low: f64, width: f64, mean: f64, variance: f64) -> Vec<f64> {
    let sd = variance.max(1e-300).sqrt();
    let below = |edge: usize| normal_below((low + edge as f64 * width - mean) / sd);
    let mut last = below(0);
    (1..=cells)
        .map(|edge| {
            let now = below(edge);
            now - std::mem::replace(&mut last, now)
        })
        .collect()
}
