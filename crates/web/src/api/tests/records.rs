//! Appending: once, however often it is sent.

use axum::http::{Method, StatusCode, header};
use ouncewise_ledger::Scope;
use serde_json::{Value, json};
use uuid::Uuid;

use super::{ask, draft, get, post};
use crate::testing;

#[tokio::test]
async fn a_record_that_is_sent_again_is_kept_once() {
    let here = testing::demo().await;
    let before = here.store.heads().await.unwrap();
    let id = Uuid::now_v7();
    let mut first = draft("mossgate", id, 1);
    first["person"] = json!("Ada");
    first["note"] = json!("the cup is chipped");
    let sending = json!({ "records": [first] });
    let added = post(&here.app, "/records", &sending).await;
    assert_eq!(added.status, StatusCode::CREATED);
    assert_eq!(
        (&added.json["added"], &added.json["records"][0]["outcome"]),
        (&json!(1), &json!("added"))
    );
    let place = added.header(&header::LOCATION).to_owned();
    assert_eq!(place, format!("/api/v1/ledgers/mossgate/records/{id}"));
    let kept = get(&here.app, place.trim_start_matches("/api/v1")).await.json;
    assert_eq!(kept["index"], added.json["records"][0]["index"]);
    assert!(kept["record"]["by"].is_string() && kept["record"]["note"].is_string(), "{kept}");

    for _ in 0..3 {
        let again = post(&here.app, "/records", &sending).await;
        assert_eq!(again.status, StatusCode::OK);
        assert_eq!(again.json["already_there"], 1);
        assert_eq!(again.json["records"][0]["index"], kept["index"]);
    }

    // Under the same id, something else: what stands goes on standing.
    let mut other = sending.clone();
    other["records"][0]["record"]["body"]["amount"] = json!("31 mL");
    let conflict = post(&here.app, "/records", &other).await;
    assert_eq!((conflict.status, &conflict.json["conflicts"]), (StatusCode::OK, &json!(1)));
    assert_eq!(get(&here.app, place.trim_start_matches("/api/v1")).await.json, kept);
    assert_eq!(here.store.conflicts().await.unwrap().len(), 1);

    let after = here.store.heads().await.unwrap();
    let sizes = |heads: &[ouncewise_ledger::checkpoint::SiteHead]| {
        heads.iter().map(|h| h.size).sum::<u64>()
    };
    assert_eq!(sizes(&after), sizes(&before) + 1);
    // And it counts: the line's story has it.
    let line = get(&here.app, "/lines/mossgate/counter-1/1").await.json;
    assert!(
        line["story"].as_array().unwrap().iter().any(|e| e["record"] == id.to_string()),
        "{line}"
    );
}

#[tokio::test]
async fn one_act_is_kept_whole_or_not_at_all() {
    let here = testing::demo().await;
    let scope = Scope::site("mossgate").unwrap();
    let before = here.store.entries(&scope, 0, 1000).await.unwrap().len();
    let good = || draft("mossgate", Uuid::now_v7(), 2);
    let with = |pointer: &str, value: Value| {
        let mut sending = json!({ "records": [good(), good(), good()] });
        *sending.pointer_mut(pointer).unwrap() = value;
        sending
    };
    for (sending, pointer, code) in [
        (with("/records/1/record/at", json!("yesterday")), "/records/1/record/at", "value"),
        (with("/records/2/record/scope", json!("Moss Gate")), "/records/2/record/scope", "value"),
        (
            with("/records/0/record/id", json!("d06632a8-e21a-4737-a5fa-6142b6d8a690")),
            "/records/0/record/id",
            "value",
        ),
        (
            with("/records/0/record/body", json!({ "kind": "line-cleaned", "by": "x" })),
            "/records/0/record/body/by",
            "unknown-field",
        ),
        (
            with("/records/0/record/body", json!({ "kind": "claim-made" })),
            "/records/0/record/body",
            "missing",
        ),
        (
            with("/records/0/record/body", json!({ "kind": "catch" })),
            "/records/0/record/body/kind",
            "value",
        ),
        (
            with("/records/1/record/body/amount", json!(29.6)),
            "/records/1/record/body/amount",
            "value",
        ),
        (
            with("/records/1/record/body/amount", json!(" ")),
            "/records/1/record/body/amount",
            "value",
        ),
        (with("/records/1/record/subject", json!({})), "/records/1/record/body/kind", "value"),
        (with("/records/1", json!({ "records": {} })), "/records/1", "missing"),
        (with("/records/1/record", json!(null)), "/records/1/record", "value"),
        (with("/records", json!([])), "/records", "value"),
        (json!({ "record": [] }), "", "missing"),
        (json!([]), "", "value"),
    ] {
        let told = post(&here.app, "/records", &sending).await;
        assert_eq!(told.code(), (422, "data"), "{sending}");
        assert!(told.errors().contains(&(pointer, code)), "{pointer}: {:?}", told.errors());
    }
    let many: Vec<Value> = (0..501).map(|_| good()).collect();
    let told = post(&here.app, "/records", &json!({ "records": many })).await;
    assert_eq!(told.errors(), [("/records", "value")]);
    // All faults at once, and what is no JSON by itself.
    let mut two = with("/records/0/record/device", json!(""));
    two["records"][2]["record"]["sequence"] = json!(-1);
    assert_eq!(post(&here.app, "/records", &two).await.errors().len(), 2);
    let twice = good().to_string().replacen("\"v\"", "\"v\":1,\"v\"", 1);
    let kind = [(header::CONTENT_TYPE, "application/json")];
    let told =
        ask(&here.app, Method::POST, "/records", &kind, format!("{{\"records\":[{twice}]}}")).await;
    assert_eq!(told.code(), (400, "not-json"));
    assert_eq!(here.store.entries(&scope, 0, 1000).await.unwrap().len(), before);
}

#[tokio::test]
async fn records_go_to_several_ledgers_in_one_act() {
    let here = testing::demo().await;
    let id = Uuid::now_v7();
    let sending = json!({ "records": [draft("mossgate", id, 1), draft("fernhollow", Uuid::now_v7(), 1), draft("mossgate", id, 1)] });
    let told = post(&here.app, "/records", &sending).await;
    let outcomes: Vec<_> = told.json["records"]
        .as_array()
        .unwrap()
        .iter()
        .map(|r| (&r["scope"], &r["outcome"]))
        .collect();
    assert_eq!(
        outcomes,
        [
            (&json!("mossgate"), &json!("added")),
            (&json!("fernhollow"), &json!("added")),
            (&json!("mossgate"), &json!("already-there")),
        ]
    );
    assert_eq!(told.header(&header::LOCATION), "");
}
