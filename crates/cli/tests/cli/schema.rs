//! Reads a JSON Schema strictly: a keyword that is not known here is a fault of this file, and a
//! property that the schema does not tell of is a fault of the report.

use serde_json::{Map, Value};

/// Asserts that a value is as its schema says.
#[track_caller]
pub fn assert_fits(schema: &Value, value: &Value) {
    let mut faults = Vec::new();
    look(schema, schema, value, "", &mut faults);
    assert!(faults.is_empty(), "{}\n{value:#}", faults.join("\n"));
}

fn look(root: &Value, schema: &Value, value: &Value, at: &str, faults: &mut Vec<String>) {
    if schema == &Value::Bool(true) {
        return;
    }
    let empty = Map::new();
    let keywords = schema.as_object().expect("a schema is an object or true");
    let declared = keywords.get("properties").map_or(&empty, |p| p.as_object().unwrap());
    for (keyword, says) in keywords {
        match keyword.as_str() {
            "$schema" | "title" | "description" | "$defs" | "format" | "properties" | "default" => {
            }
            "$ref" => {
                let place = says.as_str().unwrap().strip_prefix('#').expect("refers to itself");
                look(root, root.pointer(place).expect("it is there"), value, at, faults);
            }
            "type" => {
                let any = says.as_array().map_or(std::slice::from_ref(says), Vec::as_slice);
                if !any.iter().any(|word| is(word.as_str().unwrap(), value)) {
                    faults.push(format!("{at}: {value} is not of type {says}"));
                }
            }
            "minimum" => {
                if value.as_f64().is_some_and(|v| v < says.as_f64().unwrap()) {
                    faults.push(format!("{at}: {value} is under {says}"));
                }
            }
            "maximum" => {
                if value.as_f64().is_some_and(|v| v > says.as_f64().unwrap()) {
                    faults.push(format!("{at}: {value} is over {says}"));
                }
            }
            "minItems" | "maxItems" => {
                let (n, limit) = (value.as_array().map(Vec::len), says.as_u64().unwrap() as usize);
                if n.is_some_and(|n| if keyword == "minItems" { n < limit } else { n > limit }) {
                    faults.push(format!("{at}: {keyword} {limit}"));
                }
            }
            "required" => {
                for name in says.as_array().unwrap() {
                    let name = name.as_str().unwrap();
                    if value.as_object().is_some_and(|v| !v.contains_key(name)) {
                        faults.push(format!("{at}: {name} is missing"));
                    }
                }
            }
            "items" => {
                for (i, item) in value.as_array().into_iter().flatten().enumerate() {
                    look(root, says, item, &format!("{at}/{i}"), faults);
                }
            }
            "prefixItems" => {
                let places = says.as_array().unwrap();
                for (i, (says, item)) in
                    places.iter().zip(value.as_array().into_iter().flatten()).enumerate()
                {
                    look(root, says, item, &format!("{at}/{i}"), faults);
                }
            }
            "anyOf" => {
                let fits = says.as_array().unwrap().iter().any(|choice| {
                    let mut found = Vec::new();
                    look(root, choice, value, at, &mut found);
                    found.is_empty()
                });
                if !fits {
                    faults.push(format!("{at}: {value} fits none of {says}"));
                }
            }
            "additionalProperties" => {
                for (name, item) in value.as_object().into_iter().flatten() {
                    if !declared.contains_key(name) {
                        look(root, says, item, &format!("{at}/{name}"), faults);
                    }
                }
            }
            other => panic!("{at}: this file does not know the keyword {other}"),
        }
    }
    for (name, item) in value.as_object().into_iter().flatten() {
        match declared.get(name) {
            Some(says) => look(root, says, item, &format!("{at}/{name}"), faults),
            None if keywords.contains_key("properties")
                && !keywords.contains_key("additionalProperties") =>
            {
                faults.push(format!("{at}: the schema does not tell of {name}"));
            }
            None => {}
        }
    }
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
        other => panic!("no JSON type is called {other}"),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn it_finds_what_does_not_fit() {
        let schema = json!({
            "type": "object",
            "properties": { "n": { "type": "integer", "minimum": 0 }, "more": { "$ref": "#/$defs/more" } },
            "required": ["n"],
            "$defs": { "more": { "anyOf": [{ "type": "array", "items": { "type": "string" } }, { "type": "null" }] } },
        });
        let faults = |value: Value| {
            let mut faults = Vec::new();
            look(&schema, &schema, &value, "", &mut faults);
            faults.len()
        };
        assert_eq!(faults(json!({ "n": 1, "more": ["a"] })), 0);
        assert_eq!(faults(json!({ "n": 1, "more": null })), 0);
        for bad in [
            json!([]),
            json!({}),
            json!({ "n": -1 }),
            json!({ "n": 1.5 }),
            json!({ "n": 1, "other": 2 }),
            json!({ "n": 1, "more": [1] }),
        ] {
            assert!(faults(bad.clone()) > 0, "{bad}");
        }
    }
}
