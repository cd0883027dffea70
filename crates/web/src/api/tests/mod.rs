//! Every operation and every sort of problem, asked as a program would; each answer is held against the description.

mod description;
mod estate;
mod problems;
mod procedures;
mod reading;
mod records;
mod sheets;
mod walk;

use axum::Router;
use axum::body::Body;
use axum::http::{HeaderMap, Method, Request, StatusCode, header};
use serde_json::{Value, json};
use tower::ServiceExt;

use super::fits;
use super::openapi::document;
use super::problem::{CODES, MEDIA_TYPE, ROOT};
use crate::App;
use crate::testing;

/// What was answered.
#[derive(Debug)]
pub struct Told {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub json: Value,
}

impl Told {
    fn header(&self, name: &header::HeaderName) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().unwrap())
    }

    /// The code and the status of a problem.
    fn code(&self) -> (u16, &str) {
        (self.status.as_u16(), self.json["code"].as_str().unwrap_or_default())
    }

    /// Pointers and codes of a problem's errors.
    fn errors(&self) -> Vec<(&str, &str)> {
        let all = self.json["errors"].as_array().map_or(&[][..], Vec::as_slice);
        all.iter().map(|e| (e["pointer"].as_str().unwrap(), e["code"].as_str().unwrap())).collect()
    }
}

/// One request, whose answer must be as the description says.
pub async fn ask(
    app: &App,
    method: Method,
    path: &str,
    headers: &[(header::HeaderName, &str)],
    body: impl Into<Body>,
) -> Told {
    ask_of(&crate::router(app.clone()), method, path, headers, body).await
}

/// The same, where many requests are made: a router takes a while to make.
pub async fn ask_of(
    router: &Router,
    method: Method,
    path: &str,
    headers: &[(header::HeaderName, &str)],
    body: impl Into<Body>,
) -> Told {
    let request = Request::builder().method(method.clone()).uri(format!("{ROOT}{path}"));
    let request = request.header(header::HOST, "localhost");
    let request =
        headers.iter().fold(request, |request, (name, value)| request.header(name, *value));
    let response = router.clone().oneshot(request.body(body.into()).unwrap()).await.unwrap();
    let (status, headers) = (response.status(), response.headers().clone());
    let text = testing::text(response).await;
    let json = if text.is_empty() {
        Value::Null
    } else {
        serde_json::from_str(&text).unwrap_or_else(|e| panic!("{path}: {e}: {text}"))
    };
    let told = Told { status, headers, json };
    if method != Method::HEAD {
        as_described(&method, path, &told);
    }
    told
}

fn as_described(method: &Method, path: &str, told: &Told) {
    let kind = told.header(&header::CONTENT_TYPE);
    if told.status.is_client_error() || told.status.is_server_error() {
        assert_eq!(kind, MEDIA_TYPE, "{method} {path}: {told:?}");
        let schema = json!({ "$ref": "#/components/schemas/Problem" });
        assert_eq!(fits::faults(document(), &schema, &told.json), [], "{method} {path}");
        let (status, code) = told.code();
        assert!(CODES.iter().any(|(known, _)| *known == code), "{code}");
        assert_eq!(told.json["status"], status);
        assert_eq!(told.json["type"], format!("/docs/problems#{code}"));
        let asked = path.split('?').next().unwrap();
        assert_eq!(told.json["instance"], format!("{ROOT}{asked}"));
    }
    let Some(operation) = operation(method, path) else { return };
    if told.status == StatusCode::METHOD_NOT_ALLOWED {
        return;
    }
    let answer = &operation["responses"][told.status.as_str()];
    assert!(
        answer.is_object(),
        "{method} {path}: the description does not tell of {}",
        told.status
    );
    match answer["content"].as_object() {
        None => assert_eq!(told.json, Value::Null, "{method} {path}"),
        Some(content) => {
            let schema =
                &content.get(kind).unwrap_or_else(|| panic!("{method} {path}: {kind}"))["schema"];
            assert_eq!(
                fits::faults(document(), schema, &told.json),
                [],
                "{method} {path}: {}",
                told.json
            );
        }
    }
}

/// The operation that the description has for an address.
fn operation(method: &Method, path: &str) -> Option<&'static Value> {
    let asked: Vec<&str> = path.split('?').next()?.split('/').collect();
    let paths = document()["paths"].as_object()?;
    let fits = |template: &str| {
        let parts: Vec<&str> = template.split('/').collect();
        parts.len() == asked.len()
            && parts.iter().zip(&asked).all(|(part, said)| part.starts_with('{') || part == said)
    };
    let (_, operations) = paths.iter().find(|(template, _)| fits(template))?;
    operations.get(method.as_str().to_lowercase())
}

pub async fn get(app: &App, path: &str) -> Told {
    ask(app, Method::GET, path, &[], "").await
}

/// Posts JSON.
pub async fn post(app: &App, path: &str, body: &Value) -> Told {
    let kind = [(header::CONTENT_TYPE, "application/json")];
    ask(app, Method::POST, path, &kind, body.to_string()).await
}

/// A draft of a catch as found, at a site.
pub fn draft(site: &str, id: uuid::Uuid, sequence: u64) -> Value {
    json!({ "record": {
        "v": 1,
        "id": id,
        "scope": site,
        "subject": { "machine": "counter-1", "line": "1" },
        "at": "2026-03-02T06:41:07.250+01:00",
        "device": "tablet-2",
        "sequence": sequence,
        "entered": "at-machine",
        "body": { "kind": "catch-taken", "state": "as-found", "amount": "29.6 mL", "draw": "7.1 s", "measure": "cylinder" },
    } })
}
