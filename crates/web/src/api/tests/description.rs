//! The description is sound, says what is served, and is the one that was last looked at.

use std::collections::BTreeSet;
use std::path::PathBuf;

use axum::http::{Method, StatusCode, header};
use serde_json::{Map, Value};

use super::super::openapi::{self, Schemas};
use super::super::table::table;
use super::{ask, document, fits, get};
use crate::testing;

fn each<'a>(value: &'a Value, look: &mut dyn FnMut(&'a Map<String, Value>)) {
    match value {
        Value::Object(object) => {
            look(object);
            object.values().for_each(|value| each(value, look));
        }
        Value::Array(list) => list.iter().for_each(|value| each(value, look)),
        _ => {}
    }
}

#[test]
fn every_reference_leads_somewhere_and_every_schema_is_used() {
    let mut used = BTreeSet::new();
    each(document(), &mut |object| {
        assert!(!object.contains_key("$defs"), "{object:?}");
        if let Some(Value::String(to)) = object.get("$ref") {
            let place = to.strip_prefix('#').unwrap();
            assert!(document().pointer(place).is_some(), "{to}");
            used.insert(place.rsplit('/').next().unwrap().to_owned());
        }
    });
    let schemas: BTreeSet<String> =
        document()["components"]["schemas"].as_object().unwrap().keys().cloned().collect();
    assert_eq!(schemas, used);
    assert_eq!(document()["openapi"], "3.1.0");
    assert_eq!(&openapi::openapi(), document());
}

#[test]
fn one_name_is_one_schema() {
    // What is taken and what is answered are made apart; where they share a name they must be the same.
    let mut both = Schemas::new();
    let _ = table(&mut both);
    let (taken, told) = both.apart();
    for (name, schema) in &taken {
        if let Some(other) = told.get(name) {
            assert_eq!(schema, other, "{name}");
        }
    }
}

#[test]
fn operations_have_names_words_and_examples_that_fit() {
    let mut ids = BTreeSet::new();
    for (path, operations) in document()["paths"].as_object().unwrap() {
        for (method, operation) in operations.as_object().unwrap() {
            let id = operation["operationId"].as_str().unwrap();
            assert!(ids.insert(id), "{id} is there twice");
            for words in ["summary", "description"] {
                assert!(!operation[words].as_str().unwrap().is_empty(), "{method} {path}: {words}");
            }
            let places = operation["parameters"].as_array().map_or(&[][..], Vec::as_slice);
            let named: Vec<String> = places
                .iter()
                .filter(|p| p["in"] == "path")
                .map(|p| format!("{{{}}}", p["name"].as_str().unwrap()))
                .collect();
            assert_eq!(path.matches('{').count(), named.len(), "{path}");
            assert!(named.iter().all(|name| path.contains(name)), "{path}: {named:?}");
            for parameter in places {
                assert!(parameter["description"].is_string(), "{path}: {parameter}");
                if let Some(example) = parameter.get("example") {
                    assert_eq!(
                        fits::faults(document(), &parameter["schema"], example),
                        [],
                        "{path}: {parameter}"
                    );
                }
            }
            let body = &operation["requestBody"]["content"]["application/json"];
            if let Some(example) = body.get("example") {
                assert_eq!(fits::faults(document(), &body["schema"], example), [], "{path}");
            }
        }
    }
    assert_eq!(ids.len(), 33);
}

#[tokio::test]
async fn every_operation_is_served_and_examples_are_taken() {
    let here = testing::demo().await;
    for (template, operations) in document()["paths"].as_object().unwrap() {
        for (method, operation) in operations.as_object().unwrap() {
            let mut path = template.clone();
            let mut query = Vec::new();
            let mut headers = Vec::new();
            for parameter in operation["parameters"].as_array().into_iter().flatten() {
                let name = parameter["name"].as_str().unwrap();
                let Some(example) = parameter.get("example") else { continue };
                let text = example.as_str().map_or_else(|| example.to_string(), ToOwned::to_owned);
                let text = text.replace(' ', "%20");
                match parameter["in"].as_str().unwrap() {
                    "path" => path = path.replace(&format!("{{{name}}}"), &text),
                    "query" => match example.as_array() {
                        Some(items) => query.extend(
                            items.iter().map(|item| format!("{name}={}", item.as_str().unwrap())),
                        ),
                        None => query.push(format!("{name}={text}")),
                    },
                    _ => headers.push((
                        name.parse::<header::HeaderName>().unwrap(),
                        example.as_str().unwrap(),
                    )),
                }
            }
            let path = if query.is_empty() { path } else { format!("{path}?{}", query.join("&")) };
            let body = &operation["requestBody"]["content"]["application/json"]["example"];
            let body = if body.is_null() { String::new() } else { body.to_string() };
            if operation.get("requestBody").is_some() {
                headers.push((header::CONTENT_TYPE, "application/json"));
            }
            let method: Method = method.to_uppercase().parse().unwrap();
            let told = ask(&here.app, method.clone(), &path, &headers, body.clone()).await;
            let status = told.status;
            // Nothing of these examples is in the store of this test; but every one is understood.
            let missing =
                ["/ledgers/{scope}/records/{id}", "/loads/{id}/undo", "/families/{family}/learn"]
                    .contains(&template.as_str());
            let needs_body =
                ["/estate", "/sheets/look", "/sheets/load", "/procedures/{family}/{name}"]
                    .contains(&template.as_str())
                    && method != Method::GET;
            let wanted = if missing {
                status == StatusCode::NOT_FOUND
            } else if needs_body {
                status.is_client_error()
                    && status != StatusCode::NOT_FOUND
                    && status != StatusCode::METHOD_NOT_ALLOWED
            } else {
                status.is_success()
            };
            assert!(wanted, "{method} {path}: {status} {}", told.json);
        }
    }
}

#[tokio::test]
async fn it_is_served_as_it_was_last_looked_at() {
    let here = testing::empty().await;
    let served = get(&here.app, "/openapi.json").await.json;
    assert_eq!(&served, document());
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../checks/api/openapi.json");
    let text = serde_json::to_string_pretty(document()).unwrap() + "\n";
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, &text).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        kept == text,
        "checks/api/openapi.json is not what the code says; set UPDATE_DOCS=1 to write it anew"
    );
}
