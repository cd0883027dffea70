//! Limits for check standards: the spread of one calibration, and the bias of a calibrated instrument.

use ouncewise_measure::special::{f_quantile, t_quantile};

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
