//! Every sort of problem.

use axum::body::Body;
use axum::http::{Method, Request, StatusCode, header};
use axum::response::IntoResponse;
use ouncewise_report::{Exit, Failure};
use ouncewise_store::StoreError;
use serde_json::json;
use tower::ServiceExt;

use super::super::problem::{Code, Problem, in_problems};
use super::{ROOT, ask, get, post};
use crate::testing;

#[tokio::test]
async fn nothing_is_at_other_addresses() {
    let here = testing::empty().await;
    for path in [
        "",
        "/nothing",
        "/sites/",
        "/week/",
        "/lines",
        "/lines/a/b",
        "/lines/a/b/c/d",
        "/%ff",
        "/records",
    ] {
        let told = get(&here.app, path).await;
        let wanted = if path == "/records" { (405, "method") } else { (404, "no-address") };
        assert_eq!(told.code(), wanted, "{path}");
    }
    let beside = testing::get(&here.app, "/api/v11/week").await;
    assert_eq!((beside.0, beside.1.starts_with("<!DOCTYPE html>")), (StatusCode::NOT_FOUND, true));
}

#[tokio::test]
async fn another_method_is_told_which_there_are() {
    let here = testing::empty().await;
    for (method, path, allow) in [
        (Method::POST, "/week", "GET,HEAD"),
        (Method::DELETE, "/estate", "GET,HEAD,PUT"),
        (Method::GET, "/calculate/catch", "POST"),
        (Method::OPTIONS, "/records", "POST"),
        (Method::PATCH, "/ledgers/x/records/y", "GET,HEAD"),
    ] {
        let told = ask(&here.app, method, path, &[], "").await;
        assert_eq!(told.code(), (405, "method"), "{path}");
        assert_eq!(told.header(&header::ALLOW), allow, "{path}");
    }
}

#[tokio::test]
async fn parameters_are_known_or_refused() {
    let here = testing::demo().await;
    for path in [
        "/week?to=3",
        "/week?top=0",
        "/week?top=201",
        "/week?top=ten",
        "/week?top=",
        "/week?top=-1",
        "/week?top=1.5",
        "/week?top=1&top=2",
        "/week?site=",
        "/week?site=Fern",
        "/sites?limit=0",
        "/sites?limit=99999999999999999999",
        "/verify?x",
        "/sites/mossgate?x=1",
        "/openapi.json?x=1",
        "/lines/mossgate/counter-1/1?last=201",
        "/estate?dry_run=true",
        "/%ff?x=1",
    ] {
        let told = get(&here.app, path).await;
        let code = if path.starts_with("/%ff") { (404, "no-address") } else { (400, "usage") };
        assert_eq!(told.code(), code, "{path}");
    }
    let told = get(&here.app, "/week?tpo=3").await;
    assert_eq!(told.json["hint"], "did you mean `top`?");
    assert_eq!(get(&here.app, "/verify?x").await.json["hint"], "this address takes none");
    assert_eq!(get(&here.app, "/sites/%ff").await.code(), (400, "usage"));
}

#[tokio::test]
async fn a_body_is_of_its_media_type_and_length() {
    let here = testing::empty().await;
    let send = |path: &'static str, kind: &'static str, body: String| {
        let app = here.app.clone();
        async move { ask(&app, Method::POST, path, &[(header::CONTENT_TYPE, kind)], body).await }
    };
    let good = json!({ "setup": { "target": "30 mL in 7 s", "cup": "1 mL ± 0.5 mL" } }).to_string();
    let at = "/calculate/measure";
    assert_eq!(
        send(at, "application/json; charset=utf-8", good.clone()).await.status,
        StatusCode::OK
    );
    assert_eq!(send(at, "Application/JSON", good.clone()).await.status, StatusCode::OK);
    assert_eq!(send(at, "text/plain", good.clone()).await.code(), (415, "media-type"));
    assert_eq!(
        ask(&here.app, Method::POST, at, &[], good.clone()).await.code(),
        (415, "media-type")
    );
    for bad in ["", "{", "nothing", "{\"setup\":1}{}"] {
        assert_eq!(
            send(at, "application/json", bad.to_owned()).await.code(),
            (400, "not-json"),
            "{bad}"
        );
    }
    let long = format!("{good}{}", " ".repeat(1 << 20));
    assert_eq!(send(at, "application/json", long).await.code(), (413, "too-large"));
    assert_eq!(
        send("/records", "application/json", "x".repeat((8 << 20) + 1)).await.code(),
        (413, "too-large")
    );
    let deep = format!("{{\"setup\":{}", "[".repeat(10_000));
    assert_eq!(send(at, "application/json", deep).await.code(), (400, "not-json"));
    let more =
        json!({ "setup": { "target": "30 mL in 7 s", "cups": "1 mL ± 0.5 mL" }, "setupp": 1 });
    let told = post(&here.app, at, &more).await;
    assert_eq!(told.errors(), [("/setup/cups", "unknown-field"), ("/setupp", "unknown-field")]);
}

#[test]
fn nothing_of_the_inside_is_told() {
    let place = || "/home/ada/data/ouncewise.db".to_owned();
    let what = || "near \"SELEC\": syntax error".to_owned();
    for (error, code) in [
        (StoreError::Full { place: place() }, Code::Full),
        (StoreError::ReadOnly { place: place(), what: what() }, Code::Io),
        (StoreError::Io { place: place(), what: what() }, Code::Io),
        (StoreError::Unavailable { place: place(), what: what() }, Code::Unavailable),
        (StoreError::Damaged { place: place(), what: what() }, Code::Damaged),
        (StoreError::Database { place: place(), what: what() }, Code::Bug),
    ] {
        for problem in [Problem::from(error.clone()), Problem::from(Failure::from(error))] {
            assert!(problem.code.status().is_server_error());
            let said = format!("{} {:?} {:?}", problem.detail, problem.hint, problem.errors);
            assert!(!said.contains("ada") && !said.contains("SELEC"), "{said}");
        }
        let _ = code;
    }
    let bug = Problem::from(Failure::new(Exit::Bug, "index out of bounds at src/x.rs"));
    assert!(!bug.detail.contains("src"), "{}", bug.detail);
}

/// Who asks by another name, or from another site's page, is refused before any operation: as a program is refused.
#[tokio::test]
async fn what_is_refused_at_the_door_is_a_problem_too() {
    let here = testing::empty().await;
    let refused = async |host: &str, from: &str| {
        let request = Request::post(format!("{ROOT}/records"))
            .header(header::HOST, host)
            .header("sec-fetch-site", from)
            .body(Body::empty())
            .unwrap();
        let response = crate::router(here.app.clone()).oneshot(request).await.unwrap();
        let kind = response.headers()[header::CONTENT_TYPE].to_str().unwrap().to_owned();
        let status = response.status().as_u16();
        (status, kind, serde_json::from_str(&testing::text(response).await).unwrap())
    };
    for (host, from, status, code) in [
        ("rebound.example", "same-origin", 421, "not-here"),
        ("localhost", "cross-site", 403, "cross-site"),
    ] {
        let (was, kind, told): (u16, String, serde_json::Value) = refused(host, from).await;
        assert_eq!((was, kind.as_str()), (status, super::MEDIA_TYPE));
        assert_eq!(
            (told["code"].as_str(), &told["status"]),
            (Some(code), &json!(status)),
            "{told}"
        );
    }
}

/// A server whose every answer is this one.
async fn around(
    response: impl Fn() -> axum::response::Response + Clone + Send + Sync + 'static,
) -> (StatusCode, String, String) {
    let app: axum::Router = axum::Router::new()
        .fallback(move || {
            let response = response();
            async move { response }
        })
        .layer(axum::middleware::from_fn(in_problems));
    let request = Request::get(format!("{ROOT}/week")).body(Body::empty()).unwrap();
    let response = app.oneshot(request).await.unwrap();
    let retry =
        response.headers().get(header::RETRY_AFTER).map_or("", |v| v.to_str().unwrap()).to_owned();
    (response.status(), retry, testing::text(response).await)
}

#[tokio::test]
async fn what_other_layers_answer_becomes_a_problem() {
    for (status, code) in [
        (403, "cross-site"),
        (404, "no-address"),
        (405, "method"),
        (408, "too-slow"),
        (413, "too-large"),
        (415, "media-type"),
        (421, "not-here"),
        (400, "usage"),
        (418, "usage"),
        (500, "bug"),
        (502, "bug"),
        (503, "unavailable"),
    ] {
        let answer = move || (StatusCode::from_u16(status).unwrap(), "stack trace").into_response();
        let (_, retry, text) = around(answer).await;
        assert!(
            text.contains(&format!("\"code\":\"{code}\"")) && !text.contains("stack"),
            "{status}: {text}"
        );
        assert!(text.contains("\"instance\":\"/api/v1/week\""), "{text}");
        assert_eq!(retry, if code == "unavailable" { "1" } else { "" });
    }
    let panicked = || super::super::problem::panicked(Box::new("secret"));
    let (status, _, text) = around(panicked).await;
    assert!(status == StatusCode::INTERNAL_SERVER_ERROR && !text.contains("secret"), "{text}");
    // What is a problem already stays as it is, and so does what is none.
    let (status, _, text) = around(|| "fine".into_response()).await;
    assert_eq!((status, text.as_str()), (StatusCode::OK, "fine"));
    let told = || {
        (StatusCode::CONFLICT, [(header::CONTENT_TYPE, super::MEDIA_TYPE)], "{}").into_response()
    };
    let (status, _, text) = around(told).await;
    assert_eq!((status, text.as_str()), (StatusCode::CONFLICT, "{}"));
}

#[test]
fn every_code_is_explained_in_plain_words() {
    let mut seen = std::collections::BTreeSet::new();
    for code in Code::ALL {
        let name = code.as_str();
        assert!(seen.insert(name), "{name} is there twice");
        assert!(name.bytes().all(|b| b.is_ascii_lowercase() || b == b'-'), "{name}");
        let (_, words) = super::CODES.iter().find(|(known, _)| *known == name).unwrap();
        assert!(words.ends_with('.') && words.len() > 30, "{name}: {words}");
        assert!(code.status().is_client_error() || code.status().is_server_error(), "{name}");
    }
    assert_eq!(seen.len(), super::CODES.len());
}
