//! JSON Schemas of the TOML files, for editors, made from the tables of fields.

use serde_json::{Map, Value, json};

use super::read::ESTATE_FIELDS;
use super::{GROUP, MEASURES, PRODUCTS};
use crate::family::Family;
use crate::fields::{Described, Field, Shape};
use crate::measure_kind::MeasureKind;
use crate::product::Product;

/// The files that have a schema.
pub const NAMES: [&str; 4] = [GROUP, "family.toml", PRODUCTS, MEASURES];

/// The schema of a file: one of [`NAMES`].
#[must_use]
pub fn schema(name: &str) -> Option<Value> {
    let (title, mut schema) = match name {
        "estate.toml" => ("The group and its owners", object(ESTATE_FIELDS)),
        "family.toml" => ("A family of machines", object(Family::FIELDS)),
        "products.toml" => ("Products", by_key(Product::FIELDS)),
        "measures.toml" => ("Kinds of measures", by_key(MeasureKind::FIELDS)),
        _ => return None,
    };
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema".into();
    schema["title"] = title.into();
    Some(schema)
}

const KEY: &str = "^[a-z0-9]([a-z0-9-]{0,62}[a-z0-9])?$";

fn object(fields: &[Field]) -> Value {
    let properties: Map<String, Value> =
        fields.iter().map(|f| (f.name.to_owned(), property(f))).collect();
    let required: Vec<&str> = fields.iter().filter(|f| f.must).map(|f| f.name).collect();
    json!({
        "type": "object",
        "additionalProperties": false,
        "properties": properties,
        "required": required,
    })
}

fn by_key(fields: &[Field]) -> Value {
    json!({
        "type": "object",
        "propertyNames": { "pattern": KEY },
        "additionalProperties": object(fields),
    })
}

fn property(field: &Field) -> Value {
    let mut property = match field.shape {
        Shape::Table(fields) => object(fields),
        Shape::Tables(fields) => by_key(fields),
        Shape::Key => json!({ "type": "string", "pattern": KEY }),
        Shape::Flag => json!({ "type": "boolean" }),
        Shape::Number => json!({ "type": "number" }),
        Shape::Choice(words) => json!({ "type": "string", "enum": words }),
        Shape::Words => json!({ "type": "array", "items": { "type": "string" } }),
        Shape::Percent => json!({ "type": "string", "pattern": "%\\s*$" }),
        Shape::Quantity(_) | Shape::Draw => {
            json!({ "type": "string", "pattern": "^\\s*[-+±0-9.,¼½¾⅓⅔⅛].*[A-Za-z)]\\s*$" })
        }
        _ => json!({ "type": "string" }),
    };
    property["description"] = field.says.into();
    if matches!(property["type"].as_str(), Some("string")) {
        property["examples"] = json!([field.example]);
    }
    property
}
