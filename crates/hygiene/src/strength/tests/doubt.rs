//! Doubt from the user's own errors, and what to aim at with it.

use super::*;
use ouncewise_measure::monte_carlo::{self, Input};

/// The invented tolerances of HY-59, for the shape of it only: packet ±5 % two sigma, assay ±5 % limits, water ±10 % two sigma.
fn budget() -> StatedErrors {
    let two_sigma = |half_width| Some(Stated { half_width, shape: Shape::TwoSigma });
    StatedErrors {
        dose: two_sigma(0.05),
        assay: Some(Stated { half_width: 0.05, shape: Shape::Limits }),
        water: two_sigma(0.10),
    }
}

fn at_100(errors: &StatedErrors) -> Doubt {
    packet_in("2.5 gal (US)").made(Some(errors)).unwrap().doubt.unwrap()
}

/// HY-59 (CALC, Monte Carlo and RSS; inputs ASSUMED): standard deviation 6.3, 95 % from 88.6 to 113.4, half of them under 100.
#[test]
fn the_shape_of_a_doubt() {
    let doubt = at_100(&budget());
    near(doubt.standard_uncertainty().0, 6.3, 0.1, "HY-59, sd");
    near(doubt.standard_uncertainty().0, 6.29, 0.005, "HY-59, RSS");
    let (low, high) = doubt.interval(0.95);
    near(low.0, 88.6, 0.1, "HY-59, low");
    near(high.0, 113.4, 0.1, "HY-59, high");
    near(100.0 * doubt.chance_below(MgPerLitre(100.0)), 50.0, 0.1, "HY-59, under 100");
}

/// The same by drawing, JCGM 101: our sum against the other crate's Monte Carlo.
#[test]
fn the_doubt_agrees_with_drawing() {
    let inputs = [
        Input::Normal { mean: 1.0, standard_uncertainty: 0.025 },
        Input::Rectangular { low: 0.95, high: 1.05 },
        Input::Normal { mean: 1.0, standard_uncertainty: 0.05 },
    ];
    let sample = monte_carlo::draw(&inputs, |x| 100.0 * x[0] * x[1] / x[2], 400_000, 7).unwrap();
    let drawn = sample.symmetric(0.95);
    let (low, high) = at_100(&budget()).interval(0.95);
    near(low.0, drawn.low, 0.1, "low");
    near(high.0, drawn.high, 0.1, "high");
    // And where the widest spread has corners.
    let corners = StatedErrors {
        dose: Some(Stated { half_width: 0.3, shape: Shape::Limits }),
        assay: Some(Stated { half_width: 0.1, shape: Shape::Limits }),
        water: Some(Stated { half_width: 0.2, shape: Shape::TwoSigma }),
    };
    let inputs = [
        Input::Rectangular { low: 0.7, high: 1.3 },
        Input::Rectangular { low: 0.9, high: 1.1 },
        Input::Normal { mean: 1.0, standard_uncertainty: 0.1 },
    ];
    let sample = monte_carlo::draw(&inputs, |x| 100.0 * x[0] * x[1] / x[2], 400_000, 8).unwrap();
    let drawn = sample.symmetric(0.95);
    let (low, high) = at_100(&corners).interval(0.95);
    near(low.0, drawn.low, 0.3, "low, corners");
    near(high.0, drawn.high, 0.3, "high, corners");
}

/// One error alone has a closed form.
#[test]
fn one_error_alone() {
    let limits = StatedErrors {
        assay: Some(Stated { half_width: 0.1, shape: Shape::Limits }),
        ..StatedErrors::default()
    };
    let (low, high) = at_100(&limits).interval(0.9);
    near(low.0, 91.0, 1e-6, "limits");
    near(high.0, 109.0, 1e-6, "limits");
    let water = StatedErrors {
        water: Some(Stated { half_width: 0.1, shape: Shape::TwoSigma }),
        ..StatedErrors::default()
    };
    let (low, high) = at_100(&water).interval(0.95);
    near(low.0, 100.0 / (1.0 + 1.959_963_985 * 0.05), 1e-6, "water");
    near(high.0, 100.0 / (1.0 - 1.959_963_985 * 0.05), 1e-6, "water");
}

/// None is invented: without stated errors there is no doubt to give, and what cannot be an error is refused.
#[test]
fn nothing_stated_is_nothing_said() {
    let mix = packet_in("2.5 gal (US)");
    assert!(mix.made(None).unwrap().doubt.is_none());
    assert!(mix.made(Some(&StatedErrors::default())).unwrap().doubt.is_none());
    for half_width in [0.0, -0.1, 0.5, f64::NAN, f64::INFINITY] {
        let stated = StatedErrors {
            dose: Some(Stated { half_width, shape: Shape::TwoSigma }),
            ..StatedErrors::default()
        };
        assert_eq!(mix.made(Some(&stated)).unwrap_err()[0].key, "dose_error");
    }
}

/// HY-60 (CALC): for 97.5 % at or over 100, 114 to first order: 100 / (1 − 1.96 × 0.063). The water stands under the line, so
/// what is needed is a little less, 112.9: both are computed here, and the second is what we advise.
#[test]
fn the_aim_that_holds() {
    let sd = at_100(&budget()).standard_uncertainty().0 / 100.0;
    near(100.0 / (1.0 - 1.96 * sd), 114.0, 1.0, "HY-60, to first order");
    let label = label(Chemistry::Isocyanurate, range(100.0, 200.0));
    let found = aim(&shipped("model-code"), &label, &at("20 °C", 7.0), Some(&budget()), 0.975);
    let AimAt::Holds(at) = found.at else { panic!("{found:?}") };
    near(at.0, 112.9, 0.1, "HY-60, without the first-order step");
    near(at_100(&budget()).moved_to(at).chance_below(MgPerLitre(100.0)), 0.025, 1e-6, "it holds");
}

#[test]
fn the_aim_stays_inside_label_and_code() {
    let model = shipped("model-code");
    let warm = at("25 °C", 7.0);
    // The label's range is narrower than the doubt: measure better, and never over it.
    let narrow = label(Chemistry::Isocyanurate, range(95.0, 105.0));
    let found = aim(&model, &narrow, &warm, Some(&budget()), 0.975);
    assert_eq!(found.at, AimAt::MeasureBetter(MgPerLitre(100.0)));
    assert!(found.words().contains("measure the water better"), "{}", found.words());
    // Without errors, the middle of both.
    let wide = label(Chemistry::Isocyanurate, range(50.0, 400.0));
    assert_eq!(aim(&model, &wide, &warm, None, 0.975).at, AimAt::Middle(MgPerLitre(125.0)));
    // In colder water the code asks 100.
    let found = aim(&model, &wide, &at("15 °C", 7.0), None, 0.975);
    assert_eq!(found.window, Some(Window { from: MgPerLitre(100.0), to: MgPerLitre(200.0) }));
    // Too cold for any row, and a label that the code does not reach.
    assert_eq!(aim(&model, &wide, &at("10 °C", 7.0), None, 0.975).at, AimAt::Nothing);
    let weak = label(Chemistry::Isocyanurate, range(10.0, 20.0));
    assert_eq!(aim(&model, &weak, &warm, None, 0.975).at, AimAt::Nothing);
}

/// Where the label names one dilution the advice is to measure the water better, never to exceed it.
#[test]
fn one_dilution_is_never_exceeded() {
    let model = shipped("model-code");
    let label = label(Chemistry::Isocyanurate, one("100"));
    let cold = at("15 °C", 7.0);
    assert_eq!(aim(&model, &label, &cold, None, 0.975).at, AimAt::LabelsOwn(MgPerLitre(100.0)));
    let found = aim(&model, &label, &cold, Some(&budget()), 0.975);
    assert_eq!(found.at, AimAt::MeasureBetter(MgPerLitre(100.0)));
    // Its own dilution does not reach this code.
    let half = super::label(Chemistry::Isocyanurate, one("50"));
    assert_eq!(aim(&shipped("california"), &half, &cold, None, 0.975).at, AimAt::Nothing);
}
