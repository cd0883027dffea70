//! Properties: dimensions, monotony, units that agree, and never a pass for what is not covered.

use super::*;
use ouncewise_measure::Unit;
use ouncewise_measure::quantity::Dimension;
use proptest::prelude::*;

fn litres(value: f64) -> Quantity {
    Quantity::rounded(value, 6, Unit::Litre).unwrap()
}

fn strength_of(product: Product, dose: DoseRead, water: Quantity) -> f64 {
    made(&Mix { product, dose, water, fill: Fill::UpTo }).strength.0
}

proptest! {
    /// Twice the dose is twice the strength, twice the water half of it.
    #[test]
    fn strength_goes_with_dose_over_water(grams in 1u32..100, water in 1.0f64..200.0, times in 1u32..9) {
        let product = Product::Dry { available_percent: 55.0, salt: None };
        let dose = |number: u32| DoseRead::Amount(Quantity::new(number.into(), Unit::Gram));
        let one = strength_of(product, dose(grams), litres(water));
        let more = strength_of(product, dose(grams * times), litres(water));
        prop_assert!((more / one - f64::from(times)).abs() < 1e-9);
        let thinner = strength_of(product, dose(grams), litres(water * f64::from(times)));
        prop_assert!((one / thinner - f64::from(times)).abs() < 1e-4);
    }

    /// The same amount in any unit makes the same strength.
    #[test]
    fn units_agree(millilitres in 100.0f64..100_000.0, dose_millilitres in 1.0f64..500.0) {
        let product = Product::Liquid(Liquid { scale: LiquidScale::TradePercent, number: 5.0, density: None });
        let expected = 5.0 / 100.0 * dose_millilitres / millilitres * 1e6;
        for unit in Unit::all().filter(|unit| unit.dimension() == Dimension::Volume) {
            let water = Quantity::rounded(unit.of_base(millilitres), 12, unit).unwrap();
            let dose = Quantity::rounded(unit.of_base(dose_millilitres), 12, unit).unwrap();
            let found = strength_of(product, DoseRead::Amount(dose), water);
            prop_assert!((found / expected - 1.0).abs() < 1e-6, "{unit}: {found} and {expected}");
        }
    }

    /// Only a volume is water; only pieces, volumes and masses are doses.
    #[test]
    fn dimensions_are_held(number in 1u32..1000) {
        // One that is too much for its water is understood, and refused for that.
        let understood = |made: Result<Made, Vec<crate::profile::FieldFault>>| {
            made.map_or_else(|faults| faults[0].what.contains("does not fit into"), |_| true)
        };
        for unit in Unit::all() {
            let quantity = Quantity::new(number.into(), unit);
            let mix = Mix { water: quantity, ..packet_in("1 L") };
            prop_assert_eq!(understood(mix.made(None)), unit.dimension() == Dimension::Volume, "{}", unit);
            let dry = Product::Dry { available_percent: 55.0, salt: None };
            let weighed = Mix { product: dry, dose: DoseRead::Amount(quantity), ..packet_in("1 L") };
            prop_assert_eq!(understood(weighed.made(None)), unit.dimension() == Dimension::Mass, "{}", unit);
        }
    }

    /// What is needed for a strength makes that strength.
    #[test]
    fn needed_and_made_are_inverse(strength in 1.0f64..1000.0, water in 100.0f64..50_000.0, percent in 1.0f64..15.0, into in any::<bool>()) {
        let fill = if into { Fill::Into } else { Fill::UpTo };
        let product = Product::Liquid(Liquid { scale: LiquidScale::TradePercent, number: percent, density: None });
        let Needed::Volume(volume) = product.needed(MgPerLitre(strength), Millilitres(water), fill).unwrap() else {
            return Err(TestCaseError::fail("no volume"));
        };
        let dose = DoseRead::Amount(Quantity::rounded(volume.0, 9, Unit::Millilitre).unwrap());
        let back = made(&Mix { product, dose, water: Quantity::rounded(water, 9, Unit::Millilitre).unwrap(), fill });
        prop_assert!((back.strength.0 / strength - 1.0).abs() < 1e-6);
    }

    /// Whole pieces reach the strength, one fewer does not.
    #[test]
    fn pieces_are_the_fewest_that_reach(strength in 10.0f64..400.0, water in 500.0f64..100_000.0) {
        let Needed::Pieces { count, water: fits } = PACKET.needed(MgPerLitre(strength), Millilitres(water), Fill::UpTo).unwrap() else {
            return Err(TestCaseError::fail("no pieces"));
        };
        prop_assert!(fits.0 >= water * (1.0 - 1e-8));
        let fewer = f64::from(count - 1) * 0.946_352_946 / (strength / 1e6);
        prop_assert!(count == 1 || fewer < water);
    }

    /// The doubt: more error is a wider interval, which always holds the middle; chance and quantile are inverse.
    #[test]
    fn a_doubt_is_a_distribution(dose in 0.001f64..0.4, water in 0.001f64..0.4, limits in any::<bool>(), p in 0.02f64..0.98) {
        let shape = if limits { Shape::Limits } else { Shape::TwoSigma };
        let errors = |dose, water| StatedErrors {
            dose: Some(Stated { half_width: dose, shape }),
            assay: None,
            water: Some(Stated { half_width: water, shape: Shape::TwoSigma }),
        };
        let doubt = packet_in("10 L").made(Some(&errors(dose, water))).unwrap().doubt.unwrap();
        let wider = packet_in("10 L").made(Some(&errors(dose * 1.2, water * 1.2))).unwrap().doubt.unwrap();
        let (low, high) = doubt.interval(0.95);
        let (lower, higher) = wider.interval(0.95);
        prop_assert!(lower.0 < low.0 && low.0 < 94.7 && 94.5 < high.0 && high.0 < higher.0);
        prop_assert!((doubt.chance_below(doubt.quantile(p)) - p).abs() < 1e-6);
        prop_assert!(doubt.chance_below(MgPerLitre(80.0)) <= doubt.chance_below(MgPerLitre(120.0)));
    }

    /// Less acid at a higher pH, and at a higher temperature.
    #[test]
    fn the_share_of_acid_falls(ph in 4.0f64..10.0, celsius in 0.0f64..49.0) {
        let share = |ph, celsius| hocl_fraction(Chemistry::Hypochlorite, ph, ouncewise_measure::Celsius(celsius)).unwrap();
        prop_assert!(share(ph, celsius) > share(ph + 0.1, celsius));
        prop_assert!(share(ph, celsius) > share(ph, celsius + 1.0));
        prop_assert!((0.0..=1.0).contains(&share(ph, celsius)));
    }

    /// Whatever is asked, nothing is accepted without a label, under the code's least, over its ceiling, or past pH 10.
    #[test]
    fn nothing_uncovered_is_accepted(
        strength in prop_oneof![Just(f64::NAN), -10.0f64..500.0],
        celsius in -5i64..100,
        ph in prop_oneof![Just(f64::NAN), -1.0f64..15.0],
        from in 1.0f64..300.0,
        span in 0.0f64..300.0,
        class in prop::sample::select(vec![10.0, 50.0, 100.0, 200.0, 75.0]),
    ) {
        let strip = chlorine_strip();
        let own = label(Chemistry::Hypochlorite, range(from, from + span));
        let mixed = Made::stated(MgPerLitre(strength));
        let conditions = Conditions {
            temperature: Some(Quantity::new(celsius.into(), Unit::Celsius)),
            ph: Some(ph),
            ..Conditions::default()
        };
        for (id, _) in Profile::all_shipped() {
            let profile = shipped(id);
            let question = Question {
                profile: &profile,
                label: Some(&own),
                made: Some(&mixed),
                conditions,
                strip: Some(reading(&strip, class)),
                product: InDate::Yes,
            };
            let found = judge(&question);
            // Every verdict that is not accepted comes with one act.
            prop_assert_eq!(found.act().is_some_and(|act| !act.is_empty()), found.outcome != Outcome::Accepted);
            prop_assert_ne!(judge(&Question { label: None, ..question }).outcome, Outcome::Accepted);
            if found.outcome == Outcome::Accepted {
                prop_assert!(strength >= from * (1.0 - 1e-8) && strength <= (from + span) * (1.0 + 1e-8));
                if *id == "model-code" {
                    prop_assert!((25.0 - 1e-6..=200.0 + 1e-6).contains(&strength) && ph <= 10.0 && celsius >= 13);
                    // Warmer is never worse, nor stronger within label and ceiling, by the code.
                    let warmer = Conditions { temperature: Some(Quantity::new((celsius + 5).into(), Unit::Celsius)), ..conditions };
                    prop_assert_eq!(judge(&Question { conditions: warmer, ..question }).outcome, Outcome::Accepted);
                }
            }
        }
    }
}
