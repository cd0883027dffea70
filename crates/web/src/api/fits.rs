//! Whether a value fits its JSON Schema: everything that is wrong with it, each at its place.
//!
//! What the API's description says of a request is thereby what holds: a body or a parameter that does not fit is refused
//! before anybody reads it. It knows the keywords that our schemas use, and no others.

use ouncewise_ledger::key::check_key;
use ouncewise_ledger::{Scope, merkle::Hash, time};
use serde_json::{Map, Value};
use uuid::Uuid;

use super::problem::{Code, ErrorAt};

/// A key of a site, a machine or a line.
pub const KEY: &str = "^[a-z0-9]([a-z0-9-]{0,62}[a-z0-9])?$";
/// The name of a ledger.
pub const SCOPE: &str = "^(@group|[a-z0-9]([a-z0-9-]{0,62}[a-z0-9])?)$";
/// An answer to a sign of a fault.
pub const ANSWER: &str = "^[a-z0-9]([a-z0-9-]{0,62}[a-z0-9])?:(yes|no|unknown)$";
/// A time as records spell it.
pub const TIME: &str =
    "^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\\.[0-9]{3}(Z|[+-][0-9]{2}:[0-9]{2})$";
/// SHA-256 in hexadecimal.
pub const HASH: &str = "^[0-9a-f]{64}$";
/// The id of a record: a UUID of version 7 or 8.
pub const RECORD_ID: &str =
    "^[0-9a-f]{8}-[0-9a-f]{4}-[78][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$";

/// What each pattern asks, in words, and whether a text has it.
type Shape = (&'static str, &'static str, fn(&str) -> bool);
const SHAPES: [Shape; 6] = [
    (KEY, "a key: a-z, 0-9 and, between them, -", |text| check_key(text).is_ok()),
    (SCOPE, "the key of a site, or @group", |text| text.parse::<Scope>().is_ok()),
    (ANSWER, "the key of a sign, a colon, and yes, no or unknown", is_answer),
    (TIME, "a time such as 2026-03-02T06:41:07.250+01:00", |text| time::parse(text).is_ok()),
    (HASH, "64 hexadecimal digits", |text| text.parse::<Hash>().is_ok()),
    (RECORD_ID, "a UUID of version 7, or 8 where it was imported", |text| {
        is_uuid(text) && Uuid::try_parse(text).is_ok_and(|id| matches!(id.get_version_num(), 7 | 8))
    }),
];

fn is_answer(text: &str) -> bool {
    text.split_once(':').is_some_and(|(key, word)| {
        check_key(key).is_ok() && matches!(word, "yes" | "no" | "unknown")
    })
}

fn is_uuid(text: &str) -> bool {
    text.len() == 36
        && !text.bytes().any(|b| b.is_ascii_uppercase())
        && Uuid::try_parse(text).is_ok()
}

/// Everything that is wrong with a value; `root` holds what `$ref` refers to.
pub fn faults(root: &Value, schema: &Value, value: &Value) -> Vec<ErrorAt> {
    let mut look = Look { root, faults: Vec::new() };
    look.at(schema, value, "");
    look.faults
}

struct Look<'a> {
    root: &'a Value,
    faults: Vec<ErrorAt>,
}

impl<'a> Look<'a> {
    fn add(&mut self, pointer: &str, code: Code, detail: impl Into<String>) {
        self.faults.push(ErrorAt::new(pointer, code, detail));
    }

    fn at(&mut self, schema: &'a Value, value: &Value, pointer: &str) {
        let Some(keywords) = schema.as_object() else {
            if schema == &Value::Bool(false) {
                self.add(pointer, Code::Value, "nothing may stand here");
            }
            return;
        };
        if let Some(target) = keywords.get("$ref").and_then(Value::as_str)
            && let Some(schema) = target.strip_prefix('#').and_then(|at| self.root.pointer(at))
        {
            self.at(schema, value, pointer);
        }
        if let Some(types) = keywords.get("type") {
            let any = types.as_array().map_or(std::slice::from_ref(types), Vec::as_slice);
            if !any.iter().filter_map(Value::as_str).any(|word| is(word, value)) {
                let words: Vec<&str> =
                    any.iter().filter_map(Value::as_str).map(type_words).collect();
                self.add(pointer, Code::Value, format!("this must be {}", words.join(" or ")));
                return;
            }
        }
        if let Some(only) = keywords.get("const")
            && only != value
        {
            self.add(pointer, Code::Value, format!("this must be {only}"));
        }
        if let Some(words) = keywords.get("enum").and_then(Value::as_array)
            && !words.contains(value)
        {
            let words: Vec<String> = words.iter().map(Value::to_string).collect();
            self.add(pointer, Code::Value, format!("this must be one of {}", words.join(", ")));
        }
        self.choices(keywords, value, pointer);
        match value {
            Value::String(text) => self.text(keywords, text, pointer),
            Value::Number(number) => self.number(keywords, number.as_f64(), pointer),
            Value::Array(items) => self.list(keywords, items, pointer),
            Value::Object(fields) => self.object(keywords, fields, pointer),
            Value::Null | Value::Bool(_) => {}
        }
    }

    fn choices(&mut self, keywords: &'a Map<String, Value>, value: &Value, pointer: &str) {
        if let Some(all) = keywords.get("allOf").and_then(Value::as_array) {
            all.iter().for_each(|schema| self.at(schema, value, pointer));
        }
        for (keyword, most) in [("anyOf", usize::MAX), ("oneOf", 1)] {
            let Some(choices) = keywords.get(keyword).and_then(Value::as_array) else { continue };
            // Where a word says which one is meant, only that one is looked at.
            if let Some((tag, chosen)) = self.tagged(choices, value) {
                match chosen {
                    Some(schema) => self.at(schema, value, pointer),
                    None => self.add(
                        &format!("{pointer}/{tag}"),
                        Code::Value,
                        format!("there is no {tag} of that name"),
                    ),
                }
                continue;
            }
            let fits = choices.iter().filter(|s| faults(self.root, s, value).is_empty()).count();
            if fits == 0 || fits > most {
                match choices.iter().filter(|s| !allows_only_null(s)).collect::<Vec<_>>().as_slice()
                {
                    [only] if fits == 0 => self.at(only, value, pointer),
                    _ => self.add(pointer, Code::Value, "this fits none of what can stand here"),
                }
            }
        }
    }

    /// The property that tells choices apart, and the one that is chosen.
    fn tagged(&self, choices: &'a [Value], value: &Value) -> Option<(&'a str, Option<&'a Value>)> {
        let word = |schema: &'a Value, tag: &str| schema.get("properties")?.get(tag)?.get("const");
        let first = choices.first()?.get("properties")?.as_object()?;
        let tag =
            first.iter().find(|(_, s)| s.get("const").is_some()).map(|(name, _)| name.as_str())?;
        let said = value.get(tag)?;
        choices
            .iter()
            .all(|schema| word(schema, tag).is_some())
            .then(|| (tag, choices.iter().find(|schema| word(schema, tag) == Some(said))))
    }

    fn text(&mut self, keywords: &Map<String, Value>, text: &str, pointer: &str) {
        let length = text.chars().count() as u64;
        if let Some(least) = keywords.get("minLength").and_then(Value::as_u64)
            && length < least
        {
            self.add(pointer, Code::Value, format!("{length} characters; the shortest is {least}"));
        }
        if let Some(most) = keywords.get("maxLength").and_then(Value::as_u64)
            && length > most
        {
            self.add(pointer, Code::Value, format!("{length} characters; the longest is {most}"));
        }
        if let Some(pattern) = keywords.get("pattern").and_then(Value::as_str)
            && let Some((_, words, _)) =
                SHAPES.iter().find(|(known, _, has)| *known == pattern && !has(text))
        {
            self.add(pointer, Code::Value, format!("this must be {words}"));
        }
        if keywords.get("format").is_some_and(|format| format == "uuid") && !is_uuid(text) {
            self.add(pointer, Code::Value, "this must be a UUID in lower case");
        }
    }

    fn number(&mut self, keywords: &Map<String, Value>, number: Option<f64>, pointer: &str) {
        let Some(number) = number else { return };
        let limit = |word: &str| keywords.get(word).and_then(Value::as_f64);
        if let Some(least) = limit("minimum").filter(|least| number < *least) {
            self.add(pointer, Code::Value, format!("this must be {least} or more"));
        }
        if let Some(most) = limit("maximum").filter(|most| number > *most) {
            self.add(pointer, Code::Value, format!("this must be {most} or less"));
        }
    }

    fn list(&mut self, keywords: &'a Map<String, Value>, items: &[Value], pointer: &str) {
        let count = items.len() as u64;
        if let Some(least) = keywords.get("minItems").and_then(Value::as_u64)
            && count < least
        {
            self.add(pointer, Code::Value, format!("{count} in this list; the fewest are {least}"));
        }
        if let Some(most) = keywords.get("maxItems").and_then(Value::as_u64)
            && count > most
        {
            self.add(pointer, Code::Value, format!("{count} in this list; the most are {most}"));
        }
        let first =
            keywords.get("prefixItems").and_then(Value::as_array).map_or(&[][..], Vec::as_slice);
        for (i, item) in items.iter().enumerate() {
            if let Some(schema) = first.get(i).or_else(|| keywords.get("items")) {
                self.at(schema, item, &format!("{pointer}/{i}"));
            }
        }
    }

    fn object(
        &mut self,
        keywords: &'a Map<String, Value>,
        fields: &Map<String, Value>,
        pointer: &str,
    ) {
        let known = keywords.get("properties").and_then(Value::as_object);
        for name in keywords.get("required").and_then(Value::as_array).into_iter().flatten() {
            if let Some(name) = name.as_str()
                && !fields.contains_key(name)
            {
                self.add(pointer, Code::Missing, format!("`{name}` is missing"));
            }
        }
        for (name, value) in fields {
            let below = format!("{pointer}/{}", name.replace('~', "~0").replace('/', "~1"));
            match known.and_then(|known| known.get(name)) {
                Some(schema) => self.at(schema, value, &below),
                None => self.other(keywords, known, name, value, &below),
            }
        }
    }

    fn other(
        &mut self,
        keywords: &'a Map<String, Value>,
        known: Option<&Map<String, Value>>,
        name: &str,
        value: &Value,
        below: &str,
    ) {
        match keywords.get("additionalProperties") {
            Some(Value::Bool(false)) => {
                let near = ouncewise_estate::fault::nearest(
                    name,
                    known.into_iter().flat_map(Map::keys).map(String::as_str),
                );
                let mean =
                    near.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
                self.add(
                    below,
                    Code::UnknownField,
                    format!("there is no field of this name{mean}"),
                );
            }
            Some(schema) => self.at(schema, value, below),
            None => {}
        }
        if let Some(names) = keywords.get("propertyNames") {
            self.at(names, &Value::String(name.to_owned()), below);
        }
    }
}

fn allows_only_null(schema: &Value) -> bool {
    schema.get("type").is_some_and(|word| word == "null")
}

fn is(word: &str, value: &Value) -> bool {
    match word {
        "null" => value.is_null(),
        "boolean" => value.is_boolean(),
        "string" => value.is_string(),
        "number" => value.is_number(),
        "integer" => value.is_i64() || value.is_u64(),
        "array" => value.is_array(),
        "object" => value.is_object(),
        _ => false,
    }
}

fn type_words(word: &str) -> &str {
    match word {
        "null" => "null",
        "boolean" => "true or false",
        "string" => "text",
        "number" => "a number",
        "integer" => "a whole number",
        "array" => "a list",
        _ => "an object",
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn found(schema: &Value, value: &Value) -> Vec<(String, String)> {
        faults(schema, schema, value).into_iter().map(|f| (f.pointer, f.code)).collect()
    }

    #[test]
    fn everything_that_is_wrong_is_told_at_its_place() {
        let schema = json!({
            "type": "object",
            "properties": {
                "n": { "type": "integer", "minimum": 1, "maximum": 9 },
                "key": { "type": "string", "pattern": KEY },
                "list": { "type": "array", "items": { "$ref": "#/$defs/word" }, "maxItems": 2, "minItems": 1 },
                "maybe": { "anyOf": [{ "type": "string", "maxLength": 2 }, { "type": "null" }] },
            },
            "required": ["n"],
            "additionalProperties": false,
            "$defs": { "word": { "enum": ["a", "b"] } },
        });
        let at = |pointer: &str, code: Code| (pointer.to_owned(), code.as_str().to_owned());
        assert_eq!(
            found(&schema, &json!({ "n": 3, "key": "x-1", "list": ["a"], "maybe": null })),
            []
        );
        assert_eq!(found(&schema, &json!([])), [at("", Code::Value)]);
        let wrong =
            json!({ "key": "X", "list": ["a", "c", "b"], "maybe": "abc", "keu": 1, "a/b": 1 });
        let mut told = found(&schema, &wrong);
        told.sort();
        let mut wanted = [
            at("", Code::Missing),
            at("/a~1b", Code::UnknownField),
            at("/key", Code::Value),
            at("/keu", Code::UnknownField),
            at("/list", Code::Value),
            at("/list/1", Code::Value),
            at("/maybe", Code::Value),
        ];
        wanted.sort();
        assert_eq!(told, wanted);
        for (n, code) in
            [(json!(0), 1), (json!(10), 1), (json!(1.5), 1), (json!("1"), 1), (json!(9), 0)]
        {
            assert_eq!(found(&schema, &json!({ "n": n })).len(), code, "{n}");
        }
        let nearly = faults(&schema, &schema, &json!({ "n": 1, "lits": [] }));
        assert!(nearly[0].detail.contains("`list`"), "{nearly:?}");
    }

    #[test]
    fn a_word_that_tells_choices_apart_is_followed() {
        let one = |kind: &str, must: &str| {
            json!({
                "type": "object",
                "properties": { "kind": { "const": kind }, must: { "type": "string" } },
                "required": ["kind", must],
                "additionalProperties": false,
            })
        };
        let schema = json!({ "oneOf": [one("cup", "mark"), one("scale", "step")] });
        assert_eq!(found(&schema, &json!({ "kind": "scale", "step": "1 g" })), []);
        let told = found(&schema, &json!({ "kind": "scale", "mark": "1 g" }));
        assert_eq!(told.len(), 2, "{told:?}");
        assert_eq!(found(&schema, &json!({ "kind": "jug" }))[0].0, "/kind");
        assert_eq!(found(&schema, &json!({})).len(), 1);
        assert_eq!(found(&schema, &json!(3)).len(), 1);
    }

    #[test]
    fn patterns_are_what_the_crates_check() {
        for (pattern, good, bad) in [
            (KEY, "counter-1", "Counter 1"),
            (SCOPE, "@group", "@groups"),
            (ANSWER, "drips-centre:yes", "drips-centre:maybe"),
            (TIME, "2026-03-02T06:41:07.250+01:00", "2026-03-02"),
            (HASH, &"0a".repeat(32), "0a"),
            (
                RECORD_ID,
                "0195540a-c212-7000-8000-000000000007",
                "0195540A-C212-7000-8000-000000000007",
            ),
            (
                RECORD_ID,
                "d06632a8-e21a-8737-a5fa-6142b6d8a690",
                "d06632a8-e21a-4737-a5fa-6142b6d8a690",
            ),
        ] {
            let schema = json!({ "type": "string", "pattern": pattern });
            assert_eq!(found(&schema, &json!(good)), [], "{good}");
            assert_eq!(found(&schema, &json!(bad)).len(), 1, "{bad}");
        }
    }
}
