//! Lives from records written out by hand; common practice, no source.

use ouncewise_ledger::{Entered, Scope, Subject, derive_id};

use super::*;

/// What happened to a part of a line on a day, or to the machine.
fn record(day: i64, line: Option<&str>, body: Body) -> Record {
    let at = Timestamp::from_second(1_700_000_000 + day * 86_400).unwrap();
    let subject = match line {
        Some(line) => Subject::line("bar", line).with_part("seal"),
        None => Subject::machine("bar"),
    };
    Record {
        v: 1,
        id: derive_id(&[&day.to_string(), line.unwrap_or_default()], 0),
        scope: Scope::site("ford").unwrap(),
        subject,
        at: ouncewise_ledger::time::at(at, jiff::tz::Offset::UTC),
        device: "tablet".to_owned(),
        sequence: 1,
        by: None,
        entered: Entered::AtMachine,
        note: None,
        body,
    }
}

fn new(why: Option<&str>) -> Body {
    Body::PartReplaced { number: None, lot: None, why: why.map(str::to_owned) }
}

fn found(word: &str) -> Body {
    Body::PartInspected { found: word.to_owned() }
}

fn read(records: &[Record], until: i64) -> Lives {
    let now = Timestamp::from_second(1_700_000_000 + until * 86_400).unwrap();
    lives(records.iter().map(|record| (record, &record.body)), now)
}

fn told(lives: &Lives) -> Vec<(f64, Ended)> {
    lives.lives.iter().map(|life| ((life.days * 10.0).round() / 10.0, life.ended)).collect()
}

#[test]
fn what_failed_was_worn_and_was_planned_is_kept_apart() {
    let one = Some("1");
    let records = [
        record(0, one, new(None)),
        record(30, one, new(Some("failed"))),
        record(70, one, found("worn")),
        record(70, one, new(None)),
        record(100, one, found("good")),
        record(130, one, found("missing")),
        record(130, one, new(None)),
        record(150, one, found("worn")),
        // Two weeks later that look says nothing of why.
        record(164, one, new(None)),
        record(190, one, new(Some("planned"))),
        record(220, one, new(Some("it was Tuesday"))),
    ];
    let lives = read(&records, 230);
    assert_eq!(
        told(&lives),
        [
            (30.0, Ended::Failed),
            (40.0, Ended::Worn),
            (60.0, Ended::Failed),
            (34.0, Ended::NotSaid),
            (26.0, Ended::Planned),
            (30.0, Ended::NotSaid),
            (10.0, Ended::InUse),
        ]
    );
    assert_eq!(lives.begun_before, BTreeMap::from([("seal".to_owned(), 1)]));
    let ended = |until| lives.lives.iter().filter(|l| l.life(until).failed).count();
    assert_eq!((ended(Until::Failed), ended(Until::WornOrFailed)), (2, 3));
}

#[test]
fn a_pause_is_no_age_and_a_swap_ends_all() {
    let (one, two) = (Some("1"), Some("2"));
    let swapped = |family: Option<&str>| Body::MachineSwapped {
        serial: "B-7".to_owned(),
        family: family.map(str::to_owned),
    };
    let mut records = vec![
        record(0, one, new(None)),
        record(0, two, new(None)),
        record(10, None, Body::MachinePaused {}),
        record(40, None, Body::MachineReopened {}),
        record(60, one, new(Some("failed"))),
        record(80, None, swapped(None)),
        record(90, one, new(None)),
        record(100, None, Body::MachinePaused {}),
    ];
    let lives = read(&records, 130);
    assert_eq!(
        told(&lives),
        [(30.0, Ended::Failed), (20.0, Ended::Gone), (50.0, Ended::Gone), (10.0, Ended::InUse)]
    );
    assert_eq!(lives.begun_before["seal"], 3, "two at first, and one after the swap");
    // Of a machine of another family nothing is said of this one's parts.
    records[5] = record(80, None, swapped(Some("roller")));
    let lives = read(&records, 130);
    assert_eq!((told(&lives), lives.of_another_family), (vec![(10.0, Ended::InUse)], 3));
}

#[test]
fn what_is_recorded_twice_is_one_part() {
    let records = [
        record(0, Some("1"), new(None)),
        record(0, Some("1"), new(None)),
        record(20, Some("1"), new(Some("failed"))),
        record(20, Some("1"), new(Some("failed"))),
    ];
    assert_eq!(told(&read(&records, 20)), [(20.0, Ended::Failed)]);
    // What lies ahead of now has not happened yet.
    assert_eq!(told(&read(&records, 10)), [(10.0, Ended::InUse)]);
}
