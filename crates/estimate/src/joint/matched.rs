//! One reading against what was expected of it: a value, or an interval matched by the moments of the truncated normal.

use ouncewise_measure::special::{normal_below, normal_density};

use super::Said;

/// A reading against what was expected of it: the moments of its posterior.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Matched {
    /// Variance that was expected of the reading.
    pub(super) expected: f64,
    /// Mean of the reading's true value, less what was expected.
    pub(super) shift: f64,
    /// Variance that is left of it.
    left: f64,
    /// Its likelihood is exp(exponent) / √determinant.
    pub(super) exponent: f64,
    pub(super) determinant: f64,
}

impl Matched {
    /// `variance` is that of the reading without the noise that it states itself.
    pub(crate) fn of(said: Said, expected: f64, variance: f64) -> Self {
        let (Said::Value(_, noise) | Said::Between(_, _, noise)) = said;
        let variance = (variance + noise).max(1e-300);
        match said {
            Said::Value(value, _) => {
                let shift = value - expected;
                Self {
                    expected: variance,
                    shift,
                    left: 0.0,
                    exponent: -0.5 * shift * shift / variance,
                    determinant: 2.0 * core::f64::consts::PI * variance,
                }
            }
            Said::Between(low, high, _) => {
                let sd = variance.sqrt();
                let (low, high) = ((low - expected) / sd, (high - expected) / sd);
                let (chance, mean, left) = truncated(low.min(high), low.max(high));
                Self {
                    expected: variance,
                    shift: mean * sd,
                    left: left * variance,
                    exponent: libm::log(chance.max(1e-300)),
                    determinant: 1.0,
                }
            }
        }
    }

    /// What the means move, per gain.
    pub(crate) fn step(self) -> f64 {
        self.shift / self.expected
    }

    /// What the covariances lose, per gain squared.
    pub(crate) fn pull(self) -> f64 {
        (self.expected - self.left) / (self.expected * self.expected)
    }
}

/// Chance, mean and variance of a standard normal between two ends, of which either may be infinite.
pub(super) fn truncated(low: f64, high: f64) -> (f64, f64, f64) {
    // By symmetry on the side where the tail is exact.
    if low > 0.0 {
        let (chance, mean, variance) = truncated(-high, -low);
        return (chance, -mean, variance);
    }
    let chance = normal_below(high) - normal_below(low);
    if chance < 1e-280 {
        // So far out, or so narrow, that it sits at the nearer end.
        return (chance.max(0.0), high.min(0.0).max(low), 0.0);
    }
    let density = |z: f64| if z.is_finite() { normal_density(z) } else { 0.0 };
    let moment = |z: f64| if z.is_finite() { z * normal_density(z) } else { 0.0 };
    let mean = (density(low) - density(high)) / chance;
    let variance = 1.0 + (moment(low) - moment(high)) / chance - mean * mean;
    (chance, mean.clamp(low, high), variance.clamp(0.0, 1.0))
}
