//! Standings of a small machine, from records written out by hand.

use std::collections::BTreeMap;

use ouncewise_estate::{Estate, files};
use ouncewise_ledger::{Body, Entered, LineState, Record, Scope, Subject};
use ouncewise_measure::print::Units;

use crate::shown::{ActKind, Told};
use crate::standing::{LineRow, stand};

const FAMILY: &str = r#"
name = "Hand screw"
metering = "rate"
[adjuster]
kind = "screw"
per_turn = "20 %"
more = "anticlockwise"
slack = "1/8 turn"
[timer]
kind = "hand"
"#;

/// One machine with two lines of 30 mL in 6 s, a good cylinder and a poor cup.
fn estate() -> Estate {
    let texts = [
        (
            "estate.toml",
            "[group]\nname = \"Two lines\"\ntime_zone = \"Europe/Vienna\"\ncurrency = \"EUR\"\n",
        ),
        ("families/screw.toml", FAMILY),
        (
            "products.toml",
            "[quince]\nname = \"Quince\"\ncost = \"5.00 EUR/L\"\n[sage]\nname = \"Sage\"\n",
        ),
        (
            "measures.toml",
            "[cylinder]\nname = \"cylinder\"\nkind = \"vessel\"\ndivision = \"1 mL\"\ntolerance = \"0.5 mL\"\n\
             [cup]\nname = \"cup\"\nkind = \"vessel\"\ndivision = \"5 mL\"\ntolerance = \"2 mL\"\n",
        ),
        ("sites.csv", "site,name,measures\nford,Ford,cylinder = cylinder; cup = cup\n"),
        ("machines.csv", "site,machine,name,family,state\nford,bar,Bar,screw,open\n"),
        (
            "lines.csv",
            "site,machine,line,product,target,tolerance,draw,measure\n\
             ford,bar,1,quince,30 mL,5 %,6 s,cylinder\nford,bar,2,sage,30 mL,5 %,6 s,cylinder\n",
        ),
    ];
    let texts = texts.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()));
    let (estate, faults) = files::read(&BTreeMap::from(texts));
    assert!(faults.is_empty(), "{faults:?}");
    estate
}

fn record(minute: u32, line: Option<&str>, body: Body) -> Record {
    Record {
        v: 1,
        id: ouncewise_ledger::derive_id(&[&minute.to_string()], 0),
        scope: Scope::site("ford").unwrap(),
        subject: match line {
            Some(line) => Subject::line("bar", line),
            None => Subject::machine("bar"),
        },
        at: format!("2026-03-02T06:{minute:02}:00.000+01:00"),
        device: "tablet".to_owned(),
        sequence: minute.into(),
        by: None,
        entered: Entered::AtMachine,
        note: None,
        body,
    }
}

fn caught(state: LineState, amount: &str, measure: &str) -> Body {
    Body::CatchTaken {
        state,
        amount: amount.to_owned(),
        draw: "6.0 s".to_owned(),
        measure: measure.to_owned(),
        water: None,
        water_draw: None,
        temperature: None,
    }
}

fn found(amount: &str) -> Body {
    caught(LineState::AsFound, amount, "cylinder")
}

fn rows(records: &[Record]) -> Vec<LineRow> {
    let scope = Scope::site("ford").unwrap();
    stand(&estate(), &scope, "bar", |_| true, records.iter().map(|r| (r, &r.body)))
}

#[test]
fn a_line_far_over_is_off_target_says_how_far_to_turn_and_what_it_costs() {
    let rows =
        rows(&[record(1, Some("1"), found("36.0 mL")), record(2, Some("2"), found("30.0 mL"))]);
    let [over, right] = &rows[..] else { panic!("two lines") };
    assert_eq!(over.verdict, Some(Told::OffTarget));
    assert_eq!(over.act, ActKind::Adjust);
    assert!(
        over.standing.advice.words(Units::Metric).contains("turn clockwise"),
        "{}",
        over.standing.advice.words(Units::Metric)
    );
    // 6 mL over, 100 times, is 0.6 L at 5.00 EUR/L.
    assert_eq!(over.standing.over_per_100.as_deref(), Some("3.00 EUR"));
    assert_ne!(right.verdict, Some(Told::OffTarget));
    assert!(over.urgency > right.urgency);
}

#[test]
fn only_a_catch_releases_a_line_that_was_touched() {
    let adjusted = Body::LineAdjusted {
        done: "1/4 turn clockwise".to_owned(),
        setting: None,
        meant: Some("-5 %".to_owned()),
    };
    let mut records = vec![record(1, Some("1"), found("32.0 mL")), record(2, Some("1"), adjusted)];
    let row = &rows(&records)[0];
    assert_eq!((row.verdict, row.act), (None, ActKind::CatchAgain));
    assert!(
        row.standing.reason.words(Units::Metric).contains("1/4 turn clockwise"),
        "{}",
        row.standing.reason.words(Units::Metric)
    );
    records.push(record(3, Some("1"), caught(LineState::AsLeft, "30.0 mL", "cylinder")));
    let row = &rows(&records)[0];
    assert!(row.verdict.is_some() && row.standing.touched.is_none());
    assert_eq!(row.standing.found.as_ref().unwrap().read, ["32.0 mL in 6.0 s"]);
    assert_eq!(row.standing.latest.as_ref().unwrap().read, ["30.0 mL in 6.0 s"]);
}

#[test]
fn catches_of_one_visit_are_judged_together_and_others_apart() {
    let one = &rows(&[record(1, Some("1"), found("30.5 mL"))])[0];
    let three = &rows(&[
        record(1, Some("1"), found("30.5 mL")),
        record(2, Some("1"), found("30.6 mL")),
        record(3, Some("1"), found("30.4 mL")),
    ])[0];
    let doubt = |row: &LineRow| {
        row.standing.latest.as_ref().unwrap().shown.as_ref().unwrap().standard_uncertainty
    };
    assert!(doubt(three) < doubt(one));
    let other_cup = &rows(&[
        record(1, Some("1"), found("30.5 mL")),
        record(2, Some("1"), caught(LineState::AsFound, "30 mL", "cup")),
    ])[0];
    assert_eq!(other_cup.standing.latest.as_ref().unwrap().read.len(), 1);
}

#[test]
fn a_claim_is_no_evidence() {
    let rows = rows(&[record(1, Some("1"), Body::ClaimMade { said: "OK".to_owned() })]);
    assert_eq!(rows[0].verdict, None);
    assert!(
        rows[0].standing.reason.words(Units::Metric).contains("nobody measured"),
        "{}",
        rows[0].standing.reason.words(Units::Metric)
    );
    assert_eq!(rows[1].standing.reason.words(Units::Metric), "it was never caught");
}

#[test]
fn no_flow_is_a_fault_and_comes_first() {
    let rows = rows(&[record(1, Some("1"), found("0 mL")), record(2, Some("2"), found("45 mL"))]);
    assert_eq!(rows[0].act, ActKind::FindFault);
    assert!(rows[0].urgency > rows[1].urgency);
}

#[test]
fn a_line_that_was_drained_and_sanitised_is_not_shown_by_its_catch_before() {
    let before = record(1, Some("1"), found("30 mL"));
    let stands = &rows(std::slice::from_ref(&before))[0];
    let verdict = stands.verdict;
    assert!(verdict.is_some());
    for body in [
        Body::Drained { vented: true },
        Body::ContactEnded { lasted: Some("2 min".to_owned()) },
        Body::Flushed { stage: ouncewise_ledger::Stage::After, amount: "4 L".to_owned() },
    ] {
        // Of the whole machine, so that it is of each line.
        let after = &rows(&[before.clone(), record(2, None, body.clone())])[0];
        assert_ne!(after.verdict, verdict, "{body:?}");
    }
    // What was thrown away, and who looked, says nothing of the flow.
    for body in [Body::Discarded { amount: None }, Body::Verified {}] {
        assert_eq!(rows(&[before.clone(), record(2, None, body)])[0].verdict, verdict);
    }
}

#[test]
fn a_swapped_machine_starts_anew() {
    let swapped = Body::MachineSwapped { serial: "B2".to_owned(), family: None };
    let rows = rows(&[record(1, Some("1"), found("36 mL")), record(2, None, swapped)]);
    assert_eq!(rows[0].verdict, None);
    assert!(rows[0].standing.latest.is_none());
}

#[test]
fn a_text_that_cannot_be_read_is_shown_and_counts_for_nothing() {
    let rows = rows(&[record(1, Some("1"), found("a cupful"))]);
    assert_eq!(rows[0].verdict, None);
}

#[test]
fn a_measure_that_is_not_there_is_a_trouble_to_mend() {
    let row = &rows(&[record(1, Some("1"), caught(LineState::AsFound, "30 mL", "jug"))])[0];
    assert_eq!(row.act, ActKind::Describe);
    assert!(
        row.standing.reason.words(Units::Metric).contains("jug"),
        "{}",
        row.standing.reason.words(Units::Metric)
    );
}

#[test]
fn a_catch_at_the_recipes_own_draw_counts_before_others_of_the_same_occasion() {
    let drawn = |minute, amount: &str, draw: &str| {
        let Body::CatchTaken { state, measure, .. } = found(amount) else { unreachable!() };
        let body = Body::CatchTaken {
            state,
            amount: amount.to_owned(),
            draw: draw.to_owned(),
            measure,
            water: None,
            water_draw: None,
            temperature: None,
        };
        record(minute, Some("1"), body)
    };
    let records =
        [drawn(1, "12 mL", "2 s"), drawn(2, "30.4 mL", "6.0 s"), drawn(3, "45 mL", "12 s")];
    let row = &rows(&records)[0];
    assert_eq!(row.standing.latest.as_ref().unwrap().read, ["30.4 mL in 6.0 s"]);
}

/// A past of one machine, of many days, in which anything may follow anything; the same for the same seed.
fn past(seed: u64) -> Vec<Record> {
    let mut state = seed;
    let mut one_of = move |n: u64| {
        // The linear congruential generator of MMIX (from memory): any other would do.
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % n
    };
    let mut at: jiff::Timestamp = "2026-01-05T06:00:00Z".parse().unwrap();
    (0..60)
        .map(|n| {
            at += jiff::SignedDuration::from_mins([2, 20, 200, 420, 9_000][one_of(5) as usize]);
            let amount = ["29.8 mL", "36 mL", "over the 30 mL mark", "thirty", "14 mL"];
            let measure = ["cylinder", "cup", "jug"][one_of(9).saturating_sub(6) as usize];
            let state = [LineState::AsFound, LineState::AsLeft][one_of(2) as usize];
            let mut body = caught(state, amount[one_of(5) as usize], measure);
            if let (Body::CatchTaken { draw, .. }, 0) = (&mut body, one_of(4)) {
                "12 s".clone_into(draw);
            }
            let meant = [None, Some("-5 %".to_owned())][one_of(2) as usize].clone();
            let line = [Some("1"), Some("1"), Some("2"), None][one_of(4) as usize];
            let (line, body) = match one_of(23) {
                0 => (
                    Some("1"),
                    Body::LineAdjusted { done: "1/4 turn".to_owned(), setting: None, meant },
                ),
                1 => (line, Body::LineCleaned {}),
                2 => (Some("2"), Body::ProductChanged { product: "quince".to_owned() }),
                3 => (line, Body::ClaimMade { said: "OK".to_owned() }),
                4 => (line, Body::PartReplaced { number: None, lot: None, why: None }),
                5 => (line, Body::Drained { vented: true }),
                6 => (line, Body::ContactEnded { lasted: None }),
                _ => (line, body),
            };
            let id = ouncewise_ledger::derive_id(&[&seed.to_string()], n);
            Record {
                id,
                at: ouncewise_ledger::time::at(at, jiff::tz::Offset::UTC),
                ..record(0, line, body)
            }
        })
        .collect()
}

#[test]
fn what_is_left_out_of_a_long_past_decides_nothing() {
    let (estate, scope) = (estate(), Scope::site("ford").unwrap());
    let mut left_out = 0;
    for seed in 0..300 {
        let records = past(seed);
        let happenings = || records.iter().map(|r| (r, &r.body));
        let lines = crate::standing::lines(&estate, &scope, "bar", |_| true);
        left_out += records.len() - crate::recent::recent(&lines, happenings()).len();
        let whole = crate::standing::row_of_each(&estate, &scope, "bar", &lines, happenings());
        assert_eq!(stand(&estate, &scope, "bar", |_| true, happenings()), whole, "seed {seed}");
    }
    assert!(left_out > 300 * 20, "{left_out}");
}

/// The advice "stop at 31 mL" was followed: the line stands where that mark says, not at its target.
#[test]
fn a_taught_draw_stands_at_the_mark_at_which_it_was_stopped() {
    let mut estate = estate();
    for family in estate.families.values_mut() {
        family.adjuster = ouncewise_measure::Adjuster::Taught;
    }
    let taught = |done: &str| {
        let body = Body::LineAdjusted { done: done.to_owned(), setting: None, meant: None };
        let records = [record(1, Some("1"), found("28.0 mL")), record(2, Some("1"), body)];
        let happenings = records.iter().map(|record| (record, &record.body));
        let history = crate::history::read(&estate, "ford", "bar", happenings).unwrap();
        let visit = history.past.visits.last().unwrap();
        visit.happened.iter().find_map(|what| match what {
            crate::past::Happened::Taught(0, mark, ..) => Some(mark.exp()),
            _ => None,
        })
    };
    let near = |done: &str, want: f64| {
        let mark = taught(done).unwrap();
        assert!((mark - want).abs() < 1e-9, "{done}: {mark}");
    };
    near("taught again, stopped at 31 mL", 31.0);
    near("stopped at 1 fl oz (US)", 29.573_529_562_5);
    near("31", 31.0);
    // What names no mark, another sort of amount, or one that no recipe asks for, is taken for the target.
    for done in ["taught again", "stopped at 31 g, old setting lost", "stopped at 3.1 mL"] {
        near(done, 30.0);
    }
}
