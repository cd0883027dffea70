//! Constants of charts, computed and not copied: what the range and the standard deviation of a few normal readings are on
//! average.

use ouncewise_measure::special::{normal_below, normal_density, normal_quantile};

use crate::numeric::points;

/// The share of ranges of `count` normal readings that are wider than `range` standard deviations.
fn wider(count: u32, range: f64) -> f64 {
    let within: f64 = points(-9.0, 9.0, 90)
        .into_iter()
        .map(|(x, weight)| {
            let share = normal_below(x + range) - normal_below(x);
            weight * normal_density(x) * share.powi(count as i32 - 1)
        })
        .sum();
    1.0 - f64::from(count) * within
}

/// Mean and mean square of the range of `count` normal readings, in standard deviations.
fn range_moments(count: u32) -> (f64, f64) {
    if !(2..=100).contains(&count) {
        return (f64::NAN, f64::NAN);
    }
    points(0.0, 13.0, 90).into_iter().fold((0.0, 0.0), |(mean, square), (range, weight)| {
        let share = weight * wider(count, range);
        (mean + share, square + 2.0 * range * share)
    })
}

/// Mean range of `count` normal readings, in standard deviations (d₂); NaN for fewer than 2 or more than 100.
#[must_use]
pub fn d2(count: u32) -> f64 {
    range_moments(count).0
}

/// Standard deviation of the range of `count` normal readings, in standard deviations (d₃); NaN for fewer than 2 or more than
/// 100.
#[must_use]
pub fn d3(count: u32) -> f64 {
    let (mean, square) = range_moments(count);
    (square - mean * mean).sqrt()
}

/// Mean of the sample standard deviation of `count` normal readings, in standard deviations (c₄); NaN for fewer than 2.
#[must_use]
pub fn c4(count: u32) -> f64 {
    if count < 2 {
        return f64::NAN;
    }
    let n = f64::from(count);
    (2.0 / (n - 1.0)).sqrt() * libm::exp(libm::lgamma(n / 2.0) - libm::lgamma((n - 1.0) / 2.0))
}

/// Three standard deviations as a multiple of the mean range of `count` readings (E₂ = 3 / d₂).
#[must_use]
pub fn e2(count: u32) -> f64 {
    3.0 / d2(count)
}

/// Upper limit of ranges as a multiple of the mean range of `count` readings (D₄ = 1 + 3 d₃ / d₂).
#[must_use]
pub fn d4_upper(count: u32) -> f64 {
    1.0 + 3.0 * d3(count) / d2(count)
}

/// Median of the moving range of two normal readings, in standard deviations: √2 times the upper quartile of the normal
/// distribution.
#[must_use]
pub fn median_range_ratio() -> f64 {
    core::f64::consts::SQRT_2 * normal_quantile(0.75)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// d₂ for 2 is 2/√π exactly (1.128 in the NIST/SEMATECH e-Handbook, 6.3.2.2); the rest was computed by another quadrature.
    #[test]
    fn constants_of_two_to_five_readings() {
        let exact = 2.0 / core::f64::consts::PI.sqrt();
        assert!((d2(2) - exact).abs() < 1e-10);
        assert!((d3(2) - (2.0 - exact * exact).sqrt()).abs() < 1e-10);
        let rows = [
            (2, core::f64::consts::FRAC_2_SQRT_PI, 0.852_502, 0.797_884_6, 2.658_681, 3.266_532),
            (3, 1.692_568_8, 0.888_368, 0.886_226_9, 1.772_454, 2.574_591),
            (4, 2.058_750_7, 0.879_808, 0.921_317_7, 1.457_194, 2.282_052),
            (5, 2.325_928_9, 0.864_082, 0.939_985_6, 1.289_807, 2.114_499),
        ];
        for (n, a, b, c, d, e) in rows {
            assert!((d2(n) - a).abs() < 1e-6, "d2 {n}: {}", d2(n));
            assert!((d3(n) - b).abs() < 1e-5, "d3 {n}: {}", d3(n));
            assert!((c4(n) - c).abs() < 1e-6, "c4 {n}: {}", c4(n));
            assert!((e2(n) - d).abs() < 1e-5, "E2 {n}: {}", e2(n));
            assert!((d4_upper(n) - e).abs() < 1e-5, "D4 {n}: {}", d4_upper(n));
        }
        assert!((median_range_ratio() - 0.953_872_6).abs() < 1e-6);
        assert!(d2(1).is_nan() && d3(0).is_nan() && c4(1).is_nan());
    }
}
