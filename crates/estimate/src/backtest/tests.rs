//! On histories that nobody here wrote, and on one whose best forecast is known.

use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution as _, StandardNormal};

use super::*;
use crate::series::tests::resistor;

fn find(scores: &[Scored], way: Way) -> Scored {
    *scores.iter().find(|scored| scored.way == way).unwrap()
}

fn one(points: Vec<Point>) -> Vec<History> {
    vec![History { unit: "one".to_owned(), group: "one".to_owned(), points }]
}

// A walk of variance 1 read with noise of variance 20: the best forecast is the exponentially weighted mean with weight
// 0.2 (q = 0.05), whose errors have a variance of 25, against 41 of the last reading.
#[test]
fn a_noisy_walk_is_forecast_as_well_as_can_be() {
    let mut luck = ChaCha8Rng::seed_from_u64(5);
    let mut normal = || -> f64 { StandardNormal.sample(&mut luck) };
    let mut histories = Vec::new();
    for unit in 0..20 {
        let mut level = 0.0;
        let points = (0..120)
            .map(|week| {
                level += normal();
                let value = level + 20.0_f64.sqrt() * normal();
                Point { at: f64::from(week), value, own: 0.0 }
            })
            .collect();
        histories.push(History { unit: unit.to_string(), group: "all".to_owned(), points });
    }
    let scores = backtest(&histories, 1);
    let mean_error = |variance: f64| (2.0 * variance / core::f64::consts::PI).sqrt();
    let (last, level) = (find(&scores, Way::SameAsLast), find(&scores, Way::Level));
    assert!((last.error / mean_error(41.0) - 1.0).abs() < 0.06, "{last:?}");
    assert!((level.error / mean_error(25.0) - 1.0).abs() < 0.06, "{level:?}");
    assert!(level.crps < last.crps && level.crps <= find(&scores, Way::Smoothed).crps * 1.01);
    assert_eq!(level.coverage.holds(0.9, 0.99), Some(true), "{level:?}");
}

// Half a year ahead (26 readings), from the second half on: the drift is real, and knowing it is worth a third of the error.
#[test]
fn the_resistor_half_a_year_ahead() {
    let scores = backtest(&one(resistor()), 26);
    let (last, level) = (find(&scores, Way::SameAsLast), find(&scores, Way::Level));
    assert!(level.error < 0.65 * last.error && level.crps < 0.65 * last.crps, "{scores:?}");
    assert!(level.crps <= 88.6, "{level:?}");
}

#[test]
fn short_histories_are_left_out() {
    let points: Vec<Point> =
        (0..FEWEST - 1).map(|k| Point { at: k as f64, value: 1.0, own: 0.0 }).collect();
    assert_eq!(backtest(&one(points), 1), []);
    assert_eq!(backtest(&[], 3), []);
}

#[test]
fn readings_that_are_all_alike_are_no_fault() {
    let points: Vec<Point> =
        (0..40).map(|k| Point { at: f64::from(k / 2), value: 7.0, own: 0.0 }).collect();
    for scored in backtest(&one(points), 2) {
        assert!(scored.error.abs() < 1e-9, "{scored:?}");
    }
}
