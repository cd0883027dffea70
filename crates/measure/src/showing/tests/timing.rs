//! What people with a stopwatch really spread by.

use crate::instrument::HAND_SPREAD;
use crate::uncertainty::type_a::repeated;

/// A ball through a funnel, timed by hand by two people with one stopwatch (NIST Dataplot, FUNNEL1.DAT; public domain).
const RUNS: &str = include_str!("data/nist_funnel1_hand_timed.csv");

fn seconds_of(person: &str) -> Vec<f64> {
    let rows = RUNS.lines().filter(|line| !line.starts_with('#')).skip(1);
    rows.filter_map(|line| line.split_once(','))
        .filter(|(_, who)| *who == person)
        .map(|(t, _)| t.parse().unwrap())
        .collect()
}

#[test]
fn a_ball_in_a_funnel_spreads_more_than_any_thumb() {
    // Means 15.8315 and 16.458 s, standard deviations 0.872602 and 0.700741 s over 20 runs each (computed from the file).
    let [eric, lisa] = ["1", "2"].map(|person| repeated(&seconds_of(person)).unwrap());
    assert_eq!((eric.count, lisa.count), (20, 20));
    assert!((eric.mean - 15.8315).abs() < 1e-12 && (lisa.mean - 16.458).abs() < 1e-12);
    assert!((eric.standard_deviation - 0.872_602_127_9).abs() < 1e-9);
    assert!((lisa.standard_deviation - 0.700_740_961_2).abs() < 1e-9);
    // The ball's own runs vary as well, so these are upper bounds of what the thumbs do: seven times the 0.10 s of start
    // and stop together that we assume (Am. J. Phys. 87(2) 110, 2019). They neither show that figure nor speak against it.
    for person in [eric, lisa] {
        assert!(person.standard_deviation > HAND_SPREAD.0);
    }
    // What they do show: with the thing timed varying so, Type B alone would be far too sure, and the scatter of the
    // catches must be let in. Here it is: 20 runs of 16 s by thumb alone would be 0.022 s, and are 0.16 to 0.20 s.
    for person in [eric, lisa] {
        let scatter = person.standard_uncertainty();
        assert!(scatter > 7.0 * HAND_SPREAD.0 / 20f64.sqrt(), "{scatter}");
    }
    // And two people with one stopwatch differ: by 0.63 s, 2.5 of its standard uncertainty.
    let apart =
        (lisa.mean - eric.mean) / eric.standard_uncertainty().hypot(lisa.standard_uncertainty());
    assert!((apart - 2.504).abs() < 5e-3, "{apart}");
}

#[test]
fn catches_that_scatter_like_the_funnel_are_judged_by_their_scatter() {
    use super::*;
    // As if each run had filled a cup to 30 mL: portions 30 · 16 / t against a target of 30 mL in 16 s.
    let mut setup = rate(16.0, vessel(0.1, 0.05));
    setup.opening_offset = Some(Seconds(0.0));
    let catches: Vec<_> = seconds_of("1").into_iter().map(|t| in_seconds(30.0, t)).collect();
    let judged = judge(&setup, &catches).unwrap();
    let part = judged.budget.parts()[0];
    assert_eq!((part.source, part.degrees_of_freedom), ("how the catches differ", 19.0));
    assert!(judged.standard_uncertainty > 7.0 * 30.0 * HAND_SPREAD.0 / 16.0 / 20f64.sqrt());
}
