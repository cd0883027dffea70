//! The schema asks what the reader asks: the lists that ship fit both, and what the reader refuses by itself the schema refuses.

use std::path::PathBuf;

use super::super::Catalogue;
use super::super::catalogue::SHIPPED;
use super::*;

/// What is wrong with a value by the part of JSON Schema that [`schema`] uses; a keyword that is not known here is a fault of
/// this file.
fn faults(schema: &Value, value: &Value, at: &str, found: &mut Vec<String>) {
    let number = |rule: &Value| rule.as_f64().unwrap();
    for (keyword, rule) in schema.as_object().unwrap() {
        let good = match keyword.as_str() {
            "$schema" | "title" | "description" | "items" | "properties" => true,
            "type" => match rule.as_str().unwrap() {
                "object" => value.is_object(),
                "array" => value.is_array(),
                "string" => value.is_string(),
                "boolean" => value.is_boolean(),
                "number" => value.is_number(),
                other => panic!("type {other}"),
            },
            "maximum" => value.as_f64().is_none_or(|v| v <= number(rule)),
            "exclusiveMinimum" => value.as_f64().is_none_or(|v| v > number(rule)),
            "exclusiveMaximum" => value.as_f64().is_none_or(|v| v < number(rule)),
            "minItems" => value.as_array().is_none_or(|v| v.len() as u64 >= rule.as_u64().unwrap()),
            "minProperties" => {
                value.as_object().is_none_or(|v| v.len() as u64 >= rule.as_u64().unwrap())
            }
            "maxProperties" => {
                value.as_object().is_none_or(|v| v.len() as u64 <= rule.as_u64().unwrap())
            }
            "required" => {
                let mut names = rule.as_array().unwrap().iter();
                names.all(|name| value.get(name.as_str().unwrap()).is_some())
            }
            "additionalProperties" if rule == &Value::Bool(false) => value
                .as_object()
                .is_none_or(|v| v.keys().all(|key| schema["properties"].get(key).is_some())),
            "additionalProperties" => {
                for (key, one) in value.as_object().into_iter().flatten() {
                    faults(rule, one, &format!("{at}.{key}"), found);
                }
                true
            }
            other => panic!("keyword {other}"),
        };
        if !good {
            found.push(format!("{at}: {keyword} {rule} does not hold of {value}"));
        }
    }
    for one in value.as_array().into_iter().flatten() {
        faults(&schema["items"], one, at, found);
    }
    if let (Some(properties), Some(object)) = (schema.get("properties"), value.as_object()) {
        for (key, one) in object {
            if let Some(schema) = properties.get(key) {
                faults(schema, one, &format!("{at}.{key}"), found);
            }
        }
    }
}

fn wrong(text: &str) -> Vec<String> {
    let value: toml::Table = toml::from_str(text).unwrap();
    let mut found = Vec::new();
    faults(&schema(), &serde_json::to_value(value).unwrap(), "", &mut found);
    found
}

#[test]
fn every_list_that_ships_fits() {
    for (id, text) in SHIPPED {
        assert_eq!(wrong(text), Vec::<String>::new(), "{id}");
    }
}

const SMALL: &str = "name = \"Ours\"\nfamilies = [\"ours\"]\nbasis = \"ours\"\n\n[access.lid]\nname = \"lid\"\nminutes = 2\n\n\
[causes.a]\nname = \"a\"\nprior = 0.2\nparts = [\"seal\"]\n\n[signs.s]\nask = \"S?\"\nminutes = 1\nleak = 0.1\nby = { a = 1.0 }\n\n\
[acts.m]\ndoes = \"M.\"\nminutes = 3\nmends = [\"a\"]\naccess = \"lid\"\ntechnician = true\n";

#[test]
fn what_the_reader_refuses_the_schema_refuses() {
    assert!(Catalogue::read(SMALL).is_ok());
    assert_eq!(wrong(SMALL), Vec::<String>::new());
    let mut changes: Vec<(String, String)> = [
        ("prior = 0.2", "prior = 0.0"),
        ("prior = 0.2", "prior = 1.0"),
        ("leak = 0.1", "leak = 1.0"),
        ("a = 1.0", "a = 1.1"),
        ("a = 1.0", "a = 0.0"),
        ("minutes = 3", "minutes = 0"),
        ("minutes = 3", "minutes = 1441"),
        ("minutes = 2", "minutes = \"2\""),
        ("mends = [\"a\"]", "mends = []"),
        ("parts = [\"seal\"]", "parts = \"seal\""),
        ("technician = true", "technician = \"yes\""),
    ]
    .map(|(right, wrong)| (right.to_owned(), wrong.to_owned()))
    .into();
    // Each key that must be there, left out; and in each table one that nobody knows.
    for line in SMALL.lines().filter(|line| line.contains(" = ")) {
        let key = line.split(' ').next().unwrap();
        changes.push((line.to_owned(), format!("{line}\nspeed = 1")));
        if !["parts", "access", "technician"].contains(&key) {
            changes.push((format!("{line}\n"), String::new()));
        }
    }
    for (right, other) in changes {
        let text = SMALL.replacen(&right, &other, 1);
        assert_ne!(text, SMALL, "{right}");
        assert!(Catalogue::read(&text).is_err(), "the reader takes {other:?} for {right:?}");
        assert!(!wrong(&text).is_empty(), "the schema takes {other:?} for {right:?}");
    }
    let many: String =
        (0..=MOST_CAUSES).map(|n| format!("[causes.x{n}]\nname = \"x\"\nprior = 0.1\n")).collect();
    assert!(wrong(&format!("{SMALL}{many}")).iter().any(|what| what.contains("maxProperties")));
}

#[test]
fn the_schema_that_ships_is_this_one() {
    let wanted = serde_json::to_string_pretty(&schema()).unwrap() + "\n";
    let name = "content/schemas/fault.json";
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..").join(name);
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, &wanted).unwrap();
    }
    let found = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        found == wanted,
        "{name} is not what the code says; set UPDATE_DOCS=1 to write it anew"
    );
}
