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

/// Cells across the tolerance.
const CELLS: usize = 160;

/// When a line that stands so will first lie outside two levels, at rounds a week apart.
#[must_use]
pub fn first_off(behaviour: &Behaviour, now: Level, low: f64, high: f64, weeks: usize) -> FirstOff {
    let width = (high - low) / CELLS as f64;
    if width.is_nan() || width <= 0.0 {
        return FirstOff { by_week: vec![1.0; weeks + 1] };
    }
    let middle = |cell: usize| low + (cell as f64 + 0.5) * width;
    // The mass of each cell: exact at the start, so that a narrow start is not missed.
    let below = |level: f64, mean: f64, variance: f64| {
        normal_below((level - mean) / variance.max(1e-300).sqrt())
    };
    let mut mass: Vec<f64> = (0..CELLS)
        .map(|cell| {
            let (from, to) = (middle(cell) - 0.5 * width, middle(cell) + 0.5 * width);
            below(to, now.mean, now.variance) - below(from, now.mean, now.variance)
        })
        .collect();
    // From the middle of a cell to one so many cells up. That all in a cell is then put in its middle is a spread of its
    // own (Sheppard's correction takes it off), and a drift of less than a cell needs some.
    let spread =
        (behaviour.walk + behaviour.machine_walk - width * width / 12.0).max(0.25 * width * width);
    let step = |cells: f64| {
        let at = |variance: f64| {
            let from = (cells - 0.5) * width;
            below(from + width, behaviour.drift, variance) - below(from, behaviour.drift, variance)
        };
        let chance = behaviour.chance_of_shock(1.0);
        (1.0 - chance) * at(spread) + chance * at(spread + behaviour.shock)
    };
    let reach = CELLS as i64 - 1;
    let steps: Vec<f64> = (-reach..=reach).map(|cells| step(cells as f64)).collect();
    let mut by_week = vec![1.0 - mass.iter().sum::<f64>()];
    let mut next = vec![0.0; CELLS];
    for _ in 0..weeks {
        for (to, cell) in next.iter_mut().enumerate() {
            // steps[to − from + reach], over all from.
            let row = &steps[to..to + CELLS];
            *cell = row.iter().rev().zip(&mass).map(|(step, mass)| step * mass).sum();
        }
        std::mem::swap(&mut mass, &mut next);
        by_week.push((1.0 - mass.iter().sum::<f64>()).clamp(0.0, 1.0));
    }
    FirstOff { by_week }
}
