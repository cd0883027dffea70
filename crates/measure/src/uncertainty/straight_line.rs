//! A straight line through readings by least squares, with the uncertainty of what it predicts. JCGM 100:2008, H.3.

use super::type_a::mean;
use crate::special::t_below;

/// y = intercept + slope · (x − origin).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StraightLine {
    /// The x that the intercept is stated at.
    pub origin: f64,
    /// The line's y at the origin.
    pub intercept: f64,
    /// Its rise in y for each x.
    pub slope: f64,
    /// Standard uncertainty of the intercept.
    pub intercept_uncertainty: f64,
    /// Standard uncertainty of the slope.
    pub slope_uncertainty: f64,
    /// Correlation of intercept and slope.
    pub correlation: f64,
    /// Standard deviation of the readings about the line.
    pub residual: f64,
    /// Degrees of freedom, n − 2.
    pub degrees_of_freedom: f64,
}

impl StraightLine {
    /// The line's y at `x`, and its standard uncertainty (that of the line, not of one more reading).
    pub fn at(&self, x: f64) -> (f64, f64) {
        let run = x - self.origin;
        let (a, b) = (self.intercept_uncertainty, run * self.slope_uncertainty);
        (
            self.intercept + run * self.slope,
            libm::sqrt(a * a + b * b + 2.0 * a * b * self.correlation),
        )
    }

    /// The x at which the line's y is zero, and its standard uncertainty (first order, JCGM 100:2008, 5.2.2).
    /// Infinite where the line is level.
    pub fn zero(&self) -> (f64, f64) {
        let run = -self.intercept / self.slope;
        // At its zero, a line that is known to u(y) there is known to u(y) / slope in x.
        let (_, u) = self.at(self.origin + run);
        (self.origin + run, (u / self.slope).abs())
    }

    /// Probability of a slope at least so far from zero, either way, if the true slope were zero.
    pub fn chance_of_no_slope(&self) -> f64 {
        2.0 * t_below(-(self.slope / self.slope_uncertainty).abs(), self.degrees_of_freedom)
    }
}

/// Fits a line to (x, y) readings of equal weight; the intercept is stated at `origin`.
/// `None` below three readings, or if all have the same x.
pub fn fit(readings: &[(f64, f64)], origin: f64) -> Option<StraightLine> {
    let count = readings.len() as f64;
    if readings.len() < 3 {
        return None;
    }
    let x: Vec<f64> = readings.iter().map(|reading| reading.0 - origin).collect();
    let y: Vec<f64> = readings.iter().map(|reading| reading.1).collect();
    let (mean_x, mean_y) = (mean(&x), mean(&y));
    let spread: f64 = x.iter().map(|x| (x - mean_x) * (x - mean_x)).sum();
    if spread == 0.0 {
        return None;
    }
    let slope = x.iter().zip(&y).map(|(x, y)| (x - mean_x) * (y - mean_y)).sum::<f64>() / spread;
    let squares: f64 = x
        .iter()
        .zip(&y)
        .map(|(x, y)| {
            let off = y - mean_y - slope * (x - mean_x);
            off * off
        })
        .sum();
    let residual = libm::sqrt(squares / (count - 2.0));
    // Σ x² / n, without squaring an x far from the origin before subtracting.
    let mean_square = spread / count + mean_x * mean_x;
    Some(StraightLine {
        origin,
        intercept: mean_y - slope * mean_x,
        slope,
        intercept_uncertainty: residual * libm::sqrt(mean_square / spread),
        slope_uncertainty: residual / libm::sqrt(spread),
        correlation: -mean_x / libm::sqrt(mean_square),
        residual,
        degrees_of_freedom: count - 2.0,
    })
}
