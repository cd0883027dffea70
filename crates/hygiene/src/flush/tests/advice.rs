//! The ways that a line allows, and their words.

use super::*;
use crate::drain::Drain;
use crate::line::{Fitting, Top};
use ouncewise_measure::Millilitres;

fn timed(seconds: f64) -> Drain {
    Drain { takes: Some(Seconds(seconds)), ..Drain::default() }
}

/// A round's own line: 95 mL, 5 mL/s, 1 % in what comes out.
#[test]
fn a_line_that_drains_is_told_both_ways() {
    let flush = flushed(&line().that_drains(), 5.0, Diffusivity::SUCROSE.0);
    let allowed = Allowed { pause: None, drain: timed(15.0) };
    let advice = flush.advise(Want::outlet(0.01).unwrap(), &allowed).unwrap();
    assert_eq!(
        advice.words,
        "run 115 s; or drain and refill twice: 70 s and a third of the solution"
    );
    let [run, drain] = &advice.plans[..] else { panic!("two ways") };
    assert_eq!((run.way, drain.way), (Way::Run, Way::DrainAndRefill { cycles: 2 }));
    // Two fills of 95 mL, and two drains of 15 s.
    near(drain.solution.0, 190.0, 1e-3, "mL");
    near(drain.takes.0, 2.0 * 15.0 + 190.01 / 5.0, 1e-3, "s");
    assert!(drain.residue < 0.01 && run.residue == 0.01);
    assert!(drain.assumptions.iter().any(|note| note.contains("mixes it")));
    near(advice.swirls_from.unwrap().0, 20.0, 0.01, "mL/s");
    assert!(advice.not_offered.is_empty());
}

/// Air is never advised where the line is closed, holds pressure, or nobody said.
#[test]
fn a_closed_line_is_not_told_to_drain() {
    let closed = Line { top: Top::Closed, ..line().that_drains() };
    for line in [closed, line()] {
        let advice = flushed(&line, 5.0, 5e-10)
            .advise(Want::line(0.01).unwrap(), &Allowed::default())
            .unwrap();
        assert_eq!(advice.plans.len(), 1);
        assert!(advice.not_offered[0].starts_with("not drained: "), "{:?}", advice.not_offered);
        assert!(!advice.words.contains("drain"), "{}", advice.words);
    }
}

/// A pause saves solution and costs time; where it cannot be computed it is not offered, and says why.
#[test]
fn a_pause_saves_solution() {
    let flush = flushed(&line(), 5.0, Diffusivity::SUCROSE.0);
    let allowed = Allowed { pause: Some(Seconds(180.0)), ..Allowed::default() };
    let advice = flush.advise(Want::line(0.03).unwrap(), &allowed).unwrap();
    let [run, paused] = &advice.plans[..] else { panic!("two ways: {advice:?}") };
    assert_eq!(paused.way, Way::RunPauseRun { pause: Seconds(180.0) });
    assert!(paused.volumes < 0.85 * run.volumes && paused.takes > run.takes);
    assert!(paused.words.contains(", wait 3 min, run "), "{}", paused.words);
    // A longer pause than evens out the cross-section gains nothing.
    let long = Allowed { pause: Some(Seconds(1e6)), ..Allowed::default() };
    let Way::RunPauseRun { pause } =
        flush.advise(Want::line(0.03).unwrap(), &long).unwrap().plans[1].way
    else {
        panic!("a pause")
    };
    near(
        pause_number(pause, Millimetres(6.35), Diffusivity::SUCROSE),
        LONGEST_USEFUL_PAUSE,
        1e-9,
        "pause",
    );
    let why = |flush: &Flush, want| flush.advise(want, &allowed).unwrap().not_offered[0].clone();
    assert!(why(&flush, Want::outlet(0.03).unwrap()).contains("left in the line alone"));
    assert!(why(&flush, Want::line(1e-4).unwrap()).contains("from 30 % to 0.1 %"));
    let turbulent = flushed(&line(), 30.0, 5e-10);
    assert!(why(&turbulent, Want::line(0.03).unwrap()).contains("mixes by itself"));
    let unknown = flush.spreading(Spreads::UpTo(Diffusivity::SANITISER)).unwrap();
    assert!(why(&unknown, Want::line(0.03).unwrap()).contains("not known"));
}

/// A turbulent flow does it in little more than a volume.
#[test]
fn a_turbulent_flow_is_quick() {
    let advice = flushed(&line(), 30.0, 5e-10)
        .advise(Want::outlet(0.01).unwrap(), &Allowed::default())
        .unwrap();
    assert!(advice.plans[0].volumes < 1.25 && advice.swirls_from.is_none());
    assert!(advice.plans[0].assumptions[0].contains("turbulent"));
}

/// What nobody said of the fittings, and what is never flushed, goes with every answer.
#[test]
fn fittings_go_with_the_answer() {
    let fittings = vec![
        Fitting { count: 2, holds: None, dead_end: false },
        Fitting { count: 1, holds: Some(Millilitres(3.0)), dead_end: true },
    ];
    let flush = flushed(&Line { fittings, ..line().that_drains() }, 5.0, 5e-10);
    let advice = flush.advise(Want::line(0.05).unwrap(), &Allowed::default()).unwrap();
    for plan in &advice.plans {
        for note in ["valve bodies", "more than is counted", "a dead end is not flushed"] {
            assert!(plan.assumptions.iter().any(|said| said.contains(note)), "{note}: {plan:?}");
        }
    }
}

/// A chart's points: from all to the wanted share, never rising, as long as the plan takes.
#[test]
fn a_course_falls_from_all_to_what_was_wanted() {
    let flush = flushed(&line().that_drains(), 5.0, Diffusivity::SUCROSE.0);
    let allowed = Allowed { pause: Some(Seconds(120.0)), drain: timed(15.0) };
    let advice = flush.advise(Want::line(0.02).unwrap(), &allowed).unwrap();
    assert_eq!(advice.plans.len(), 3);
    for plan in &advice.plans {
        let course = flush.course(plan, &allowed.drain, plan.takes, 60).unwrap();
        assert_eq!(course[0], Moment { at: Seconds(0.0), residue: 1.0 });
        let last = course.last().unwrap();
        near(last.at.0, plan.takes.0, 1e-9, "end");
        near(last.residue, plan.residue, 1e-6, "left");
        assert!(
            course.is_sorted_by(|a, b| a.at <= b.at && a.residue >= b.residue),
            "{:?}",
            plan.way
        );
    }
}

/// A record of eight seconds for a flush of ninety is noticed.
#[test]
fn the_least_time_is_said() {
    let flush = flushed(&line(), 5.0, Diffusivity::SUCROSE.0);
    let least = flush.least(Want::outlet(0.01).unwrap());
    assert!(least.at_best.0 > 90.0 && least.hard.0 > 8.0, "{least:?}");
    assert_eq!(
        least.words,
        "115 s to 1 % at best, in a straight tube; nothing is quicker than 10 s"
    );
    assert_eq!(flush.first_arrival(), flush.seconds(0.5));
    // Between laminar and turbulent the least counts what may swirl, the advice does not.
    let between = flushed(&line(), 15.0, Diffusivity::SUCROSE.0);
    let want = Want::outlet(0.01).unwrap();
    assert!(between.least(want).at_best.0 < 0.5 * between.seconds(between.volumes_for(want)).0);
    assert_eq!(flush.said(Want::line(0.05).unwrap()), "5 % left in the line takes 3.8 volumes");
}

#[test]
fn figures_are_words() {
    use crate::flush::words::*;
    for (seconds, said) in [
        (0.2, "1 s"),
        (13.2, "14 s"),
        (20.0, "20 s"),
        (91.0, "95 s"),
        (120.0, "120 s"),
        (121.0, "2 min 10 s"),
        (180.0, "3 min"),
        (598.0, "10 min"),
        (700.0, "12 min"),
    ] {
        assert_eq!(time(Seconds(seconds)), said);
    }
    for (ratio, said) in [
        (0.5, "half the solution"),
        (0.48, "half the solution"),
        (0.335, "a third of the solution"),
        (1.05, "as much solution"),
        (0.05, "0.050 times the solution"),
        (3.0, "3.0 times the solution"),
    ] {
        assert_eq!(of_the_solution(ratio), said);
    }
    assert_eq!((times(1), times(2), times(3)), ("once".into(), "twice".into(), "3 times".into()));
    assert_eq!(
        (percent(0.001), volumes(1.0), volumes(1.24)),
        ("0.1 %".into(), "1 volume".into(), "1.2 volumes".into())
    );
}
