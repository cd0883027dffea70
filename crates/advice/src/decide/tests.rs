//! The order of acts, and the sizes of adjustments.

use ouncewise_estimate::joint::{Reading, Said};

use super::*;

fn line(means: Means) -> Line {
    Line { target: 0.0, tolerance: 0.05, means, measure: None, person: None, part_due: None }
}

/// A line that stands at this level for certain.
fn stands(level: f64) -> (Joint, Behaviour) {
    let behaviour = Behaviour { drift: 0.0, ..Behaviour::default() };
    let mut joint = Joint::new(&behaviour, &[0.0]);
    joint.pass(&behaviour, 0.0);
    for _ in 0..20 {
        let said = Said::Value(level, 1e-5);
        joint.read(&behaviour, &Reading { line: 0, said, measure: None, person: None });
    }
    (joint, behaviour)
}

fn told(level: f64, means: Means, visit: &Visit) -> Act {
    let (joint, behaviour) = stands(level);
    let policy = Policy::default();
    let (line, tails) = (line(means), Tails::default());
    let case = Case {
        joint: &joint,
        behaviour: &behaviour,
        index: 0,
        line: &line,
        visit,
        policy: &policy,
        tails: &tails,
    };
    advise(&case).act
}

const ONCE: Visit =
    Visit { fault: false, surprise: 0.0, shocked: 0.0, catches: 1, cleaned: false, shared: false };

#[test]
fn what_is_near_is_left_alone_and_what_is_off_is_adjusted_by_the_estimate() {
    assert_eq!(told(0.004, Means::Steps(0.0), &ONCE), Act::LeaveAlone);
    let Act::Adjust(by) = told(0.08, Means::Steps(0.0), &ONCE) else { panic!("adjust it") };
    let (joint, _) = stands(0.08);
    assert!((by + joint.level(0).mean).abs() < 1e-9, "{by}");
    assert!((by + 0.08).abs() < 0.01, "{by}");
}

#[test]
fn an_adjustment_is_in_the_steps_that_the_line_has() {
    assert_eq!(told(0.08, Means::Steps(0.03), &ONCE), Act::Adjust(-0.09));
    assert_eq!(told(0.08, Means::Steps(1.0), &ONCE), Act::LeaveAlone);
    assert_eq!(told(0.08, Means::Taught(true), &ONCE), Act::Teach(0.0));
    assert_eq!(told(0.2, Means::None, &ONCE), Act::Call);
}

#[test]
fn the_order_of_acts() {
    let far = Visit { surprise: -6.0, shocked: 0.9, ..ONCE };
    assert_eq!(told(-0.2, Means::Steps(0.0), &far), Act::CatchAgain);
    let twice = Visit { catches: 2, ..far };
    assert_eq!(told(-0.2, Means::Steps(0.0), &twice), Act::Clean);
    let cleaned = Visit { cleaned: true, ..twice };
    assert!(matches!(told(-0.2, Means::Steps(0.0), &cleaned), Act::Adjust(by) if by > 0.15));
    let shared = Visit { shared: true, ..far };
    assert_eq!(told(-0.2, Means::Steps(0.0), &shared), Act::SeeToShared);
    let fault = Visit { fault: true, ..far };
    assert_eq!(told(0.0, Means::Steps(0.0), &fault), Act::Clean);
    assert_eq!(told(0.0, Means::Steps(0.0), &Visit { cleaned: true, ..fault }), Act::Call);
}

// Where wear runs one way, half of the coming drift is aimed ahead: at most a quarter of the tolerance.
#[test]
fn wear_is_aimed_ahead_of() {
    let aimed = |drift: f64| {
        let (joint, behaviour) = stands(-0.07);
        let behaviour = Behaviour { drift, ..behaviour };
        let (policy, tails) = (Policy::default(), Tails::default());
        let line = line(Means::Steps(0.0));
        let case = Case {
            joint: &joint,
            behaviour: &behaviour,
            index: 0,
            line: &line,
            visit: &ONCE,
            policy: &policy,
            tails: &tails,
        };
        let Act::Adjust(by) = advise(&case).act else { panic!("adjust it") };
        by + joint.level(0).mean
    };
    assert!(aimed(0.0).abs() < 1e-12);
    assert!((aimed(-0.002) - 0.006).abs() < 1e-12);
    assert!((aimed(-0.02) - 0.0125).abs() < 1e-12);
}
