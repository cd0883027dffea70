//! JSON Schema of a list of causes, for editors and for other people's programs: the same keys and limits as the reader.

#[cfg(test)]
mod tests;

use serde_json::{Map, Value, json};

use super::catalogue::MOST_CAUSES;

/// The JSON Schema of a file of causes (draft 2020-12).
///
/// It asks all that the reader asks, but for what looks across a file: that the causes that signs and acts name are there, and
/// that each is mended by an act.
#[must_use]
pub fn schema() -> Value {
    let cause = object(&[
        ("name", true, text("what the cause is called")),
        (
            "prior",
            true,
            chance("how often it is there on a line that somebody wonders about", false),
        ),
        ("parts", false, keys("keys of the parts that it may be", 0)),
    ]);
    let by = json!({
        "type": "object",
        "description": "for each cause, how often it alone brings the sign about; one that is left out does not",
        "additionalProperties": chance("how often", true),
    });
    let sign = object(&[
        ("ask", true, text("the question for it, to be answered yes or no")),
        ("minutes", true, minutes("minutes that it takes to find out")),
        ("leak", true, chance("how often it shows with none of the causes", false)),
        ("by", true, by),
    ]);
    let act = object(&[
        ("does", true, text("what to do")),
        ("minutes", true, minutes("minutes that it takes")),
        ("mends", true, keys("keys of the causes that it mends", 1)),
        ("access", false, text("key of what must be opened for it")),
        (
            "technician",
            false,
            json!({ "type": "boolean", "description": "whether only a technician may do it" }),
        ),
    ]);
    let access = object(&[
        ("name", true, text("what is opened")),
        ("minutes", true, minutes("minutes that it takes to open and to shut")),
    ]);
    let mut causes = table(&cause, "what may be wrong, by key");
    causes["minProperties"] = 1.into();
    causes["maxProperties"] = MOST_CAUSES.into();
    let mut schema = object(&[
        ("name", true, text("what people call it")),
        ("families", true, keys("keys of the families that it is for", 0)),
        ("basis", true, text("where its numbers come from")),
        ("causes", true, causes),
        ("signs", true, table(&sign, "how it shows, by key")),
        ("acts", true, table(&act, "what is done about it, by key")),
        ("access", false, table(&access, "what is opened once for several acts, by key")),
    ]);
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema".into();
    schema["title"] = "Causes of faults".into();
    schema
}

fn object(keys: &[(&str, bool, Value)]) -> Value {
    let properties: Map<String, Value> =
        keys.iter().map(|(name, _, shape)| ((*name).to_owned(), shape.clone())).collect();
    let required: Vec<&str> =
        keys.iter().filter(|(_, must, _)| *must).map(|(name, ..)| *name).collect();
    json!({
        "type": "object",
        "additionalProperties": false,
        "properties": properties,
        "required": required,
    })
}

fn table(of: &Value, says: &str) -> Value {
    json!({ "type": "object", "description": says, "additionalProperties": of })
}

fn text(says: &str) -> Value {
    json!({ "type": "string", "description": says })
}

fn keys(says: &str, least: u8) -> Value {
    json!({ "type": "array", "description": says, "items": { "type": "string" }, "minItems": least })
}

fn minutes(says: &str) -> Value {
    json!({ "type": "number", "description": says, "exclusiveMinimum": 0, "maximum": 1440 })
}

/// A chance over 0: under 1, or up to it.
fn chance(says: &str, up_to_one: bool) -> Value {
    let end = if up_to_one { "maximum" } else { "exclusiveMaximum" };
    json!({ "type": "number", "description": says, "exclusiveMinimum": 0, end: 1 })
}
