//! JCGM 101:2008, clause 9, every example; and the rules of clauses 6 and 7.
//!
//! Published figures come from a million draws of somebody else's stream, so both sides have Monte Carlo error: tolerances are
//! half the last printed digit plus about three standard errors of our own draws. Closed forms where there are any.

use super::*;
use crate::uncertainty::propagation::Linearity;

mod clause_9;
mod rules;

/// Draws for each example.
const DRAWS: usize = 1_000_000;

#[track_caller]
fn close(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected} ± {tolerance}");
}

#[track_caller]
fn interval_close(found: Interval, low: f64, high: f64, tolerance: f64) {
    close(found.low, low, tolerance);
    close(found.high, high, tolerance);
}

fn standard_normal() -> Input {
    Input::Normal { mean: 0.0, standard_uncertainty: 1.0 }
}

fn about(middle: f64, half: f64) -> Input {
    Input::Rectangular { low: middle - half, high: middle + half }
}
