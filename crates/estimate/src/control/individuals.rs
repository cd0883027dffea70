//! The individuals chart, its moving ranges, and how often the pair cries out.

use ouncewise_measure::special::{normal_below, normal_density};

use super::constants::{d2, d4_upper, median_range_ratio};
use crate::numeric::solve;

/// What a baseline of single readings says of the centre and the spread, all in the readings' own unit
/// (NIST/SEMATECH e-Handbook 6.3.2.2).
#[derive(Debug, Clone, PartialEq)]
pub struct Individuals {
    /// Mean of the readings.
    pub mean: f64,
    /// Mean of the moving ranges of two readings.
    pub moving_range: f64,
    /// Median of the moving ranges: a single wild reading hardly moves it.
    pub median_range: f64,
    /// Lower limit of single readings, three standard deviations by the mean moving range.
    pub low: f64,
    /// Upper limit of single readings.
    pub high: f64,
    /// Upper limit of moving ranges. To use it as well makes false alarms three times as frequent: see [`pair_run_length`].
    pub range_high: f64,
}

impl Individuals {
    /// From a baseline of at least two readings in the order in which they were taken.
    #[must_use]
    pub fn of(readings: &[f64]) -> Option<Self> {
        if readings.len() < 2 || readings.iter().any(|r| !r.is_finite()) {
            return None;
        }
        let mean = readings.iter().sum::<f64>() / readings.len() as f64;
        let ranges: Vec<f64> = readings.windows(2).map(|two| (two[1] - two[0]).abs()).collect();
        Self::about(mean, &ranges)
    }

    /// About a mean, by how far neighbouring readings are apart; nothing without such ranges.
    #[must_use]
    pub fn about(mean: f64, ranges: &[f64]) -> Option<Self> {
        if ranges.is_empty() || !mean.is_finite() || ranges.iter().any(|r| !r.is_finite()) {
            return None;
        }
        let moving_range = ranges.iter().sum::<f64>() / ranges.len() as f64;
        let mut ranges = ranges.to_vec();
        ranges.sort_by(f64::total_cmp);
        let (half, odd) = (ranges.len() / 2, ranges.len() % 2 == 1);
        let median_range = if odd { ranges[half] } else { 0.5 * (ranges[half - 1] + ranges[half]) };
        let three = 3.0 * moving_range / d2(2);
        Some(Self {
            mean,
            moving_range,
            median_range,
            low: mean - three,
            high: mean + three,
            range_high: d4_upper(2) * moving_range,
        })
    }

    /// Standard deviation of one reading by the mean moving range.
    #[must_use]
    pub fn sd(&self) -> f64 {
        self.moving_range / d2(2)
    }

    /// Standard deviation of one reading by the median moving range.
    #[must_use]
    pub fn robust_sd(&self) -> f64 {
        self.median_range / median_range_ratio()
    }

    /// Which readings are beyond the limits, by their place from 0.
    #[must_use]
    pub fn beyond(&self, readings: &[f64]) -> Vec<usize> {
        let is_out = |r: &f64| *r < self.low || *r > self.high;
        readings.iter().enumerate().filter(|(_, r)| is_out(r)).map(|(place, _)| place).collect()
    }
}

/// Mean square of the differences of neighbours over the variance (von Neumann): near 2 where readings do not depend on their
/// neighbours, well under it where they wander. Nothing for fewer than two readings, or where they do not vary.
#[must_use]
pub fn mean_successive_ratio(readings: &[f64]) -> Option<f64> {
    let n = readings.len() as f64;
    let mean = readings.iter().sum::<f64>() / n;
    let square: f64 = readings.iter().map(|r| (r - mean) * (r - mean)).sum();
    let steps: f64 = readings.windows(2).map(|two| (two[1] - two[0]) * (two[1] - two[0])).sum();
    (readings.len() > 1 && square > 0.0).then(|| steps / square)
}

/// How many readings the individuals chart with limits at ±`width` and a limit `range_width` on moving ranges of two takes on
/// average until one of them cries out, at a steady mean `shift` off the target. All in standard deviations; NaN unless the
/// limits are between 0 and 10.
///
/// By the integral equation of Crowder (1987) on straight pieces between equally spaced nodes, good to some five digits.
#[must_use]
pub fn pair_run_length(width: f64, range_width: f64, shift: f64) -> f64 {
    const PIECES: usize = 240;
    let sane = |x: f64| x > 0.0 && x <= 10.0;
    if !sane(width) || !sane(range_width) || !shift.is_finite() {
        return f64::NAN;
    }
    let piece = 2.0 * width / PIECES as f64;
    let node = |place: usize| -width + piece * place as f64;
    // Weights of the values at the nodes in the integral of a function over what the next reading may be.
    let weights = |low: f64, high: f64| {
        let mut weights = vec![0.0; PIECES + 1];
        for left in 0..PIECES {
            let (from, to) = (node(left).max(low), node(left + 1).min(high));
            if from < to {
                let mass = normal_below(to - shift) - normal_below(from - shift);
                let moment = normal_density(from - shift) - normal_density(to - shift);
                let right_share = (moment + (shift - node(left)) * mass) / piece;
                weights[left] += mass - right_share;
                weights[left + 1] += right_share;
            }
        }
        weights
    };
    let matrix = (0..=PIECES)
        .map(|row| {
            let last = node(row);
            let mut line = weights(last - range_width, last + range_width);
            line.iter_mut().for_each(|weight| *weight = -*weight);
            line[row] += 1.0;
            line
        })
        .collect();
    let further = solve(matrix, vec![1.0; PIECES + 1]);
    // The first reading has no range.
    1.0 + weights(-width, width).iter().zip(further).map(|(w, l)| w * l).sum::<f64>()
}
