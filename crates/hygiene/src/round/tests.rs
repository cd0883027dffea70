//! Rounds made by hand: whole ones, ones that lack each thing once, and odd ones.

mod held;

use ouncewise_ledger::{Entered, Holds, PersonId, Scope, Stage, Subject};
use ouncewise_measure::Seconds;

use super::*;
use crate::profile::RecordKind as K;

const LINES: &[&str] = &["1", "2"];

fn id(n: u128) -> Uuid {
    Uuid::from_u128(0x0195_540a_c212_7000_8000_0000_0000_0000 | n)
}

const ADA: u128 = 0xada;
const BEN: u128 = 0xbe2;
const SANITISER: u128 = 0xb001;
const STRIPS: u128 = 0xb002;

/// A record of the machine, so many seconds after six in the morning.
fn at(second: u32, line: Option<&str>, body: Body) -> Record {
    let subject = match line {
        Some(line) => Subject::line("bar", line),
        None => Subject::machine("bar"),
    };
    Record {
        v: 1,
        id: id(u128::from(second)),
        scope: Scope::site("ford").unwrap(),
        subject,
        at: format!("2026-03-02T06:{:02}:{:02}.250+01:00", second / 60, second % 60),
        device: "tablet".to_owned(),
        sequence: second.into(),
        by: Some(PersonId(id(ADA))),
        entered: Entered::AtMachine,
        note: None,
        body,
    }
}

fn text(words: &str) -> Option<String> {
    Some(words.to_owned())
}

fn opened(holds: Holds, expiry: Option<String>) -> OpenedBox {
    OpenedBox {
        at: "2026-01-05T06:00:00.000+01:00".to_owned(),
        holds,
        name: "tablets".to_owned(),
        registration: None,
        lot: text("26C"),
        expiry,
        active: text("chlorine"),
        contact: text("60 s"),
        strength: None,
        signal_word: None,
    }
}

fn boxes() -> BTreeMap<Uuid, OpenedBox> {
    BTreeMap::from([
        (id(SANITISER), opened(Holds::Sanitiser, text("2027-06"))),
        (id(STRIPS), opened(Holds::Strips, text("2027-06-30"))),
    ])
}

fn mixed() -> Body {
    Body::SolutionMixed {
        product: "tablets".to_owned(),
        dose: "1 sachet".to_owned(),
        water: "10 L".to_owned(),
        temperature: text("25 °C"),
        ph: None,
        hardness: None,
        from_box: Some(id(SANITISER)),
    }
}

fn strip(place: &str) -> Body {
    Body::StripRead {
        reading: "strip class 100".to_owned(),
        place: place.to_owned(),
        from_box: Some(id(STRIPS)),
    }
}

fn checked(temperature: Option<String>, lot: Option<String>) -> Body {
    Body::ProductChecked { temperature, opened: lot.as_ref().and(text("2026-03-01")), lot }
}

/// A round with all that the model code must have, in the order in which it is done.
fn round() -> Vec<Record> {
    vec![
        at(
            0,
            None,
            Body::RoundOpened {
                procedure: None,
                profile: text("model-code"),
                edition: text("2017 numbers"),
                program: None,
            },
        ),
        at(120, None, mixed()),
        at(150, None, strip("bucket")),
        at(300, None, strip("outlet")),
        at(301, None, Body::ContactStarted {}),
        at(371, None, Body::ContactEnded { lasted: None }),
        at(400, None, Body::Drained { vented: true }),
        at(460, None, Body::Discarded { amount: text("100 mL") }),
        at(500, Some("1"), Body::PartInspected { found: "good".to_owned() }),
        at(520, None, Body::Lubricated { lubricant: "film".to_owned(), statement: None }),
        at(560, None, checked(text("4 °C"), text("G-118"))),
        at(600, None, Body::RoundClosed { complete: true, reason: None }),
    ]
}

fn judged_with(
    records: &[Record],
    profile: Option<&Profile>,
    boxes: &BTreeMap<Uuid, OpenedBox>,
) -> Judged {
    let rounds = rounds(records.iter().map(|record| (record, &record.body)));
    assert_eq!(rounds.len(), 1);
    let least = Least { hard: Seconds(12.0), at_best: Seconds(40.0), words: String::new() };
    let least_flush = BTreeMap::from([("1".to_owned(), least)]);
    let drawn_at = BTreeMap::from([
        ("1".to_owned(), "4 °C".parse().unwrap()),
        ("2".to_owned(), "20 °C".parse().unwrap()),
    ]);
    let least_flush = &least_flush;
    rounds[0].judge(&Known {
        profile,
        lines: LINES,
        boxes,
        least_flush,
        drawn_at: &drawn_at,
        must_steps: &must_steps(),
    })
}

/// What a procedure's version asks to be confirmed.
fn must_steps() -> BTreeMap<String, Vec<MustStep>> {
    let step = |key: &str, may_not_come_up| MustStep { key: key.to_owned(), may_not_come_up };
    let all = vec![step("step-2", false), step("step-7", false), step("step-9", true)];
    BTreeMap::from([(VERSION.to_owned(), all)])
}

const VERSION: &str = "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d";

fn shipped(id: &str) -> Profile {
    Profile::shipped(id).unwrap()
}

fn judged(records: &[Record]) -> Judged {
    judged_with(records, Some(&shipped("model-code")), &boxes())
}

fn kinds(missing: &[Missing]) -> Vec<K> {
    missing.iter().map(|missing| missing.kind).collect()
}

#[test]
fn a_whole_round_is_complete_and_nothing_is_asked() {
    let judged = judged(&round());
    assert_eq!((judged.state, judged.musts.as_slice()), (State::Complete, &[][..]));
    assert_eq!(judged.questions, []);
    // What the profile would like to have is told, and makes no round incomplete.
    assert_eq!(kinds(&judged.shoulds), [K::SolutionPh, K::Flushed, K::Verified]);
}

/// For each must of the profile a round that lacks exactly it: the rows of `records` in `content/profiles/model-code.toml`.
#[test]
fn each_must_that_is_missing_is_named_and_only_it() {
    let profile = shipped("model-code");
    let without = |drop: fn(&Body) -> bool| -> Vec<Record> {
        round().into_iter().filter(|record| !drop(&record.body)).collect()
    };
    let change = |change: fn(&mut Record)| -> Vec<Record> {
        let mut records = round();
        records.iter_mut().for_each(change);
        records
    };
    let mut seen = Vec::new();
    for need in profile.records.iter().filter(|need| need.level == Level::Must) {
        let records = match need.kind {
            // Of a machine the round always is; what went wrong is missing only to those who were there.
            K::Machine | K::Deviation => continue,
            K::Times => without(|body| matches!(body, Body::RoundClosed { .. })),
            K::Person => change(|record| record.by = None),
            K::Profile => change(|record| {
                if let Body::RoundOpened { profile, .. } = &mut record.body {
                    *profile = None;
                }
            }),
            K::SanitiserBox => change(|record| {
                if let Body::SolutionMixed { from_box, .. } = &mut record.body {
                    *from_box = None;
                }
            }),
            K::StripBox => change(|record| {
                if let Body::StripRead { from_box, place, .. } = &mut record.body
                    && place == "bucket"
                {
                    *from_box = None;
                }
            }),
            K::SolutionMixed => without(|body| matches!(body, Body::SolutionMixed { .. })),
            K::SolutionTemperature => change(|record| {
                if let Body::SolutionMixed { temperature, .. } = &mut record.body {
                    *temperature = None;
                }
            }),
            K::StripBucket => {
                without(|body| matches!(body, Body::StripRead { place, .. } if place == "bucket"))
            }
            K::StripOutlet => {
                without(|body| matches!(body, Body::StripRead { place, .. } if place == "outlet"))
            }
            K::ContactStart => without(|body| matches!(body, Body::ContactStarted {})),
            K::ContactEnd => without(|body| matches!(body, Body::ContactEnded { .. })),
            K::Drained => without(|body| matches!(body, Body::Drained { .. })),
            K::Discarded => without(|body| matches!(body, Body::Discarded { .. })),
            K::PartsInspected => without(|body| matches!(body, Body::PartInspected { .. })),
            K::Lubricated => without(|body| matches!(body, Body::Lubricated { .. })),
            K::ProductTemperature => change(|record| {
                if let Body::ProductChecked { temperature, .. } = &mut record.body {
                    *temperature = None;
                }
            }),
            K::ProductOpened => change(|record| {
                if let Body::ProductChecked { lot, .. } = &mut record.body {
                    *lot = None;
                }
            }),
            kind => panic!("no round that lacks {kind}"),
        };
        seen.push(need.kind);
        let judged = judged(&records);
        // Without a solution nothing is known of its temperature and its box.
        let expected = match need.kind {
            K::SolutionMixed => vec![K::SanitiserBox, K::SolutionMixed, K::SolutionTemperature],
            kind => vec![kind],
        };
        assert_eq!(kinds(&judged.musts), expected);
        let state = if need.kind == K::Times { State::Open } else { State::Incomplete };
        assert_eq!(judged.state, state, "{}", need.kind);
        assert!(judged.musts.iter().all(|missing| missing.lines.is_empty()));
    }
    assert_eq!(seen.len(), 17, "{seen:?}");
}

/// HY-18, HY-19 (READ: FC 3-501.16, 3-501.19) and HY-20 (READ-2: opened 1 April, use by 7 April). Line 2 is drawn at 20 °C and is
/// no such food.
#[test]
fn a_warm_product_and_one_that_stood_open_are_asked_about_where_it_is_kept_cold() {
    let with = |read: &str, opened: &str| {
        let mut records = round();
        records[9].body = Body::ProductChecked {
            temperature: text(read),
            lot: text("G-118"),
            opened: text(opened),
        };
        judged(&records).questions
    };
    for (read, opened) in [("5 °C", "2026-03-01"), ("41 °F", "2026-02-24")] {
        assert_eq!(with(read, opened), []);
    }
    let warm = with("8 °C", "2026-03-01");
    assert_eq!(
        (warm.len(), warm[0].about, warm[0].lines.as_slice()),
        (1, About::Holding, &["1".to_owned()][..])
    );
    for part in ["read at 8 °C", "5 °C (41 °F) or under (3-501.16(A)(2)", "After 4 hours"] {
        assert!(warm[0].ask.contains(part), "{part}: {}", warm[0].ask);
    }
    // Day 7 is 2 March where day 1 is 24 February.
    let old = with("4 °C", "2026-02-23");
    assert_eq!(old.len(), 1);
    assert!(old[0].ask.contains("within 7 days"), "{}", old[0].ask);
}

#[test]
fn what_is_done_line_by_line_is_missing_line_by_line() {
    let of_one = |record: &mut Record| {
        if matches!(
            record.body,
            Body::StripRead { .. } | Body::ContactStarted {} | Body::ContactEnded { .. }
        ) {
            record.subject.line = text("1");
        }
    };
    let mut records = round();
    records.iter_mut().for_each(of_one);
    let judged = judged(&records);
    assert_eq!(kinds(&judged.musts), [K::StripOutlet, K::ContactStart, K::ContactEnd]);
    assert!(judged.musts.iter().all(|missing| missing.lines == ["2"]));
    assert_eq!(judged.musts[0].words(), "the strip at the outlet (line 2)");
}

#[test]
fn another_profile_asks_for_less_and_none_for_nothing() {
    let fewer = Profile::read(
        "id = 'ours'\nname = 'Ours'\ncode = 'c'\nedition = 'e'\n[after]\nrule = 'drain'\nclause = 'c'\n\
         status = 'JUDGE'\nsource = 's'\n[[record]]\nkind = 'strip-outlet'\nclause = 'c'\nstatus = 'JUDGE'\nsource = 's'\n",
    )
    .unwrap();
    let records: Vec<Record> = round()
        .into_iter()
        .filter(|record| {
            matches!(
                &record.body,
                Body::RoundOpened { .. } | Body::RoundClosed { .. } | Body::StripRead { .. }
            )
        })
        .collect();
    assert_eq!(judged(&records).state, State::Incomplete);
    assert_eq!(judged_with(&records, Some(&fewer), &boxes()).state, State::Complete);
    assert_eq!(judged_with(&records, None, &boxes()).state, State::NotJudged);
}

#[test]
fn a_round_is_what_lies_between_its_opening_and_its_closing() {
    let mut records = round();
    records.insert(0, at(0, None, Body::Drained { vented: true }));
    records.push(at(700, None, Body::Drained { vented: true }));
    let mut look = at(710, None, Body::Verified {});
    look.by = Some(PersonId(id(BEN)));
    records.push(look);
    // Opened again, and never closed.
    records.push(at(800, None, Body::round_opened()));
    records.push(at(810, None, strip("bucket")));
    records.push(at(900, None, Body::round_opened()));
    let rounds = rounds(records.iter().map(|record| (record, &record.body)));
    assert_eq!(rounds.iter().map(|r| r.records.len()).collect::<Vec<_>>(), [11, 1, 0]);
    assert_eq!(rounds.iter().filter(|r| r.closed.is_some()).count(), 1);
    assert!(matches!(rounds[0].records[10].1, Body::Verified {}));
}

/// The times of HY-07 and HY-10 (READ: FC 4-703.11(C), and the label's where it is longer), on the clock of section 3.3.
#[test]
fn times_that_are_too_short_are_asked_about() {
    let ended = |second: u32, lasted: Option<&str>| {
        let mut records = round();
        records[5] = at(second, None, Body::ContactEnded { lasted: lasted.and_then(text) });
        judged(&records).questions
    };
    // 60 s by the label: 70 is enough, and so is what a timer read.
    assert_eq!(ended(371, None), []);
    assert_eq!(ended(331, Some("1 min")), []);
    for short in [ended(331, None), ended(371, Some("30 s"))] {
        assert_eq!(short.len(), 1);
        assert_eq!((short[0].about, short[0].lines.len()), (About::Contact, 0));
        assert!(short[0].ask.starts_with("the contact time was 30 s"), "{}", short[0].ask);
    }
    // By a clock that was read to the minute, one minute may have been two.
    let mut coarse = round();
    coarse[4].at = "2026-03-02T06:05:00.000+01:00".to_owned();
    coarse[5].at = "2026-03-02T06:05:00.000+01:00".to_owned();
    assert_eq!(judged(&coarse).questions, []);
    // Without the label's time the code's own 10 s hold.
    let mut unlabelled = boxes();
    unlabelled.get_mut(&id(SANITISER)).unwrap().contact = None;
    let ask = |second| {
        let mut records = round();
        records[5] = at(second, None, Body::ContactEnded { lasted: None });
        judged_with(&records, Some(&shipped("model-code")), &unlabelled).questions.len()
    };
    assert_eq!((ask(312), ask(306)), (0, 1));
    // New York asks a minute of the same bucket (section 1.2).
    let mut records = round();
    records[5] = at(312, None, Body::ContactEnded { lasted: None });
    let new_york = judged_with(&records, Some(&shipped("new-york")), &unlabelled);
    assert!(new_york.questions[0].ask.contains("60 s are asked"), "{:?}", new_york.questions);
}

#[test]
fn a_flush_shorter_than_its_water_needs_is_asked_about() {
    let with = |stage, amount: &str| {
        let mut records = round();
        let flushed = Body::Flushed { stage, amount: amount.to_owned() };
        records.insert(1, at(60, None, flushed));
        judged(&records).questions
    };
    assert_eq!(with(Stage::Before, "90 s"), []);
    assert_eq!(with(Stage::Before, "4 L"), []);
    for (amount, says) in [("8 s", "fills the line once"), ("20 s", "or was the line drained")] {
        let [question] = &with(Stage::Before, amount)[..] else { panic!("one question") };
        // Of line 2 nothing is known, and nothing is asked.
        assert_eq!((question.about, &question.lines[..]), (About::Flush, &["1".to_owned()][..]));
        assert!(question.ask.contains(says), "{}", question.ask);
    }
    // Less sanitiser than syrup is to be rinsed out: once through is the least.
    assert_eq!(with(Stage::After, "20 s"), []);
    assert_eq!(with(Stage::After, "8 s").len(), 1);
}

#[test]
fn who_looks_it_over_is_another() {
    let with = |by: u128| {
        let mut records = round();
        records.push(Record { by: Some(PersonId(id(by))), ..at(700, None, Body::Verified {}) });
        judged(&records)
    };
    assert_eq!(with(BEN).questions, []);
    assert!(!kinds(&with(BEN).shoulds).contains(&K::Verified));
    let own = with(ADA).questions;
    assert_eq!(own.iter().map(|q| q.about).collect::<Vec<_>>(), [About::Verifier]);
}

#[test]
fn boxes_past_their_expiry_are_asked_about_once() {
    let with = |expiry: &str| {
        let mut boxes = boxes();
        boxes.get_mut(&id(STRIPS)).unwrap().expiry = text(expiry);
        judged_with(&round(), Some(&shipped("model-code")), &boxes).questions
    };
    // The day and the month of expiry still count; what cannot be read says nothing.
    for good in ["2026-03-02", "2026-03", "next spring", "2026-3"] {
        assert_eq!(with(good), [], "{good}");
    }
    for past in ["2026-03-01", "2026-02"] {
        let [question] = &with(past)[..] else { panic!("one question of {past}") };
        assert_eq!(question.about, About::Expiry);
        assert!(question.ask.contains("strips") && question.ask.ends_with('?'));
    }
}

#[test]
fn a_round_recorded_in_one_minute_is_asked_about_unless_it_was_copied() {
    let mut records = round();
    for record in &mut records {
        record.at = "2026-03-02T06:05:30.250+01:00".to_owned();
    }
    records[5].body = Body::ContactEnded { lasted: text("90 s") };
    let about: Vec<About> = judged(&records).questions.iter().map(|q| q.about).collect();
    assert_eq!(about, [About::OneMinute]);
    for record in &mut records {
        record.entered = Entered::FromPaper;
    }
    assert_eq!(judged(&records).questions, []);
}

#[test]
fn a_round_without_a_step_that_must_not_be_skipped_is_incomplete() {
    // No published source: that such a step is confirmed in the round is this program's own rule.
    let opened = |procedure: Option<&str>| Body::RoundOpened {
        procedure: procedure.map(str::to_owned),
        profile: None,
        edition: None,
        program: None,
    };
    let done = |second, step: &str| at(second, None, Body::StepDone { step: step.to_owned() });
    let closed = at(600, None, Body::RoundClosed { complete: true, reason: None });
    let of = |procedure, steps: &[&str]| {
        let mut records = vec![at(0, None, opened(procedure))];
        records.extend((1u32..).zip(steps).map(|(second, step)| done(second, step)));
        let reason = "it did not come up".to_owned();
        for (second, step) in [(20, "step-9"), (21, "step-2")] {
            // That step 2 was skipped is on record, and no answer: it comes up on every way.
            let body = Body::StepSkipped { step: step.to_owned(), reason: reason.clone() };
            records.push(at(second, None, body));
        }
        records.push(closed.clone());
        let judged = judged_with(&records, None, &boxes());
        (judged.state, judged.unconfirmed)
    };
    let none = Vec::<String>::new;
    assert_eq!(of(Some(VERSION), &["step-7", "step-2"]), (State::NotJudged, none()));
    let lacking = (State::Incomplete, vec!["step-7".to_owned()]);
    assert_eq!(of(Some(VERSION), &["step-2", "step-3"]), lacking);
    let neither = (State::Incomplete, vec!["step-2".to_owned(), "step-7".to_owned()]);
    assert_eq!(of(Some(VERSION), &[]), neither);
    // What was followed is not known here, or nothing was: then nothing is asked.
    assert_eq!(of(Some("00"), &[]), (State::NotJudged, none()));
    assert_eq!(of(None, &[]), (State::NotJudged, none()));
    // A food code that has all it asks for does not make up for it.
    let mut records = round();
    records[0].body = match records[0].body.clone() {
        Body::RoundOpened { profile, edition, program, .. } => {
            Body::RoundOpened { procedure: Some(VERSION.to_owned()), profile, edition, program }
        }
        other => other,
    };
    let judged = judged(&records);
    assert_eq!((judged.state, judged.musts.len()), (State::Incomplete, 0));
}
