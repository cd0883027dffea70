//! The flow-rate oracle: four independent public packages agree on its figures to 1e-16.

use super::*;
use crate::monte_carlo::Settings;

/// 37.0 mL from a cylinder of ±0.5 mL in 1 mL divisions, over 5.00 s by hand; the portion is one second's.
fn flow() -> Setup {
    let mut setup = rate(1.0, vessel(1.0, 0.5));
    setup.aim.target = Target::Volume(Millilitres(7.4));
    setup
}

#[test]
fn one_catch() {
    let shown = show(&flow(), &[in_seconds(37.0, 5.00)]).unwrap();
    close(shown.portion.unwrap(), 7.4, 1e-12);
    close(shown.standard_uncertainty, 0.164_080_021_1, 5e-11);
    let parts: Vec<_> = shown
        .budget
        .parts()
        .iter()
        .map(|part| (part.source, part.contribution, part.persistent))
        .collect();
    let want = [
        ("the thumb on the stopwatch", 0.148, false),
        ("the measure's own tolerance", 0.057_735_0, true),
        ("reading the measure", 0.040_824_8, false),
        ("the stopwatch's display", 0.004_272_4, false),
    ];
    assert_eq!(parts.len(), want.len());
    for (got, want) in parts.iter().zip(want) {
        assert_eq!((got.0, got.2), (want.0, want.2));
        close(got.1, want.1, 5e-8);
    }
    let rate = shown.rate.unwrap();
    close(rate.value, 7.4, 1e-12);
    close(rate.standard_uncertainty, 0.164_080_021_1, 5e-11);
    assert_eq!(rate.unit, "mL/s");
    // Five seconds are not the recipe's one, and nobody states the opening offset.
    assert_eq!(shown.caveats, [Caveat::OtherDraw]);
}

#[test]
fn one_catch_by_monte_carlo() {
    // 10⁷ draws: mean 7.40308 (exact to second order 7.402962), spread 0.16436, 95 % [7.0897, 7.7333].
    let catches = [in_seconds(37.0, 5.00)];
    let settings = Settings { seed: 7, most: 2_000_000, ..Settings::default() };
    let drawn = by_drawing(&flow(), &catches, &settings).unwrap();
    assert!(drawn.stable);
    close(drawn.mean, 7.402_962, 1e-3);
    close(drawn.standard_uncertainty, 0.164_36, 1e-3);
    close(drawn.interval.low, 7.0897, 3e-3);
    close(drawn.interval.high, 7.7333, 3e-3);
    let judged = judge(&flow(), &catches).unwrap();
    close(judged.probability_on_target, drawn.probability_on_target, 0.01);
    assert!(judged.first_order_enough);
}

#[test]
fn every_kind_of_catch_by_monte_carlo() {
    let mut weighed = dose(scale(0.5, 1.0));
    weighed.density = Some((1.3166, 0.0200));
    let grams = |g| at(Amount::Mass(Grams(g)), Draw::Doses(1));
    let mut wetted = dose(vessel(2.0, 0.3));
    let Measure::Vessel(vessel_of) = &mut wetted.measure else { unreachable!() };
    vessel_of.film = Millilitres(1.5);
    let mut machine = rate(7.0, vessel(1.0, 0.5));
    machine.timer = Timer::Machine { tolerance: Seconds(0.2) };
    machine.opening_offset = Some(Seconds(0.4));
    let mut ratio = setup(Metering::Ratio, Draw::Time(Seconds(7.0)), vessel(1.0, 0.5));
    ratio.aim.water = Some((Millilitres(150.0), 0.05));
    let syrup = Catch {
        water: Some((millilitres(151.0), Draw::Time(Seconds(7.0)))),
        ..in_seconds(31.0, 7.0)
    };
    #[rustfmt::skip]
    let table = [
        ("weighed", weighed, vec![grams(40.5)]),
        ("a cup with one mark, over it", dose(cup(30.0, 0.5)), vec![in_doses(31.5, 1)]),
        ("wetted", wetted, vec![in_doses(31.0, 1)]),
        ("machine timed, with an offset", machine, vec![in_seconds(30.5, 7.0)]),
        ("ratio", ratio, vec![syrup]),
        ("three that agree", rate(7.0, vessel(1.0, 0.5)), vec![in_seconds(30.9, 7.0), in_seconds(31.0, 7.0), in_seconds(31.1, 7.0)]),
        ("five that scatter", rate(7.0, vessel(1.0, 0.5)), [28.0, 32.0, 31.0, 29.5, 33.0].map(|ml| in_seconds(ml, 7.0)).to_vec()),
    ];
    for (seed, (what, setup, catches)) in table.into_iter().enumerate() {
        let judged = judge(&setup, &catches).unwrap();
        let settings = Settings { seed: seed as u64, most: 400_000, ..Settings::default() };
        let drawn = by_drawing(&setup, &catches, &settings).unwrap();
        let u = judged.standard_uncertainty;
        assert!(
            (drawn.mean - judged.estimate).abs() < 0.05 * u,
            "{what}: {drawn:?} {}",
            judged.estimate
        );
        // Four degrees of freedom: a t is wider than its scale by √(ν / (ν − 2)).
        let wider = if judged.degrees_of_freedom < 30.0 { 1.40 } else { 1.0 };
        assert!(
            (drawn.standard_uncertainty / (u * wider) - 1.0).abs() < 0.03,
            "{what}: {drawn:?} {u}"
        );
        // Rectangular parts stand as normal ones in the verdict.
        assert!(
            (drawn.probability_on_target - judged.probability_on_target).abs() < 0.03,
            "{what}: {drawn:?} {}",
            judged.probability_on_target
        );
    }
}

#[test]
fn five_catches_share_the_cylinder() {
    // 7.31 7.46 7.40 7.52 7.36: s 0.0824621125, s/√5 0.0368781778; the cylinder's 0.0577350 does not average:
    // u 0.0685079, ν_eff 47.637 → 47, k 2.0117405, U 0.1378201. Timed by the machine, so that the catches differ by more
    // than reading alone explains.
    let mut setup = flow();
    setup.timer = Timer::Machine { tolerance: Seconds(0.0) };
    let catches = [7.31, 7.46, 7.40, 7.52, 7.36].map(|q| in_seconds(5.0 * q, 5.0));
    let shown = show(&setup, &catches).unwrap();
    close(shown.portion.unwrap(), 7.41, 1e-12);
    close(shown.standard_uncertainty, 0.068_507_9, 5e-8);
    close(shown.degrees_of_freedom, 47.637, 5e-4);
    let part = shown.budget.parts()[1];
    assert_eq!(part.source, "how the catches differ");
    close(part.contribution, 0.036_878_177_8, 5e-11);
    let expanded = shown.budget.expanded(0.95);
    assert_eq!(expanded.degrees_of_freedom, 47.0);
    close(expanded.factor, 2.011_740_5, 5e-8);
    close(expanded.uncertainty, 0.137_820_1, 5e-8);
}

#[test]
fn catches_that_agree_by_chance_prove_nothing() {
    // Scatter (Type A) under what a thumb alone must give (Type B) is luck: u falls with √n, and not to nothing.
    let setup = rate(7.0, vessel(1.0, 0.5));
    let one = judge(&setup, &[in_seconds(30.0, 7.0)]).unwrap();
    let four = judge(&setup, &[in_seconds(30.0, 7.0); 4]).unwrap();
    let (persistent, passing) = (one.budget.persistent(), one.budget.passing());
    close(four.standard_uncertainty, libm::hypot(persistent, passing / 2.0), 1e-12);
    close(four.budget.persistent(), persistent, 1e-12);
    assert_eq!(four.degrees_of_freedom, f64::INFINITY);
}

#[test]
fn weighed() {
    // Gross 52.4 g, tare 12.9 g on 0.1 g, density 1.3166(20) g/mL: net 39.50 g u 0.0408248; 30.0243842 mL with
    // buoyancy (30.0015192 without), u 0.0551989.
    let mut setup = dose(scale(0.1, 0.0));
    setup.density = Some((1.3166, 0.0020));
    let catch = at(Amount::Mass(Grams(52.4 - 12.9)), Draw::Doses(1));
    let judged = judge(&setup, &[catch]).unwrap();
    close(judged.portion.unwrap(), 30.024_384_2, 5e-8);
    close(judged.standard_uncertainty, 0.055_198_9, 5e-8);
    // In grams no density is needed.
    setup.aim.target = Target::Mass(Grams(39.5));
    setup.density = None;
    let judged = judge(&setup, &[catch]).unwrap();
    close(judged.portion.unwrap(), 39.5, 1e-12);
    close(judged.standard_uncertainty, 0.040_824_8, 5e-8);
}

#[test]
fn a_density_is_asked_for_where_one_is_needed() {
    let mut grams = dose(vessel(1.0, 0.5));
    grams.aim.target = Target::Mass(Grams(39.5));
    let error = judge(&grams, &[in_doses(30.0, 1)]).unwrap_err();
    assert_eq!(error, ShowError::DensityMissing { target: "by weight", caught: "by volume" });
    assert_eq!(
        error.to_string(),
        "the target is by weight and the catch by volume: state the product's density (or its Brix), or catch by weight"
    );
    let weighed = at(Amount::Mass(Grams(39.5)), Draw::Doses(1));
    let error = judge(&dose(scale(0.1, 0.2)), &[weighed]).unwrap_err();
    assert_eq!(error, ShowError::DensityMissing { target: "by volume", caught: "by weight" });
    // There and back: what 30 mL weigh is 30 mL.
    grams.density = Some((1.3166, 0.0));
    let shown = judge(&grams, &[in_doses(30.0, 1)]).unwrap().portion.unwrap();
    let mut volume = dose(scale(0.1, 0.2));
    volume.density = Some((1.3166, 0.0));
    let back = judge(&volume, &[at(Amount::Mass(Grams(shown)), Draw::Doses(1))]).unwrap();
    close(back.portion.unwrap(), 30.0, 1e-12);
}

#[test]
fn one_ounce_in_so_many_seconds() {
    // Common practice, no source: 1 US fl oz in 7 s is 4.2248 mL/s, in 5 s 5.9147 mL/s.
    let ounce: crate::Quantity = "1 fl oz (US)".parse().unwrap();
    let ounce = ounce.volume().unwrap();
    for (seconds, wanted) in [(7.0, 4.2248), (5.0, 5.9147)] {
        let mut setup = rate(seconds, cup(ounce.0, 1.0));
        setup.aim.target = Target::Volume(ounce);
        let rate = show(&setup, &[in_seconds(ounce.0, seconds)]).unwrap().rate.unwrap();
        close(rate.value, wanted, 5e-5);
    }
}

#[test]
fn a_known_opening_offset_makes_draws_agree() {
    // A valve that pours nothing for 0.4 s, then 5 mL/s: 7 s pour 33 mL, 14 s pour 68 mL. V/t says 4.71 and 4.86 mL/s.
    let mut setup = rate(7.0, vessel(1.0, 0.5));
    setup.aim.target = Target::Volume(Millilitres(33.0));
    let (short, long) = (in_seconds(33.0, 7.0), in_seconds(68.0, 14.0));
    assert_eq!(
        judge(&setup, &[short, long]).unwrap_err(),
        ShowError::DrawsDiffer { shortest: 7.0, longest: 14.0 }
    );
    let alone = judge(&setup, &[long]).unwrap();
    close(alone.portion.unwrap(), 34.0, 1e-12);
    assert_eq!(alone.caveats().collect::<Vec<_>>(), [Caveat::OtherDraw]);
    assert_eq!(judge(&setup, &[short]).unwrap().caveats().count(), 0);
    setup.opening_offset = Some(Seconds(0.4));
    let pooled = judge(&setup, &[short, long]).unwrap();
    close(pooled.portion.unwrap(), 33.0, 1e-12);
    assert_eq!(pooled.caveats().count(), 0);
    close(show(&setup, &[short]).unwrap().rate.unwrap().value, 5.0, 1e-12);
    // Stated as none at all is not the same as not stated.
    setup.opening_offset = Some(Seconds(0.0));
    assert_eq!(judge(&setup, &[long]).unwrap().caveats().count(), 0);
}

#[test]
fn doses_of_different_number_are_pooled() {
    let judged = judge(&dose(vessel(1.0, 0.5)), &[in_doses(29.0, 1), in_doses(62.0, 2)]).unwrap();
    close(judged.portion.unwrap(), 30.0, 1e-12);
    // The cylinder's ±0.5 mL is all of one catch and half of the other: it adds up in step, 0.2887 · (1 + ½) / 2.
    close(judged.budget.persistent(), 0.5 / 3f64.sqrt() * 0.75, 1e-12);
}

#[test]
fn a_wetted_vessel_holds_some_of_its_film_already() {
    let mut setup = dose(vessel(1.0, 0.5));
    let Measure::Vessel(vessel) = &mut setup.measure else { unreachable!() };
    vessel.film = Millilitres(0.6);
    let judged = judge(&setup, &[in_doses(30.3, 1)]).unwrap();
    close(judged.portion.unwrap(), 30.0, 1e-12);
    let film = judged.budget.parts().iter().find(|part| part.source.contains("film")).unwrap();
    // JCGM 100, 4.3.8: (0.6 + 0) / √12.
    close(film.contribution, 0.6 / 12f64.sqrt(), 1e-12);
    assert!(film.persistent);
}

#[test]
fn a_short_draw_says_that_first_order_is_not_enough() {
    // 3 mL/s for a second: the thumb alone is 10 %.
    let mut setup = rate(1.0, vessel(0.1, 0.05));
    setup.aim.target = Target::Volume(Millilitres(3.0));
    setup.aim.tolerance = 0.15;
    let judged = judge(&setup, &[in_seconds(3.2, 1.0)]).unwrap();
    assert!(!judged.first_order_enough);
    assert!(judge(&setup, &[in_seconds(16.0, 5.0)]).unwrap().first_order_enough);
    let settings = Settings { seed: 11, most: 2_000_000, ..Settings::default() };
    let drawn = by_drawing(&setup, &[in_seconds(3.2, 1.0)], &settings).unwrap();
    // The spread with its second order, and the probability of a quotient; first order alone would be 0.009 off.
    close(judged.standard_uncertainty, drawn.standard_uncertainty, 0.01);
    close(judged.probability_on_target, drawn.probability_on_target, 0.004);
    close(judged.budget.combined(), judged.standard_uncertainty, 1e-12);
}
