//! Whether results differ more from day to day than within a day: one-way analysis of variance, JCGM 100:2008, H.5.

use super::type_a::{Repeated, repeated};
use crate::special::f_above;

/// What equally many readings on each of several days tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DayEffect {
    /// How many days.
    pub days: usize,
    /// How many readings on each day.
    pub readings: usize,
    /// Mean of the daily means.
    pub mean: f64,
    /// Standard deviation of the daily means.
    pub of_daily_means: f64,
    /// Standard deviation of one reading within a day, from all days.
    pub within_days: f64,
}

impl DayEffect {
    /// Standard deviation of one reading as the daily means would have it: √readings times theirs. H.5.2.2 (H.25).
    pub fn between_days(&self) -> f64 {
        self.of_daily_means * libm::sqrt(self.readings as f64)
    }

    /// The ratio of the two variances of one reading; about 1 where days make no difference.
    pub fn ratio(&self) -> f64 {
        let ratio = self.between_days() / self.within_days;
        ratio * ratio
    }

    /// Degrees of freedom of the ratio's numerator and denominator.
    pub fn degrees_of_freedom(&self) -> (f64, f64) {
        let days = self.days as f64;
        (days - 1.0, days * (self.readings as f64 - 1.0))
    }

    /// Probability of a ratio at least so large if days made no difference.
    pub fn chance_of_no_effect(&self) -> f64 {
        let (numerator, denominator) = self.degrees_of_freedom();
        f_above(self.ratio(), numerator, denominator)
    }

    /// Standard deviation of the day's own effect; zero where the readings show none. H.5.2.3 (H.28).
    pub fn day(&self) -> f64 {
        let (between, within) = (self.between_days(), self.within_days);
        libm::sqrt(((between * between - within * within) / self.readings as f64).max(0.0))
    }

    /// Standard uncertainty of the mean and its degrees of freedom if days make a difference. H.5.2.4.
    pub fn uncertainty_with_effect(&self) -> (f64, f64) {
        (self.of_daily_means / libm::sqrt(self.days as f64), self.degrees_of_freedom().0)
    }

    /// Standard uncertainty of the mean and its degrees of freedom if days make none: all readings pooled. H.5.2.4.
    pub fn uncertainty_without_effect(&self) -> (f64, f64) {
        let (numerator, denominator) = self.degrees_of_freedom();
        let (between, within) = (self.between_days(), self.within_days);
        let pooled = (numerator * between * between + denominator * within * within)
            / (numerator + denominator);
        (libm::sqrt(pooled / (self.days * self.readings) as f64), numerator + denominator)
    }
}

/// Analyses what the readings of each day told. `None` below two days, or if the days have not equally many readings.
pub fn analyse(days: &[Repeated]) -> Option<DayEffect> {
    let readings = days.first()?.count;
    if readings < 2 || days.iter().any(|day| day.count != readings) {
        return None;
    }
    let means: Vec<f64> = days.iter().map(|day| day.mean).collect();
    let of_means = repeated(&means)?;
    let within: f64 = days.iter().map(|day| day.standard_deviation * day.standard_deviation).sum();
    Some(DayEffect {
        days: days.len(),
        readings,
        mean: of_means.mean,
        of_daily_means: of_means.standard_deviation,
        within_days: libm::sqrt(within / days.len() as f64),
    })
}
