//! What records answer: small pasts, each with one thing to see. The thresholds are common practice, no source; the pasts are made.

use ouncewise_estimate::joint::{Behaviour, Reading, Said};
use ouncewise_estimate::past::{Happened, Past, Visit};
use ouncewise_measure::{Adjuster, Metering};

use super::super::*;

/// Noise of 1 % of the portion, and a cup whose own error is 0.5 %.
const NOISE: f64 = 1e-4;
const CUP: f64 = 2.5e-5;

fn read(line: usize, value: f64) -> Happened {
    let said = Said::Value(value, NOISE);
    Happened::Read(Reading { line, said, measure: Some((0, CUP)), person: None })
}

/// Three lines about a target of 0 (the log of 1), a visit a week; line 0 reads as given, the others right.
fn past(line: &[f64]) -> Past {
    let visits = line.iter().enumerate().map(|(week, value)| Visit {
        at: week as f64,
        happened: vec![read(0, *value), read(1, 0.004), read(2, -0.005)],
    });
    Past { targets: vec![0.0; 3], visits: visits.collect() }
}

fn told(past: &Past, failed: Option<Failed>, part: Option<f64>) -> Vec<Known> {
    let limits = [Some((-0.05, 0.05)); 3];
    let behaviour = Behaviour::default();
    known(&Records { past, behaviour: &behaviour, limits: &limits, line: 0, failed, part })
}

fn seen(known: &[Known], sign: &str) -> Seen {
    known.iter().find(|k| k.sign == sign).map_or(Seen::Unknown, |k| k.seen)
}

fn why(known: &[Known], sign: &str) -> Why {
    known.iter().find(|k| k.sign == sign).unwrap_or_else(|| panic!("{sign}: {known:?}")).why
}

#[test]
fn a_line_that_is_right_has_no_sign_of_a_portion() {
    let known = told(&past(&[0.01, 0.0, -0.01, 0.005, 0.0]), None, None);
    for sign in [keys::LOW, keys::HIGH, keys::SCATTERS, keys::NOTHING, keys::HALF] {
        assert_eq!(seen(&known, sign), Seen::No, "{sign} {known:?}");
    }
    for sign in [keys::ALL, keys::PART, keys::DRIFTS] {
        assert_eq!(seen(&known, sign), Seen::Unknown, "{sign} {known:?}");
    }
}

#[test]
fn what_fell_at_once_is_low_alone_and_did_not_drift() {
    let known = told(&past(&[0.01, 0.0, -0.01, 0.0, 0.005, -0.2, -0.2, -0.21, -0.2]), None, None);
    assert_eq!(seen(&known, keys::LOW), Seen::Yes, "{known:?}");
    assert_eq!(seen(&known, keys::HIGH), Seen::No);
    assert_eq!(seen(&known, keys::SCATTERS), Seen::No);
    assert_eq!(seen(&known, keys::DRIFTS), Seen::No);
    assert_eq!(why(&known, keys::DRIFTS), Why::AtOnce { after: 4.0, before: 5.0 });
    assert!(matches!(why(&known, keys::ALL), Why::Alone(1 | 2)));
    let Why::Off { at, by } = why(&known, keys::LOW) else { panic!("{known:?}") };
    assert!(at == 8.0 && (-0.21..-0.14).contains(&by), "{by}");
}

/// One low reading tells that it is low, and not whether the next is as low.
#[test]
fn one_reading_that_fell_leaves_open_whether_it_scatters() {
    let known = told(&past(&[0.01, 0.0, -0.01, 0.0, 0.005, -0.2]), None, None);
    assert_eq!(seen(&known, keys::LOW), Seen::Unknown, "{known:?}");
    assert_eq!(seen(&known, keys::HIGH), Seen::No, "{known:?}");
    assert_eq!(seen(&known, keys::SCATTERS), Seen::Unknown, "{known:?}");
    assert_eq!(seen(&known, keys::DRIFTS), Seen::No);
    // A second one at the same visit tells.
    let mut again = past(&[0.01, 0.0, -0.01, 0.0, 0.005, -0.2]);
    again.visits[5].happened.insert(1, read(0, -0.195));
    let known = told(&again, None, None);
    assert_eq!(seen(&known, keys::LOW), Seen::Yes, "{known:?}");
    // And one that differs says that it scatters.
    again.visits[5].happened[1] = read(0, -0.05);
    let known = told(&again, None, None);
    assert_eq!(seen(&known, keys::SCATTERS), Seen::Yes, "{known:?}");
    assert_ne!(seen(&known, keys::LOW), Seen::Yes, "{known:?}");
}

#[test]
fn what_fell_little_by_little_drifted_even_where_it_was_adjusted() {
    let falls: Vec<f64> = (0..12).map(|week| -0.012 * f64::from(week)).collect();
    let known = told(&past(&falls), None, None);
    assert_eq!(seen(&known, keys::DRIFTS), Seen::Yes, "{known:?}");
    assert_eq!(seen(&known, keys::LOW), Seen::Yes, "{known:?}");
    // Adjusted by +4 % at every third visit, it stays within tolerance, and still drifts.
    let mut adjusted = past(&[0.0; 12]);
    for (week, visit) in adjusted.visits.iter_mut().enumerate() {
        visit.happened[0] = read(0, -0.012 * week as f64 + 0.04 * (week / 3) as f64);
        if week % 3 == 2 {
            visit.happened.push(Happened::Adjusted(0, Some(0.04)));
        }
    }
    let known = told(&adjusted, None, None);
    let Why::Slowly { since, by, put_back } = why(&known, keys::DRIFTS) else {
        panic!("{known:?}")
    };
    assert_eq!(since, 0.0);
    assert!((0.1..0.15).contains(&by) && (0.1..0.14).contains(&put_back), "{by} {put_back}");
}

#[test]
fn what_goes_to_and_fro_scatters() {
    let known = told(&past(&[0.0, 0.01, 0.0, 0.12, -0.12, 0.11, -0.13]), None, None);
    assert_eq!(seen(&known, keys::SCATTERS), Seen::Yes, "{known:?}");
    assert_ne!(seen(&known, keys::LOW), Seen::Yes);
}

#[test]
fn lines_that_fell_together_are_seen_to() {
    let mut together = past(&[0.0; 8]);
    for visit in &mut together.visits[4..] {
        visit.happened = (0..3).map(|line| read(line, -0.15)).collect();
    }
    let known = told(&together, None, None);
    assert_eq!(seen(&known, keys::ALL), Seen::Yes, "{known:?}");
    assert_eq!(why(&known, keys::ALL), Why::Together(3));
}

#[test]
fn what_began_with_a_part_and_what_did_not() {
    let mut since = past(&[0.0, 0.01, 0.0, 0.0, -0.2, -0.2, -0.2]);
    since.visits[3].happened.push(Happened::Renewed(0, 0.0));
    let known = told(&since, None, Some(3.001));
    assert_eq!(why(&known, keys::PART), Why::SincePart(3.001), "{known:?}");
    assert_eq!(seen(&known, keys::PART), Seen::Yes);
    // Right for two weeks with the new part: that is not it.
    let mut later = past(&[0.0, 0.0, 0.01, 0.0, -0.2, -0.2, -0.2]);
    later.visits[1].happened.push(Happened::Renewed(0, 0.0));
    let known = told(&later, None, Some(1.001));
    assert_eq!(why(&known, keys::PART), Why::RightAfterPart(1.001));
    // Nobody recorded a part: that is no answer.
    assert_eq!(seen(&told(&past(&[0.0, -0.2, -0.2]), None, None), keys::PART), Seen::Unknown);
}

#[test]
fn a_failure_is_no_level() {
    let right = past(&[0.0, 0.01, 0.0, -0.01]);
    let known = told(&right, Some(Failed { at: 4.0, nothing: true }), None);
    assert_eq!(seen(&known, keys::NOTHING), Seen::Yes);
    assert_eq!(seen(&known, keys::LOW), Seen::Unknown, "{known:?}");
    assert_eq!(why(&known, keys::DRIFTS), Why::AtOnce { after: 3.0, before: 4.0 });
    assert!(matches!(why(&known, keys::ALL), Why::Alone(_)));
    let known = told(&right, Some(Failed { at: 4.0, nothing: false }), None);
    assert_eq!((seen(&known, keys::NOTHING), seen(&known, keys::HALF)), (Seen::No, Seen::Yes));
}

#[test]
fn a_line_that_was_set_and_not_caught_since_or_never_caught_says_little() {
    let mut set = past(&[-0.2, -0.2, -0.2]);
    set.visits[2].happened.push(Happened::Adjusted(0, Some(0.2)));
    let known = told(&set, None, None);
    assert_eq!(seen(&known, keys::LOW), Seen::Unknown, "{known:?}");
    assert_eq!(told(&Past { targets: vec![0.0; 3], visits: Vec::new() }, None, None), []);
    // Lines that the machine does not have, or that cannot be judged, say nothing.
    let behaviour = Behaviour::default();
    let absurd = past(&[f64::NAN, f64::INFINITY, -1e300]);
    for (limits, line) in [
        (&[][..], 0),
        (&[None, None, None], 0),
        (&[Some((0.0, 0.0)); 3], 7),
        (&[Some((0.0, 0.0)); 3], 0),
    ] {
        let _ = known_of(&absurd, &behaviour, limits, line);
    }
}

fn known_of(
    past: &Past,
    behaviour: &Behaviour,
    limits: &[Option<(f64, f64)>],
    line: usize,
) -> Vec<Known> {
    known(&Records { past, behaviour, limits, line, failed: None, part: None })
}

/// Every sign that records answer is one of a catalogue that ships, and asks for what it means.
#[test]
fn what_records_answer_is_what_catalogues_ask() {
    let all = ["piston", "pressure", "roller-pump"].map(|id| Catalogue::shipped(id).unwrap());
    for (key, word) in [
        (keys::LOW, "low"),
        (keys::HIGH, "high"),
        (keys::DRIFTS, "week to week"),
        (keys::SCATTERS, "differ"),
        (keys::ALL, "all lines"),
        (keys::NOTHING, "nothing"),
        (keys::HALF, "less than half"),
        (keys::PART, "part was put in"),
    ] {
        let asked: Vec<&str> =
            all.iter().filter_map(|c| Some(c.signs[c.sign(key)?].ask.as_str())).collect();
        assert!(
            !asked.is_empty() && asked.iter().all(|ask| ask.contains(word)),
            "{key}: {asked:?}"
        );
    }
}

#[test]
fn causes_are_chosen_by_name_then_family_then_build() {
    let screw =
        Adjuster::Screw { per_turn: None, anticlockwise_gives_more: true, slack_turns: 0.0 };
    let rows: [(Option<&str>, &str, Metering, &Adjuster, &str, Chosen); 7] = [
        (Some("piston"), "roller-pump", Metering::Dose, &Adjuster::Taught, "piston", Chosen::Named),
        (
            Some("no-such"),
            "roller-pump",
            Metering::Dose,
            &Adjuster::Taught,
            "roller-pump",
            Chosen::Family,
        ),
        (None, "twin-valve", Metering::Ratio, &screw, "pressure", Chosen::Family),
        (None, "ours", Metering::Dose, &Adjuster::Taught, "roller-pump", Chosen::Alike),
        (None, "ours", Metering::Dose, &Adjuster::None, "piston", Chosen::Alike),
        (None, "ours", Metering::Rate, &screw, "pressure", Chosen::Alike),
        (None, "ours", Metering::Ratio, &screw, "pressure", Chosen::Alike),
    ];
    for (named, family, metering, adjuster, id, chosen) in rows {
        let (got, _, by) = for_line(&Built { named, family, metering, adjuster });
        assert_eq!((got, by), (id, chosen), "{named:?} {family}");
    }
}
