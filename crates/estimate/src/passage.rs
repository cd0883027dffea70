//! When a drifting level first comes to a limit, if nothing but its drift and its wandering moves it: the check of a forecast,
//! which reckons with faults and with what is not known besides.
//!
//! Times are in whatever unit drift and variances are stated in; weeks for a line.
//!
//! ```
//! use ouncewise_estimate::passage::Passage;
//! // How many weeks until a level at −1 % that loses 0.2 % a week and wanders by 0.3 % a week first is below −5 %.
//! let passage = Passage::of(0.2, 0.3 * 0.3, 4.0).expect("it drifts towards the limit");
//! assert!((passage.mean - 20.0).abs() < 1e-9);
//! ```

#[cfg(test)]
mod tests;

use ouncewise_measure::special::{normal_below, normal_density};

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

/// The time by which this share of lines that stand at `level` are outside their limits, if nothing but their drift and their
/// wandering moves them and the level is known. Nothing without a drift, or where the level is outside already.
#[must_use]
pub fn by_wear_alone(
    level: f64,
    (low, high): (f64, f64),
    drift: f64,
    variance: f64,
    share: f64,
) -> Option<f64> {
    let distance = if drift > 0.0 { high - level } else { level - low };
    let inside = level >= low && level <= high;
    let passage = Passage::of(drift.abs(), variance, distance).filter(|_| inside)?;
    Some(passage.time(share)).filter(|time| time.is_finite())
}
