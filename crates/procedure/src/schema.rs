//! The JSON Schemas of a procedure's text and of a family's, for editors.

use serde_json::{Map, Value, json};

use crate::field::{FAMILY, Field, PROCEDURE, Shape};

/// The schema of a procedure's text.
#[must_use]
pub fn procedure() -> Value {
    whole(PROCEDURE, "A procedure of Ouncewise")
}

/// The schema of a family's text, as its procedures see it.
#[must_use]
pub fn family() -> Value {
    whole(FAMILY, "A family of Ouncewise, as its procedures see it")
}

fn whole(fields: &[Field], title: &str) -> Value {
    let mut schema = object(fields);
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema".into();
    schema["title"] = title.into();
    schema
}

fn object(fields: &[Field]) -> Value {
    let one = |field: &Field| {
        let mut value = of(&field.shape);
        if let Value::Object(map) = &mut value {
            map.insert("description".into(), field.says.into());
        }
        (field.name.to_owned(), value)
    };
    let properties: Map<String, Value> = fields.iter().map(one).collect();
    let must: Vec<&str> = fields.iter().filter(|f| f.must).map(|f| f.name).collect();
    json!({
        "type": "object",
        "additionalProperties": false,
        "properties": properties,
        "required": must,
    })
}

fn of(shape: &Shape) -> Value {
    match shape {
        Shape::Text => json!({ "type": "string" }),
        Shape::Words => json!({
            "type": "object",
            "additionalProperties": { "type": "string" },
            "propertyNames": { "pattern": "^[a-z-]{2,8}$" },
        }),
        Shape::List => json!({ "type": "array", "items": { "type": "string" } }),
        Shape::Flag => json!({ "type": "boolean" }),
        Shape::Number => json!({ "type": "integer", "minimum": 1 }),
        Shape::Choice(words) => json!({ "type": "string", "enum": words }),
        Shape::Texts => {
            json!({ "type": "object", "additionalProperties": { "type": "string" } })
        }
        Shape::Table(fields) => object(fields),
        Shape::Tables(fields) => json!({ "type": "array", "items": object(fields) }),
        Shape::Named(fields) => {
            json!({ "type": "object", "additionalProperties": object(fields) })
        }
    }
}
