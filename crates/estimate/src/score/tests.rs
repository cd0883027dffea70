//! Scores against published formulas and figures of other programs.

use super::*;

/// Computed for the reference by two other programs.
#[test]
fn normal_forecasts() {
    let rows = [
        (0.0, 1.0, 0.0, 0.233_695_0, 0.918_938_5),
        (0.0, 1.0, 1.0, 0.602_441_4, 1.418_938_5),
        (0.0, 1.0, 2.0, 1.452_791_8, 2.918_938_5),
        (10.0, 2.0, 13.0, 1.988_848_0, 2.737_085_7),
    ];
    for (mean, sd, read, crps, log) in rows {
        assert!((crps_normal(mean, sd, read) - crps).abs() < 1e-7, "{mean} {sd} {read}");
        assert!((log_score(mean, sd, read) - log).abs() < 1e-7);
    }
    assert_eq!(crps_normal(3.0, 0.0, 5.0), 2.0);
    assert!(crps_normal(3.0, -1.0, 5.0).is_nan());
    assert_eq!(log_score(3.0, 0.0, 5.0), f64::INFINITY);
}

/// The definition: the integral of the squared difference of the forecast's distribution and the reading's step.
#[test]
fn mixtures_are_the_integral_that_they_stand_for() {
    let part = |share, mean, sd| Part { share, mean, sd };
    let parts = [part(0.7, 30.0, 1.0), part(0.2, 27.0, 0.5), part(0.1, 33.0, 3.0)];
    for read in [25.0, 30.0, 31.5, 40.0] {
        let square = |x: f64| place_in_mixture(&parts, x).powi(2);
        let above = |x: f64| (1.0 - place_in_mixture(&parts, x)).powi(2);
        let sum = |low, high, f: &dyn Fn(f64) -> f64| -> f64 {
            crate::numeric::points(low, high, 200).iter().map(|(x, w)| w * f(*x)).sum()
        };
        let integral = sum(10.0, read, &square) + sum(read, 60.0, &above);
        let got = crps_mixture(&parts, read);
        assert!((got - integral).abs() < 1e-9, "{read}: {got} {integral}");
    }
    // One part is the normal forecast, whatever its share; parts of no spread are an ensemble.
    assert!((crps_mixture(&[part(3.0, 10.0, 2.0)], 13.0) - 1.988_848_0).abs() < 1e-7);
    let sure = [part(1.0, 0.0, 0.0), part(1.0, 1.0, 0.0), part(1.0, 2.0, 0.0)];
    assert!((crps_mixture(&sure, 0.5) - 0.388_888_9).abs() < 1e-7);
    assert!((place_in_mixture(&sure, 1.0) - 2.0 / 3.0).abs() < 1e-12);
    assert!(
        crps_mixture(&[], 1.0).is_nan() && place_in_mixture(&[part(0.0, 1.0, 1.0)], 1.0).is_nan()
    );
}

/// 0.3888889 by another program; many members come to the normal forecast's score.
#[test]
fn ensembles() {
    assert!((crps_ensemble(&[2.0, 0.0, 1.0], 0.5) - 0.388_888_9).abs() < 1e-7);
    let members: Vec<f64> = (0..4000)
        .map(|i| ouncewise_measure::special::normal_quantile((f64::from(i) + 0.5) / 4000.0))
        .collect();
    assert!((crps_ensemble(&members, 1.0) - 0.602_441_4).abs() < 1e-3);
    assert!(crps_ensemble(&[], 1.0).is_nan());
}

/// 10.39 and 3.29, computed for the reference.
#[test]
fn intervals() {
    assert!((interval_score(-1.645, 1.645, 0.9, 2.0) - 10.39).abs() < 1e-9);
    assert!((interval_score(-1.645, 1.645, 0.9, -2.0) - 10.39).abs() < 1e-9);
    assert!((interval_score(-1.645, 1.645, 0.9, 0.0) - 3.29).abs() < 1e-12);
}

/// Clopper and Pearson's limits at 95 % for the shares that the reference lists.
#[test]
fn coverage() {
    let share = |hits, of| Coverage { hits, of }.share(0.95);
    let near = |(low, high): (f64, f64), a: f64, b: f64| {
        assert!((low - a).abs() < 1e-6 && (high - b).abs() < 1e-6, "{low} {high}");
    };
    near(share(45, 50), 0.781_865, 0.966_725);
    near(share(38, 50), 0.618_309, 0.869_390);
    near(share(20, 20), 0.831_567, 1.0);
    near(share(0, 20), 0.0, 1.0 - 0.831_567);
    near(share(0, 0), 0.0, 1.0);
    near(share(9, 3), share(3, 3).0, 1.0);
    let (expected, sd) = Coverage { hits: 46, of: 51 }.expected(0.9);
    assert!((expected - 45.9).abs() < 1e-12 && (sd - 2.1).abs() < 0.05);
    assert_eq!(Coverage { hits: 46, of: 51 }.holds(0.9, 0.95), Some(true));
    assert_eq!(Coverage { hits: 51, of: 51 }.holds(0.9, 0.95), Some(false));
    assert_eq!(Coverage { hits: 0, of: 0 }.holds(0.9, 0.95), None);
}

/// Decimals of π (NIST's certified data set PIDIGITS: mean 4.5348), and 48 decimals of a published table.
#[test]
fn even_classes() {
    let test = |counts: &[u32]| Even { counts: counts.to_vec() }.test().unwrap();
    let pi = [466, 531, 496, 461, 508, 525, 513, 488, 491, 521];
    let mean: u32 = (0..).zip(pi).map(|(digit, count)| digit * count).sum();
    assert!((f64::from(mean) / 5000.0 - 4.5348).abs() < 1e-9);
    let (square, chance) = test(&pi);
    assert!((square - 10.356).abs() < 1e-3 && (chance - 0.322_441).abs() < 1e-6);
    let (square, chance) = test(&[7, 3, 5, 4, 3, 1, 3, 12, 6, 4]);
    assert!((square - 17.416_667).abs() < 1e-6 && (chance - 0.042_577_0).abs() < 1e-7);
    assert_eq!(Even { counts: vec![3] }.test(), None);
    assert_eq!(Even { counts: vec![0, 0] }.test(), None);
}

#[test]
fn places_in_forecasts() {
    let even = Even::of(&[0.0, 0.05, 0.31, 0.99, 1.0, f64::NAN, 1.5], 4);
    assert_eq!(even.counts, [2, 1, 0, 2]);
    assert!(Even::of(&[0.5], 0).counts.is_empty());
    assert!((place_in_normal(10.0, 2.0, 12.0) - 0.841_344_7).abs() < 1e-7);
    // Forecasts that are twice too narrow show in the outer classes.
    let places: Vec<f64> = (0..500)
        .map(|i| {
            let read = ouncewise_measure::special::normal_quantile((f64::from(i) + 0.5) / 500.0);
            place_in_normal(0.0, 0.5, read)
        })
        .collect();
    let (_, chance) = Even::of(&places, 10).test().unwrap();
    assert!(chance < 1e-6);
}
