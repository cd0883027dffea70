//! Every outcome has one act.

use super::*;
use crate::adjust::Direction;
use crate::catch::Draw;
use crate::conformity::probability;
use crate::showing::act::{Case, Kind, rule};

/// An undecided number, ±5 %, at a risk of 5 %.
fn case(deviation: f64, doubt: f64) -> Case {
    Case {
        verdict: Verdict::Undecided,
        water: false,
        deviation,
        doubt,
        tolerance: 0.05,
        risk: 0.05,
        number: true,
        catches: None,
        larger: None,
        better: None,
    }
}

#[test]
fn the_rule() {
    let off = |case: Case| Case { verdict: Verdict::OffTarget, ..case };
    let on = |case: Case| Case { verdict: Verdict::OnTarget, ..case };
    // Deviation and doubt in percent; what decides, in portions poured away.
    #[rustfmt::skip]
    let table = [
        ("on target is left alone", on(case(0.01, 0.01)), Kind::LeaveAlone),
        ("off target is adjusted", off(case(0.12, 0.01)), Kind::Adjust),
        ("water comes before all else", Case { water: true, ..on(case(0.0, 0.01)) }, Kind::SeeToWater),
        ("nothing at all is a fault", off(case(-1.0, 0.01)), Kind::FindFault),
        ("under half is a fault", off(case(-0.51, 0.01)), Kind::FindFault),
        ("half is a setting", off(case(-0.49, 0.01)), Kind::Adjust),
        ("+12 % with 4.5 % is clearly on one side", Case { catches: Some(1.0), better: Some(1.0), ..case(0.12, 0.045) }, Kind::Adjust),
        ("-12 % with 4.5 % too", Case { catches: Some(1.0), better: Some(1.0), ..case(-0.12, 0.045) }, Kind::Adjust),
        ("+6 % with 4.5 % is not", Case { catches: Some(1.0), ..case(0.06, 0.045) }, Kind::CatchAgain),
        ("one more catch is the cheapest", Case { catches: Some(1.0), larger: Some(2.0), better: Some(1.0), ..case(0.02, 0.025) }, Kind::CatchAgain),
        ("one larger catch beats three", Case { catches: Some(3.0), larger: Some(2.0), better: Some(1.0), ..case(0.02, 0.025) }, Kind::CatchMore),
        ("more catches than it is worth", Case { catches: Some(4.0), larger: Some(5.0), better: Some(1.0), ..case(0.02, 0.025) }, Kind::Weigh),
        ("no number of catches decides", Case { better: Some(1.0), ..case(0.0, 0.038) }, Kind::Weigh),
        ("a scale for a sure deviation too", Case { better: Some(1.0), ..case(0.04, 0.02) }, Kind::Weigh),
        ("three catches with a scale cost more than adjusting", Case { better: Some(3.0), ..case(0.04, 0.02) }, Kind::Adjust),
        ("at the limit nothing decides, and the side is sure", case(0.049, 0.01), Kind::Adjust),
        ("nothing decides, and nothing is gained by touching it", case(0.01, 0.03), Kind::LeaveAlone),
        ("a side without a number is not turned on", Case { number: false, catches: Some(1.0), ..off(case(0.3, 0.1)) }, Kind::CatchAgain),
        ("nor in a cup that cannot read one", Case { number: false, better: Some(1.0), ..off(case(0.3, 0.1)) }, Kind::Weigh),
        ("nor where nothing can", Case { number: false, ..off(case(0.3, 0.1)) }, Kind::CatchAgain),
    ];
    for (what, case, want) in table {
        assert_eq!(rule(&case), want, "{what}");
    }
}

#[test]
fn a_cup_that_can_never_decide() {
    // 30 mL in a ±2 mL cup: 3.8 % doubt, and dead centre of ±5 % is only ever 81 % sure.
    let setup = dose(cup(30.0, 2.0));
    let shown = show(&setup, &[in_doses(30.0, 1)]).unwrap();
    close(shown.standard_uncertainty / 30.0, 0.0385, 5e-5);
    close(shown.probability_on_target, 0.806, 5e-4);
    assert_eq!(shown.verdict, Verdict::Undecided);
    let Act::Weigh { with } = &shown.act else { panic!("{:?}", shown.act) };
    assert_eq!(
        with.words(Units::Metric),
        "a scale that reads 0.5 g and the product's density, or a vessel good to ±1.3 mL"
    );
    assert_eq!(
        shown.reason.words(Units::Metric),
        "30 mL is at the target of 30 mL, with 3.8 % of doubt: 81 % sure to be within ±5 %, and no number of catches with this measure can decide; the measure's own tolerance is 100 % of the doubt"
    );
    let decide = decide(&setup, &[in_doses(30.0, 1)]).unwrap().unwrap();
    assert_eq!((decide.catches, decide.longer), (None, None));
    // However many there are.
    let many = show(&setup, &[in_doses(30.0, 1); 50]).unwrap();
    close(many.probability_on_target, 0.806, 5e-4);
    assert_eq!(many.act, shown.act);
    // Both named measures keep the promise.
    let better = decide.better.unwrap().what;
    let mut weighed = dose(scale(better.scale.unwrap().0, 2.0 * better.scale.unwrap().0));
    weighed.density = Some((1.3, 0.001));
    let catch = at(Amount::Mass(Grams(30.0 * 1.3)), Draw::Doses(1));
    assert_eq!(judge(&weighed, &[catch]).unwrap().verdict, Verdict::OnTarget);
    let poured = dose(vessel(0.2 * better.vessel.0, better.vessel.0));
    assert_eq!(judge(&poured, &[in_doses(30.0, 1)]).unwrap().verdict, Verdict::OnTarget);
}

#[test]
fn clearly_on_one_side_is_adjusted() {
    // +12 % with 4.5 % of doubt at ±5 %: a normal part of 4.5 % stands for all of it.
    let mut setup = dose(cup(33.6, 0.045 * 30.0 * 3f64.sqrt()));
    setup.last_adjusted = Some(Direction::Less);
    let shown = show(&setup, &[in_doses(33.6, 1)]).unwrap();
    close(shown.standard_uncertainty / 30.0, 0.045, 1e-12);
    close(
        shown.probability_on_target,
        probability(setup.aim.limits(), 33.6, 1.35, f64::INFINITY),
        1e-12,
    );
    assert_eq!(shown.verdict, Verdict::Undecided);
    let Act::Adjust(adjustment) = &shown.act else { panic!("{:?}", shown.act) };
    // 33.6 mL become 30 mL by 10.7 % less, and that is half a turn of a fifth.
    close(adjustment.change, 30.0 / 33.6 - 1.0, 1e-12);
    assert_eq!(
        adjustment.instruction.words(Units::Metric),
        "turn the screw 1/2 turn clockwise for less"
    );
    assert_eq!(
        shown.reason.words(Units::Metric),
        "33.6 mL is 12 % over the target of 30 mL, with 4.5 % of doubt: only 5.9 % likely to be within ±5 %, and the side that it is on is sure"
    );
}

#[test]
fn every_kind_of_end() {
    let cylinder = || vessel(1.0, 0.5);
    let seven = rate(7.0, cylinder());
    #[rustfmt::skip]
    let table: [(&str, Setup, f64, Verdict, &str, &str); 8] = [
        ("on target", seven.clone(), 30.2, Verdict::OnTarget, "leave it alone",
         "30.2 mL is 0.7 % over the target of 30 mL, with 1.9 % of doubt, and 99 % sure to be within ±5 %"),
        ("off target", seven.clone(), 27.0, Verdict::OffTarget, "turn the screw 1/2 turn anticlockwise for more",
         "27 mL is 10 % under the target of 30 mL, with 1.7 % of doubt, and 0.2 % likely to be within ±5 %"),
        ("one more catch", seven.clone(), 30.6, Verdict::Undecided, "catch again",
         "30.6 mL is 2 % over the target of 30 mL, with 1.9 % of doubt: 94.2 % sure to be within ±5 %, and one more catch would decide; the thumb on the stopwatch is 60 % of the doubt"),
        ("nothing", seven.clone(), 0.0, Verdict::OffTarget, "find the fault; do not adjust",
         "nothing came where 30 mL belong, and less than half of a portion is a fault, not a setting"),
        ("too little", seven.clone(), 14.0, Verdict::OffTarget, "find the fault; do not adjust",
         "14 mL is 53.3 % under the target of 30 mL, with 1.4 % of doubt, and less than half of a portion is a fault, not a setting"),
        ("no adjuster", Setup { adjuster: Adjuster::None, ..seven.clone() }, 27.0, Verdict::OffTarget,
         "call the technician: this line cannot be set by the crew",
         "27 mL is 10 % under the target of 30 mL, with 1.7 % of doubt, and 0.2 % likely to be within ±5 %"),
        ("taught", Setup { adjuster: Adjuster::Taught, ..seven.clone() }, 27.0, Verdict::OffTarget,
         "teach it again: stop at 30 mL; the old setting is lost",
         "27 mL is 10 % under the target of 30 mL, with 1.7 % of doubt, and 0.2 % likely to be within ±5 %"),
        ("close to a limit", seven, 31.4, Verdict::Undecided, "turn the screw 1/4 turn clockwise for less",
         "31.4 mL is 4.7 % over the target of 30 mL, with 1.9 % of doubt: only 57 % likely to be within ±5 %, and the side that it is on is sure"),
    ];
    for (what, setup, amount, verdict, act, reason) in table {
        let shown = show(&setup, &[in_seconds(amount, 7.0)]).unwrap();
        assert_eq!(shown.verdict, verdict, "{what}");
        assert_eq!(shown.act.words().words(Units::Metric), act, "{what}");
        assert_eq!(shown.reason.words(Units::Metric), reason, "{what}");
    }
}

#[test]
fn the_promised_catches_decide() {
    let setup = rate(7.0, vessel(1.0, 0.5));
    let catches = [in_seconds(30.6, 7.0)];
    let way = decide(&setup, &catches).unwrap().unwrap().catches.unwrap();
    assert_eq!(way.what, 2);
    close(way.poured, 30.6, 1e-9);
    assert_eq!(judge(&setup, &[catches[0]; 2]).unwrap().verdict, Verdict::OnTarget);
    // Two doses at once halve what the cylinder and the eye put into one.
    let setup = dose(vessel(5.0, 0.6));
    let catches = [in_doses(30.6, 1)];
    let way = decide(&setup, &catches).unwrap().unwrap().longer.unwrap();
    assert_eq!(way.what, Draw::Doses(2));
    close(way.poured, 61.2, 1e-9);
    assert_eq!(judge(&setup, &[in_doses(61.2, 2)]).unwrap().verdict, Verdict::OnTarget);
    assert_eq!(judge(&setup, &catches).unwrap().verdict, Verdict::Undecided);
}

#[test]
fn a_longer_draw_needs_a_stated_offset() {
    let setup = rate(3.0, vessel(0.5, 0.25));
    let catches = [in_seconds(30.0, 3.0)];
    assert_eq!(decide(&setup, &catches).unwrap().unwrap().longer, None);
    let setup = Setup { opening_offset: Some(Seconds(0.2)), ..setup };
    let way = decide(&setup, &catches).unwrap().unwrap().longer.unwrap();
    assert_eq!(way.what, Draw::Time(Seconds(6.0)));
    // The offset pours nothing in either: 30 · 5.8 / 2.8.
    close(way.poured, 30.0 * 5.8 / 2.8, 1e-9);
}

/// Syrup and water of one ratio draw: 30 mL to 150 mL.
fn ratio() -> Setup {
    let mut setup = setup(Metering::Ratio, Draw::Time(Seconds(7.0)), vessel(1.0, 0.5));
    setup.aim.water = Some((Millilitres(150.0), 0.05));
    setup
}

fn with_water(syrup: f64, water: Option<f64>) -> Catch {
    let draw = Draw::Time(Seconds(7.0));
    Catch { water: water.map(|water| (millilitres(water), draw)), ..in_seconds(syrup, 7.0) }
}

#[test]
fn water_comes_before_syrup() {
    let shown = |syrup, water| show(&ratio(), &[with_water(syrup, water)]).unwrap();
    // However wrong the syrup, no syrup is set against water that is wrong or was not caught.
    for syrup in [0.0, 14.0, 25.0, 30.0, 40.0] {
        for water in [None, Some(120.0), Some(158.0)] {
            let shown = shown(syrup, water);
            assert_eq!(
                (shown.act, shown.subject),
                (Act::SeeToWater, Subject::Water),
                "{syrup} {water:?}"
            );
        }
    }
    let missing = shown(30.0, None);
    assert_eq!(missing.verdict, Verdict::Undecided);
    assert_eq!(missing.caveats, [Caveat::WaterNotCaught]);
    // Nothing is known of the water but where such lines usually stand: ±5 % of a normal logarithm of spread 0.2 (scipy).
    close(missing.probability_on_target, 0.197_570_2, 1e-7);
    assert_eq!(
        missing.reason.words(Units::Metric),
        "the water was not caught, and a syrup is right or wrong only beside its water"
    );
    let wrong = shown(30.0, Some(120.0));
    assert_eq!(wrong.verdict, Verdict::OffTarget);
    assert_eq!(missing.water, None);
    let read = wrong.water.unwrap();
    close(read.amount, 120.0, 1e-9);
    // The cup's tolerance alone is 0.29 mL (rectangular, JCGM 100 4.3.7); the thumb adds to it.
    assert!((0.29..5.0).contains(&read.standard_uncertainty), "{read:?}");
    assert_eq!(
        wrong.reason.words(Units::Metric),
        "the water is 120 mL where 150 mL belong, under 0.1 % sure to be within ±5 %, and comes before the syrup"
    );
    assert_eq!(
        wrong.act.words().words(Units::Metric),
        "see to the water first, and leave the syrup alone"
    );
}

#[test]
fn syrup_is_set_for_the_water_that_is_there() {
    let right = show(&ratio(), &[with_water(30.0, Some(150.0))]).unwrap();
    assert_eq!((right.subject, right.verdict), (Subject::Portion, Verdict::OnTarget));
    // In its tolerance, 2 % more water: the syrup that goes with 150 mL of it is 2 % less.
    let shown = show(&ratio(), &[with_water(33.0, Some(153.0))]).unwrap();
    close(shown.portion.unwrap(), 33.0 * 150.0 / 153.0, 1e-12);
    assert!(shown.budget.parts().iter().any(|part| part.source == "the water" && part.persistent));
    let Act::Adjust(adjustment) = shown.act else { panic!("{:?}", shown.act) };
    close(adjustment.change, 30.0 * 153.0 / (33.0 * 150.0) - 1.0, 1e-12);
}

#[test]
fn every_error_says_how_to_mend_it() {
    let setup = dose(vessel(1.0, 0.5));
    let fault = |change: fn(&mut Setup)| {
        let mut wrong = setup.clone();
        change(&mut wrong);
        judge(&wrong, &[in_doses(30.0, 1)]).unwrap_err().to_string()
    };
    let seconds = in_seconds(30.0, 7.0);
    #[rustfmt::skip]
    let table = [
        (judge(&setup, &[]).unwrap_err().to_string(), "no catch was given: catch the line once, then judge it"),
        (fault(|s| s.aim.target = Target::Volume(Millilitres(0.0))), "the target is 0: give a portion above zero"),
        (fault(|s| s.aim.tolerance = 5.0), "the tolerance is 5: give a fraction above 0 and below 1, such as 0.05 for ±5 %"),
        (fault(|s| s.risk = f64::NAN), "the risk is NaN: give a probability above 0 and below 0.5, such as 0.05"),
        (fault(|s| s.aim.draw = Draw::Doses(0)), "the recipe's draw is 0: give one dose or more"),
        (fault(|s| s.aim.metering = Metering::Rate), "the recipe's draw of a rate line is 1: give seconds, not doses"),
        (fault(|s| s.aim.metering = Metering::Ratio), "the recipe's water is 0: state the water that belongs to one draw of a ratio line"),
        (fault(|s| s.measure = vessel(0.0, 0.5)), "the division is 0 mL: give the step between two marks, above zero"),
        (judge(&setup, &[in_doses(30.0, 1), seconds]).unwrap_err().to_string(),
         "catch 2: the recipe counts doses, the catch counts seconds: give the doses it ran"),
        (judge(&setup, &[in_doses(-1.0, 1)]).unwrap_err().to_string(), "catch 1: the amount is -1: give what was caught, zero or more"),
        (judge(&setup, &[in_doses(30.0, 0)]).unwrap_err().to_string(), "catch 1: the number of doses is 0: give one dose or more"),
        (judge(&setup, &[at(Amount::Mass(Grams(30.0)), Draw::Doses(1))]).unwrap_err().to_string(),
         "catch 1 was read by weight, but the measure is a vessel: name the measure it was read with"),
        (judge(&rate(7.0, vessel(1.0, 0.5)), &[in_seconds(30.0, 0.0)]).unwrap_err().to_string(),
         "catch 1: the time it ran is 0: give seconds above zero"),
        (judge(&rate(7.0, vessel(1.0, 0.5)), &[in_seconds(30.0, 7.0), in_seconds(60.0, 14.0)]).unwrap_err().to_string(),
         "catches over 7 s and 14 s cannot be pooled: judge them apart, or state the family's opening offset"),
    ];
    for (got, want) in table {
        assert_eq!(got, want);
    }
}

#[test]
fn the_machine_errs_over_water_and_syrup_alike() {
    // JCGM 100, 5.2.2: inputs that err in step. ±0.2 s of the machine's cancel in 30 mL to 150 mL over the same seconds. What
    // is left is a cup of ±0.5 mL in 1 mL divisions (0.125 mL²) read twice: 0.125 (1 + 0.2²) mL².
    let mut setup = ratio();
    setup.timer = Timer::Machine { tolerance: Seconds(0.2) };
    setup.aim.water = Some((Millilitres(150.0), 0.10));
    let judged = judge(&setup, &[with_water(30.0, Some(150.0))]).unwrap();
    assert_eq!(judged.subject, Subject::Portion);
    close(judged.standard_uncertainty, libm::sqrt(0.13), 1e-12);
    // Over the water alone it does not: 150 mL · 0.11547 s / 7 s.
    let read = judged.water.unwrap();
    close(read.uncertainty(), libm::sqrt(0.125 + (150.0_f64 * 0.2 / 7.0).powi(2) / 3.0), 1e-12);
}

#[test]
fn water_that_scatters_is_known_from_few_catches() {
    // JCGM 100, G.4.1 by hand: water of 148 mL and 152 mL is known to 2 mL from one degree of freedom; it carries
    // (30/150)⁴ · 2⁴ = 0.0256 mL⁴ into the syrup, whose variance is 1/12 + 1/48 + 0.2² (4 + 1/12) = 0.2675 mL².
    let mut setup = ratio();
    setup.timer = Timer::Machine { tolerance: Seconds(0.0) };
    setup.aim.water = Some((Millilitres(150.0), 0.30));
    let catches = [with_water(30.0, Some(148.0)), with_water(30.0, Some(152.0))];
    let judged = judge(&setup, &catches).unwrap();
    assert_eq!(judged.subject, Subject::Portion);
    close(judged.standard_uncertainty, libm::sqrt(0.2675), 1e-12);
    close(judged.degrees_of_freedom, 0.2675 * 0.2675 / 0.0256, 1e-9);
}

// A cylinder with divisions of 1 mL that is known to read high by 2 %: half a division is as near as a draw is stopped.
#[test]
fn a_taught_draw_is_stopped_at_a_mark_that_can_be_read() {
    let taught = Setup { adjuster: Adjuster::Taught, ..rate(7.0, vessel(1.0, 0.5)) };
    let stop = |over: f64| taught.teaching(over).unwrap().words(Units::Metric);
    assert_eq!(stop(0.0), "teach it again: stop at 30 mL; the old setting is lost");
    assert_eq!(stop(0.02), "teach it again: stop at 30.5 mL; the old setting is lost");
    assert_eq!(stop(-0.036), "teach it again: stop at 29 mL; the old setting is lost");
    assert_eq!(rate(7.0, vessel(1.0, 0.5)).teaching(0.02), None, "a screw is not taught");
    // Its marks are millilitres for whoever reads ounces too: 30.5 mL is 1.0313 fl oz.
    let said = taught.teaching(0.02).unwrap().words(Units::Us);
    assert_eq!(said, "teach it again: stop at 30.5 mL = 1.031 fl oz (US); the old setting is lost");
}

// NIST Handbook 44, appendix C: 29.573 529 562 5 mL in a US fluid ounce, 28.349 523 125 g in an ounce by weight.
#[test]
fn the_same_verdict_reads_in_ounces() {
    let us = |setup: &Setup, catch: Catch| {
        let shown = show(setup, &[catch]).unwrap();
        (shown.act.words().words(Units::Us), shown.reason.words(Units::Us))
    };
    let (act, reason) = us(&dose(cup(30.0, 2.0)), in_doses(30.0, 1));
    assert_eq!(
        act,
        "measure it with a scale that reads 0.5 g = 0.017 oz (weight) and the product's density, or a vessel good to ±0.044 fl oz (US)"
    );
    let start = "1.014 fl oz (US) is at the target of 1.014 fl oz (US), with 3.8 % of doubt: 81 %";
    assert!(reason.starts_with(start), "{reason}");
    let weighed = Setup {
        aim: Aim { target: Target::Mass(Grams(36.0)), ..dose(scale(1.0, 1.0)).aim },
        ..dose(scale(1.0, 1.0))
    };
    let (_, reason) = us(&weighed, at(Amount::Mass(Grams(40.0)), Draw::Doses(1)));
    let start = "1.411 oz (weight) is 11.1 % over the target of 1.27 oz (weight), with";
    assert!(reason.starts_with(start), "{reason}");
    let (_, reason) = us(&ratio(), with_water(30.0, Some(120.0)));
    assert!(
        reason.starts_with("the water is 4.06 fl oz (US) where 5.07 fl oz (US) belong"),
        "{reason}"
    );
}
