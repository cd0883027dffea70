//! Records: `ouncewise_ledger`'s, as JSON.

use std::borrow::Cow;
use std::ops::Deref;

use ouncewise_ledger::canonical::MAX_INTEGER;
use ouncewise_ledger::record::MAX_BYTES;
use ouncewise_ledger::{Entry, MAX_TEXT, Scope};
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value, json};
use uuid::Uuid;

use super::super::fits::{ANSWER, HASH, KEY, RECORD_ID, SCOPE, TIME};
use super::super::openapi::by_hand;

/// A text with a schema of its own.
macro_rules! text {
    ($(#[$doc:meta])* $name:ident($inner:ty), $schema:expr) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub $inner);

        impl Deref for $name {
            type Target = $inner;

            fn deref(&self) -> &$inner {
                &self.0
            }
        }

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn inline_schema() -> bool {
                true
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                by_hand($schema)
            }
        }
    };
}

text!(
    /// The key of a site, a machine, a line or a measure.
    KeyHere(String), json!({ "type": "string", "pattern": KEY })
);
text!(
    /// An answer to a sign of a fault: its key, a colon, and `yes`, `no` or `unknown`.
    AnswerHere(String), json!({ "type": "string", "pattern": ANSWER })
);
text!(
    /// The name of a ledger.
    ScopeHere(Scope), json!({ "type": "string", "pattern": SCOPE })
);
text!(
    /// The id of a record.
    IdHere(Uuid), json!({ "type": "string", "pattern": RECORD_ID })
);
text!(
    /// Any id.
    UuidHere(Uuid), json!({ "type": "string", "format": "uuid" })
);

/// What a field of a record's body holds.
#[derive(Debug, Clone, Copy)]
enum Sort {
    Text,
    /// Text of several lines.
    Lines,
    Key,
    /// A key, or `@group`.
    ThingKey,
    Hash,
    Id,
    Whole,
    Flag,
    OneOf(&'static [&'static str]),
    /// Any values by name.
    Values,
    /// Texts by name.
    Texts,
    /// Another body.
    Body,
}
use Sort::{Body, Flag, Hash, Id, Key, Lines, OneOf, Text, Texts, ThingKey, Values, Whole};

const THINGS: Sort = OneOf(&[
    "group", "owner", "family", "product", "site", "measure", "machine", "line", "profile",
]);

/// The kinds of records: the fields that each must have, and those that it may have.
const KINDS: &[(&str, &[(&str, Sort)], &[(&str, Sort)])] = &[
    (
        "round-opened",
        &[],
        &[("procedure", Hash), ("profile", Key), ("edition", Text), ("program", Text)],
    ),
    (
        "box-opened",
        &[("holds", OneOf(&["sanitiser", "strips"])), ("name", Text)],
        &[
            ("registration", Text),
            ("lot", Text),
            ("expiry", Text),
            ("active", Text),
            ("contact", Text),
            ("strength", Text),
            ("signal_word", Text),
        ],
    ),
    (
        "solution-mixed",
        &[("product", Text), ("dose", Text), ("water", Text)],
        &[("temperature", Text), ("ph", Text), ("hardness", Text), ("box", Id)],
    ),
    ("strip-read", &[("reading", Text), ("place", Text)], &[("box", Id)]),
    ("contact-started", &[], &[]),
    ("contact-ended", &[], &[("lasted", Text)]),
    ("flushed", &[("stage", OneOf(&["before", "after"])), ("amount", Text)], &[]),
    ("drained", &[("vented", Flag)], &[]),
    ("purged", &[], &[("reading", Text), ("amount", Text)]),
    ("discarded", &[], &[("amount", Text)]),
    ("lubricated", &[("lubricant", Text)], &[("statement", Text)]),
    ("product-checked", &[], &[("temperature", Text), ("lot", Text), ("opened", Text)]),
    ("verified", &[], &[]),
    ("deviated", &[("happened", Text), ("done", Text), ("released", Flag)], &[]),
    ("step-done", &[("step", Key)], &[]),
    ("step-skipped", &[("step", Key), ("reason", Text)], &[]),
    ("part-inspected", &[("found", Text)], &[]),
    ("part-replaced", &[], &[("number", Text), ("lot", Text), ("why", Text)]),
    (
        "catch-taken",
        &[
            ("state", OneOf(&["as-found", "as-left"])),
            ("amount", Text),
            ("draw", Text),
            ("measure", Key),
        ],
        &[("water", Text), ("water_draw", Text), ("temperature", Text)],
    ),
    ("claim-made", &[("said", Text)], &[]),
    ("line-adjusted", &[("done", Text)], &[("setting", Text), ("meant", Text)]),
    ("line-cleaned", &[], &[]),
    ("product-changed", &[("product", Key)], &[]),
    ("container-changed", &[], &[("lot", Text)]),
    ("measure-replaced", &[("measure", Key)], &[]),
    ("machine-swapped", &[("serial", Text)], &[("family", Key)]),
    ("machine-paused", &[], &[]),
    ("machine-reopened", &[], &[]),
    ("technician-called", &[("fault", Text)], &[("cost", Text), ("out", Text)]),
    ("round-closed", &[("complete", Flag)], &[("reason", Text)]),
    ("configured", &[("thing", THINGS), ("key", ThingKey), ("definition", Values)], &[]),
    ("retired", &[("thing", THINGS), ("key", ThingKey)], &[]),
    (
        "procedure-published",
        &[("key", Key), ("hash", Hash)],
        &[("family", Key), ("text", Lines), ("model", Lines)],
    ),
    ("parameters-published", &[("family", Key), ("values", Texts)], &[]),
    ("correction", &[("of", Id), ("reason", Text)], &[("instead", Body)]),
    ("verification", &[("size", Whole), ("root", Hash)], &[]),
];

fn text() -> Value {
    json!({ "type": "string", "minLength": 1, "maxLength": MAX_TEXT })
}

fn whole() -> Value {
    json!({ "type": "integer", "minimum": 0, "maximum": MAX_INTEGER })
}

fn schema_of(sort: Sort, body: &Value) -> Value {
    match sort {
        Text => text(),
        Lines => json!({ "type": "string", "minLength": 1, "maxLength": MAX_BYTES }),
        Key => json!({ "type": "string", "pattern": KEY }),
        ThingKey => json!({ "type": "string", "pattern": SCOPE }),
        Hash => json!({ "type": "string", "pattern": HASH }),
        Id => json!({ "type": "string", "format": "uuid" }),
        Whole => whole(),
        Flag => json!({ "type": "boolean" }),
        OneOf(words) => json!({ "type": "string", "enum": words }),
        Values => json!({ "type": "object" }),
        Texts => json!({ "type": "object", "additionalProperties": text() }),
        Body => body.clone(),
    }
}

struct BodyHere;

impl JsonSchema for BodyHere {
    fn schema_name() -> Cow<'static, str> {
        "RecordBody".into()
    }

    fn json_schema(make: &mut SchemaGenerator) -> Schema {
        let body = make.subschema_for::<BodyHere>().to_value();
        let kind = |(kind, must, may): &(&str, &[(&str, Sort)], &[(&str, Sort)])| {
            let mut properties = Map::new();
            properties.insert("kind".to_owned(), json!({ "type": "string", "const": kind }));
            for (name, sort) in must.iter().chain(*may) {
                properties.insert((*name).to_owned(), schema_of(*sort, &body));
            }
            let required: Vec<&str> =
                std::iter::once("kind").chain(must.iter().map(|(name, _)| *name)).collect();
            json!({
                "type": "object",
                "title": kind,
                "properties": properties,
                "required": required,
                "additionalProperties": false,
            })
        };
        by_hand(json!({
            "description": "What happened. Measured values are text, as they were read.",
            "oneOf": KINDS.iter().map(kind).collect::<Vec<_>>(),
        }))
    }
}

struct RecordHere;

impl JsonSchema for RecordHere {
    fn schema_name() -> Cow<'static, str> {
        "Record".into()
    }

    fn json_schema(make: &mut SchemaGenerator) -> Schema {
        let body = make.subschema_for::<BodyHere>().to_value();
        let key = |says: &str| json!({ "type": "string", "pattern": KEY, "description": says });
        by_hand(json!({
            "description": "One fact. It is never changed, only corrected by a later one.",
            "type": "object",
            "properties": {
                "v": { "type": "integer", "const": ouncewise_ledger::record::VERSION, "description": "Version of the format." },
                "id": { "type": "string", "pattern": RECORD_ID, "description": "UUIDv7 made where it happened, or UUIDv8 derived for an import." },
                "scope": { "type": "string", "pattern": SCOPE, "description": "Whose ledger it belongs to: a site's, or @group." },
                "subject": {
                    "description": "What it is about.",
                    "type": "object",
                    "properties": {
                        "machine": key("Key of the machine within the site."),
                        "line": key("Key of the line within the machine."),
                        "part": key("Key of the part within the machine's family."),
                    },
                    "additionalProperties": false,
                },
                "at": { "type": "string", "pattern": TIME, "description": "The device's clock, with its offset." },
                "device": text(),
                "sequence": whole(),
                "by": { "type": "string", "format": "uuid", "description": "Who." },
                "entered": { "type": "string", "enum": ["at-machine", "from-paper", "imported", "at-desk"], "description": "How it came in." },
                "note": { "type": "string", "pattern": HASH, "description": "SHA-256 of the salt and the text of a note that lies beside the ledger." },
                "body": body,
            },
            "required": ["v", "id", "scope", "subject", "at", "device", "sequence", "entered", "body"],
            "additionalProperties": false,
        }))
    }
}

/// A record on its way in, with the name of who did it and the text of a note.
#[derive(Debug, Clone, Deserialize)]
#[serde(transparent)]
pub struct DraftHere(pub ouncewise_ledger::Draft);

impl JsonSchema for DraftHere {
    fn schema_name() -> Cow<'static, str> {
        "Draft".into()
    }

    fn json_schema(make: &mut SchemaGenerator) -> Schema {
        let record = make.subschema_for::<RecordHere>().to_value();
        by_hand(json!({
            "description": "A record on its way in.",
            "type": "object",
            "properties": {
                "record": record,
                "person": { "type": "string", "maxLength": MAX_TEXT, "description": "Name or id of who did it. A name is kept beside the ledger, where it can be erased." },
                "note": { "type": "string", "maxLength": 20_000, "description": "Text of a note, kept beside the ledger, where it can be erased." },
            },
            "required": ["record"],
            "additionalProperties": false,
        }))
    }
}

/// A record in its ledger.
#[derive(Debug, Clone, Serialize)]
#[serde(transparent)]
pub struct EntryHere(pub Entry);

impl JsonSchema for EntryHere {
    fn schema_name() -> Cow<'static, str> {
        "Entry".into()
    }

    fn json_schema(make: &mut SchemaGenerator) -> Schema {
        let record = make.subschema_for::<RecordHere>().to_value();
        by_hand(json!({
            "description": "A record in its ledger.",
            "type": "object",
            "properties": {
                "index": { "type": "integer", "minimum": 0, "description": "Its number in order of receipt, from 0." },
                "received": { "type": "string", "pattern": TIME, "description": "When it was received, in UTC." },
                "record": record,
            },
            "required": ["index", "received", "record"],
            "additionalProperties": false,
        }))
    }
}
