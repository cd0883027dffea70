//! The cumulative sum chart in its tabular form, with or without a head start.

use ouncewise_measure::special::{normal_below, normal_density};

use super::{Course, MOST_READINGS, NONE_LEFT};
use crate::numeric::{points, solve};

/// A tabular cumulative sum chart of both sides (NIST/SEMATECH e-Handbook 6.3.2.3). All in standard deviations of one reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cusum {
    /// What each reading may be off without adding to a sum (k).
    pub slack: f64,
    /// The sum at which the chart cries out when it is passed (h).
    pub limit: f64,
    /// Where both sums start: 0, or half the limit for a fast first response (Lucas and Crosier 1982).
    pub head_start: f64,
}

/// Both sums after a reading, in standard deviations of one reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CusumPoint {
    /// The sum of what is above the target.
    pub above: f64,
    /// The sum of what is below it.
    pub below: f64,
    /// Whether a sum is past the limit. The sums go on after that.
    pub out: bool,
}

impl Cusum {
    /// The chart of readings about a target, where one reading has the standard deviation `sd`.
    #[must_use]
    pub fn run(&self, target: f64, sd: f64, readings: &[f64]) -> Vec<CusumPoint> {
        let (mut above, mut below) = (self.head_start, self.head_start);
        readings
            .iter()
            .map(|reading| {
                let off = (reading - target) / sd;
                above = (above + off - self.slack).max(0.0);
                below = (below - off - self.slack).max(0.0);
                CusumPoint { above, below, out: above > self.limit || below > self.limit }
            })
            .collect()
    }

    fn is_sane(&self) -> bool {
        let sums = 0.0..=self.limit;
        self.slack >= 0.0
            && self.limit > 0.0
            && self.limit <= 50.0
            && sums.contains(&self.head_start)
    }

    /// How many readings the chart of both sides takes on average until it cries out, at a steady mean `shift` standard
    /// deviations off the target. NaN if the chart is out of range.
    ///
    /// Each side by its integral equation (Brook and Evans 1972 solve the same by a chain); both together by the rule of Lucas
    /// and Crosier (1982), which holds while the head start is within what one reading may be off.
    #[must_use]
    pub fn average_run_length(&self, shift: f64) -> f64 {
        if !self.is_sane() || !shift.is_finite() {
            return f64::NAN;
        }
        let [(up, up_from_zero), (down, down_from_zero)] = [shift, -shift].map(|m| self.side(m));
        // A side that as good as never cries out leaves the other alone.
        let share = up_from_zero / (up_from_zero + down_from_zero);
        if share.is_nan() {
            return if up_from_zero > down_from_zero { down } else { up };
        }
        up * (1.0 - share) + down * share - share * down_from_zero
    }

    /// How many readings the upper side alone takes on average. NaN if the chart is out of range, or if it takes more than some
    /// hundred thousand readings while the mean drifts.
    #[must_use]
    pub fn upper_run_length(&self, course: Course) -> f64 {
        if !self.is_sane() || !course.shift.is_finite() || !course.drift.is_finite() {
            return f64::NAN;
        }
        if course.drift == 0.0 {
            return self.side(course.shift).0;
        }
        // The density of the sum between 0 and the limit, and the chance that it is 0.
        let nodes = self.nodes();
        let k = self.slack - course.mean(1);
        let mut zero = normal_below(k - self.head_start);
        let mut density: Vec<f64> =
            nodes.iter().map(|(to, _)| normal_density(to + k - self.head_start)).collect();
        let mut total = 1.0;
        for reading in 2..MOST_READINGS {
            let mass: Vec<f64> =
                nodes.iter().zip(&density).map(|((_, weight), f)| weight * f).collect();
            let left = zero + mass.iter().sum::<f64>();
            total += left;
            if left < NONE_LEFT {
                return total;
            }
            let k = self.slack - course.mean(reading);
            let sums = || nodes.iter().map(|(from, _)| *from).zip(&mass);
            density = nodes
                .iter()
                .map(|(to, _)| {
                    let moved: f64 = sums().map(|(s, m)| m * normal_density(to + k - s)).sum();
                    zero * normal_density(to + k) + moved
                })
                .collect();
            zero =
                zero * normal_below(k) + sums().map(|(s, m)| m * normal_below(k - s)).sum::<f64>();
        }
        f64::NAN
    }

    fn nodes(&self) -> Vec<(f64, f64)> {
        points(0.0, self.limit, ((5.0 * self.limit).ceil() as usize).clamp(30, 150))
    }

    /// Average run length of the upper side at a steady mean: from the head start, and from zero.
    fn side(&self, mean: f64) -> (f64, f64) {
        let k = self.slack - mean;
        let nodes = self.nodes();
        // Sums that a run can stand at: 0 by itself, then the nodes.
        let from = |row: usize| if row == 0 { 0.0 } else { nodes[row - 1].0 };
        let into = |from: f64, column: usize| {
            if column == 0 {
                normal_below(k - from)
            } else {
                let (to, weight) = nodes[column - 1];
                weight * normal_density(to + k - from)
            }
        };
        let size = nodes.len() + 1;
        let matrix = (0..size)
            .map(|row| {
                let same = |column| f64::from(u8::from(row == column));
                (0..size).map(|column| same(column) - into(from(row), column)).collect()
            })
            .collect();
        let further = solve(matrix, vec![1.0; size]);
        let start = |from: f64| {
            1.0 + further.iter().enumerate().map(|(column, l)| into(from, column) * l).sum::<f64>()
        };
        (start(self.head_start), start(0.0))
    }
}
