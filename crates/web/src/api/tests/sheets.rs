//! Sheets: looked at, corrected, loaded, and taken back.

use axum::http::{Method, StatusCode, header};
use serde_json::{Value, json};

use super::{Told, ask, get, post};
use crate::App;
use crate::testing;

const SHEET: &str = "Site,Machine,Line,Date,Reading mL,Seconds,Cup\n\
    Fern Hollow,Counter 1,1,2026-02-24,30.2,7.0,cylinder\n\
    Fern Hollow,Counter 1,2,2026-02-24,36.0,7.1,cylinder\n\
    Fern Hollow,Counter 1,3,2026-02-24,twenty,7.1,cylinder\n";

async fn send(app: &App, path: &str, kind: &str, body: impl Into<axum::body::Body>) -> Told {
    ask(app, Method::POST, path, &[(header::CONTENT_TYPE, kind)], body).await
}

/// A form with these parts.
async fn form(app: &App, path: &str, parts: &[(&str, &str)]) -> Told {
    let mut body = String::new();
    for (name, text) in parts {
        let file = if *name == "file" { "; filename=\"catches.csv\"" } else { "" };
        body.push_str(&format!(
            "--xyz\r\nContent-Disposition: form-data; name=\"{name}\"{file}\r\n\r\n{text}\r\n"
        ));
    }
    body.push_str("--xyz--\r\n");
    send(app, path, "multipart/form-data; boundary=xyz", body).await
}

#[tokio::test]
async fn a_sheet_is_looked_at_loaded_and_taken_back() {
    let here = testing::demo().await;
    let size =
        || async { here.store.heads().await.unwrap().iter().map(|head| head.size).sum::<u64>() };
    let before = size().await;
    let looked = send(&here.app, "/sheets/look?name=catches.csv", "text/csv", SHEET).await;
    assert_eq!(looked.status, StatusCode::OK);
    assert_eq!(looked.json["rows"]["dry_run"], true);
    let mapping = &looked.json["mapping"];
    assert_eq!(mapping["column"][4]["means"], "amount", "{mapping}");
    assert_eq!(size().await, before);

    let loaded = form(
        &here.app,
        "/sheets/load?defaults=true",
        &[("file", SHEET), ("mapping", &mapping.to_string())],
    )
    .await;
    assert_eq!(loaded.status, StatusCode::OK);
    let rows = &loaded.json["rows"];
    assert_eq!((&rows["added"], &rows["refused"]), (&json!(2), &json!(1)), "{rows}");
    assert_eq!(rows["refusals"][0]["row"], 4);
    let loads = get(&here.app, "/loads").await.json;
    assert_eq!(
        (&loads["items"][0]["name"], &loads["items"][0]["added"]),
        (&json!("catches.csv"), &json!(2))
    );
    // The same file again adds nothing; it is read as it was before.
    let again = form(&here.app, "/sheets/load", &[("file", SHEET)]).await;
    assert_eq!(
        (&again.json["rows"]["added"], &again.json["rows"]["already_there"]),
        (&json!(0), &json!(2))
    );
    assert_eq!(again.json["open"], json!([]));

    let id = loads["items"][0]["id"].as_str().unwrap();
    let undone = post(&here.app, &format!("/loads/{id}/undo"), &json!({})).await;
    assert_eq!(undone.json, json!({ "withdrawn": 2, "set_up": 0, "kept": 0 }));
    let twice = post(&here.app, &format!("/loads/{id}/undo"), &json!({})).await;
    assert_eq!(twice.json, json!({ "withdrawn": 0, "set_up": 0, "kept": 0 }));
    assert!(get(&here.app, "/loads").await.json["items"][0]["withdrawn_at"].is_string());
    let unknown = format!("/loads/{}/undo", uuid::Uuid::now_v7());
    assert_eq!(post(&here.app, &unknown, &json!({})).await.code(), (404, "not-there"));
    assert_eq!(post(&here.app, "/loads/1/undo", &json!({})).await.code(), (404, "not-there"));
}

#[tokio::test]
async fn all_or_nothing_is_nothing_where_a_row_is_refused() {
    let here = testing::demo().await;
    let told =
        send(&here.app, "/sheets/load?defaults=true&all_or_nothing=true", "text/csv", SHEET).await;
    assert_eq!(told.code(), (422, "refused"));
    assert!(told.errors()[0].1.starts_with('S'), "{:?}", told.errors());
    assert_eq!(get(&here.app, "/loads").await.json["items"], json!([]));
}

#[tokio::test]
async fn questions_are_answered_by_their_ids() {
    let here = testing::demo().await;
    let unsure = SHEET.replace("Reading mL", "Reading").replace("2026-02-24", "03/02/2026");
    let looked = send(&here.app, "/sheets/look", "text/csv", unsure.clone()).await.json;
    let questions = looked["mapping"]["question"].as_array().unwrap();
    let open: Vec<&str> =
        looked["open"].as_array().unwrap().iter().map(|id| id.as_str().unwrap()).collect();
    assert!(!open.is_empty(), "{looked}");
    let default = |id: &str| questions.iter().find(|q| q["id"] == id).unwrap()["default"].clone();
    let answers: Value = open
        .iter()
        .map(|id| ((*id).to_owned(), default(id)))
        .collect::<serde_json::Map<_, _>>()
        .into();
    let answered =
        form(&here.app, "/sheets/look", &[("file", &unsure), ("answers", &answers.to_string())])
            .await;
    assert_eq!(answered.json["open"], json!([]));
    assert!(
        answered.json["rows"]["records"].as_u64() > looked["rows"]["records"].as_u64(),
        "{looked}"
    );
    let wrong = form(
        &here.app,
        "/sheets/look",
        &[("file", &unsure), ("answers", r#"{"no such/one":"x"}"#)],
    )
    .await;
    assert_eq!(
        (wrong.code(), wrong.errors()),
        ((422, "data"), vec![("/answers/no such~1one", "S006")])
    );
}

#[tokio::test]
async fn what_cannot_be_read_says_why() {
    let here = testing::demo().await;
    let look = "/sheets/look";
    for (told, code) in [
        (send(&here.app, look, "text/csv", "").await, (422, "refused")),
        (send(&here.app, look, "text/csv", "hello").await, (422, "refused")),
        (
            send(&here.app, look, "text/csv", vec![0xd0, 0xcf, 0x11, 0xe0, 0, 0]).await,
            (422, "refused"),
        ),
        (
            send(&here.app, look, "application/octet-stream", &b"PK\x03\x04 no zip"[..]).await,
            (422, "refused"),
        ),
        (send(&here.app, look, "application/json", "{}").await, (415, "media-type")),
        (send(&here.app, look, "multipart/form-data", "").await, (415, "media-type")),
        (
            send(&here.app, look, "multipart/form-data; boundary=xyz", "--xyz\r\nno").await,
            (400, "usage"),
        ),
        (form(&here.app, look, &[]).await, (422, "data")),
        (form(&here.app, look, &[("file", SHEET), ("files", "")]).await, (422, "data")),
        (form(&here.app, look, &[("file", SHEET), ("file", SHEET)]).await, (422, "data")),
        (form(&here.app, look, &[("file", SHEET), ("mapping", "{")]).await, (400, "not-json")),
        (form(&here.app, look, &[("file", SHEET), ("mapping", "{}")]).await, (422, "data")),
        (form(&here.app, look, &[("file", SHEET), ("answers", "[]")]).await, (422, "data")),
        (send(&here.app, "/sheets/look?sheet=&name=x", "text/csv", SHEET).await, (400, "usage")),
        (send(&here.app, "/sheets/look?defaults=yes", "text/csv", SHEET).await, (400, "usage")),
        (
            send(&here.app, "/sheets/look?all_or_nothing=true", "text/csv", SHEET).await,
            (400, "usage"),
        ),
    ] {
        assert_eq!(told.code(), code, "{}", told.json);
    }
    let far = json!({ "version": 1, "heading_row": u64::MAX, "heading_rows": 3, "column": [{ "letter": "A", "heading": "x", "means": "guess" }] });
    let told = form(&here.app, look, &[("file", SHEET), ("mapping", &far.to_string())]).await;
    let mut pointers: Vec<&str> = told.errors().iter().map(|(pointer, _)| *pointer).collect();
    pointers.sort_unstable();
    assert_eq!(
        pointers,
        ["/mapping/column/0/means", "/mapping/heading_row", "/mapping/heading_rows"]
    );
    let other = json!({ "version": 1, "heading_row": 1, "heading_rows": 1, "column": [{ "letter": "A", "heading": "Elsewhere", "means": "site" }] });
    let told = form(&here.app, look, &[("file", SHEET), ("mapping", &other.to_string())]).await;
    assert_eq!((told.code(), told.errors()[0].1), ((422, "refused"), "S006"));
}
