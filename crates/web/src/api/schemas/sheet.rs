//! The machine sheet: `ouncewise_paper`'s, as JSON.

use std::borrow::Cow;

use ouncewise_paper::sheet::MachineSheet;
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::Serialize;
use serde_json::{Map, Value, json};

use super::super::openapi::by_hand;

/// A machine sheet.
#[derive(Debug, Clone, Serialize)]
#[serde(transparent)]
pub struct SheetHere(pub MachineSheet);

/// A text with what it says.
fn text(says: &str) -> Value {
    json!({ "type": "string", "description": says })
}

/// A text that may be null.
fn maybe(says: &str) -> Value {
    json!({ "type": ["string", "null"], "description": says })
}

fn texts(says: &str) -> Value {
    json!({ "type": "array", "items": { "type": "string" }, "description": says })
}

/// An object of which every field is always there.
fn object<const N: usize>(says: &str, fields: [(&str, Value); N]) -> Value {
    let required = fields.each_ref().map(|(name, _)| *name);
    let properties: Map<String, Value> =
        fields.into_iter().map(|(name, schema)| (name.to_owned(), schema)).collect();
    json!({ "type": "object", "description": says, "properties": properties, "required": required.to_vec(), "additionalProperties": false })
}

/// One of several objects, told apart by a word.
fn tagged<const N: usize>(tag: &str, choices: [(&str, Value); N]) -> Value {
    let choices = choices.into_iter().map(|(word, mut schema)| {
        schema["properties"][tag] = json!({ "type": "string", "const": word });
        if let Some(required) = schema["required"].as_array_mut() {
            required.push(tag.into());
        }
        schema
    });
    json!({ "oneOf": choices.collect::<Vec<_>>() })
}

fn or_null(schema: &Value) -> Value {
    json!({ "anyOf": [schema, { "type": "null" }] })
}

impl JsonSchema for SheetHere {
    fn schema_name() -> Cow<'static, str> {
        "MachineSheet".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let way = |says| {
            object(
                says,
                [
                    ("verb", text("What is done.")),
                    ("way", text("Which way; empty where there is none to choose.")),
                ],
            )
        };
        let lines = json!({ "type": "array", "items": row(), "description": "Its lines, in the order in which people list them." });
        let header = object(
            "Which machine it is for.",
            [
                ("group", text("Name of the group.")),
                ("site", text("Name of the site.")),
                ("site_key", text("Key of the site.")),
                ("machine", text("Name of the machine.")),
                ("machine_key", text("Key of the machine.")),
                ("family", text("Name of its family.")),
                ("serial", maybe("Serial number, where known.")),
                ("out_of_use", maybe("`idle`, `paused` or `removed`, where it is not in use.")),
                ("printed_on", text("The day on which it was made.")),
                ("version", text("Version of the program.")),
            ],
        );
        let measures = object(
            "A measure.",
            [
                ("key", text("Its key at the site.")),
                ("name", text("What it is called.")),
                ("read", text("How it is read.")),
            ],
        );
        let setting = object(
            "How its lines are adjusted.",
            [
                ("more", way("Where too little comes.")),
                ("less", way("Where too much comes.")),
                ("about", text("What else there is to know.")),
            ],
        );
        by_hand(object(
            "One machine's sheet: what is asked, what readings mean, and what is written by pen.",
            [
                ("paper", json!({ "type": "string", "enum": ["a4", "letter"] })),
                ("header", header),
                ("measures", json!({ "type": "array", "items": measures })),
                ("setting", setting),
                ("steps", texts("How the sheet is used, in order.")),
                ("rows", lines),
                ("notes", texts("What is said once for several lines.")),
                ("cautions", texts("What holds whatever the sheet says.")),
                ("key_in", text("How what was written becomes records.")),
            ],
        ))
    }
}

fn row() -> Value {
    let pair =
        json!({ "type": "array", "items": { "type": "string" }, "minItems": 2, "maxItems": 2 });
    let water = object(
        "The water of a ratio line, which comes first.",
        [
            ("asks", text("What the recipe asks.")),
            ("leave", or_null(&pair)),
            ("unit", text("Unit of the readings.")),
        ],
    );
    let amount = tagged(
        "read",
        [
            ("number", object("A number.", [("unit", text("Its unit."))])),
            (
                "given",
                object(
                    "Always the same: what the cup is filled to.",
                    [("amount", text("With its unit."))],
                ),
            ),
            ("side", object("The side of a mark.", [])),
            ("any", object("Whatever is read, with its unit.", [])),
        ],
    );
    let pen = object(
        "What is written by pen.",
        [("amount", amount), ("seconds", json!({ "type": "boolean" }))],
    );
    object(
        "One line.",
        [
            ("line", text("Key of the line.")),
            ("name", text("What it is called, or what it carries.")),
            ("allergens", texts("In the product's own words.")),
            ("asks", text("What the recipe asks.")),
            ("measure", maybe("Key of the measure.")),
            ("draw", text("How it is drawn, and into what.")),
            ("water", or_null(&water)),
            ("says", says()),
            ("how_far", text("How far a step of the adjuster goes.")),
            ("last", maybe("What the last catch said, where it asks for something.")),
            ("pen", pen),
        ],
    )
}

fn says() -> Value {
    let least_and_most = [("least", text("The least.")), ("most", text("The most."))];
    let [least, most] = least_and_most.clone();
    let leave = tagged(
        "leave",
        [
            ("between", object("Between these, ends included.", least_and_most)),
            (
                "mean",
                object(
                    "The mean of so many catches, between these.",
                    [("catches", json!({ "type": "integer", "minimum": 0 })), least, most],
                ),
            ),
            (
                "with",
                object(
                    "Only another measure of this kitchen can show it.",
                    [("measure", text("Its key."))],
                ),
            ),
            ("never", object("Nothing in this kitchen can show it.", [])),
        ],
    );
    tagged(
        "says",
        [
            (
                "windows",
                object(
                    "Windows of readings.",
                    [
                        ("unit", text("Unit of the readings.")),
                        ("too_little", maybe("At this or beyond it, too little comes.")),
                        ("leave", leave),
                        ("too_much", maybe("At this or beyond it, too much comes.")),
                        (
                            "fewer_is_more",
                            json!({ "type": "boolean", "description": "Seconds to fill to a mark: a larger number is less." }),
                        ),
                    ],
                ),
            ),
            (
                "marks",
                object(
                    "Only the side of a mark is read.",
                    [
                        ("mark", text("The mark.")),
                        ("under", text("What to do when it stands under the mark.")),
                        ("at", text("At it.")),
                        ("over", text("Over it.")),
                    ],
                ),
            ),
            (
                "trouble",
                object("It cannot be judged.", [("why", text("Why, and how to mend it."))]),
            ),
        ],
    )
}
