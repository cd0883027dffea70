//! Good records pass; every fault is found, named and told at once.

use proptest::prelude::*;
use serde_json::json;
use uuid::Uuid;

use super::*;
use crate::record::LineState;
use crate::samples::{any_record, bodies, catch, id, record};

fn faults(record: &Record) -> Vec<String> {
    record.check().unwrap_err().iter().map(|fault| fault.field.clone()).collect()
}

#[test]
fn good_records_pass() {
    for body in bodies() {
        assert_eq!(record(7, body).check(), Ok(()));
    }
    let group = Body::Configured {
        thing: Thing::Group,
        key: "@group".to_owned(),
        definition: [("name".to_owned(), json!("a\nb"))].into(),
    };
    let whole_site =
        Record { scope: Scope::group(), subject: Subject::default(), ..record(7, group) };
    assert_eq!(whole_site.check(), Ok(()));
}

#[test]
fn all_faults_at_once() {
    let bad = Record {
        v: 2,
        id: Uuid::nil(),
        subject: Subject { machine: None, line: Some("Three".to_owned()), part: None },
        at: "yesterday".to_owned(),
        device: String::new(),
        sequence: u64::MAX,
        note: Some("secret".to_owned()),
        ..record(
            7,
            Body::StepSkipped { step: "Soak it".to_owned(), reason: "a\u{202e}b".to_owned() },
        )
    };
    assert_eq!(
        faults(&bad),
        [
            "v",
            "id",
            "subject.line",
            "subject.machine",
            "at",
            "device",
            "sequence",
            "note",
            "body.step",
            "body.reason"
        ]
    );
    let list = bad.check().unwrap_err();
    assert!(
        list.iter()
            .any(|fault| fault.to_string()
                == "body.reason: the hidden character U+202E; take it out")
    );
}

#[test]
fn one_fault_each() {
    let of = id(1);
    let long = "x".repeat(MAX_TEXT + 1);
    let text = str::to_owned;
    let definition = |name: &str, value| Body::Configured {
        thing: Thing::Line,
        key: text("3"),
        definition: [(text(name), value)].into(),
    };
    let opened = |procedure: Option<&str>, profile: Option<&str>| Body::RoundOpened {
        procedure: procedure.map(text),
        profile: profile.map(text),
        edition: None,
        program: None,
    };
    let correction = |instead| Body::Correction {
        of,
        reason: text("misread"),
        instead: Some(Box::new(instead)),
    };
    let cases = [
        (Body::ClaimMade { said: long.clone() }, "body.said"),
        (Body::ClaimMade { said: text(" \t").replace('\t', " ") }, "body.said"),
        (opened(Some("A1"), None), "body.procedure"),
        (opened(None, Some("Our County")), "body.profile"),
        (Body::ProductChecked { temperature: None, lot: None, opened: None }, "body.temperature"),
        (Body::ContactEnded { lasted: Some(String::new()) }, "body.lasted"),
        (Body::Flushed { stage: crate::body::Stage::After, amount: long.clone() }, "body.amount"),
        (Body::ProductChanged { product: text("Sour Cherry") }, "body.product"),
        (
            Body::TechnicianCalled { fault: text("leak"), cost: Some(text("12\u{0}")), out: None },
            "body.cost",
        ),
        (Body::Verification { size: 1 << 53, root: "0".repeat(64) }, "body.size"),
        (Body::Retired { thing: Thing::Site, key: text("@group") }, "body.key"),
        (definition("target", json!(29.6)), "body.definition"),
        (definition("target", json!([{"x": ["\u{7}"]}])), "body.definition"),
        (definition("", json!(1)), "body.definition"),
        (definition("text", json!("x".repeat(MAX_BYTES))), "body"),
        (correction(Body::Correction { of, reason: text("no"), instead: None }), "body.instead"),
        (correction(Body::ClaimMade { said: String::new() }), "body.instead.said"),
        (Body::Correction { of: id(7), reason: text("itself"), instead: None }, "body.of"),
        (
            Body::LineAdjusted { done: text("x"), setting: None, meant: Some(String::new()) },
            "body.meant",
        ),
    ];
    for (body, field) in cases {
        let record = record(7, body);
        assert_eq!(faults(&record), [field], "{:?}", record.body);
    }
}

#[test]
fn each_kind_has_its_subject() {
    let cases = [
        (catch(29), Subject::machine("counter-1")),
        (Body::PartInspected { found: "worn".to_owned() }, Subject::line("counter-1", "3")),
        (Body::MachinePaused {}, Subject::default()),
        (Body::Drained { vented: true }, Subject::default()),
        (Body::Verified {}, Subject::default()),
    ];
    for (body, subject) in cases {
        let record = Record { subject, ..record(7, body) };
        assert_eq!(faults(&record), ["body.kind"]);
    }
    let site_wide = Record {
        subject: Subject::default(),
        ..record(7, Body::MeasureReplaced { measure: "cup-a".to_owned() })
    };
    assert_eq!(site_wide.check(), Ok(()));
}

#[test]
fn a_number_without_canonical_bytes_is_named() {
    let Body::CatchTaken { draw, measure, .. } = catch(29) else { unreachable!() };
    let body = Body::CatchTaken {
        state: LineState::AsLeft,
        amount: "over the 30 mL mark".to_owned(),
        draw,
        measure,
        water: None,
        water_draw: None,
        temperature: None,
    };
    let record = Record { sequence: MAX_INTEGER + 1, ..record(7, body) };
    assert_eq!(faults(&record), ["sequence"]);
    assert!(record.to_bytes().is_err());
}

proptest! {
    #[test]
    fn hostile_records_are_answered_and_what_passes_can_be_kept(record in any_record()) {
        if record.check().is_ok() {
            prop_assert!(record.to_bytes().unwrap().len() <= MAX_BYTES);
            prop_assert!(record.instant().is_ok());
        }
    }
}

#[test]
fn a_published_procedure_has_its_text_its_family_and_its_hash() {
    // FIPS 180-4: the SHA-256 of `abc`, as its examples give it.
    const ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    let body = |family: Option<&str>, hash: &str, text: &str| Body::ProcedurePublished {
        key: "weekly".to_owned(),
        hash: hash.to_owned(),
        family: family.map(str::to_owned),
        text: Some(text.to_owned()),
        model: None,
    };
    assert_eq!(record(7, body(Some("screw-trim"), ABC, "abc")).check(), Ok(()));
    let of = |body: Body| faults(&record(7, body));
    assert_eq!(of(body(Some("screw-trim"), ABC, "abd")), ["body.hash"]);
    assert_eq!(of(body(None, ABC, "abc")), ["body.family"]);
    let hidden = "a\u{202e}c\n";
    assert_eq!(
        of(body(Some("screw-trim"), &procedure_version(hidden, None), hidden)),
        ["body.text"]
    );
    // With a model: `printf 'a\0bc' | sha256sum` of the GNU coreutils. The text alone is another version.
    const A_BC: &str = "40bb547d936bbd31318ee37ac8799e7ecbb22eda2651f65e3214bffb8ce97bb4";
    let with_model = |hash: &str| Body::ProcedurePublished {
        key: "weekly".to_owned(),
        hash: hash.to_owned(),
        family: Some("screw-trim".to_owned()),
        text: Some("a".to_owned()),
        model: Some("bc".to_owned()),
    };
    assert_eq!(record(7, with_model(A_BC)).check(), Ok(()));
    assert_eq!(of(with_model(&procedure_version("a", None))), ["body.hash"]);
    // Lines end as they do in files, and there may be many of them.
    let lines = "x = 1\r\n\ty = 2\n".repeat(500);
    assert_eq!(
        record(7, body(Some("a"), &procedure_version(&lines, None), &lines)).check(),
        Ok(())
    );
    let long = "x".repeat(MAX_BYTES);
    assert_eq!(of(body(Some("a"), &procedure_version(&long, None), &long)), ["body"]);
}
