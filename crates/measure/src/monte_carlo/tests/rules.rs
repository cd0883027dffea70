//! The rules of clauses 6 and 7.

use super::super::sample::covered;
use super::*;
use proptest::prelude::*;

#[test]
fn jcgm_101_7_9_2_numerical_tolerance() {
    close(numerical_tolerance(0.000_35, 2), 5e-6, 1e-18);
    close(numerical_tolerance(0.000_35, 1), 5e-5, 1e-17);
    close(numerical_tolerance(2.0, 1), 0.5, 0.0);
    close(numerical_tolerance(10.0, 2), 0.5, 1e-15);
    // 0.996 is 1.0 to two digits, and so c = 10 and l = −1.
    close(numerical_tolerance(0.996, 2), 0.05, 1e-16);
    assert_eq!(numerical_tolerance(0.0, 2), 0.0);
}

#[test]
fn jcgm_101_7_7_2_coverage_index() {
    assert_eq!(covered(1_000_000, 0.95), 950_000);
    assert_eq!(covered(100, 0.954_5), 95);
    assert_eq!(covered(10, 0.95), 10);
    assert_eq!(covered(11, 0.5), 6);
}

#[test]
fn jcgm_101_7_9_4_block_size() {
    assert_eq!(block_size(0.95), 10_000);
    assert_eq!(block_size(0.99), 10_000);
    assert_eq!(block_size(0.999), 100_000);
}

#[test]
fn intervals_of_few_draws() {
    let sample = Sample::new((1..=100).rev().map(f64::from).collect());
    assert_eq!(sample.symmetric(0.90), Interval { low: 5.0, high: 95.0 });
    assert_eq!(sample.shortest(0.90), Interval { low: 1.0, high: 91.0 });
    let leaning = Sample::new((0..100).map(|i| f64::from(i).powi(3)).collect());
    assert_eq!(leaning.shortest(0.5), Interval { low: 0.0, high: 125_000.0 });
    assert_eq!(sample.share_within(10.0, 19.0), 0.10);
    assert_eq!(sample.share_within(19.0, 10.0), 0.0);
    let one = draw(&[Input::Exact(3.0)], |x| x[0], 0, 0).unwrap();
    assert_eq!(one.symmetric(0.95), Interval { low: 3.0, high: 3.0 });
    assert_eq!(one.shortest(0.95), Interval { low: 3.0, high: 3.0 });
}

/// Mean and standard deviation of every distribution of table 1, against its formula.
#[test]
fn jcgm_101_6_4_inputs() {
    let root = |x: f64| x.sqrt();
    let rows = [
        (Input::Exact(4.0), 4.0, 0.0),
        (Input::Normal { mean: 4.0, standard_uncertainty: 2.0 }, 4.0, 2.0),
        (
            Input::T { mean: 4.0, standard_uncertainty: 2.0, degrees_of_freedom: 9.0 },
            4.0,
            2.0 * root(9.0 / 7.0),
        ),
        (
            Input::T { mean: 4.0, standard_uncertainty: 2.0, degrees_of_freedom: f64::INFINITY },
            4.0,
            2.0,
        ),
        (Input::Rectangular { low: 1.0, high: 7.0 }, 4.0, root(3.0)),
        (Input::Triangular { low: 1.0, high: 7.0 }, 4.0, root(1.5)),
        (Input::Trapezoid { low: 1.0, high: 7.0, top: 0.5 }, 4.0, 3.0 * root(1.25 / 6.0)),
        (
            Input::CurvilinearTrapezoid { low: 1.0, high: 7.0, inexact: 1.5 },
            4.0,
            root(3.0 + 1.5 * 1.5 / 9.0),
        ),
        (Input::Arcsine { low: 1.0, high: 7.0 }, 4.0, root(4.5)),
    ];
    for (seed, (input, mean, u)) in (50..).zip(rows) {
        let found = draw(&[input], |x| x[0], 200_000, seed).unwrap();
        close(found.mean(), mean, 0.01 * u);
        close(found.standard_uncertainty(), u, 0.01 * u);
    }
}

#[test]
fn inputs_that_describe_nothing_are_refused() {
    let wrong = [
        Input::Exact(f64::NAN),
        Input::Normal { mean: 0.0, standard_uncertainty: -1.0 },
        Input::T { mean: 0.0, standard_uncertainty: 1.0, degrees_of_freedom: 0.0 },
        Input::T { mean: 0.0, standard_uncertainty: 1.0, degrees_of_freedom: f64::NAN },
        Input::Rectangular { low: 2.0, high: 1.0 },
        Input::Triangular { low: 0.0, high: f64::INFINITY },
        Input::Trapezoid { low: 0.0, high: 1.0, top: 1.5 },
        Input::CurvilinearTrapezoid { low: 0.0, high: 1.0, inexact: 0.6 },
        Input::Arcsine { low: f64::NAN, high: 1.0 },
    ];
    for input in wrong {
        let refused = draw(&[Input::Exact(1.0), input], |x| x[1], 10, 0);
        assert!(
            matches!(refused, Err(MonteCarloError::Input { index: 1, .. })),
            "{input:?}: {refused:?}"
        );
    }
}

#[test]
fn a_model_without_a_number_is_refused() {
    let refused = draw(&[about(0.0, 1.0)], |x| x[0].sqrt(), 1000, 0);
    assert!(matches!(refused, Err(MonteCarloError::NotFinite { .. })));
    let settings = Settings { probability: 1.0, ..Settings::default() };
    assert_eq!(
        adaptive(&[about(0.0, 1.0)], |x| x[0], &settings),
        Err(MonteCarloError::Probability { probability: 1.0 })
    );
}

#[test]
fn jcgm_101_7_9_4_draws_until_stable() {
    let inputs = [standard_normal(); 4];
    let model = |x: &[f64]| x.iter().sum::<f64>();
    let one = Settings { seed: 7, digits: 1, ..Settings::default() };
    let quick = adaptive(&inputs, model, &one).unwrap();
    assert!(quick.stable);
    assert_eq!(quick.tolerance, 0.5);
    assert_eq!(quick.sample.sorted().len(), 20_000);
    let two = Settings { digits: 2, ..one };
    let slow = adaptive(&inputs, model, &two).unwrap();
    assert!(slow.stable && slow.sample.sorted().len() > quick.sample.sorted().len());
    close(slow.sample.standard_uncertainty(), 2.0, slow.tolerance);
    interval_close(slow.sample.symmetric(0.95), -3.92, 3.92, 2.0 * slow.tolerance);
    let short = adaptive(&inputs, model, &Settings { most: 20_000, ..two }).unwrap();
    assert!(!short.stable);
    assert_eq!(short.sample.sorted().len(), 20_000);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn the_same_seed_draws_the_same(seed in any::<u64>()) {
        let inputs = [standard_normal(), Input::Arcsine { low: 0.0, high: 1.0 }];
        let once = draw(&inputs, |x| x[0] * x[1], 500, seed);
        prop_assert_eq!(&once, &draw(&inputs, |x| x[0] * x[1], 500, seed));
        prop_assert_ne!(once, draw(&inputs, |x| x[0] * x[1], 500, seed ^ 1));
    }

    #[test]
    fn shortest_is_no_longer_than_symmetric(values in prop::collection::vec(-10.0..10.0_f64, 1..300), p in 0.05..0.99_f64) {
        let sample = Sample::new(values);
        let (shortest, symmetric) = (sample.shortest(p), sample.symmetric(p));
        prop_assert!(shortest.high - shortest.low <= symmetric.high - symmetric.low + 1e-12);
        prop_assert!(sample.share_within(shortest.low, shortest.high) + 0.5 / sample.sorted().len() as f64 + 1e-12 >= p);
    }

    #[test]
    fn tolerance_is_half_a_unit_of_the_last_digit(u in 1e-9..1e9_f64, digits in 1..3_u32) {
        let tolerance = numerical_tolerance(u, digits);
        let kept = (u / (2.0 * tolerance)).round();
        prop_assert!(kept >= 10_f64.powi(digits as i32 - 1) && kept < 10_f64.powi(digits as i32) + 0.5);
    }
}
