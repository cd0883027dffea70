//! The reading of a sheet: `ouncewise_estate`'s, as JSON.

use std::borrow::Cow;

use ouncewise_estate::sheets::Mapping;
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::super::openapi::by_hand;

/// The last row of a spreadsheet.
const LAST_ROW: u64 = 1 << 20;

/// What a column may mean.
const MEANS: [&str; 23] = [
    "site",
    "site-number",
    "machine",
    "serial",
    "line",
    "product",
    "date",
    "time",
    "amount",
    "unit",
    "seconds",
    "doses",
    "measure",
    "by",
    "state",
    "note",
    "temperature",
    "water",
    "target",
    "tolerance",
    "done",
    "adjusted",
    "nothing",
];

/// How a sheet is read.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(transparent)]
pub struct MappingHere(pub Mapping);

impl JsonSchema for MappingHere {
    fn schema_name() -> Cow<'static, str> {
        "Mapping".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let text = |says: &str| json!({ "type": "string", "description": says });
        let texts = |says: &str| json!({ "type": "array", "items": { "type": "string" }, "description": says });
        let flag = |says: &str| json!({ "type": "boolean", "description": says });
        let column = json!({
            "type": "object",
            "properties": {
                "letter": text("Its letter: `A`, `AB`."),
                "heading": text("Its heading; two rows of heading are joined by ` / `."),
                "means": { "type": "string", "enum": MEANS, "description": "What it holds." },
                "unit": text("The unit of its numbers, where the heading says it."),
                "site": text("The site that all its readings belong to."),
                "machine": text("The machine that all its readings belong to."),
                "line": text("The line that all its readings belong to."),
                "called": text("A name in its heading: the question `names` says of what."),
                "date": text("The date of all its readings, as written."),
                "state": text("The state of all its readings: `as-found` or `as-left`."),
                "fill_down": flag("Whether an empty cell repeats the one above it."),
                "because": text("Why it is taken for this."),
            },
            "required": ["letter", "heading", "means"],
            "additionalProperties": false,
        });
        let question = json!({
            "type": "object",
            "properties": {
                "id": text("What it is about."),
                "asks": text("The question, in a sentence."),
                "choices": texts("The answers that are taken; any text where there are none."),
                "default": text("The answer that is likeliest."),
                "answer": text("The answer. Without one, rows that need it wait."),
                "because": text("Where the answer follows from the sheet itself: why."),
                "sample": texts("Some cells that it is about."),
                "sets_up": flag("Whether it only sets up what the estate lacks."),
            },
            "required": ["id", "asks", "default"],
            "additionalProperties": false,
        });
        by_hand(json!({
            "description": "How a sheet is read. Correct what /sheets/look proposes, and send it with the sheet.",
            "type": "object",
            "properties": {
                "version": { "type": "integer", "const": 1 },
                "sheet": text("The workbook's sheet; none for CSV."),
                "heading_row": row("First row of the heading, as a spreadsheet program counts."),
                "heading_rows": { "type": "integer", "minimum": 1, "maximum": 2, "description": "Rows of the heading." },
                "column": { "type": "array", "items": column, "description": "The columns." },
                "question": { "type": "array", "items": question, "description": "What the sheet does not tell." },
            },
            "required": ["version", "heading_row", "heading_rows"],
            "additionalProperties": false,
        }))
    }
}

fn row(says: &str) -> Value {
    json!({ "type": "integer", "minimum": 1, "maximum": LAST_ROW, "description": says })
}
