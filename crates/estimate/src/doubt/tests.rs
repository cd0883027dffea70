//! Months written out by hand.

use super::*;

/// A round of ten lines of 30 mL, read to a fifth with a cup of 1 mL divisions.
fn round(theirs: bool, amount: impl Fn(usize) -> f64) -> Round {
    let caught = (0..10).map(|line| {
        let amount = amount(line);
        Caught {
            line,
            amount,
            coarsest: 1.0,
            level: libm::log(amount / 30.0),
            noise: 0.03,
            steady: 0.008,
        }
    });
    Round { machine: 0, theirs, caught: caught.collect(), timing: None }
}

/// Amounts that differ as the noise says, and are other ones in each round.
fn scattered(round: usize) -> impl Fn(usize) -> f64 {
    move |line| {
        let place = (round * 31 + line * 17) % 23;
        (5.0 * (30.0 + 3.0 * (place as f64 / 11.0 - 1.0))).round() / 5.0
    }
}

fn typed() -> Option<Timing> {
    Some(Timing { gaps: vec![3.0; 9], span: 27.0, ran: 70.0 })
}

#[test]
fn scattered_readings_are_not_asked_about() {
    let rounds = (0..5).map(|week| round(week > 0, scattered(week))).collect();
    let doubt = doubt(&Month { rounds }, 1).unwrap();
    assert!(!doubt.asks() && doubt.signs.is_empty(), "{doubt:?}");
    assert_eq!(doubt.readings, 40);
}

#[test]
fn the_same_list_typed_at_once_is_asked_about() {
    let rounds: Vec<Round> =
        (0..5).map(|week| Round { timing: typed(), ..round(week > 0, scattered(7)) }).collect();
    let told = doubt(&Month { rounds: rounds.clone() }, 1).unwrap();
    for sign in [Sign::Repeated, Sign::Carried, Sign::TooQuick, Sign::Burst] {
        assert!(told.signs.contains(&sign), "{sign:?} {told:?}");
    }
    assert!(told.asks(), "{told:?}");
    assert_eq!(Some(told), doubt(&Month { rounds: rounds.clone() }, 1), "the same seed");
    // Without times two signs are left: not enough.
    let rounds = rounds.into_iter().map(|round| Round { timing: None, ..round }).collect();
    assert!(!doubt(&Month { rounds }, 1).unwrap().asks());
}

// Who writes on paper and types at the end: times alone never ask.
#[test]
fn typing_at_the_end_is_no_reason_to_ask() {
    let rounds: Vec<Round> =
        (0..5).map(|week| Round { timing: typed(), ..round(week > 0, scattered(week)) }).collect();
    let doubt = doubt(&Month { rounds }, 1).unwrap();
    assert_eq!(doubt.signs, [Sign::TooQuick, Sign::Burst]);
    assert!(!doubt.asks() && doubt.chance > 0.01);
}

// A cup of 10 mL divisions reads 30 nearly always: honest readings repeat.
#[test]
fn a_coarse_cup_repeats_by_itself() {
    let coarse = |week: usize| {
        let mut round = round(week > 0, |_| 30.0);
        for caught in &mut round.caught {
            caught.coarsest = 10.0;
            caught.noise = 0.09;
        }
        Round { timing: typed(), ..round }
    };
    let doubt = doubt(&Month { rounds: (0..5).map(coarse).collect() }, 1).unwrap();
    assert!(!doubt.signs.contains(&Sign::Repeated) && !doubt.asks(), "{doubt:?}");
}

#[test]
fn few_readings_say_nothing() {
    let mut one = round(true, |_| 30.0);
    one.caught.truncate(7);
    assert_eq!(doubt(&Month { rounds: vec![one] }, 1), None);
    assert_eq!(doubt(&Month { rounds: vec![round(false, |_| 30.0)] }, 1), None);
}

#[test]
fn steps_are_told_from_what_is_written() {
    let caught = |amount: f64, coarsest: f64| Caught {
        line: 0,
        amount,
        coarsest,
        level: 0.0,
        noise: 0.03,
        steady: 0.01,
    };
    let all = [caught(30.0, 2.0), caught(31.0, 2.0), caught(29.8, 1.0), caught(30.2, 1.0)];
    let all: Vec<&Caught> = all.iter().collect();
    for (step, wanted) in resolution(&all).into_iter().zip([1.0, 1.0, 0.2, 0.2]) {
        assert!((step - wanted).abs() < 1e-12, "{step} {wanted}");
    }
}
