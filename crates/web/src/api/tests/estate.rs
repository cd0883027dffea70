//! The estate as its files, and who may replace it.

use axum::http::{Method, StatusCode, header};
use serde_json::{Value, json};

use super::{Told, ask, get};
use crate::App;
use crate::testing;

async fn put(app: &App, path: &str, tag: Option<&str>, body: &Value) -> Told {
    let mut headers = vec![(header::CONTENT_TYPE, "application/json")];
    headers.extend(tag.map(|tag| (header::IF_MATCH, tag)));
    ask(app, Method::PUT, path, &headers, body.to_string()).await
}

/// The estate with one line more, and one fewer.
fn changed(estate: &Value) -> Value {
    let mut wanted = estate.clone();
    let lines = wanted["files"]["lines.csv"].as_str().unwrap();
    let mut rows: Vec<String> = lines.lines().map(ToOwned::to_owned).collect();
    rows.retain(|row| !row.starts_with("fernhollow,counter-1,3,"));
    let first = rows.iter().find(|row| row.starts_with("mossgate,counter-1,1,")).unwrap();
    rows.push(first.replacen(",1,", ",2,", 1));
    wanted["files"]["lines.csv"] = json!(rows.join("\n") + "\n");
    wanted
}

#[tokio::test]
async fn whoever_changes_it_has_seen_it() {
    let here = testing::demo().await;
    let first = get(&here.app, "/estate").await;
    let tag = first.header(&header::ETAG).to_owned();
    assert!(tag.starts_with('"') && tag.len() > 20, "{tag}");
    let known = |tags: String| {
        let app = here.app.clone();
        async move {
            ask(&app, Method::GET, "/estate", &[(header::IF_NONE_MATCH, &tags)], "").await.status
        }
    };
    assert_eq!(known(tag.clone()).await, StatusCode::NOT_MODIFIED);
    assert_eq!(known(format!("\"x\", W/{tag}")).await, StatusCode::NOT_MODIFIED);
    assert_eq!(known("\"x\"".to_owned()).await, StatusCode::OK);

    let wanted = changed(&first.json);
    assert_eq!(put(&here.app, "/estate", None, &wanted).await.code(), (428, "condition"));
    for stale in ["\"x\"", &format!("W/{tag}"), "x"] {
        assert_eq!(
            put(&here.app, "/estate", Some(stale), &wanted).await.code(),
            (412, "changed"),
            "{stale}"
        );
    }
    assert_eq!(get(&here.app, "/estate").await.json, first.json);

    let plan = put(&here.app, "/estate?dry_run=true", Some(&tag), &wanted).await;
    assert_eq!(
        (&plan.json["added"], &plan.json["retired"], &plan.json["loaded"]),
        (&json!(1), &json!(1), &json!(false))
    );
    assert_eq!(plan.header(&header::ETAG), tag);
    assert_eq!(get(&here.app, "/estate").await.json, first.json);

    let done = put(&here.app, "/estate", Some(&tag), &wanted).await;
    assert_eq!((done.status, &done.json["loaded"]), (StatusCode::OK, &json!(true)));
    assert_eq!(done.json["changes"], plan.json["changes"]);
    let now = get(&here.app, "/estate").await;
    assert_eq!(now.header(&header::ETAG), done.header(&header::ETAG));
    assert_ne!(now.header(&header::ETAG), tag);
    assert!(
        now.json["files"]["lines.csv"].as_str().unwrap().contains("mossgate,counter-1,2,"),
        "{}",
        now.json
    );
    // The same once more is too late; with what is there now it changes nothing.
    assert_eq!(put(&here.app, "/estate", Some(&tag), &wanted).await.code(), (412, "changed"));
    let same = put(&here.app, "/estate", Some("*"), &now.json).await;
    assert_eq!((&same.json["loaded"], &same.json["changes"]), (&json!(false), &json!([])));
}

#[tokio::test]
async fn of_two_who_change_the_same_one_wins() {
    let here = testing::demo().await;
    let first = get(&here.app, "/estate").await;
    let tag = first.header(&header::ETAG).to_owned();
    let renamed = |name: &str| {
        let mut wanted = first.json.clone();
        let text =
            wanted["files"]["estate.toml"].as_str().unwrap().replace("Valley Counters", name);
        wanted["files"]["estate.toml"] = json!(text);
        wanted
    };
    let (one, other) = (renamed("One"), renamed("Other"));
    let (a, b) = tokio::join!(
        put(&here.app, "/estate", Some(&tag), &one),
        put(&here.app, "/estate", Some(&tag), &other)
    );
    let mut told = [a.status.as_u16(), b.status.as_u16()];
    told.sort_unstable();
    assert_eq!(told, [200, 412]);
}

#[tokio::test]
async fn faults_have_their_place() {
    let here = testing::demo().await;
    let first = get(&here.app, "/estate").await;
    let tag = first.header(&header::ETAG).to_owned();
    let mut wrong = first.json.clone();
    let lines = wrong["files"]["lines.csv"].as_str().unwrap().replace("30 mL", "30");
    wrong["files"]["lines.csv"] = json!(lines);
    let told = put(&here.app, "/estate", Some(&tag), &wrong).await;
    assert_eq!(told.code(), (422, "faults"));
    let error = &told.json["errors"][0];
    assert_eq!(error["pointer"], "/files/lines.csv");
    assert!(error["code"].as_str().unwrap().starts_with('E'), "{error}");
    assert!(error["detail"].as_str().unwrap().starts_with("lines.csv:2:"), "{error}");

    let mut other = first.json.clone();
    other["files"]["families/a/b.csv"] = json!("");
    let told = put(&here.app, "/estate", Some(&tag), &other).await;
    assert_eq!(told.errors(), [("/files/families~1a~1b.csv", "unknown-field")]);
    for body in
        [json!({}), json!({ "files": {}, "more": 1 }), json!({ "files": { "lines.csv": 1 } })]
    {
        assert_eq!(
            put(&here.app, "/estate", Some(&tag), &body).await.code(),
            (422, "data"),
            "{body}"
        );
    }
    let none = put(&here.app, "/estate", Some(&tag), &json!({ "files": {} })).await;
    assert_eq!((none.code(), none.errors().len()), ((422, "faults"), 6));
    assert_eq!(get(&here.app, "/estate").await.header(&header::ETAG), tag);
}

#[tokio::test]
async fn an_empty_store_takes_an_estate() {
    let full = testing::demo().await;
    let wanted = get(&full.app, "/estate").await;
    let here = testing::empty().await;
    let nothing = get(&here.app, "/estate").await;
    let done = put(&here.app, "/estate", Some(nothing.header(&header::ETAG)), &wanted.json).await;
    assert_eq!(done.json["loaded"], true);
    assert_eq!(done.header(&header::ETAG), wanted.header(&header::ETAG));
    assert_eq!(get(&here.app, "/estate").await.json, wanted.json);
}
