//! The weighted average chart: each reading pulls the average by a fixed share of the way.

use ouncewise_measure::special::normal_density;

use super::{Course, MOST_READINGS, NONE_LEFT};
use crate::numeric::{points, solve};

/// Which limits a weighted average is held to. They differ for some ten readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EwmaLimits {
    /// Those that hold in the long run, from the first reading on.
    Asymptotic,
    /// Those of each reading: narrow at first, where the average still rests on few readings.
    Exact,
}

/// A weighted average chart (NIST/SEMATECH e-Handbook 6.3.2.4). The average starts at the target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ewma {
    /// The newest reading's weight λ, above 0 and at most 1.
    pub weight: f64,
    /// Half the width between the limits, in standard deviations of the average.
    pub width: f64,
    /// Which limits.
    pub limits: EwmaLimits,
}

/// The average after a reading, and its limits, in the readings' own unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EwmaPoint {
    /// The average.
    pub average: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
    /// Whether the average is beyond a limit.
    pub out: bool,
}

/// Half the width between limits that is computed, in steps that a reading of one standard deviation makes.
const MOST_STEPS: f64 = 40.0;

impl Ewma {
    /// Half the width between the limits after a reading, in standard deviations of one reading; the first is number 1.
    #[must_use]
    pub fn half_width(&self, reading: u32) -> f64 {
        let settled = self.width * (self.weight / (2.0 - self.weight)).sqrt();
        match self.limits {
            EwmaLimits::Asymptotic => settled,
            EwmaLimits::Exact => {
                let kept = libm::pow(1.0 - self.weight, 2.0 * f64::from(reading));
                settled * (1.0 - kept).sqrt()
            }
        }
    }

    /// The chart of readings about a target, where one reading has the standard deviation `sd`.
    #[must_use]
    pub fn run(&self, target: f64, sd: f64, readings: &[f64]) -> Vec<EwmaPoint> {
        let mut average = target;
        (1..)
            .zip(readings)
            .map(|(number, reading)| {
                average += self.weight * (reading - average);
                let half = sd * self.half_width(number);
                let (low, high) = (target - half, target + half);
                EwmaPoint { average, low, high, out: average < low || average > high }
            })
            .collect()
    }

    /// How many readings the chart takes on average until it cries out. NaN if weight or width are out of range, if the limits
    /// are more than 80 steps of a reading apart (a weight under a hundredth or so), or if it takes more than some hundred
    /// thousand readings while the mean drifts.
    ///
    /// By the integral equation of the run length (Crowder 1987) where nothing changes with time; otherwise by following the
    /// density of the average from reading to reading.
    #[must_use]
    pub fn average_run_length(&self, course: Course) -> f64 {
        self.average_delay(0, course)
    }

    /// How many readings it takes on average from where the mean takes a course, after so many `quiet` readings on the target
    /// at which the chart did not cry out. NaN as [`Ewma::average_run_length`], and where hardly a run is quiet for so long.
    #[must_use]
    pub fn average_delay(&self, quiet: u32, course: Course) -> f64 {
        let settled = self.width * (self.weight / (2.0 - self.weight)).sqrt();
        let sane =
            self.weight > 0.0 && self.weight <= 1.0 && self.width > 0.0 && self.width <= 12.0;
        let known = course.shift.is_finite() && course.drift.is_finite();
        if !(sane && known && settled <= MOST_STEPS * self.weight) {
            return f64::NAN;
        }
        // Four nodes for each standard deviation of a step, within reason.
        let count = ((8.0 * settled / self.weight).ceil() as usize).clamp(40, 160);
        let step = |from: f64, to: f64, mean: f64| {
            normal_density((to - (1.0 - self.weight) * from) / self.weight - mean) / self.weight
        };
        let ahead = (course.drift == 0.0)
            .then(|| further(&points(-settled, settled, count), |a, b| step(a, b, course.shift)));
        if let (Some(ahead), EwmaLimits::Asymptotic, 0) = (&ahead, self.limits, quiet) {
            let sum: f64 = points(-settled, settled, count)
                .iter()
                .zip(ahead)
                .map(|((to, weight), further)| weight * step(0.0, *to, course.shift) * further)
                .sum();
            return 1.0 + sum;
        }
        let grid = |reading| {
            let half = self.half_width(reading);
            points(-half, half, count)
        };
        let mean = |reading: u32| if reading > quiet { course.mean(reading - quiet) } else { 0.0 };
        let mut nodes = grid(1);
        let mut density: Vec<f64> = nodes.iter().map(|(to, _)| step(0.0, *to, mean(1))).collect();
        // How many of all runs are left at the change, and how many readings these take from there.
        let (mut start, mut total) = if quiet == 0 { (1.0, 1.0) } else { (0.0, 0.0) };
        for reading in 2..MOST_READINGS {
            let mass: Vec<f64> =
                nodes.iter().zip(&density).map(|((_, weight), f)| weight * f).collect();
            let left: f64 = mass.iter().sum();
            if reading - 1 == quiet {
                start = left;
            }
            if reading > quiet {
                let is_settled = self.half_width(reading - 1) >= settled * (1.0 - 1e-14);
                if let (Some(ahead), true) = (&ahead, is_settled) {
                    let further: f64 = mass.iter().zip(ahead).map(|(m, l)| m * l).sum();
                    return (total + further) / start;
                }
                total += left;
            }
            if left < NONE_LEFT * if reading > quiet { start } else { 1.0 } {
                return total / start;
            }
            let next = match self.limits {
                EwmaLimits::Asymptotic => nodes.clone(),
                EwmaLimits::Exact => grid(reading),
            };
            let now = mean(reading);
            density = next
                .iter()
                .map(|(to, _)| {
                    nodes.iter().zip(&mass).map(|((from, _), m)| m * step(*from, *to, now)).sum()
                })
                .collect();
            nodes = next;
        }
        f64::NAN
    }
}

/// How many further readings there are on average from each node.
fn further(nodes: &[(f64, f64)], step: impl Fn(f64, f64) -> f64) -> Vec<f64> {
    let matrix = nodes
        .iter()
        .enumerate()
        .map(|(row, (from, _))| {
            let into = |(column, (to, weight)): (usize, &(f64, f64))| {
                f64::from(u8::from(row == column)) - weight * step(*from, *to)
            };
            nodes.iter().enumerate().map(into).collect()
        })
        .collect();
    solve(matrix, vec![1.0; nodes.len()])
}
