//! When a drifting level comes to a limit: the time of first passage, the chance of being off by then, and the times that go
//! with a chance.
//!
//! Times are in whatever unit drift and variances are stated in; weeks for a line.
//!
//! ```
//! use ouncewise_estimate::passage::{Ahead, Passage};
//! // A level at −1 %, known to 0.8 %, that loses 0.2 % a week (known to 0.1 %) and wanders by 0.3 % a week.
//! let ahead = Ahead { level: -1.0, level_sd: 0.8, drift: -0.2, drift_sd: 0.1, step_sd: 0.3 };
//! let next_week = ahead.off_at(1.0, -5.0, 5.0);
//! assert!(next_week < 1e-4);
//! let even_odds = ahead.until_off(0.5, -5.0, 5.0, 520.0).expect("it drifts out within ten years");
//! assert!((even_odds - 20.0).abs() < 0.5);
//! // How many weeks until it first is below −5 %, were all of that known.
//! let passage = Passage::of(0.2, 0.3 * 0.3, 4.0).expect("it drifts towards the limit");
//! assert!((passage.mean - 20.0).abs() < 1e-9);
//! ```

#[cfg(test)]
mod tests;

use ouncewise_measure::special::{normal_below, normal_density, normal_quantile};

use crate::numeric::{points, root};

/// The time at which a level with a known drift first reaches a limit: the inverse Gaussian distribution (Schrödinger 1915).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passage {
    /// Mean time.
    pub mean: f64,
    /// Shape: the greater beside the mean, the narrower the distribution.
    pub shape: f64,
}

impl Passage {
    /// For a level that drifts by `drift` in a unit of time, wanders with the variance `variance` in a unit of time, and has
    /// `distance` to go in the direction of the drift. Nothing unless all three are above 0.
    #[must_use]
    pub fn of(drift: f64, variance: f64, distance: f64) -> Option<Self> {
        let sane = |x: f64| x > 0.0 && x.is_finite();
        let passage = Self { mean: distance / drift, shape: distance * distance / variance };
        (sane(drift)
            && sane(variance)
            && sane(distance)
            && sane(passage.mean)
            && sane(passage.shape))
        .then_some(passage)
    }

    /// Probability that the limit has been reached by a time.
    #[must_use]
    pub fn by(&self, time: f64) -> f64 {
        if time.is_nan() {
            return f64::NAN;
        }
        if time <= 0.0 {
            return 0.0;
        }
        let scale = (self.shape / time).sqrt();
        let near = scale * (time / self.mean - 1.0);
        let far = scale * (time / self.mean + 1.0);
        // exp(2 shape / mean) Φ(−far) overflows where taken apart: it is φ(near) times Mills's ratio at far.
        (normal_below(near) + normal_density(near) * mills(far)).min(1.0)
    }

    /// The time by which the limit has been reached with a probability; 0 and infinity at the ends, NaN beyond them.
    #[must_use]
    pub fn time(&self, probability: f64) -> f64 {
        if !(0.0..=1.0).contains(&probability) {
            return f64::NAN;
        }
        if probability == 0.0 || probability == 1.0 {
            return if probability == 0.0 { 0.0 } else { f64::INFINITY };
        }
        let mut high = self.mean;
        while self.by(high) < probability && high.is_finite() {
            high *= 2.0;
        }
        let mut low = self.mean;
        while self.by(low) > probability && low > 0.0 {
            low *= 0.5;
        }
        root(low, high, |time| self.by(time) - probability)
    }
}

/// Mills's ratio (1 − Φ(x)) / φ(x) for x ≥ 0.
fn mills(x: f64) -> f64 {
    if x < 6.0 {
        return normal_below(-x) / normal_density(x);
    }
    // Laplace's continued fraction, which needs few terms out here.
    1.0 / (1..=60).rev().fold(x, |tail, k| x + f64::from(k) / tail)
}

/// Probability that a level reaches a limit by a time where drifts differ from line to line: normal about `drift` with the
/// standard deviation `drift_sd`. A drift away from the limit still reaches it by wandering, if it does. Otherwise as
/// [`Passage`]; to ignore that drifts differ understates the early ones by far.
#[must_use]
pub fn reached_by(time: f64, drift: f64, drift_sd: f64, variance: f64, distance: f64) -> f64 {
    if !(drift_sd >= 0.0 && variance > 0.0) {
        return f64::NAN;
    }
    if distance <= 0.0 {
        return 1.0;
    }
    if time <= 0.0 {
        return 0.0;
    }
    let spread = (variance * time).sqrt();
    let all = (spread * spread + drift_sd * drift_sd * time * time).sqrt();
    let there = normal_below((drift * time - distance) / all);
    // Those that are short of the limit at that time and have been at it: for one drift exp(2 v D / σ²) Φ(−(v t + D) / √(σ² t)).
    let been = |v: f64| {
        let (near, far) = ((v * time - distance) / spread, (v * time + distance) / spread);
        if far >= 0.0 {
            normal_density(near) * mills(far)
        } else {
            libm::exp(2.0 * v * distance / variance) * normal_below(-far)
        }
    };
    if drift_sd == 0.0 {
        return there + been(drift);
    }
    // It counts where the drift just comes to the limit, and just below a drift of 0: pieces that have these whole.
    let (low, high) = (drift - 8.0 * drift_sd, drift + 8.0 * drift_sd);
    let (just, near) = (distance / time, 8.0 * spread / time);
    let mut ends = [low, -20.0 * variance / distance, 0.0, just - near, just, just + near, high]
        .map(|end| end.clamp(low, high));
    ends.sort_by(f64::total_cmp);
    let piece = |(v, weight): (f64, f64)| {
        weight * normal_density((v - drift) / drift_sd) / drift_sd * been(v)
    };
    let pieces = ends.windows(2).flat_map(|two| points(two[0], two[1], 40));
    there + pieces.map(piece).sum::<f64>()
}

/// A level as it is known now, and how it goes on from here.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ahead {
    /// Where the level is now.
    pub level: f64,
    /// Its standard uncertainty.
    pub level_sd: f64,
    /// How far it drifts in a unit of time.
    pub drift: f64,
    /// The standard uncertainty of that.
    pub drift_sd: f64,
    /// Standard deviation of how far it wanders in a unit of time.
    pub step_sd: f64,
}

impl Ahead {
    /// Standard deviation of where the level is at a time from now.
    #[must_use]
    pub fn sd_at(&self, time: f64) -> f64 {
        let drifted = self.drift_sd * time;
        (self.level_sd * self.level_sd + self.step_sd * self.step_sd * time + drifted * drifted)
            .sqrt()
    }

    /// Probability that the level is outside the limits at a time from now. Not that it was at some time before.
    #[must_use]
    pub fn off_at(&self, time: f64, low: f64, high: f64) -> f64 {
        let (mean, sd) = (self.level + self.drift * time, self.sd_at(time));
        if sd == 0.0 {
            return f64::from(u8::from(mean < low || mean > high));
        }
        normal_below((low - mean) / sd) + normal_below((mean - high) / sd)
    }

    /// The first time from now at which the level is outside the limits with at least this probability; nothing if that is not
    /// so within `horizon`. Ask for 0.1, 0.5 and 0.9.
    #[must_use]
    pub fn until_off(&self, probability: f64, low: f64, high: f64, horizon: f64) -> Option<f64> {
        const LOOKS: u32 = 500;
        let miss = |time: f64| self.off_at(time, low, high) - probability;
        if miss(0.0) >= 0.0 {
            return Some(0.0);
        }
        let look = |number: u32| horizon * f64::from(number) / f64::from(LOOKS);
        let first = (1..=LOOKS).find(|number| miss(look(*number)) >= 0.0)?;
        Some(root(look(first - 1), look(first), miss))
    }

    /// The interval that the level lies in at a time from now with a probability, as much to one side as to the other.
    #[must_use]
    pub fn between(&self, time: f64, probability: f64) -> (f64, f64) {
        let half = normal_quantile(0.5 + 0.5 * probability) * self.sd_at(time);
        let mean = self.level + self.drift * time;
        (mean - half, mean + half)
    }
}
