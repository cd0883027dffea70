//! What share of parts survives an age, by the product of Kaplan and Meier and the sum of Nelson and Aalen: no shape assumed.

use super::{Life, WearError, checked};

/// The state of things just after an age at which parts failed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// The age.
    pub age: f64,
    /// How many parts were watched at that age. Those taken out at the very age are counted: they had survived until then.
    pub at_risk: u32,
    /// How many of them failed.
    pub failed: u32,
    /// The share that survives the age (Kaplan and Meier 1958).
    pub surviving: f64,
    /// Standard error of that share (Greenwood 1926).
    pub surviving_sd: f64,
    /// Cumulative hazard (Nelson 1972, Aalen 1978).
    pub hazard: f64,
}

impl Step {
    /// Limits of the share surviving with a standard normal `z` (1.96 for 95 %), on the scale of ln(−ln S), so that they stay
    /// between 0 and 1. Nothing where all or none survive.
    #[must_use]
    pub fn between(&self, z: f64) -> Option<(f64, f64)> {
        let log = libm::log(self.surviving);
        let half = z * self.surviving_sd / (self.surviving * log).abs();
        let at = |sign: f64| libm::pow(self.surviving, libm::exp(sign * half));
        (self.surviving > 0.0 && self.surviving < 1.0).then(|| (at(1.0), at(-1.0)))
    }
}

/// One step for each age at which a part failed, in their order. A part watched only from an age on counts from then.
///
/// # Errors
/// If a life does not end after it was first watched.
pub fn survival(lives: &[Life]) -> Result<Vec<Step>, WearError> {
    checked(lives)?;
    let mut ages: Vec<f64> = lives.iter().filter(|l| l.failed).map(|l| l.to).collect();
    ages.sort_by(f64::total_cmp);
    ages.dedup_by(|a, b| a == b);
    let (mut surviving, mut hazard, mut greenwood) = (1.0, 0.0, 0.0);
    Ok(ages
        .into_iter()
        .map(|age| {
            let watched = lives.iter().filter(|l| l.from < age && age <= l.to);
            let (at_risk, failed) = watched.fold((0u32, 0u32), |(n, d), life| {
                (n + 1, d + u32::from(life.failed && life.to == age))
            });
            let (n, d) = (f64::from(at_risk), f64::from(failed));
            surviving *= 1.0 - d / n;
            hazard += d / n;
            greenwood += d / (n * (n - d));
            // Where the last part failed the share is 0 and its error is not defined: 0 times infinity.
            let surviving_sd = if n > d { surviving * f64::sqrt(greenwood) } else { 0.0 };
            Step { age, at_risk, failed, surviving, surviving_sd, hazard }
        })
        .collect())
}
