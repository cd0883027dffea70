//! JSON Schema of a profile file, for editors and for other people's programs: the same keys, words and limits as the reader.

#[cfg(test)]
mod tests;

use serde_json::{Map, Value, json};

use super::build::AFTER;
use super::holding::CleaningOf;
use super::records::RecordKind;
use super::{Sanitiser, Status};

/// What may stand at a key.
pub(super) enum Shape {
    /// A text with something in it.
    Text,
    /// A short name.
    Id,
    /// A number over zero.
    Number,
    /// A number from 1.
    Times,
    /// A pH over zero.
    Ph,
    /// Whole days.
    Days,
    /// Yes or no.
    Flag,
    /// Texts, one or more.
    Texts,
    /// One of these words.
    Words(fn() -> Vec<&'static str>),
    /// A table under its own heading, or in braces.
    Table(&'static [&'static [Key]]),
    /// A list of tables.
    Tables(&'static [&'static [Key]], Option<Either>),
}

/// Exactly one of a figure, and a flag that leaves it to somebody else.
pub(super) struct Either {
    figure: &'static str,
    flag: &'static str,
}

/// One key of a table.
pub(super) struct Key {
    pub(super) name: &'static str,
    pub(super) must: bool,
    pub(super) shape: Shape,
    pub(super) says: &'static str,
}

const fn must(name: &'static str, shape: Shape, says: &'static str) -> Key {
    Key { name, must: true, shape, says }
}

const fn may(name: &'static str, shape: Shape, says: &'static str) -> Key {
    Key { name, must: false, shape, says }
}

fn only<T>(words: &[(&'static str, T)]) -> Vec<&'static str> {
    words.iter().map(|(word, _)| *word).collect()
}

const SANITISER: Shape = Shape::Words(|| only(Sanitiser::WORDS));

const BASIS: &[Key] = &[
    may("row", Shape::Text, "a row of your own notes, if you keep any"),
    must("clause", Shape::Text, "the clause of the code"),
    must("status", Shape::Words(|| only(Status::WORDS)), "how the figure is known"),
    must("source", Shape::Text, "the document in which it was seen, or why there is none"),
];

const PRINTED: &[Key] = &[
    must("c", Shape::Number, "in °C, as the code prints it"),
    must("f", Shape::Number, "in °F, as the code prints it"),
];

const PH_TO: &[Key] = &[may("ph_to", Shape::Ph, "up to this pH, included; any pH if left out")];

const TEMPERATURE: Key = may(
    "temperature",
    Shape::Tables(&[PH_TO, PRINTED], None),
    "the least temperatures, by pH, lowest pH first",
);

const FROM_OR_LABEL: Either = Either { figure: "from", flag: "as_label" };
const SECONDS_OR_LABEL: Either = Either { figure: "seconds", flag: "as_label" };
const HOURS_OR_MAKER: Either = Either { figure: "every_hours", flag: "as_maker" };

const LIMIT: &[Key] = &[
    must("sanitiser", SANITISER, "for which sanitiser"),
    may(
        "from",
        Shape::Number,
        "the least strength in mg/L; the row holds up to where the next begins",
    ),
    may("as_label", Shape::Flag, "the code leaves the strength to the label"),
    may("to", Shape::Number, "the most in mg/L, included, where the row itself names one"),
    may(
        "swab_times",
        Shape::Times,
        "how many times the least is asked of a solution that is swabbed on",
    ),
    TEMPERATURE,
    may("ph_to", Shape::Ph, "the highest pH, included"),
    may("ph_or_label", Shape::Flag, "the label's own highest pH may stand instead"),
    may("hardness_to", Shape::Number, "the hardest water, in mg/L as calcium carbonate"),
    may("hardness_or_label", Shape::Flag, "the label's own hardest water may stand instead"),
];

const CEILING: &[Key] = &[
    must("sanitiser", SANITISER, "for which sanitiser"),
    may("component", Shape::Text, "only for this component of the active, as the label lists it"),
    must("to", Shape::Number, "the most in mg/L, included"),
];

const CONTACT: &[Key] = &[
    must("sanitiser", SANITISER, "for which sanitiser"),
    may("seconds", Shape::Number, "the least contact time in seconds"),
    may("as_label", Shape::Flag, "the code leaves the time to the label"),
    may("from", Shape::Number, "only from this strength in mg/L, included"),
    may("below", Shape::Number, "only below this strength in mg/L"),
    TEMPERATURE,
];

const HOT_WATER: &[Key] =
    &[must("seconds", Shape::Number, "the least seconds at that temperature")];

const AFTER_KEYS: &[Key] =
    &[must("rule", Shape::Words(|| only(AFTER)), "drain and never rinse, drain, or rinse")];

const RINSE_BETWEEN: &[Key] = &[may(
    "unless_same_agent",
    Shape::Flag,
    "it may be left out where one agent washes and sanitises",
)];

const PURGE: &[Key] =
    &[must("mg_per_l", Shape::Number, "the strength in mg/L that a line is purged to")];

const HOLDING: &[Key] = &[
    may("cold", Shape::Table(&[PRINTED, BASIS]), "cold food stays at this or under"),
    may("hot", Shape::Table(&[PRINTED, BASIS]), "hot food stays at this or over"),
    may(
        "time",
        Shape::Table(&[HOURS, BASIS]),
        "hours out of the cold after which food is thrown away",
    ),
    may("date", Shape::Table(&[DAYS, BASIS]), "days that opened food may be kept cold"),
];

const HOURS: &[Key] = &[must("hours", Shape::Number, "how many hours")];
const DAYS: &[Key] =
    &[must("days", Shape::Days, "how many days, the day of opening being the first")];

const CLEANING: &[Key] = &[
    must("of", Shape::Words(|| only(CleaningOf::WORDS)), "what is cleaned"),
    may("every_hours", Shape::Number, "at least so often, in hours"),
    may("as_maker", Shape::Flag, "the code leaves it to the machine's maker"),
    may("room_to", Shape::Table(&[PRINTED]), "only in a refrigerated room up to this temperature"),
];

const RECORD: &[Key] = &[
    must("kind", Shape::Words(|| only(RecordKind::WORDS)), "what is recorded"),
    may("should", Shape::Flag, "good to have; without this, a round that lacks it is incomplete"),
    may("only", SANITISER, "only with this sanitiser"),
];

const ALLERGENS: &[Key] = &[must("names", Shape::Texts, "the allergens that the code names")];

const LUBRICANT: &[Key] = &[
    must("lubricant", Shape::Text, "which lubricant"),
    must("ppm_to", Shape::Number, "the most in food, in parts of a million by mass"),
];

pub(super) const PROFILE: &[Key] = &[
    must("id", Shape::Id, "a short name for files and records"),
    must("name", Shape::Text, "what people call it"),
    must("code", Shape::Text, "which code it is"),
    must("edition", Shape::Text, "which edition, and where it is in force"),
    may("note", Shape::Text, "what to know before using it"),
    may(
        "limit",
        Shape::Tables(&[LIMIT, BASIS], Some(FROM_OR_LABEL)),
        "a row of least strength, with its temperature, pH and hardness",
    ),
    may(
        "ceiling",
        Shape::Tables(&[CEILING, BASIS], None),
        "the most that may stay without a rinse",
    ),
    may(
        "contact",
        Shape::Tables(&[CONTACT, BASIS], Some(SECONDS_OR_LABEL)),
        "a least contact time; of two that apply the earlier holds",
    ),
    may("hot_water", Shape::Table(&[PRINTED, HOT_WATER, BASIS]), "sanitising by hot water"),
    must("after", Shape::Table(&[AFTER_KEYS, BASIS]), "what follows sanitising"),
    may("test", Shape::Table(&[BASIS]), "that the strength must be tested"),
    may(
        "rinse_between",
        Shape::Table(&[RINSE_BETWEEN, BASIS]),
        "a rinse with water between washing and sanitising",
    ),
    may("purge", Shape::Table(&[PURGE, BASIS]), "what a line is purged to before it serves"),
    may("holding", Shape::Table(&[HOLDING]), "cold, hot, and time limits of food"),
    may(
        "cleaning",
        Shape::Tables(&[CLEANING, BASIS], Some(HOURS_OR_MAKER)),
        "how often a surface is cleaned",
    ),
    may("record", Shape::Tables(&[RECORD, BASIS], None), "a record that is asked for"),
    may("allergens", Shape::Table(&[ALLERGENS, BASIS]), "the allergens that the code names"),
    may(
        "lubricant",
        Shape::Tables(&[LUBRICANT, BASIS], None),
        "what a lubricant's residue is held to",
    ),
];

/// The JSON Schema of a profile file (draft 2020-12).
///
/// It asks all that the reader asks, but for what looks across a file: that both figures of a temperature agree, that rows
/// rise, and that no two of them begin at one strength.
#[must_use]
pub fn schema() -> Value {
    let mut schema = object(&[PROFILE], None);
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema".into();
    schema["title"] = "A jurisdiction's rules".into();
    schema
}

fn object(keys: &[&[Key]], either: Option<&Either>) -> Value {
    let keys = || keys.iter().copied().flatten();
    let properties: Map<String, Value> =
        keys().map(|key| (key.name.to_owned(), property(key))).collect();
    let required: Vec<&str> = keys().filter(|key| key.must).map(|key| key.name).collect();
    let mut object = json!({
        "type": "object",
        "additionalProperties": false,
        "properties": properties,
        "required": required,
    });
    if let Some(Either { figure, flag }) = either {
        let left = json!({ "required": [flag], "properties": { *flag: { "const": true } } });
        object["oneOf"] = json!([{ "required": [figure] }, left]);
    }
    object
}

fn property(key: &Key) -> Value {
    let mut property = match &key.shape {
        Shape::Text => json!({ "type": "string", "pattern": "\\S" }),
        Shape::Id => json!({ "type": "string", "pattern": "^\\s*[a-z0-9-]+\\s*$" }),
        Shape::Number => json!({ "type": "number", "exclusiveMinimum": 0 }),
        Shape::Times => json!({ "type": "number", "minimum": 1 }),
        Shape::Ph => json!({ "type": "number", "exclusiveMinimum": 0, "maximum": 14 }),
        Shape::Days => json!({ "type": "integer", "minimum": 1, "maximum": 3650 }),
        Shape::Flag => json!({ "type": "boolean" }),
        Shape::Texts => json!({
            "type": "array",
            "items": { "type": "string", "pattern": "\\S" },
            "minItems": 1,
        }),
        Shape::Words(words) => json!({ "type": "string", "enum": words() }),
        Shape::Table(keys) => object(keys, None),
        Shape::Tables(keys, either) => {
            json!({ "type": "array", "items": object(keys, either.as_ref()) })
        }
    };
    property["description"] = key.says.into();
    property
}

/// The keys of a profile as a table in Markdown, for the document that explains them.
#[must_use]
pub fn keys_in_markdown() -> String {
    let mut text = String::from("| table | key | | says |\n| --- | --- | --- | --- |\n");
    rows("", &[PROFILE], &mut text);
    rows("each with figures", &[BASIS], &mut text);
    text
}

fn rows(table: &str, keys: &[&[Key]], text: &mut String) {
    for key in keys.iter().copied().flatten() {
        let must = if key.must { "must" } else { "" };
        let name = match key.shape {
            Shape::Table(_) => format!("[{}]", key.name),
            Shape::Tables(..) => format!("[[{}]]", key.name),
            _ => key.name.to_owned(),
        };
        let words = match &key.shape {
            Shape::Words(words) => {
                let words: Vec<String> = words().iter().map(|word| format!("`{word}`")).collect();
                format!(": {}", words.join(", "))
            }
            Shape::Flag => ": `true` or `false`".to_owned(),
            _ => String::new(),
        };
        text.push_str(&format!("| {table} | `{name}` | {must} | {}{words} |\n", key.says));
    }
    for key in keys.iter().copied().flatten() {
        if let Shape::Table(inner) | Shape::Tables(inner, _) = &key.shape {
            let under = if table.is_empty() {
                key.name.to_owned()
            } else {
                format!("{table}.{}", key.name)
            };
            // Where a figure comes from is asked in all of them, and told once.
            let own: Vec<&[Key]> =
                inner.iter().copied().filter(|keys| keys[0].name != BASIS[0].name).collect();
            rows(&under, &own, text);
        }
    }
}
