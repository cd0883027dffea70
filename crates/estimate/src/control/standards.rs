//! Limits for check standards (the spread of one calibration, the bias of a calibrated instrument), and limits that a short
//! baseline bears out.

use ouncewise_measure::special::{
    chi_squared_above, f_quantile, normal_density, normal_within, t_quantile,
};

use crate::numeric::{points, root};

/// Upper limit of the standard deviation of one calibration with `degrees` degrees of freedom, where `pooled_sd` was found from
/// earlier ones with `pooled_degrees`: `pooled_sd · √F`, passed by chance with the probability `risk`
/// (NIST/SEMATECH e-Handbook 2.3.5.1). In the unit of `pooled_sd`.
#[must_use]
pub fn precision_limit(pooled_sd: f64, pooled_degrees: f64, degrees: f64, risk: f64) -> f64 {
    pooled_sd * f_quantile(1.0 - risk, degrees, pooled_degrees).sqrt()
}

/// How far a check reading, corrected by the calibration line, may lie from its reference: `sd · t / slope`, where the
/// calibration has the residual standard deviation `sd` with `degrees` degrees of freedom, and `count` checks are judged
/// together with the probability `risk` of any false alarm (NIST/SEMATECH e-Handbook 2.3.7.1). In the unit of the reference.
#[must_use]
pub fn calibrated_limit(sd: f64, slope: f64, degrees: f64, count: u32, risk: f64) -> f64 {
    let tail = 0.5 * (1.0 - libm::pow(1.0 - risk, 1.0 / f64::from(count)));
    sd * t_quantile(1.0 - tail, degrees) / slope.abs()
}

/// The factor k for which mean ± k·s of `count` normal readings holds at least the share `content` of all readings, with the
/// probability `confidence` (two-sided tolerance factor, ISO 16269-6; Odeh and Owen 1980). NaN for fewer than two readings, or
/// where a probability is not between 0 and 1.
#[must_use]
pub fn tolerance_factor(count: u32, content: f64, confidence: f64) -> f64 {
    let is_chance = |p: f64| p > 0.0 && p < 1.0;
    if count < 2 || !is_chance(content) || !is_chance(confidence) {
        return f64::NAN;
    }
    let (n, free) = (f64::from(count), f64::from(count) - 1.0);
    // For each place where the mean may have fallen: how far to both sides of it the content reaches.
    let reaches: Vec<(f64, f64)> = points(0.0, 8.5, 40)
        .into_iter()
        .map(|(z, weight)| {
            let off = z / n.sqrt();
            let reach = root(0.0, off + 9.0, |r| normal_within(off - r, off + r) - content);
            (reach, 2.0 * weight * normal_density(z))
        })
        .collect();
    let holds = |factor: f64| -> f64 {
        let wide = |(reach, weight): &(f64, f64)| {
            weight * chi_squared_above(free * (reach / factor) * (reach / factor), free)
        };
        reaches.iter().map(wide).sum()
    };
    root(1e-3, 1e5, |factor| holds(factor) - confidence)
}
