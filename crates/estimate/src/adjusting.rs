//! What it does to a line to be adjusted from noisy readings: how much of a reading to adjust by, when to leave alone, and how a
//! rebuilt line is set in a few catches.
//!
//! The model is the common one of feedback adjustment (Box and Luceño 1997): the level walks, each step having the variance q,
//! and a reading adds noise of variance r. The best forecast of the next reading is then a weighted average with the weight λ.
//!
//! ```
//! use ouncewise_estimate::adjusting::{Bounded, lambda, spread_by_share};
//! // A level that walks by a twentieth of the noise's variance each week.
//! let weight = lambda(0.05, 1.0);
//! assert!((weight - 0.2).abs() < 1e-12);
//! // To adjust by the whole of each reading makes the mean square 64 % greater than it must be.
//! assert!((spread_by_share(weight, 1.0) - 1.64).abs() < 1e-12);
//! // To adjust only past one standard deviation: every 31 readings, for 9 % more spread.
//! let bounded = Bounded::at(weight, 1.0);
//! assert!((bounded.interval - 31.4).abs() < 0.1 && (bounded.inflation() - 0.094).abs() < 0.001);
//! ```

#[cfg(test)]
mod tests;

use ouncewise_measure::special::normal_density;

use crate::numeric::{points, solve};

/// The newest reading's weight λ in the best forecast of a walking level, from the variance of the level's step between two
/// readings and that of a reading's noise, in one unit. Their ratio alone counts; NaN unless both are at least 0 and one is
/// above. (Muth 1960: the steady gain of the Kalman filter of the local level.)
#[must_use]
pub fn lambda(level_variance: f64, noise_variance: f64) -> f64 {
    if !(level_variance >= 0.0 && noise_variance >= 0.0) {
        return f64::NAN;
    }
    // (√(q² + 4q) − q) / 2 with q the ratio, written so that neither a small nor a great q loses digits.
    2.0 / (1.0 + (1.0 + 4.0 * noise_variance / level_variance).sqrt())
}

/// Mean square of readings adjusted by `share` of each reading's error, over the least that can be had, where the level walks
/// with the weight `lambda`: 1 + (λ − G)² / (G (2 − G)). At λ = 0 (a line that does not wander) this is 2 / (2 − G), so that
/// to adjust by the whole of one reading doubles the variance. Infinite unless 0 < share < 2.
#[must_use]
pub fn spread_by_share(lambda: f64, share: f64) -> f64 {
    if share > 0.0 && share < 2.0 {
        1.0 + (lambda - share) * (lambda - share) / (share * (2.0 - share))
    } else {
        f64::INFINITY
    }
}

/// Bounded adjustment: leave alone while the forecast is within ±limit of the target, else adjust by the whole forecast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounded {
    /// The weight λ of the forecast.
    pub lambda: f64,
    /// The limit, in standard deviations of a one-step forecast error.
    pub limit: f64,
    /// How many readings there are between two adjustments on average.
    pub interval: f64,
    /// Mean square about the target over that with an adjustment after each reading.
    pub mean_square: f64,
}

/// Limits beyond this many steps of the forecast are not computed: nobody waits 2500 readings for an adjustment.
const WIDEST: f64 = 50.0;

impl Bounded {
    /// The scheme with a limit, by the integral equations of its interval and of its sum of squares (Box and Luceño 1997). NaN
    /// unless 0 < λ ≤ 1 and the limit lies between 0 and 50 λ.
    #[must_use]
    pub fn at(lambda: f64, limit: f64) -> Self {
        let (interval, excess) = walk(limit / lambda);
        let sane = lambda > 0.0 && lambda <= 1.0;
        let (interval, excess) = if sane { (interval, excess) } else { (f64::NAN, f64::NAN) };
        Self { lambda, limit, interval, mean_square: 1.0 + lambda * lambda * excess }
    }

    /// The widest limit that inflates the standard deviation by no more than `inflation` (0.1 for a tenth), up to 50 λ; nothing
    /// unless 0 < λ ≤ 1 and the inflation is above 0.
    #[must_use]
    pub fn for_inflation(lambda: f64, inflation: f64) -> Option<Self> {
        if !(lambda > 0.0 && lambda <= 1.0 && inflation > 0.0) {
            return None;
        }
        let miss = |steps: f64| Self::at(lambda, steps * lambda).inflation() - inflation;
        let widest = WIDEST * (1.0 - 1e-9);
        let steps = if miss(widest) <= 0.0 { widest } else { halve(1e-6, widest, miss) };
        Some(Self::at(lambda, steps * lambda))
    }

    /// By what share the standard deviation is greater than with an adjustment after each reading.
    #[must_use]
    pub fn inflation(&self) -> f64 {
        self.mean_square.sqrt() - 1.0
    }

    /// What the scheme costs a reading, where an adjustment costs `adjustment` and being off by one standard deviation of the
    /// forecast error costs `off`, growing with the square: in the money of both.
    #[must_use]
    pub fn cost(&self, adjustment: f64, off: f64) -> f64 {
        adjustment / self.interval + off * self.mean_square
    }
}

/// A root to a relative millionth: each step solves an integral equation.
fn halve(mut low: f64, mut high: f64, miss: impl Fn(f64) -> f64) -> f64 {
    while high - low > 1e-7 * high {
        let middle = 0.5 * (low + high);
        if miss(middle) > 0.0 { high = middle } else { low = middle }
    }
    low
}

/// A walk of unit normal steps from 0: how many steps it takes on average to be beyond ±limit, and the mean square of where it
/// stood before each of them.
fn walk(limit: f64) -> (f64, f64) {
    if !(limit > 0.0 && limit <= WIDEST) {
        return (f64::NAN, f64::NAN);
    }
    // By symmetry a function of the distance from 0: half the nodes.
    let nodes = points(0.0, limit, ((4.0 * limit).ceil() as usize).clamp(20, 200));
    let step = |from: f64, to: f64| normal_density(to - from) + normal_density(to + from);
    let matrix = || -> Vec<Vec<f64>> {
        let row = |(row, (from, _)): (usize, &(f64, f64))| {
            let into = |(column, (to, weight)): (usize, &(f64, f64))| {
                f64::from(u8::from(row == column)) - weight * step(*from, *to)
            };
            nodes.iter().enumerate().map(into).collect()
        };
        nodes.iter().enumerate().map(row).collect()
    };
    let from_zero = |values: Vec<f64>| -> f64 {
        nodes.iter().zip(values).map(|((to, weight), v)| weight * step(0.0, *to) * v).sum()
    };
    let steps = 1.0 + from_zero(solve(matrix(), vec![1.0; nodes.len()]));
    let squares = nodes.iter().map(|(x, _)| x * x).collect();
    (steps, from_zero(solve(matrix(), squares)) / steps)
}

/// What share of a catch's error to adjust by after a rebuild: 1, 1/2, 1/3 … (Grubbs's harmonic rule), where nothing is known of
/// where the line was left; `catch` is the number of the catch from 1. With `prior_ratio`, the standard deviation of where a
/// rebuilt line lands over that of one catch, the extended rule: 1 / (catch + 1 / ratio²).
#[must_use]
pub fn harmonic_share(catch: u32, prior_ratio: Option<f64>) -> f64 {
    1.0 / (f64::from(catch.max(1)) + prior_ratio.map_or(0.0, |ratio| 1.0 / (ratio * ratio)))
}

/// Mean square of what the line is still off after so many catches adjusted by [`harmonic_share`], over the variance of one
/// catch. Infinite before the first catch where nothing is known.
#[must_use]
pub fn harmonic_left(catches: u32, prior_ratio: Option<f64>) -> f64 {
    1.0 / (f64::from(catches) + prior_ratio.map_or(0.0, |ratio| 1.0 / (ratio * ratio)))
}
