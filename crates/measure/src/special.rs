//! Distribution functions: normal, Student t, chi-square and F, accurate in both tails.
//!
//! All are good to 1e-12 relative, tails included, and never panic: an argument outside the domain gives NaN. Degrees of
//! freedom reach from 1e-6 to 1e9, and for Student's t to infinity, where it is the normal distribution.
//! Checked against a table computed with 50 digits (`special/tests/reference.csv`).

mod beta;
mod chi_squared;
mod fisher;
mod gamma;
mod normal;
mod student;
#[cfg(test)]
mod tests;

pub use chi_squared::{chi_squared_above, chi_squared_below, chi_squared_quantile};
pub use fisher::{f_above, f_below, f_quantile};
pub use normal::{normal_below, normal_density, normal_quantile, normal_within};
pub use student::{t_below, t_density, t_quantile, t_within};

/// The degrees of freedom that are computed: the integrals of the others would not be done in any useful time. Student's t has
/// no upper end.
const REACH: core::ops::RangeInclusive<f64> = 1e-6..=1e9;

/// Probability between two values of a symmetric distribution about zero: both are taken from the tail that they lie in.
fn within(low: f64, high: f64, below: impl Fn(f64) -> f64) -> f64 {
    if low >= high {
        0.0
    } else if low > 0.0 {
        below(-low) - below(-high)
    } else {
        below(high) - below(low)
    }
}

/// Zero for what lies below the support; NaN stays NaN.
fn not_negative(x: f64) -> f64 {
    if x < 0.0 { 0.0 } else { x }
}

/// Solves `ratios(x) = (p, 1 − p)` for x ≥ 0, by false position in ln x on the smaller of the two tails.
fn positive_quantile(p: f64, start: f64, ratios: impl Fn(f64) -> (f64, f64)) -> f64 {
    if !(0.0..=1.0).contains(&p) || ratios(start).0.is_nan() {
        return f64::NAN;
    }
    if p == 0.0 {
        return 0.0;
    }
    if p == 1.0 {
        return f64::INFINITY;
    }
    // Rising in ln x, zero at the root, and relative in the smaller tail.
    let miss = |log_x: f64| {
        let (below, above) = ratios(libm::exp(log_x));
        if p <= 0.5 { libm::log(below / p) } else { -libm::log(above / (1.0 - p)) }
    };
    let (mut low, mut high) = (libm::log(start), libm::log(start));
    let mut step = 0.1;
    while miss(low) > 0.0 && low > -745.0 {
        low -= step;
        step *= 2.0;
    }
    step = 0.1;
    while miss(high) < 0.0 && high < 709.0 {
        high += step;
        step *= 2.0;
    }
    let (mut miss_low, mut miss_high) = (miss(low), miss(high));
    let mut last = 0.0;
    // False position in its Illinois form: an end that stays twice running is halved, so that both ends close in.
    for _ in 0..200 {
        let secant = high - miss_high * (high - low) / (miss_high - miss_low);
        let middle = if secant > low && secant < high { secant } else { 0.5 * (low + high) };
        let missed = miss(middle);
        if missed == 0.0 || high - low <= 1e-15 * middle.abs().max(1.0) {
            return libm::exp(middle);
        }
        if missed > 0.0 {
            (high, miss_high) = (middle, missed);
            if last > 0.0 {
                miss_low *= 0.5;
            }
        } else {
            (low, miss_low) = (middle, missed);
            if last < 0.0 {
                miss_high *= 0.5;
            }
        }
        last = missed;
    }
    libm::exp(0.5 * (low + high))
}
