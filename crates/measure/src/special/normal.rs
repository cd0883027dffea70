//! The standard normal distribution.

use core::f64::consts::{FRAC_1_SQRT_2, PI, SQRT_2};

/// Density at `z`.
pub fn normal_density(z: f64) -> f64 {
    libm::exp(-0.5 * z * z) / libm::sqrt(2.0 * PI)
}

/// Probability of a value below `z`. The far tail keeps its relative accuracy.
pub fn normal_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

/// Probability of a value between `low` and `high`, keeping its relative accuracy in either tail; zero if they are crossed.
///
/// A very narrow interval is good to 1e-16 absolute only.
pub fn normal_within(low: f64, high: f64) -> f64 {
    super::within(low, high, normal_below)
}

/// The value that a share `p` lies below: minus infinity at 0, infinity at 1.
pub fn normal_quantile(p: f64) -> f64 {
    if p == 0.5 {
        return 0.0;
    }
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    let tail = p.min(1.0 - p);
    if tail == 0.0 {
        return if p == 0.0 { f64::NEG_INFINITY } else { f64::INFINITY };
    }
    // One Newton step in the tail probability mends what the inverse error function leaves.
    let start = -SQRT_2 * statrs::function::erf::erfc_inv(2.0 * tail);
    let excess = (normal_below(start) - tail) / normal_density(start);
    let z = if excess.is_finite() { start - excess } else { start };
    if p < 0.5 { z } else { -z }
}
