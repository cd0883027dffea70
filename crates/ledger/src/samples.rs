//! Records to test with.

use std::collections::BTreeMap;

use proptest::prelude::*;
use serde_json::{Value, json};
use uuid::Uuid;

use crate::body::{Body, Holds, Stage, Thing};
use crate::record::{Entered, LineState, PersonId, Record, Scope, Subject, VERSION};

pub const HEX: &str = "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d";

/// A UUIDv7 that ends in `n`.
pub fn id(n: u64) -> Uuid {
    let mut bytes = [0; 16];
    bytes[..6].copy_from_slice(&[0x01, 0x95, 0x54, 0x0a, 0xc2, 0x12]);
    bytes[6] = 0x70;
    bytes[8..].copy_from_slice(&n.to_be_bytes());
    bytes[8] = 0x80;
    Uuid::from_bytes(bytes)
}

/// A record about a part of a line of a machine, all optional fields given.
pub fn record(n: u64, body: Body) -> Record {
    Record {
        v: VERSION,
        id: id(n),
        scope: Scope::site("fernhollow").unwrap(),
        subject: Subject::line("counter-1", "3").with_part("seal"),
        at: "2026-03-02T06:41:07.250+01:00".to_owned(),
        device: "tablet-2".to_owned(),
        sequence: 41,
        by: Some(PersonId(id(900))),
        entered: Entered::AtMachine,
        note: Some(HEX.to_owned()),
        body,
    }
}

/// A catch of so many millilitres.
pub fn catch(ml: u32) -> Body {
    Body::CatchTaken {
        state: LineState::AsFound,
        amount: format!("{ml} mL"),
        draw: "7.1 s".to_owned(),
        measure: "cup-a".to_owned(),
        water: Some("148 mL".to_owned()),
        water_draw: Some("7.0 s".to_owned()),
        temperature: Some("4 °C".to_owned()),
    }
}

/// One body of each kind, all optional fields given.
pub fn bodies() -> Vec<Body> {
    let text = str::to_owned;
    let some = |s: &str| Some(s.to_owned());
    vec![
        Body::RoundOpened {
            procedure: some(HEX),
            profile: some("model-code"),
            edition: some("2017 numbers"),
            program: some("ouncewise 0.1.0"),
        },
        Body::BoxOpened {
            holds: Holds::Sanitiser,
            name: text("chlorine tablets"),
            registration: some("0000-00"),
            lot: some("26C"),
            expiry: some("2027-06"),
            active: some("chlorine"),
            contact: some("60 s"),
            strength: some("100 to 200 ppm"),
            signal_word: some("DANGER"),
        },
        Body::SolutionMixed {
            product: text("chlorine tablets"),
            dose: text("1 sachet"),
            water: text("10 L"),
            temperature: some("25 °C"),
            ph: some("7.5"),
            hardness: some("120 mg/L"),
            from_box: Some(id(1001)),
        },
        Body::StripRead {
            reading: text("strip class 100"),
            place: text("bucket"),
            from_box: Some(id(1001)),
        },
        Body::ContactStarted {},
        Body::ContactEnded { lasted: some("2 min") },
        Body::Flushed { stage: Stage::Before, amount: text("90 s") },
        Body::Drained { vented: true },
        Body::Purged { reading: some("strip class 0"), amount: some("1 L") },
        Body::Discarded { amount: some("100 mL") },
        Body::Lubricated { lubricant: text("seal film"), statement: some("food grade") },
        Body::ProductChecked {
            temperature: some("4 °C"),
            lot: some("G-118"),
            opened: some("2026-03-01"),
        },
        Body::Verified {},
        Body::Deviated {
            happened: text("the strip stayed pale at the outlet"),
            done: text("flushed and mixed again"),
            released: true,
        },
        Body::StepDone { step: text("flush") },
        Body::StepSkipped { step: text("soak"), reason: text("too busy") },
        Body::PartInspected { found: text("worn") },
        Body::PartReplaced { number: some("LC-0417"), lot: some("26B"), why: some("worn") },
        catch(29),
        Body::ClaimMade { said: text("OK") },
        Body::LineAdjusted {
            done: text("1/4 turn anticlockwise"),
            setting: some("62 %"),
            meant: some("-8 %"),
        },
        Body::LineCleaned {},
        Body::ProductChanged { product: text("gooseberry") },
        Body::ContainerChanged { lot: some("G-118") },
        Body::MeasureReplaced { measure: text("cup-a") },
        Body::MachineSwapped { serial: text("RP-2201"), family: some("roller-pump") },
        Body::MachinePaused {},
        Body::MachineReopened {},
        Body::TechnicianCalled {
            fault: text("weeps at the nozzle"),
            cost: some("120.00 EUR"),
            out: some("26 h"),
        },
        Body::RoundClosed { complete: false, reason: some("a coach came in") },
        Body::Configured {
            thing: Thing::Line,
            key: text("3"),
            definition: BTreeMap::from([
                (text("target"), json!("30 mL")),
                (text("parts"), json!([{"key": "seal", "count": 2}, null, true])),
            ]),
        },
        Body::Retired { thing: Thing::Measure, key: text("cup-a") },
        Body::ProcedurePublished {
            key: text("weekly"),
            hash: text(HEX),
            family: None,
            text: None,
            model: None,
        },
        Body::ParametersPublished {
            family: text("screw-trim"),
            values: BTreeMap::from([(text("drift"), text("0.4 %/week"))]),
        },
        Body::Correction { of: id(1), reason: text("misread"), instead: Some(Box::new(catch(31))) },
        Body::Verification { size: 12, root: text(HEX) },
    ]
}

/// Any text, control characters and all planes included.
pub fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![
        "[a-z ]{0,12}",
        proptest::collection::vec(any::<char>(), 0..8).prop_map(|c| c.into_iter().collect()),
        Just("\u{1F600}\u{FB33}\u{e000}\u{0}\u{7f}\"\\/\n".to_owned()),
    ]
}

/// Any value that has canonical bytes.
pub fn any_value() -> impl Strategy<Value = Value> {
    let max = crate::canonical::MAX_INTEGER.cast_signed();
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        (-max..=max).prop_map(Value::from),
        any_text().prop_map(Value::from),
    ];
    leaf.prop_recursive(5, 60, 6, |inner| {
        prop_oneof![
            proptest::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
            proptest::collection::vec((any_text(), inner), 0..6)
                .prop_map(|members| Value::Object(members.into_iter().collect())),
        ]
    })
}

/// A record of any kind with any texts in it, good and bad.
pub fn any_record() -> impl Strategy<Value = Record> {
    let body = (proptest::sample::select(bodies()), any_text(), any_value()).prop_map(
        |(body, text, value)| match body {
            Body::ClaimMade { .. } => Body::ClaimMade { said: text },
            Body::Configured { thing, key, .. } => {
                Body::Configured { thing, key, definition: BTreeMap::from([(text, value)]) }
            }
            Body::Correction { of, .. } => Body::Correction { of, reason: text, instead: None },
            other => other,
        },
    );
    (body, any_text(), any::<u64>(), any::<[u8; 16]>()).prop_map(|(body, text, sequence, id)| {
        Record {
            id: Uuid::from_bytes(id),
            sequence: sequence >> 11,
            device: text.clone(),
            at: if sequence % 2 == 0 { text } else { "2026-03-02T06:41:07.250Z".to_owned() },
            ..record(0, body)
        }
    })
}
