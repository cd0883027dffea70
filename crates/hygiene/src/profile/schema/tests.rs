//! The schema asks what the reader asks: the same keys, the same words, and every profile that ships fits it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use toml::{Table, Value as Toml};

use super::*;
use crate::profile::Profile;

/// What is wrong with a value by the part of JSON Schema that [`schema`] uses. A keyword that is not known here is a fault too,
/// so that none is passed over in silence.
fn faults(schema: &Value, value: &Value, at: &str, found: &mut Vec<String>) {
    let mut fault = |what: String| found.push(format!("{at}: {what}"));
    for (keyword, rule) in schema.as_object().unwrap() {
        let good = match keyword.as_str() {
            "$schema" | "title" | "description" | "items" | "properties" => true,
            "type" => match rule.as_str().unwrap() {
                "object" => value.is_object(),
                "array" => value.is_array(),
                "string" => value.is_string(),
                "boolean" => value.is_boolean(),
                "number" => value.is_number(),
                "integer" => value.as_f64().is_some_and(|number| number.fract() == 0.0),
                other => panic!("type {other}"),
            },
            "enum" => rule.as_array().unwrap().contains(value),
            "const" => value == rule,
            "minItems" => value.as_array().is_none_or(|items| !items.is_empty()),
            "minimum" => value.as_f64().is_none_or(|number| number >= rule.as_f64().unwrap()),
            "maximum" => value.as_f64().is_none_or(|number| number <= rule.as_f64().unwrap()),
            "exclusiveMinimum" => {
                value.as_f64().is_none_or(|number| number > rule.as_f64().unwrap())
            }
            "pattern" => value.as_str().is_none_or(|text| match rule.as_str().unwrap() {
                "\\S" => !text.trim().is_empty(),
                "^\\s*[a-z0-9-]+\\s*$" => {
                    let id = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
                    !text.trim().is_empty() && text.trim().chars().all(id)
                }
                other => panic!("pattern {other}"),
            }),
            "required" => {
                let names = rule.as_array().unwrap();
                names.iter().all(|name| value.get(name.as_str().unwrap()).is_some())
            }
            "additionalProperties" => {
                assert_eq!(rule, &Value::Bool(false));
                value.as_object().is_none_or(|object| {
                    object.keys().all(|key| schema["properties"].get(key).is_some())
                })
            }
            "oneOf" => {
                let fits = rule.as_array().unwrap().iter().filter(|one| {
                    let mut wrong = Vec::new();
                    faults(one, value, at, &mut wrong);
                    wrong.is_empty()
                });
                fits.count() == 1
            }
            other => panic!("keyword {other}"),
        };
        if !good {
            fault(format!("{keyword} {rule} does not hold of {value}"));
        }
    }
    if let (Some(items), Some(list)) = (schema.get("items"), value.as_array()) {
        for (place, one) in list.iter().enumerate() {
            faults(items, one, &format!("{at}[{}]", place + 1), found);
        }
    }
    if let (Some(properties), Some(object)) = (schema.get("properties"), value.as_object()) {
        for (key, one) in object {
            if let Some(schema) = properties.get(key) {
                faults(schema, one, &format!("{at}.{key}"), found);
            }
        }
    }
}

fn fits(text: &str) -> Result<(), Vec<String>> {
    let table: Table = text.parse().unwrap();
    let mut found = Vec::new();
    faults(&schema(), &serde_json::to_value(&table).unwrap(), "", &mut found);
    if found.is_empty() { Ok(()) } else { Err(found) }
}

#[test]
fn every_profile_that_ships_fits() {
    for (id, text) in Profile::all_shipped() {
        assert_eq!(fits(text), Ok(()), "{id}");
    }
}

/// The tables of the schema by their path, each with its keys.
fn tables(schema: &Value, path: &[&str], found: &mut BTreeMap<Vec<String>, BTreeSet<String>>) {
    let properties = schema["properties"].as_object().unwrap();
    found.insert(
        path.iter().map(|&part| part.to_owned()).collect(),
        properties.keys().cloned().collect(),
    );
    for (key, inner) in properties {
        let inner = inner.get("items").unwrap_or(inner);
        if inner["type"] == "object" {
            tables(inner, &[path, &[key.as_str()]].concat(), found);
        }
    }
}

/// A file with one key that nobody knows, at this path.
fn stray(schema: &Value, path: &[String]) -> Table {
    let Some((first, rest)) = path.split_first() else {
        return Table::from_iter([("zzzz".to_owned(), Toml::Boolean(true))]);
    };
    let inner = &schema["properties"][first];
    let list = inner.get("items");
    let table = Toml::Table(stray(list.unwrap_or(inner), rest));
    let value = if list.is_some() { Toml::Array(vec![table]) } else { table };
    Table::from_iter([(first.clone(), value)])
}

/// The reader names the other keys of a table when it meets one that it does not know: they are those of the schema.
#[test]
fn reader_and_schema_know_the_same_keys() {
    let schema = schema();
    let mut known = BTreeMap::new();
    tables(&schema, &[], &mut known);
    assert_eq!(known.len(), 21, "{:?}", known.keys());
    for (path, keys) in known {
        let text = stray(&schema, &path).to_string();
        let faults = Profile::read(&text).unwrap_err();
        let fault = faults.iter().find(|fault| fault.key.ends_with("zzzz")).unwrap();
        let (_, others) = fault.mend.split_once("the other keys here are ").unwrap();
        let read: BTreeSet<String> = others.split(", ").map(str::to_owned).collect();
        assert_eq!(read, keys, "{path:?}");
    }
}

/// What the reader asks to be there, the schema asks too: a table with nothing in it lacks the same keys.
#[test]
fn reader_and_schema_ask_for_the_same_keys_and_words() {
    let schema = schema();
    let mut known = BTreeMap::new();
    tables(&schema, &[], &mut known);
    for path in known.keys() {
        let faults = Profile::read(&stray(&schema, path).to_string()).unwrap_err();
        let mut at = String::new();
        let mut own = &schema;
        for part in path {
            own = &own["properties"][part];
            at.push_str(part);
            if let Some(items) = own.get("items") {
                own = items;
                at.push_str("[1]");
            }
            at.push('.');
        }
        let missing: BTreeSet<&str> = faults
            .iter()
            .filter(|fault| fault.what == "it is missing")
            .filter_map(|fault| fault.key.strip_prefix(&at))
            .filter(|key| !key.contains('.'))
            .collect();
        let mut asked: BTreeSet<&str> =
            own["required"].as_array().unwrap().iter().map(|name| name.as_str().unwrap()).collect();
        if let Some(either) = own.get("oneOf") {
            asked.insert(either[0]["required"][0].as_str().unwrap());
        }
        if path.as_slice() == ["allergens"] {
            // An empty list and a list that is not there are one fault to the reader.
            assert!(faults.iter().any(|fault| fault.key == "allergens.names"));
            asked.remove("names");
        }
        assert_eq!(missing, asked, "{path:?}");
        for (key, property) in own["properties"].as_object().unwrap() {
            let Some(words) = property.get("enum") else { continue };
            let Some(fault) = faults.iter().find(|fault| fault.key == format!("{at}{key}")) else {
                continue;
            };
            let words: Vec<String> = words
                .as_array()
                .unwrap()
                .iter()
                .map(|word| format!("`{}`", word.as_str().unwrap()))
                .collect();
            assert_eq!(fault.mend, format!("write one of {}", words.join(", ")), "{path:?}");
        }
    }
}

/// What one refuses by itself, the other refuses too.
#[test]
fn what_the_reader_refuses_the_schema_refuses() {
    let (_, model) = Profile::all_shipped()[0];
    for (right, wrong) in [
        ("from = 25\n", ""),
        ("from = 25\n", "from = 25\nas_label = true\n"),
        ("from = 25\n", "from = 0\n"),
        ("from = 25\n", "from = \"25\"\n"),
        ("from = 25\n", "from = 25\nspeed = 1\n"),
        ("from = 25\n", "from = 25\nswab_times = 0.5\n"),
        ("as_label = true\n", "as_label = false\n"),
        ("ph_to = 5.0\n", "ph_to = 15\n"),
        ("id = \"model-code\"", "id = \"Model code\""),
        ("id = \"model-code\"", "id = \" \""),
        ("rule = \"drain-no-rinse\"", "rule = \"rub\""),
        ("status = \"READ\"", "status = \"SURE\""),
        ("days = 7\n", "days = 7.5\n"),
        ("every_hours = 4\n", "every_hours = 4\nas_maker = true\n"),
        ("seconds = 10\n", ""),
        ("kind = \"machine\"\n", "kind = \"weather\"\n"),
        ("[purge]", "[spurge]"),
        ("names = [\"milk\"", "names = [\" \""),
    ] {
        assert!(model.contains(right), "{right}");
        let text = model.replacen(right, wrong, 1);
        assert!(Profile::read(&text).is_err(), "the reader takes {wrong:?} for {right:?}");
        assert!(fits(&text).is_err(), "the schema takes {wrong:?} for {right:?}");
    }
}

fn same(name: &str, wanted: &str) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..").join(name);
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, wanted).unwrap();
    }
    let found = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        found == wanted,
        "{name} is not what the code says; set UPDATE_DOCS=1 to write it anew"
    );
}

#[test]
fn the_schema_that_ships_is_this_one() {
    same(
        "content/schemas/profile.json",
        &(serde_json::to_string_pretty(&schema()).unwrap() + "\n"),
    );
}

#[test]
fn the_document_lists_every_key() {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../docs/strength.md");
    let mut document = std::fs::read_to_string(path).unwrap();
    let start = "<!-- keys -->\n";
    let from = document.find(start).unwrap() + start.len();
    let to = from + document[from..].find("<!-- end -->").unwrap();
    document.replace_range(from..to, &format!("\n{}\n", keys_in_markdown()));
    same("docs/strength.md", &document);
}
