//! Tables against their sources, and limits that cannot be.

use super::*;
use proptest::prelude::*;

const ML: fn(f64) -> Millilitres = Millilitres;

/// ASTM E1272-02(2012), table 1: class A and B tolerances by capacity.
#[test]
fn cylinders_are_as_in_astm_e1272() {
    for (capacity, class_a, class_b, division) in [
        (10.0, 0.10, 0.20, 0.1),
        (25.0, 0.17, 0.34, 0.5),
        (50.0, 0.25, 0.50, 1.0),
        (100.0, 0.50, 1.00, 1.0),
        (250.0, 1.00, 2.00, 2.0),
        (500.0, 2.00, 4.00, 5.0),
    ] {
        for (class, tolerance) in [(Class::A, class_a), (Class::B, class_b)] {
            let vessel = cylinder(ML(capacity), class).unwrap();
            assert_eq!(Ok(vessel), Vessel::graduated(ML(division), ML(tolerance)), "{capacity} mL");
        }
    }
    assert_eq!(cylinder(ML(30.0), Class::A), None);
    assert_eq!(cylinder(ML(f64::NAN), Class::A), None);
}

/// OIML R 138:2007, 5.1.1: below and above each change of rule.
#[test]
fn limits_are_as_in_oiml_r138() {
    let both = |limits: Limits| {
        assert_eq!(limits.below.0, -limits.above.0);
        limits.above.0
    };
    let above = |limits: Limits| {
        assert_eq!(limits.below.0, 0.0);
        limits.above.0
    };
    for (capacity, line, brim) in
        [(30.0, 2.0, 4.0), (99.9, 2.0, 4.0), (100.0, 3.0, 6.0), (250.0, 7.5, 15.0)]
    {
        assert!((both(transfer_limits(ML(capacity), false)) - line).abs() < 1e-12, "{capacity} mL");
        assert!((above(transfer_limits(ML(capacity), true)) - brim).abs() < 1e-12, "{capacity} mL");
    }
    for (capacity, line, brim) in
        [(30.0, 5.0, 10.0), (199.9, 5.0, 10.0), (200.0, 10.0, 20.0), (400.0, 15.0, 30.0)]
    {
        assert!((both(drinking_limits(ML(capacity), false)) - line).abs() < 1e-12, "{capacity} mL");
        assert!((above(drinking_limits(ML(capacity), true)) - brim).abs() < 1e-12, "{capacity} mL");
    }
}

/// OIML R 138:2007, 5.1.2; the rules meet where they change.
#[test]
fn measuring_bottles_are_as_in_oiml_r138() {
    for (capacity, limit) in [
        (50.0, 3.0),
        (99.0, 3.0),
        (100.0, 3.0),
        (150.0, 4.5),
        (200.0, 6.0),
        (300.0, 6.0),
        (400.0, 8.0),
        (500.0, 10.0),
        (1000.0, 10.0),
    ] {
        assert!(
            (measuring_bottle_limit(ML(capacity)).unwrap().0 - limit).abs() < 1e-12,
            "{capacity} mL"
        );
    }
    for outside in [49.9, 1000.1, -1.0, f64::NAN] {
        assert_eq!(measuring_bottle_limit(ML(outside)), None);
    }
}

/// Am. J. Phys. 87(2) 110 (2019): start and stop by the same thumb, N(0, 0.10² s²).
#[test]
fn a_thumb_is_as_measured_in_2019() {
    assert_eq!(Timer::by_hand(), Timer::hand(Seconds(0.10), Seconds(0.01)).unwrap());
}

#[test]
fn what_is_assumed_of_a_kitchen_is_sound_and_says_why() {
    for (index, assumed) in KITCHEN.iter().enumerate() {
        assert_eq!(assumed.measure.faults(), [], "{}", assumed.key);
        assert!(assumed.why.starts_with("assumed: "), "{}", assumed.key);
        assert!(
            KITCHEN[..index].iter().all(|earlier| earlier.key != assumed.key),
            "{} is there twice",
            assumed.key
        );
    }
}

#[test]
fn limits_that_cannot_be_are_refused_with_a_reason() {
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(Vessel::graduated(ML(bad), ML(1.0)).is_err(), "division {bad}");
        assert!(Vessel::one_mark(ML(bad), ML(0.0)).is_err(), "mark {bad}");
        assert!(Scale::new(Grams(bad), Grams(1.0)).is_err(), "resolution {bad}");
        assert!(Timer::hand(Seconds(bad), Seconds(0.01)).is_err(), "spread {bad}");
        assert!(Timer::hand(Seconds(0.1), Seconds(bad)).is_err(), "resolution {bad}");
    }
    for bad in [-0.1, f64::NAN, f64::INFINITY] {
        assert!(Vessel::graduated(ML(1.0), ML(bad)).is_err(), "tolerance {bad}");
        assert!(Vessel::one_mark(ML(30.0), ML(bad)).is_err(), "tolerance {bad}");
        assert!(Scale::new(Grams(1.0), Grams(bad)).is_err(), "tolerance {bad}");
        assert!(Timer::machine(Seconds(bad)).is_err(), "tolerance {bad}");
        assert!(
            Vessel::graduated(ML(1.0), ML(0.0)).unwrap().with_film(ML(bad)).is_err(),
            "film {bad}"
        );
    }
    assert!(Vessel::one_mark(ML(30.0), ML(30.0)).is_err(), "a mark that may be nothing at all");
    let error = Vessel::graduated(ML(-5.0), ML(1.0)).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the division is -5 mL: give the step between two marks, above zero"
    );
}

#[test]
fn all_faults_are_told_at_once() {
    let vessel = Vessel { marks: Marks::Every(ML(0.0)), tolerance: ML(-1.0), film: ML(f64::NAN) };
    let faults: Vec<&str> = Measure::from(vessel).faults().iter().map(|fault| fault.what).collect();
    assert_eq!(faults, ["the division", "the tolerance", "the film"]);
    let scale = Scale { resolution: Grams(0.0), tolerance: Grams(-1.0), tared: true };
    assert_eq!(Measure::from(scale).faults().len(), 2);
}

proptest! {
    /// A constructor takes a value exactly if no fault is found in it.
    #[test]
    fn constructors_and_faults_agree(step in any::<f64>(), tolerance in any::<f64>()) {
        let (marks, film) = (Marks::Every(ML(step)), ML(0.0));
        let faults = Vessel { marks, tolerance: ML(tolerance), film }.faults();
        prop_assert_eq!(Vessel::graduated(ML(step), ML(tolerance)).is_ok(), faults.is_empty());
        prop_assert_eq!(faults.is_empty(), step > 0.0 && step.is_finite() && tolerance >= 0.0 && tolerance.is_finite());
    }
}
