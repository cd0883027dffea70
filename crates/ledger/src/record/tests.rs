//! Records to bytes and back, strict in what they take.

use proptest::prelude::*;
use serde_json::{Value, json};

use super::*;
use crate::samples::{any_record, bodies, catch, record};

#[test]
fn each_kind_has_its_name_and_its_bytes() {
    let kinds: Vec<&str> = bodies().iter().map(Body::kind).collect();
    assert_eq!(kinds, Body::KINDS);
    for body in bodies() {
        let record = record(7, body);
        let bytes = record.to_bytes().unwrap();
        let value: Value = serde_json::from_slice(&bytes).unwrap();
        assert_eq!(value["body"]["kind"], record.body.kind());
        assert_eq!(Record::from_bytes(&bytes).unwrap(), record);
        assert_eq!(Record::from_kept(&bytes).unwrap(), record);
        assert_eq!(canonical::to_bytes(&value).unwrap(), bytes);
    }
}

#[test]
fn the_format_does_not_change() {
    // What these bytes are is what every ledger out there is hashed from: a change here breaks them all.
    let bytes = record(7, catch(29)).to_bytes().unwrap();
    let expected = concat!(
        r#"{"at":"2026-03-02T06:41:07.250+01:00","body":{"amount":"29 mL","draw":"7.1 s","kind":"catch-taken","#,
        r#""measure":"cup-a","state":"as-found","temperature":"4 °C","water":"148 mL","water_draw":"7.0 s"},"#,
        r#""by":"0195540a-c212-7000-8000-000000000384","device":"tablet-2","entered":"at-machine","#,
        r#""id":"0195540a-c212-7000-8000-000000000007","#,
        r#""note":"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d","scope":"fernhollow","#,
        r#""sequence":41,"subject":{"line":"3","machine":"counter-1","part":"seal"},"v":1}"#,
    );
    assert_eq!(String::from_utf8(bytes).unwrap(), expected);
}

#[test]
fn records_of_before_a_kind_got_more_fields_keep_their_bytes() {
    // As they were written when these kinds had fewer fields: every ledger with one is hashed from them.
    for body in [
        r#"{"kind":"round-opened"}"#,
        r#"{"kind":"round-opened","procedure":"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d"}"#,
        r#"{"dose":"1 sachet","kind":"solution-mixed","product":"chlorine tablets","water":"10 L"}"#,
        r#"{"kind":"strip-read","place":"bucket","reading":"strip class 100"}"#,
    ] {
        let bytes = format!(
            concat!(
                r#"{{"at":"2026-03-02T06:41:07.250+01:00","body":{},"device":"tablet-2","entered":"at-machine","#,
                r#""id":"0195540a-c212-7000-8000-000000000007","scope":"fernhollow","sequence":41,"#,
                r#""subject":{{"machine":"counter-1"}},"v":1}}"#,
            ),
            body
        );
        let record = Record::from_bytes(bytes.as_bytes()).unwrap();
        assert_eq!(record.check(), Ok(()));
        assert_eq!(String::from_utf8(record.to_bytes().unwrap()).unwrap(), bytes);
    }
}

#[test]
fn what_is_left_out_is_not_written() {
    let bare = Record {
        subject: Subject::machine("counter-1"),
        by: None,
        note: None,
        ..record(7, Body::RoundClosed { complete: true, reason: None })
    };
    let text = String::from_utf8(bare.to_bytes().unwrap()).unwrap();
    assert!(!text.contains("null"), "{text}");
    assert_eq!(Record::from_bytes(text.as_bytes()).unwrap(), bare);
}

/// The sample catch as JSON, changed.
fn changed(change: impl FnOnce(&mut Value)) -> Vec<u8> {
    let mut value = serde_json::to_value(record(7, catch(29))).unwrap();
    change(&mut value);
    serde_json::to_vec(&value).unwrap()
}

#[test]
fn no_field_that_records_do_not_have() {
    assert!(Record::from_bytes(&changed(|_| {})).is_ok());
    let pretty = serde_json::to_vec_pretty(&record(7, catch(29))).unwrap();
    assert_eq!(Record::from_bytes(&pretty).unwrap(), record(7, catch(29)));
    let wrong = [
        (changed(|r| r["colour"] = json!("red")), "colour"),
        (changed(|r| r["subject"]["colour"] = json!("red")), "colour"),
        (changed(|r| r["body"]["colour"] = json!("red")), "colour"),
        (changed(|r| r["body"] = json!({"kind": "line-cleaned", "colour": "red"})), "colour"),
        (changed(|r| r["body"]["kind"] = json!("catch-thrown")), "catch-thrown"),
        (changed(|r| r["body"] = json!({"amount": "29 mL"})), "kind"),
        (changed(|r| r["body"]["amount"] = json!(29)), "integer"),
        (changed(|r| r["body"]["amount"] = Value::Null), "null"),
        (changed(|r| r["scope"] = json!("Fern Hollow")), "in a key"),
        (changed(|r| r["scope"] = json!("@everybody")), "in a key"),
        (changed(|r| r["id"] = json!("7")), "UUID"),
        (changed(|r| r["v"] = json!(-1)), "-1"),
        (changed(|r| r["entered"] = json!("by-magic")), "by-magic"),
        (changed(|r| r["note"] = Value::Null), "/note: write nothing, not null"),
        (changed(|r| r["subject"]["line"] = Value::Null), "/subject/line: write nothing, not null"),
        (
            changed(|r| r["id"] = json!("0195540AC21270008000000000000007")),
            "/id: write \"0195540a-c212-7000",
        ),
        (changed(|r| r["subject"] = json!(["counter-1", "3", "seal"])), "/subject: write {"),
        (changed(|r| *r = r.as_object().unwrap().values().cloned().collect()), "line 1"),
        (vec![b' '; MAX_BYTES + 1], "the longest record has 65536"),
    ];
    for (bytes, words) in wrong {
        let error = Record::from_bytes(&bytes).unwrap_err().to_string();
        assert!(error.contains(words), "{words}: {error}");
        assert!(!error.contains("line 0"), "{error}");
    }
    for field in ["v", "id", "scope", "subject", "at", "device", "sequence", "entered", "body"] {
        let error =
            Record::from_bytes(&changed(|r| drop(r.as_object_mut().unwrap().remove(field))))
                .unwrap_err();
        assert!(error.to_string().contains(&format!("missing field `{field}`")), "{error}");
    }
    // One key twice, the second time within the body, escaped.
    let twice = String::from_utf8(changed(|_| {})).unwrap().replacen(
        "\"amount\"",
        "\"amoun\\u0074\":\"9 mL\",\"amount\"",
        1,
    );
    assert!(Record::from_bytes(twice.as_bytes()).unwrap_err().to_string().contains("twice"));
}

#[test]
fn scopes() {
    assert!(Scope::group().is_group());
    assert_eq!(Scope::group().site_key(), None);
    let site: Scope = "fernhollow".parse().unwrap();
    assert_eq!(
        (site.site_key(), site.is_group(), site.as_str()),
        (Some("fernhollow"), false, "fernhollow")
    );
    assert_eq!("@group".parse(), Ok(Scope::group()));
    assert!(Scope::site("@group").is_err() && Scope::site("").is_err());
}

const DOCS: &str = include_str!("../../../../docs/records.md");

#[test]
fn the_docs_show_a_record() {
    let json = DOCS.split_once("```json\n").unwrap().1.split_once("```").unwrap().0;
    let shown = Record::from_bytes(json.as_bytes()).unwrap();
    assert_eq!(shown.check(), Ok(()));
}

/// Words that stand among the fields in the docs: what a field may say.
const WORDS: [&str; 6] = ["as-found", "as-left", "sanitiser", "strips", "before", "after"];

#[test]
fn the_docs_list_every_kind_with_its_fields() {
    for body in bodies() {
        let start = format!("| `{}` |", body.kind());
        let row = DOCS.lines().find(|line| line.starts_with(&start)).expect("a row for each kind");
        let written = serde_json::to_value(&body).unwrap();
        for field in written.as_object().unwrap().keys().filter(|&field| field != "kind") {
            assert!(row.contains(&format!("`{field}`")), "{start} {field}");
        }
        // Each sample has every field, so what is not in it is not to be left out but wrong.
        let fields = row.split('|').nth(2).unwrap().split(':').next().unwrap();
        let named = fields.split('`').skip(1).step_by(2).filter(|name| !WORDS.contains(name));
        assert!(named.clone().all(|name| written.get(name).is_some()), "{row}");
    }
}

/// Whatever the bytes, a record or an error; a record has canonical bytes, reads back, and can be checked.
fn fuzz(bytes: &[u8]) {
    let Ok(record) = Record::from_bytes(bytes) else { return };
    let canonical = record.to_bytes().expect("what was read has canonical bytes");
    assert_eq!(Record::from_bytes(&canonical).unwrap(), record);
    let _ = (record.check(), record.instant());
}

proptest! {
    #[test]
    fn records_with_any_text_come_back(record in any_record()) {
        let bytes = record.to_bytes().unwrap();
        prop_assert_eq!(Record::from_bytes(&bytes).unwrap(), record);
        fuzz(&bytes);
    }

    #[test]
    fn damaged_records_are_answered(record in any_record(), cuts in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>(), any::<bool>()), 1..4)) {
        let mut bytes = record.to_bytes().unwrap();
        for (at, byte, cut) in cuts {
            let at = at.index(bytes.len());
            if cut && bytes.len() > 1 { bytes.remove(at); } else { bytes[at] = byte; }
        }
        fuzz(&bytes);
    }

    #[test]
    fn any_bytes_are_answered(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        fuzz(&bytes);
    }
}
