//! Procedures over the API: a text is checked without a record, and published once under its id.

use axum::http::{Method, StatusCode, header};
use serde_json::{Value, json};

use super::{Told, ask, get};
use crate::App;
use crate::testing;

const AT: &str = "/procedures/screw-trim/weekly-clean";
const CLEAN: &str = include_str!("../../../../../content/procedures/screw-trim/weekly-clean.toml");
const ID: &str = "0195540a-c212-7000-8000-00000000cccc";

async fn post(app: &App, path: &str, body: Value) -> Told {
    let kind = [(header::CONTENT_TYPE, "application/json")];
    ask(app, Method::POST, path, &kind, body.to_string()).await
}

#[tokio::test]
async fn a_text_is_published_once_under_its_id() {
    let here = testing::demo().await;
    let ours = CLEAN.replace("Weekly clean and sanitise", "Our weekly clean");
    let checked = post(&here.app, "/procedures/check", json!({ "text": ours })).await.json;
    assert_eq!(
        (&checked["may_be_published"], &checked["check"]["verdict"]),
        (&true.into(), &"checked".into())
    );
    assert!(here.store.published().await.unwrap().is_empty(), "nothing is kept by a check");
    let told = post(&here.app, AT, json!({ "id": ID, "text": ours })).await;
    assert_eq!((told.status, &told.json["outcome"]), (StatusCode::CREATED, &"published".into()));
    assert_eq!((&told.json["version"], &told.json["record"]), (&checked["version"], &ID.into()));
    let again = post(&here.app, AT, json!({ "id": ID, "text": ours })).await;
    assert_eq!((again.status, &again.json["record"]), (StatusCode::OK, &ID.into()));
    assert_eq!(here.store.published().await.unwrap().len(), 1);
    // The same id for another text is refused, and so is what does not hold: with its place.
    let other = post(&here.app, AT, json!({ "id": ID, "text": CLEAN })).await;
    assert_eq!(
        (other.status, &other.json["errors"][0]["pointer"]),
        (StatusCode::UNPROCESSABLE_ENTITY, &"/id".into())
    );
    let broken = CLEAN.replace("use = \"sanitise\"", "use = \"flush\"");
    let refused = post(&here.app, AT, json!({ "id": ID, "text": broken })).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    // What breaks it stands in the passages of the family's model, or in the text.
    let errors = refused.json["errors"].as_array().unwrap();
    let places = errors.iter().map(|error| error["pointer"].as_str().unwrap());
    assert!(places.clone().count() > 0 && places.clone().all(|at| at == "/text" || at == "/model"));
    let long = format!("{CLEAN}{}", "# more\n".repeat(10_000));
    let id = "0195540a-c212-7000-8000-00000000cccd";
    let refused = post(&here.app, AT, json!({ "id": id, "text": long })).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", refused.json);
    let one = get(&here.app, AT).await.json;
    assert_eq!(one["procedure"]["title"], "Our weekly clean");
    let versions = one["versions"].as_array().unwrap();
    assert_eq!((versions.len(), &versions[1]["in_force"]), (2, &true.into()));
    let shipped = versions[0]["version"].as_str().unwrap();
    let old = get(&here.app, &format!("{AT}?version={shipped}")).await.json;
    assert_eq!(old["text"], CLEAN);
    // Where a step must not be skipped, its key is what a record of the round names.
    let must = one["steps"].as_array().unwrap().iter().filter(|step| step["must_not_skip"] == true);
    let keys: Vec<&str> = must.map(|step| step["key"].as_str().unwrap()).collect();
    assert!(keys.iter().all(|key| key.starts_with("step-")) && keys.len() > 2, "{keys:?}");
    let skip = get(&here.app, &format!("{AT}/skip")).await.json;
    assert_eq!(skip["must_not_skip"].as_array().unwrap().len(), keys.len());
}

#[tokio::test]
async fn the_kit_is_for_a_machine_or_a_site_and_what_is_not_there_is_told() {
    let here = testing::demo().await;
    let usual = get(&here.app, &format!("{AT}/kit")).await.json;
    let (follows, lines) = (&usual["follows"][0], &usual["takes"]["lines"]);
    assert_eq!((&follows["machines"], lines), (&1.into(), &8.into()));
    for (path, status) in [
        (format!("{AT}/kit?site=fernhollow"), StatusCode::NOT_FOUND),
        (format!("{AT}/kit?machine=counter-1"), StatusCode::NOT_FOUND),
        (format!("{AT}/skip?language=xx"), StatusCode::NOT_FOUND),
        (format!("{AT}/skip?site=nowhere"), StatusCode::NOT_FOUND),
        (format!("{AT}?site=nowhere"), StatusCode::NOT_FOUND),
        (format!("{AT}?site=fernhollow"), StatusCode::OK),
        (format!("{AT}?version=00"), StatusCode::NOT_FOUND),
        ("/procedures/screw-trim/nothing".to_owned(), StatusCode::NOT_FOUND),
    ] {
        assert_eq!(get(&here.app, &path).await.status, status, "{path}");
    }
}
