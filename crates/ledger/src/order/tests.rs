//! Whatever the order of receipt, one sequence of what stands.

use std::collections::BTreeMap;

use proptest::prelude::*;

use super::*;
use crate::record::{LineState, Scope, Subject};
use crate::samples::{catch, id, record};

fn at(n: u64, time: &str, sequence: u64, body: Body) -> Record {
    Record { at: format!("2026-03-02T{time}.000Z"), sequence, ..record(n, body) }
}

fn correction(n: u64, of: u64, instead: Option<Body>) -> Record {
    let body = Body::Correction {
        of: id(of),
        reason: format!("reason {n}"),
        instead: instead.map(Box::new),
    };
    at(n, "06:00:00", n, body)
}

fn millilitres(records: &[Record]) -> Vec<String> {
    records
        .iter()
        .map(|record| match &record.body {
            Body::CatchTaken { amount, .. } => amount.clone(),
            other => other.kind().to_owned(),
        })
        .collect()
}

fn flags(all: &[Effective]) -> BTreeMap<Uuid, Vec<Flag>> {
    all.iter()
        .filter(|one| !one.flags.is_empty())
        .map(|one| (one.record.id, one.flags.clone()))
        .collect()
}

#[test]
fn by_moment_then_running_number_then_id() {
    let mut records = vec![
        at(5, "06:00:02", 1, catch(5)),
        at(4, "06:00:01", 9, catch(4)),
        at(3, "06:00:01", 8, catch(3)),
        at(2, "06:00:01", 8, catch(2)),
        Record {
            at: "2026-03-02T07:00:00.500+01:00".to_owned(),
            ..at(1, "00:00:00", 99, catch(1))
        },
        Record { at: "soon".to_owned(), ..at(0, "00:00:00", 0, catch(0)) },
    ];
    event_order(&mut records, no_skew);
    assert_eq!(records.iter().map(|r| r.id).collect::<Vec<_>>(), [0, 1, 2, 3, 4, 5].map(id));
}

#[test]
fn a_clock_that_is_known_to_be_wrong_is_corrected() {
    let phone = |n, time| Record { device: "phone-1".to_owned(), ..at(n, time, n, catch(0)) };
    let mut records =
        vec![at(1, "06:00:00", 1, catch(1)), phone(2, "07:30:00"), at(3, "07:00:00", 3, catch(3))];
    event_order(&mut records, |record| if record.device == "phone-1" { -3_600_000 } else { 0 });
    assert_eq!(records.iter().map(|r| r.id).collect::<Vec<_>>(), [1, 2, 3].map(id));
    // A skew beyond all time does not overflow.
    event_order(&mut records, |_| i64::MIN);
}

#[test]
fn withdrawn_and_replaced_stay_visible() {
    let records = vec![
        at(1, "05:00:00", 1, catch(20)),
        at(2, "05:01:00", 2, catch(21)),
        at(3, "05:02:00", 3, catch(22)),
        correction(4, 2, None),
        correction(5, 3, Some(catch(32))),
    ];
    let all = resolve(records.clone(), no_skew);
    assert_eq!(all.iter().map(|one| one.record.clone()).collect::<Vec<_>>(), records);
    assert_eq!(all[0].outcome, Outcome::Stands);
    assert_eq!(all[1].outcome, Outcome::Withdrawn { by: id(4), reason: "reason 4".to_owned() });
    assert_eq!(
        all[2].outcome,
        Outcome::Replaced { by: id(5), reason: "reason 5".to_owned(), instead: catch(32) }
    );
    assert!(flags(&all).is_empty());
    let standing = standing(records, no_skew);
    assert_eq!(millilitres(&standing), ["20 mL", "32 mL"]);
    // It keeps its own id and time.
    assert_eq!((standing[1].id, standing[1].at.as_str()), (id(3), "2026-03-02T05:02:00.000Z"));
}

#[test]
fn corrections_of_corrections() {
    let first = || at(1, "05:00:00", 1, catch(20));
    let cases: [(Vec<Record>, &[&str]); 6] = [
        // Withdrawing a correction makes the record stand again.
        (vec![first(), correction(2, 1, None), correction(3, 2, None)], &["20 mL"]),
        (vec![first(), correction(2, 1, Some(catch(30))), correction(3, 2, None)], &["20 mL"]),
        // Replacing one replaces what holds instead.
        (
            vec![first(), correction(2, 1, Some(catch(30))), correction(3, 2, Some(catch(31)))],
            &["31 mL"],
        ),
        (vec![first(), correction(2, 1, None), correction(3, 2, Some(catch(31)))], &["31 mL"]),
        // Of two corrections the later counts, unless it is withdrawn.
        (
            vec![first(), correction(2, 1, Some(catch(30))), correction(3, 1, Some(catch(31)))],
            &["31 mL"],
        ),
        (
            vec![
                first(),
                correction(2, 1, Some(catch(30))),
                correction(3, 1, None),
                correction(4, 3, None),
            ],
            &["30 mL"],
        ),
    ];
    for (records, expected) in cases {
        let all = resolve(records.clone(), no_skew);
        assert!(flags(&all).is_empty(), "{all:?}");
        assert_eq!(millilitres(&standing(records, no_skew)), expected);
    }
}

#[test]
fn what_corrects_nothing_is_flagged() {
    let elsewhere = Record { subject: Subject::machine("counter-2"), ..correction(3, 1, None) };
    let abroad = Record { scope: Scope::site("alderford").unwrap(), ..correction(4, 1, None) };
    let nested = correction(
        5,
        1,
        Some(Body::Correction { of: id(1), reason: "x".to_owned(), instead: None }),
    );
    let records = vec![
        at(1, "05:00:00", 1, catch(20)),
        correction(2, 99, None),
        elsewhere,
        abroad,
        nested,
        correction(6, 6, None),
        correction(7, 8, None),
        correction(8, 7, None),
        // Hangs on a circle without lying on it.
        correction(9, 8, Some(catch(1))),
    ];
    let all = resolve(records.clone(), no_skew);
    let expected = [
        (2, Flag::UnknownRecord),
        (3, Flag::OtherMachine),
        (4, Flag::OtherMachine),
        (5, Flag::Nested),
        (6, Flag::Circle),
        (7, Flag::Circle),
        (8, Flag::Circle),
    ];
    assert_eq!(flags(&all), expected.map(|(n, flag)| (id(n), vec![flag])).into());
    assert_eq!(all[0].outcome, Outcome::Stands);
    assert_eq!(millilitres(&standing(records, no_skew)), ["20 mL"]);
}

#[test]
fn a_correction_may_name_no_machine_and_come_before_what_it_corrects() {
    let early = Record {
        subject: Subject::default(),
        at: "2026-03-01T00:00:00.000Z".to_owned(),
        ..correction(2, 1, None)
    };
    let all = resolve(vec![early, at(1, "05:00:00", 1, catch(20))], no_skew);
    assert!(matches!(all[1].outcome, Outcome::Withdrawn { .. }));
}

#[test]
fn one_record_received_twice_is_one_and_two_of_one_id_are_told() {
    let (one, other) = (at(1, "05:00:00", 1, catch(20)), at(1, "05:00:00", 1, catch(21)));
    let later = at(1, "05:30:00", 1, catch(22));
    let all = resolve(vec![later.clone(), other.clone(), one.clone(), one.clone()], no_skew);
    assert_eq!(all.len(), 3);
    assert_eq!(all.iter().map(|one| one.flags.len()).collect::<Vec<_>>(), [0, 1, 1]);
    assert_eq!(standing(vec![other, later, one.clone()], no_skew), [one]);
}

#[test]
fn a_long_chain_of_corrections_ends() {
    let mut records = vec![at(0, "05:00:00", 0, catch(20))];
    records.extend((1..=50_000).map(|n| correction(n, n - 1, None)));
    // The last stands, so the one before is withdrawn, and so on down: an even number leaves the first standing.
    assert_eq!(standing(records.clone(), no_skew).len(), 1);
    records.pop();
    assert_eq!(standing(records, no_skew).len(), 0);
}

#[test]
fn an_order_that_clocks_cannot_tell_is_asked() {
    let on = |device: &str, record: Record| Record { device: device.to_owned(), ..record };
    let adjusted =
        || Body::LineAdjusted { done: "2 notches up".to_owned(), setting: None, meant: None };
    let line_4 = Record {
        subject: Subject::line("counter-1", "4"),
        ..on("c", at(9, "06:00:01", 1, adjusted()))
    };
    let whole = Record {
        subject: Subject::machine("counter-1"),
        ..on("d", at(8, "06:00:02", 1, Body::MachinePaused {}))
    };
    let as_left = Body::CatchTaken {
        state: LineState::AsLeft,
        amount: "30 mL".to_owned(),
        draw: "7 s".to_owned(),
        measure: "cup-a".to_owned(),
        water: None,
        water_draw: None,
        temperature: None,
    };
    let pairs = |mut records: Vec<Record>| {
        event_order(&mut records, no_skew);
        untold(&records, no_skew, SignedDuration::from_secs(60))
    };
    let catch_then = |record: Record| vec![on("a", at(1, "06:00:00", 5, catch(20))), record];
    assert_eq!(pairs(catch_then(on("b", at(2, "06:00:30", 1, adjusted())))), [(id(1), id(2))]);
    assert_eq!(pairs(catch_then(on("b", at(2, "06:01:00", 1, adjusted())))), []);
    assert_eq!(pairs(catch_then(on("b", at(2, "06:00:30", 1, catch(21))))), []);
    assert_eq!(pairs(catch_then(on("b", at(2, "06:00:30", 1, as_left)))), [(id(1), id(2))]);
    assert_eq!(pairs(catch_then(line_4)), []);
    assert_eq!(pairs(catch_then(whole)), [(id(1), id(8))]);
    // One device: its running number decides, and is asked about only where its clock says otherwise.
    assert_eq!(pairs(catch_then(on("a", at(2, "06:00:00", 6, adjusted())))), []);
    assert_eq!(pairs(catch_then(on("a", at(2, "07:00:00", 4, adjusted())))), [(id(1), id(2))]);
}

/// A second way to say what stands: asks upwards from each record.
fn asked(records: &[Record]) -> Vec<Record> {
    let mut sorted = records.to_vec();
    event_order(&mut sorted, no_skew);
    let of = |record: &Record| match record.body {
        Body::Correction { of, .. } => Some(of),
        _ => None,
    };
    let find = |id: Uuid| sorted.iter().find(|record| record.id == id);
    let circles = |record: &Record| {
        let mut next = of(record);
        for _ in 0..sorted.len() {
            match next {
                Some(id) if id == record.id => return true,
                Some(id) => next = find(id).and_then(of),
                None => return false,
            }
        }
        false
    };
    /// What is left of a record: its body, or nothing.
    fn left(record: &Record, sorted: &[Record], skip: &dyn Fn(&Record) -> bool) -> Option<Body> {
        let mut body = Some(record.body.clone());
        for correction in sorted.iter().filter(|c| !skip(c)) {
            let Body::Correction { of, .. } = correction.body else { continue };
            if of != record.id {
                continue;
            }
            let Some(Body::Correction { instead, .. }) = left(correction, sorted, skip) else {
                continue;
            };
            body = match (&record.body, instead) {
                (_, None) => None,
                (Body::Correction { of, reason, .. }, Some(instead)) => Some(Body::Correction {
                    of: *of,
                    reason: reason.clone(),
                    instead: Some(instead),
                }),
                (_, Some(instead)) => Some(*instead),
            };
        }
        body
    }
    sorted
        .iter()
        .filter(|record| of(record).is_none())
        .filter_map(|record| {
            Some(Record { body: left(record, &sorted, &circles)?, ..record.clone() })
        })
        .collect()
}

/// A ledger of catches and corrections that name any of its records, or none of them.
fn ledger() -> impl Strategy<Value = Vec<Record>> {
    let one = (0..14_u64, 0..4_u64, 0..3_u64, proptest::option::of(20..40_u32), any::<bool>());
    proptest::collection::vec(one, 0..13).prop_map(|all| {
        let make = |(n, (of, minute, sequence, instead, corrects)): (
            usize,
            (u64, u64, u64, Option<u32>, bool),
        )| {
            let n = n as u64;
            let body = if corrects {
                Body::Correction {
                    of: id(of),
                    reason: format!("reason {n}"),
                    instead: instead.map(catch).map(Box::new),
                }
            } else {
                catch(instead.unwrap_or(19))
            };
            at(n, &format!("05:0{minute}:00"), sequence, body)
        };
        all.into_iter().enumerate().map(make).collect()
    })
}

proptest! {
    #[test]
    fn any_order_of_receipt_gives_one_result((records, shuffled) in ledger().prop_flat_map(|l| (Just(l.clone()), Just(l).prop_shuffle()))) {
        prop_assert_eq!(resolve(records.clone(), no_skew), resolve(shuffled.clone(), no_skew));
        prop_assert_eq!(standing(records, no_skew), standing(shuffled, no_skew));
    }

    #[test]
    fn two_ways_to_resolve_agree(records in ledger()) {
        prop_assert_eq!(standing(records.clone(), no_skew), asked(&records));
    }

    #[test]
    fn with_and_without_a_copy(records in ledger()) {
        for one in resolve(records, no_skew) {
            let copied = one.standing().map(std::borrow::Cow::into_owned);
            prop_assert_eq!(one.into_standing(), copied);
        }
    }
}
