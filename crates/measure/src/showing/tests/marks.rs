//! Marks against a Monte Carlo of the same belief: draw a line, pour it, see whether the words would be said.

use super::*;
use crate::showing::marks::{AT_ONLY_MARK, BEFORE};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

/// Share on target and mean, of all drawn lines that would have given just these catches.
fn drawn(setup: &Setup, catches: &[Catch], seed: u64) -> (f64, f64) {
    let Measure::Vessel(vessel) = &setup.measure else { panic!("marks are read in vessels") };
    let (half, judging) = match vessel.marks {
        Marks::Every(division) => (division.0 / 2.0, division.0 / 2.0),
        Marks::One(mark) => (AT_ONLY_MARK * mark.0, AT_ONLY_MARK * mark.0),
    };
    let (spread, late, seconds) = match (setup.timer, setup.aim.draw) {
        (Timer::Hand { spread, .. }, Draw::Time(seconds)) => (spread.0, 0.0, seconds.0),
        (Timer::Machine { tolerance }, Draw::Time(seconds)) => (0.0, tolerance.0, seconds.0),
        _ => (0.0, 0.0, 1.0),
    };
    let limits = setup.aim.limits();
    let mut stream = ChaCha8Rng::seed_from_u64(seed);
    let (mut all, mut on, mut sum) = (0.0, 0.0, 0.0);
    for _ in 0..4_000_000 {
        let mut normal = || -> f64 { StandardNormal.sample(&mut stream) };
        let portion = 30.0 * (BEFORE * normal()).exp();
        let thumbs: Vec<f64> = catches.iter().map(|_| 1.0 + spread / seconds * normal()).collect();
        // What is the same in all catches: the machine (rectangular as normal, as in the verdict), the vessel, and its film.
        let machine = 1.0 + late / 3f64.sqrt() / seconds * normal();
        let mut within = |limit: f64| limit * (2.0 * stream.random::<f64>() - 1.0);
        let vessel_error =
            within(vessel.tolerance.0) + 0.5 * vessel.film.0 + within(0.5 * vessel.film.0);
        let errors = thumbs.into_iter().map(|thumb| thumb * machine);
        let said = catches.iter().zip(errors).all(|(catch, timing)| {
            let triangle = judging * (stream.random::<f64>() - stream.random::<f64>());
            let level = portion * timing + vessel_error + triangle;
            match catch.amount {
                Amount::Mark(MarkSide::At, mark) => (level - mark.0).abs() <= half,
                Amount::Mark(MarkSide::Over, mark) => level > mark.0 + half,
                Amount::Mark(MarkSide::Under, mark) => level < mark.0 - half,
                // Numbers are read to a tenth here: near enough to the density that they stand for.
                Amount::Volume(volume) => (level - volume.0).abs() < 0.05,
                Amount::Mass(_) => false,
            }
        });
        if said {
            all += 1.0;
            on += f64::from(limits.hold(portion));
            sum += portion;
        }
    }
    assert!(all > 10_000.0, "too few of the drawn lines say this: {all}");
    (on / all, sum / all)
}

#[test]
fn marks_agree_with_monte_carlo() {
    let seven = Draw::Time(Seconds(7.0));
    let one = Draw::Doses(1);
    use MarkSide::{At, Over, Under};
    let mut machine = rate(7.0, vessel(1.0, 0.1));
    machine.timer = Timer::Machine { tolerance: Seconds(0.5) };
    let mut wetted = rate(7.0, vessel(1.0, 0.5));
    let Measure::Vessel(with_film) = &mut wetted.measure else { unreachable!() };
    with_film.film = Millilitres(1.5);
    #[rustfmt::skip]
    let table = [
        ("at, cylinder", rate(7.0, vessel(1.0, 0.5)), vec![mark(At, 30.0, seven)]),
        ("over, cylinder", rate(7.0, vessel(1.0, 0.5)), vec![mark(Over, 30.0, seven)]),
        ("under twice, cylinder", rate(7.0, vessel(1.0, 0.5)), vec![mark(Under, 30.0, seven); 2]),
        ("under, and over another mark", rate(7.0, vessel(1.0, 0.5)), vec![mark(Under, 32.0, seven), mark(Over, 29.0, seven)]),
        ("a number and a mark", rate(7.0, vessel(1.0, 0.5)), vec![in_seconds(31.0, 7.0), mark(Under, 32.0, seven)]),
        ("at, cup", dose(cup(30.0, 2.0)), vec![mark(At, 30.0, one)]),
        ("over, cup", dose(cup(30.0, 2.0)), vec![mark(Over, 30.0, one)]),
        ("at three times, by a machine that errs", machine, vec![mark(At, 29.0, seven); 3]),
        ("at, wetted", wetted, vec![mark(At, 31.0, seven)]),
        ("over and at, cup", dose(cup(30.0, 2.0)), vec![mark(Over, 30.0, one), mark(At, 30.0, one)]),
        ("over three times, cup", dose(cup(30.0, 2.0)), vec![mark(Over, 30.0, one); 3]),
    ];
    for (seed, (what, setup, catches)) in table.into_iter().enumerate() {
        let judged = judge(&setup, &catches).unwrap();
        let (share, mean) = drawn(&setup, &catches, seed as u64);
        // Rectangular and triangular parts stand as normal ones within the likelihood: a hundredth at most.
        assert!(
            (judged.probability_on_target - share).abs() < 0.012,
            "{what}: {} {share}",
            judged.probability_on_target
        );
        assert!((judged.estimate - mean).abs() < 0.06, "{what}: {} {mean}", judged.estimate);
    }
}

#[test]
fn a_level_at_a_mark_is_nearly_a_number() {
    let setup = rate(7.0, vessel(1.0, 0.5));
    let by_mark = judge(&setup, &[mark(MarkSide::At, 30.0, Draw::Time(Seconds(7.0)))]).unwrap();
    let by_number = judge(&setup, &[in_seconds(30.0, 7.0)]).unwrap();
    close(by_mark.probability_on_target, by_number.probability_on_target, 0.01);
    assert_eq!((by_mark.portion, by_mark.verdict), (None, Verdict::OnTarget));
    assert_eq!(by_mark.caveats().collect::<Vec<_>>(), [Caveat::OnlyMarks]);
    close(by_mark.budget.combined(), by_mark.standard_uncertainty, 1e-9);
}

#[test]
fn a_side_is_never_a_number_of_turns() {
    for side in [MarkSide::Over, MarkSide::Under] {
        let shown =
            show(&rate(7.0, vessel(1.0, 0.5)), &[mark(side, 30.0, Draw::Time(Seconds(7.0)))])
                .unwrap();
        assert_eq!((shown.verdict, &shown.act), (Verdict::Undecided, &Act::CatchAgain));
        let shown = show(&dose(cup(30.0, 2.0)), &[mark(side, 30.0, Draw::Doses(1))]).unwrap();
        assert_eq!(shown.verdict, Verdict::Undecided);
        // The only mark says the same again however often, so another measure is named: the one for dead centre.
        let Act::Weigh { with } = &shown.act else { panic!("{:?}", shown.act) };
        assert_eq!(
            with.words(Units::Metric),
            "a scale that reads 0.5 g and the product's density, or a vessel good to ±1.3 mL"
        );
        let far = match side {
            MarkSide::Over => 40.0,
            _ => 22.0,
        };
        let shown =
            show(&rate(7.0, vessel(1.0, 0.5)), &[mark(side, far, Draw::Time(Seconds(7.0)))])
                .unwrap();
        assert_eq!((shown.verdict, shown.act), (Verdict::OffTarget, Act::CatchAgain));
    }
    // Far off at a mark is as good as a number.
    let shown =
        show(&rate(7.0, vessel(1.0, 0.5)), &[mark(MarkSide::At, 40.0, Draw::Time(Seconds(7.0)))])
            .unwrap();
    assert!(matches!(shown.act, Act::Adjust(_)), "{:?}", shown.act);
    let shown = show(
        &rate(7.0, vessel(1.0, 0.5)),
        &[mark(MarkSide::Under, 12.0, Draw::Time(Seconds(7.0)))],
    )
    .unwrap();
    assert_eq!(shown.act, Act::FindFault);
    // Beyond all that is believed of any line.
    let shown =
        show(&dose(vessel(1.0, 0.0)), &[mark(MarkSide::Over, 900.0, Draw::Doses(1))]).unwrap();
    assert_eq!((shown.verdict, shown.probability_on_target), (Verdict::OffTarget, 0.0));
}

#[test]
fn the_three_words_leave_nothing_out() {
    // Over all lines that may be, at, over and under share the chance between them: what is believed after each, weighed
    // by how often it is said, is what was believed before (three lines in five stand beyond ±5 % and more).
    let setup = dose(vessel(2.0, 0.5));
    let words = [MarkSide::At, MarkSide::Over, MarkSide::Under];
    let said = words.map(|side| {
        let judged = judge(&setup, &[mark(side, 30.0, Draw::Doses(1))]).unwrap();
        (judged.probability_on_target, judged.estimate)
    });
    let before = crate::special::normal_within(0.95f64.ln() / BEFORE, 1.05f64.ln() / BEFORE);
    let mean = 30.0 * (0.5 * BEFORE * BEFORE).exp();
    // Two equations for the shares of at and over; the share of under is the rest. They must come out as shares.
    let [(p0, m0), (p1, m1), (p2, m2)] = said;
    let (a, b, c) = (p0 - p2, p1 - p2, before - p2);
    let (d, e, f) = (m0 - m2, m1 - m2, mean - m2);
    let over = (a * f - d * c) / (a * e - d * b);
    let at = (c - b * over) / a;
    // A level within ±1 mL of 30 mL, in a normal logarithm smeared by ±0.5 mL and a judgement of ±1 mL.
    let near = crate::special::normal_within(
        (29.0f64 / 30.0).ln() / BEFORE,
        (31.0f64 / 30.0).ln() / BEFORE,
    );
    close(at, near, 0.01);
    close(over, 1.0 - crate::special::normal_below((31.0f64 / 30.0).ln() / BEFORE), 0.01);
}

#[test]
fn catches_that_disagree_are_no_certainty() {
    // The same level cannot stand over, at and under one mark: somebody judged badly, and nothing is sure for that.
    let words = [MarkSide::Over, MarkSide::At, MarkSide::Under];
    let mut setup = dose(cup(30.0, 0.5));
    setup.aim.tolerance = 0.02;
    let judged = judge(&setup, &words.map(|side| mark(side, 30.0, Draw::Doses(1)))).unwrap();
    assert!(judged.standard_uncertainty > 0.5 / 3f64.sqrt(), "{judged:?}");
    assert!((0.5..0.95).contains(&judged.probability_on_target), "{judged:?}");
}
