//! Student's t distribution, for real degrees of freedom; infinite degrees of freedom are the normal distribution.

use super::beta::beta_ratios;
use super::gamma::stirling_error;
use super::normal::{normal_below, normal_density, normal_quantile};
use core::f64::consts::PI;

/// From here on t and normal agree to the last digit wherever either is not zero.
const AS_GOOD_AS_NORMAL: f64 = 1e22;

/// Density at `t`.
pub fn t_density(t: f64, degrees_of_freedom: f64) -> f64 {
    let nu = degrees_of_freedom;
    if nu.is_nan() || nu < *super::REACH.start() {
        return f64::NAN;
    }
    if nu >= AS_GOOD_AS_NORMAL {
        return normal_density(t);
    }
    libm::exp(ln_density(t, nu))
}

fn ln_density(t: f64, nu: f64) -> f64 {
    // Γ((ν+1)/2) / Γ(ν/2) √(2/ν) by Stirling's formula with its remainder.
    let half = 0.5 * nu;
    let ratio =
        half * libm::log1p(1.0 / nu) - 0.5 + stirling_error(half + 0.5) - stirling_error(half);
    ratio - 0.5 * (nu + 1.0) * log1p_square(t, nu) - 0.5 * libm::log(2.0 * PI)
}

/// ln(1 + t²/ν), also where t² would overflow.
fn log1p_square(t: f64, nu: f64) -> f64 {
    let ratio = t.abs() / libm::sqrt(nu);
    if ratio > 1e150 { 2.0 * libm::log(ratio) } else { libm::log1p(ratio * ratio) }
}

/// Probabilities of a value (farther from zero than `t`, nearer to it), either way.
fn apart_and_near(t: f64, nu: f64) -> (f64, f64) {
    let square = t * t / nu;
    if square > 1e32 {
        // The tail is a plain power here, and t² may have overflowed.
        let apart = libm::exp(ln_density(t, nu) + libm::log(2.0 / nu) + libm::log(t.abs()));
        let apart = if t.is_infinite() { 0.0 } else { apart };
        return (apart, 1.0 - apart);
    }
    beta_ratios(0.5 * nu, 0.5, 1.0 / (1.0 + square), square / (1.0 + square))
}

/// Probability of a value below `t`. The far tail keeps its relative accuracy.
pub fn t_below(t: f64, degrees_of_freedom: f64) -> f64 {
    let nu = degrees_of_freedom;
    if nu >= AS_GOOD_AS_NORMAL {
        return normal_below(t);
    }
    if t.is_nan() || nu.is_nan() || nu < *super::REACH.start() {
        return f64::NAN;
    }
    let (apart, near) = apart_and_near(t, nu);
    if t <= 0.0 { 0.5 * apart } else { 0.5 + 0.5 * near }
}

/// Probability of a value between `low` and `high`, keeping its relative accuracy in either tail; zero if they are crossed.
///
/// A very narrow interval is good to 1e-16 absolute only.
pub fn t_within(low: f64, high: f64, degrees_of_freedom: f64) -> f64 {
    super::within(low, high, |t| t_below(t, degrees_of_freedom))
}

/// The value that a share `p` lies below: minus infinity at 0, infinity at 1.
pub fn t_quantile(p: f64, degrees_of_freedom: f64) -> f64 {
    let nu = degrees_of_freedom;
    if nu >= AS_GOOD_AS_NORMAL {
        return normal_quantile(p);
    }
    if nu.is_nan() || nu < *super::REACH.start() || !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    let tail = p.min(1.0 - p);
    if tail == 0.0 {
        return if p == 0.0 { f64::NEG_INFINITY } else { f64::INFINITY };
    }
    let magnitude = if tail > 0.25 { near_centre(0.5 - tail, nu) } else { in_tail(tail, nu) };
    if p < 0.5 { -magnitude } else { magnitude }
}

/// The t that a share `share` (under a quarter) lies between zero and.
///
/// The share is concave in t, so Newton's method climbs to the root from below and cannot overshoot.
fn near_centre(share: f64, nu: f64) -> f64 {
    let mut t = share / t_density(0.0, nu);
    for _ in 0..60 {
        let missing = share - 0.5 * apart_and_near(t, nu).1;
        let step = missing / t_density(t, nu);
        t += step;
        if is_last(step, t) {
            break;
        }
    }
    t
}

/// The t that a share `tail` (a quarter at most) lies above.
///
/// The logarithm of the tail is concave in ln t: after its first step Newton's method comes down to the root and cannot overshoot.
fn in_tail(tail: f64, nu: f64) -> f64 {
    let z = -normal_quantile(tail);
    // Fisher's expansion in 1/ν (Abramowitz and Stegun 26.7.5), two terms of it, is the start.
    let (square, near) = (z * z, 0.25 / nu);
    let first = z * (square + 1.0) * near;
    let second = z * ((5.0 * square + 16.0) * square + 3.0) * near * near / 6.0;
    let mut t = z + first + second;
    for _ in 0..60 {
        let reached = 0.5 * apart_and_near(t, nu).0;
        let slope = libm::exp(ln_density(t, nu) + libm::log(t) - libm::log(reached));
        let step = (libm::log(reached) - libm::log(tail)) / slope;
        t *= libm::exp(step);
        if is_last(step, 1.0) || !t.is_finite() {
            break;
        }
    }
    t
}

/// Whether Newton's method need not step again: its next step would be of the order of this one's square.
fn is_last(step: f64, scale: f64) -> bool {
    step.abs() <= 1e-8 * scale
}
