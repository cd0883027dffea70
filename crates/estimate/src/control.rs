//! Control charts on request: individuals with moving ranges, weighted averages (EWMA), cumulative sums (CUSUM) and runs rules,
//! each with how long it takes on average to cry out: with nothing wrong, after a shift, and while a line drifts.
//!
//! A chart looks back. With a weekly reading and a drift of 0.05 standard deviations a week even a well-set chart takes some
//! twenty weeks: it is no forecast.
//!
//! ```
//! use ouncewise_estimate::control::{Course, Ewma, EwmaLimits};
//! let chart = Ewma { weight: 0.2, width: 2.86, limits: EwmaLimits::Asymptotic };
//! let healthy = chart.average_run_length(Course::steady(0.0));
//! let shifted = chart.average_run_length(Course::steady(1.0));
//! assert!((healthy - 371.1).abs() < 0.1 && (shifted - 9.8).abs() < 0.1);
//! ```

mod constants;
mod cusum;
mod ewma;
mod individuals;
mod line;
mod runs;
mod standards;
#[cfg(test)]
mod tests;

pub use constants::{c4, d2, d3, d4_upper, e2, median_range_ratio};
pub use cusum::{Cusum, CusumPoint};
pub use ewma::{Ewma, EwmaLimits, EwmaPoint};
pub use individuals::{Individuals, mean_successive_ratio, pair_run_length};
pub use line::{
    AVERAGE, Charted, Charts, FEWEST_PAIRS, Found, Patience, SUMS, chart_line, patience, ranges,
};
pub use runs::{Rule, WESTERN_ELECTRIC, rules_alarms, rules_run_length};
pub use standards::{calibrated_limit, precision_limit, tolerance_factor};

/// How the mean of the readings goes, in standard deviations of one reading from the target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Course {
    /// Where the first reading's mean is.
    pub shift: f64,
    /// How far it moves from each reading to the next.
    pub drift: f64,
}

impl Course {
    /// A mean that stays where it is.
    #[must_use]
    pub fn steady(shift: f64) -> Self {
        Self { shift, drift: 0.0 }
    }

    /// The mean of a reading; the first is number 1.
    fn mean(self, reading: u32) -> f64 {
        self.shift + f64::from(reading.saturating_sub(1)) * self.drift
    }
}

/// Readings after which a run length is given up: the chart as good as never cries out.
const MOST_READINGS: u32 = 200_000;

/// A run that this share of all runs outlives adds nothing that shows.
const NONE_LEFT: f64 = 1e-13;
