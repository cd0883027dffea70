//! What must hold whatever the figures.

use super::*;
use proptest::prelude::*;

/// The same line in another size: all volumes times `scale`.
fn resized(setup: &Setup, scale: f64) -> Setup {
    let mut other = setup.clone();
    other.aim.target = Target::Volume(Millilitres(30.0 * scale));
    let Measure::Vessel(vessel) = &mut other.measure else { unreachable!("vessels only") };
    vessel.tolerance.0 *= scale;
    vessel.film.0 *= scale;
    if let Marks::Every(division) = &mut vessel.marks {
        division.0 *= scale;
    }
    other
}

proptest! {
    #[test]
    fn scaling_all_volumes_changes_nothing(
        amounts in prop::collection::vec(0.0..60.0f64, 1..5), seconds in 0.5..20.0f64, division in 0.1..5.0f64,
        tolerance in 0.0..3.0f64, film in 0.0..1.0f64, scale in 0.01..100.0f64,
    ) {
        let mut setup = rate(seconds, vessel(division, tolerance));
        let Measure::Vessel(vessel) = &mut setup.measure else { unreachable!("vessels only") };
        vessel.film = Millilitres(film);
        let catches = |scale: f64| -> Vec<Catch> { amounts.iter().map(|a| in_seconds(a * scale, seconds)).collect() };
        let one = show(&setup, &catches(1.0)).unwrap();
        let other = show(&resized(&setup, scale), &catches(scale)).unwrap();
        prop_assert!((one.probability_on_target - other.probability_on_target).abs() < 1e-9);
        prop_assert!((one.portion.unwrap() * scale - other.portion.unwrap()).abs() <= 1e-9 * other.portion.unwrap());
        prop_assert_eq!(one.verdict, other.verdict);
        prop_assert_eq!(one.first_order_enough, other.first_order_enough);
    }

    #[test]
    fn a_worse_measure_or_timer_is_never_surer(
        division in 0.1..5.0f64, tolerance in 0.0..3.0f64, spread in 0.02..0.5f64, seconds in 2.0..20.0f64, worse in 1.0..3.0f64,
    ) {
        let best = |division, tolerance, spread| {
            let mut setup = rate(seconds, vessel(division, tolerance));
            setup.timer = Timer::Hand { spread: Seconds(spread), resolution: Seconds(0.01) };
            can_show(&setup).unwrap().best_probability
        };
        let one = best(division, tolerance, spread);
        prop_assert!(best(division * worse, tolerance, spread) <= one + 1e-12);
        prop_assert!(best(division, tolerance * worse, spread) <= one + 1e-12);
        prop_assert!(best(division, tolerance, spread * worse) <= one + 1e-12);
    }

    #[test]
    fn nothing_that_can_be_typed_panics(
        amount in -10.0..1e6f64, kind in 0..5u8, seconds in -1.0..1e4f64, doses in 0..50u32, target in 0.0..1e4f64,
        tolerance in 0.0..1.2f64, risk in 0.0..0.6f64, limit in -1.0..50.0f64, step in -0.1..50.0f64, timed: bool,
        offset in prop::option::of(-2.0..10.0f64), density in prop::option::of(0.0..3.0f64), machine: bool, grams: bool,
        which in 0..3u8, count in 0..4usize,
    ) {
        let draw = if timed { Draw::Time(Seconds(seconds)) } else { Draw::Doses(doses) };
        let measure = match which { 0 => vessel(step, limit), 1 => cup(step, limit), _ => scale(step, limit) };
        let mut setup = setup(if timed { Metering::Rate } else { Metering::Dose }, draw, measure);
        setup.aim.target = if grams { Target::Mass(Grams(target)) } else { Target::Volume(Millilitres(target)) };
        setup.aim.tolerance = tolerance;
        setup.risk = risk;
        setup.opening_offset = offset.map(Seconds);
        setup.density = density.map(|density| (density, 0.01));
        if machine {
            setup.timer = Timer::Machine { tolerance: Seconds(0.1) };
        }
        let amount = match kind {
            0 => millilitres(amount),
            1 => Amount::Mass(Grams(amount)),
            2 => Amount::Mark(MarkSide::At, Millilitres(amount)),
            3 => Amount::Mark(MarkSide::Over, Millilitres(amount)),
            _ => Amount::Mark(MarkSide::Under, Millilitres(amount)),
        };
        let catches = vec![at(amount, draw); count];
        if let Ok(shown) = show(&setup, &catches) {
            prop_assert!((0.0..=1.0).contains(&shown.probability_on_target), "{shown:?}");
            prop_assert!(shown.standard_uncertainty >= 0.0, "{shown:?}");
            let reason = shown.reason.words(Units::Us);
            prop_assert!(reason.ends_with(|last: char| last.is_alphanumeric() || last == '%'), "{reason}");
            prop_assert!(decide(&setup, &catches).is_ok());
        }
        if let Ok(shown) = can_show(&setup) {
            prop_assert!((0.0..=1.0).contains(&shown.best_probability), "{shown:?}");
            prop_assert!(shown.best_of_many + 1e-9 >= shown.best_probability, "{shown:?}");
        }
    }
}
