//! What is only read.

use axum::http::{Method, StatusCode};
use ouncewise_ledger::Scope;
use serde_json::json;

use super::{ask, get, post};
use crate::testing;

#[tokio::test]
async fn the_week_is_worst_first() {
    let here = testing::demo().await;
    let week = get(&here.app, "/week").await.json;
    assert_eq!(week["group"], "Valley Counters");
    assert_eq!(week["lines"][0]["address"], "fernhollow/counter-1/2");
    assert_eq!(week["lines"][0]["verdict"], "off-target");
    let counts = &week["counts"];
    assert_eq!(
        (counts["off_target"].as_u64(), counts["without_verdict"].as_u64()),
        (Some(1), Some(1))
    );
    let one = get(&here.app, "/week?site=mossgate&top=1").await.json;
    assert_eq!(one["lines"].as_array().unwrap().len(), 1);
    assert_eq!(one["lines"][0]["address"], "mossgate/counter-1/1");
    let missing = get(&here.app, "/week?site=mossgat").await;
    assert_eq!(missing.code(), (404, "not-there"));
    assert_eq!(missing.json["hint"], "did you mean `mossgate`?");
}

#[tokio::test]
async fn sites_machines_and_lines_are_found_by_their_keys() {
    let here = testing::demo().await;
    let sites = get(&here.app, "/sites").await.json;
    let keys: Vec<_> =
        sites["items"].as_array().unwrap().iter().map(|s| s["site"].clone()).collect();
    assert_eq!(keys, ["fernhollow", "mossgate"]);
    assert_eq!(sites["items"][0]["counts"]["off_target"], 1);
    let site = get(&here.app, "/sites/fernhollow").await.json;
    assert_eq!(
        site["machines"][1],
        json!({ "machine": "counter-2", "name": "Counter 2", "family": "roller", "state": "open", "lines": 1 })
    );
    assert_eq!(site["measures"][0]["kind"], "cylinder");
    assert_eq!(site["time_zone"], "Etc/UTC");
    let machine = get(&here.app, "/sites/fernhollow/machines/counter-1").await.json;
    assert_eq!(machine["lines"].as_array().unwrap().len(), 3);
    assert_eq!(machine["lines"][1]["verdict"], "off-target");
    let line = get(&here.app, "/lines/fernhollow/counter-1/2").await.json;
    assert_eq!(line["standing"]["act"]["kind"], "adjust");
    let story = line["story"].as_array().unwrap();
    assert!(story.iter().filter(|event| event["visit"].is_object()).count() == 3, "{line}");
    let last = get(&here.app, "/lines/fernhollow/counter-1/2?last=1").await.json;
    assert_eq!(last["story"].as_array().unwrap().len(), 1);
    assert_eq!(last["earlier"], story.len() - 1);
    for missing in [
        "/sites/nowhere",
        "/sites/Fern%20Hollow",
        "/sites/fernhollow/machines/counter-9",
        "/sites/nowhere/machines/counter-1",
        "/sites/fernhollow/machines/counter-9/sheet",
        "/lines/fernhollow/counter-1/9",
        "/lines/fernhollow/counter-1/%0A",
    ] {
        assert_eq!(get(&here.app, missing).await.code(), (404, "not-there"), "{missing}");
    }
}

#[tokio::test]
async fn a_sheet_is_data_too() {
    let here = testing::demo().await;
    let at = "/sites/fernhollow/machines/counter-1/sheet";
    let sheet = get(&here.app, at).await.json;
    assert_eq!((&sheet["paper"], sheet["rows"].as_array().unwrap().len()), (&json!("a4"), 3));
    assert_eq!(sheet["header"]["printed_on"], "2026-03-02");
    let letter = get(&here.app, &format!("{at}?paper=letter&measure=cylinder")).await.json;
    assert_eq!(letter["paper"], "letter");
    assert_eq!(get(&here.app, &format!("{at}?measure=jug")).await.code(), (404, "not-there"));
    assert_eq!(get(&here.app, &format!("{at}?paper=a5")).await.code(), (400, "usage"));
}

#[tokio::test]
async fn what_is_typed_is_understood_as_a_record_keeps_it() {
    let here = testing::empty().await;
    for (asked, read) in [
        ("text=29,6&as=amount&unit=mL", "29.6 mL"),
        ("text=%20over%20the%2030%20mL%20mark&as=amount&unit=mL", "over the 30 mL mark"),
        ("text=1.05%20fl%20oz%20(US)&as=amount", "1.05 fl oz (US)"),
        ("text=7,1&as=draw&unit=s", "7.1 s"),
        ("text=2&as=draw&unit=doses", "2 doses"),
        ("text=4%20%C2%B0C&as=quantity", "4 °C"),
    ] {
        let told = get(&here.app, &format!("/read?{asked}")).await;
        assert_eq!(told.json, json!({ "read": read }), "{asked}");
    }
    for unread in [
        "text=29,6&as=amount",
        "text=&as=amount&unit=mL",
        "text=3%20parsecs&as=draw",
        "text=4%20s&as=amount",
    ] {
        let told = get(&here.app, &format!("/read?{unread}")).await;
        assert_eq!(told.code(), (422, "value"), "{unread}");
        assert!(told.json["hint"].is_string(), "{unread}");
    }
    for wrong in [
        "text=1",
        "as=amount",
        "text=1&as=weight",
        "text=1&as=draw&draw=1",
        "text=1&text=2&as=draw",
    ] {
        assert_eq!(
            get(&here.app, &format!("/read?{wrong}")).await.code(),
            (400, "usage"),
            "{wrong}"
        );
    }
}

#[tokio::test]
async fn catches_and_measures_are_calculated() {
    let here = testing::empty().await;
    let setup =
        json!({ "target": "30 mL in 7 s", "cup": "1 mL ± 0.5 mL", "adjuster": "screw 20 %/turn" });
    let asked = json!({ "setup": setup, "catches": ["36 mL in 7.0 s"] });
    let caught = post(&here.app, "/calculate/catch", &asked).await;
    assert_eq!((caught.status, &caught.json["verdict"]), (StatusCode::OK, &json!("off-target")));
    assert_eq!(caught.json["act"]["kind"], "adjust");
    let measure = post(&here.app, "/calculate/measure", &json!({ "setup": setup })).await;
    assert_eq!(measure.json["unit"], "mL");
    for (asked, pointer) in [
        (json!({ "setup": { "target": "30 mL" }, "catches": ["1 mL in 1 s"] }), "/setup/target"),
        (
            json!({ "setup": { "target": "30 mL in 7 s", "cup": "1 mL" }, "catches": ["1 mL in 1 s"] }),
            "/setup/cup",
        ),
        (
            json!({ "setup": { "target": "30 mL in 7 s", "cup": "1 mL ± 1 mL", "opening_offset": "1 mL" }, "catches": ["1 mL in 1 s"] }),
            "/setup/opening_offset",
        ),
        (json!({ "setup": setup, "catches": ["36 mL"] }), "/catches"),
        (json!({ "setup": setup, "catches": [] }), "/catches"),
        (json!({ "setup": { "target": 30 }, "catches": ["36 mL in 7 s"] }), "/setup/target"),
    ] {
        let told = post(&here.app, "/calculate/catch", &asked).await;
        assert_eq!(told.code(), (422, "data"), "{asked}");
        assert_eq!(told.errors()[0].0, pointer, "{asked}");
    }
    let unlike = json!({ "setup": setup, "catches": ["36 mL in 7 s"], "water": ["1 mL in 7 s", "2 mL in 7 s"] });
    assert_eq!(post(&here.app, "/calculate/catch", &unlike).await.code(), (422, "data"));
}

#[tokio::test]
async fn a_flush_is_calculated_and_what_is_not_known_is_an_answer() {
    let here = testing::empty().await;
    // HY-70 and HY-111 (CALC): 95 mL; 1 % at the outlet takes 5 volumes where nothing spreads, at this flow nearly so.
    let asked = json!({ "bore": "6.35 mm", "length": "3 m", "flow": "10 mL/s", "want": "1 % at the outlet" });
    let told = post(&here.app, "/calculate/flush", &asked).await;
    assert_eq!(told.status, StatusCode::OK);
    assert!((told.json["volume_ml"].as_f64().unwrap() - 95.0).abs() < 0.1);
    let volumes = told.json["plans"][0]["volumes"].as_f64().unwrap();
    assert!((5.0..6.2).contains(&volumes), "{volumes}");
    let unknown = post(&here.app, "/calculate/flush", &json!({ "flow": "10 mL/s" })).await;
    assert_eq!((unknown.status, &unknown.json["least"]["known"]), (StatusCode::OK, &json!(false)));
    assert_eq!(unknown.json["least"]["at_best_s"], json!(null));
    assert!(unknown.json["missing"][0]["measure"].as_str().unwrap().contains("inner diameter"));
    for (asked, pointer) in [
        (json!({ "bore": "six" }), "/bore"),
        (json!({ "holds_pressure": "perhaps" }), "/holds_pressure"),
        (json!({ "bore": 6 }), "/bore"),
        (json!({ "want": "x".repeat(200) }), "/want"),
        (json!({ "boar": "6 mm" }), "/boar"),
    ] {
        let told = post(&here.app, "/calculate/flush", &asked).await;
        assert_eq!(told.code(), (422, "data"), "{asked}");
        assert_eq!(told.errors()[0].0, pointer, "{asked}");
    }
}

#[tokio::test]
async fn ledgers_verify() {
    let here = testing::demo().await;
    let verified = get(&here.app, "/verify").await.json;
    assert_eq!(verified["misfit"], json!(null));
    let heads = get(&here.app, "/ledgers").await.json;
    assert_eq!(verified["ledgers"], heads["items"]);
    let names: Vec<_> =
        heads["items"].as_array().unwrap().iter().map(|h| h["ledger"].clone()).collect();
    assert_eq!(names, ["@group", "fernhollow", "mossgate"]);
    let head = here.store.heads().await.unwrap();
    assert_eq!(verified["records"], head.iter().map(|head| head.size).sum::<u64>());
}

#[tokio::test]
async fn one_record_is_found_in_its_own_ledger_only() {
    let here = testing::demo().await;
    let entry =
        here.store.entries(&Scope::site("mossgate").unwrap(), 2, 1).await.unwrap().remove(0);
    let id = entry.record.id;
    let told = get(&here.app, &format!("/ledgers/mossgate/records/{id}")).await;
    assert_eq!(told.json, serde_json::to_value(&entry).unwrap());
    for other in ["fernhollow", "@group", "nowhere", "%40"] {
        let told = get(&here.app, &format!("/ledgers/{other}/records/{id}")).await;
        assert_eq!(told.code(), (404, "not-there"), "{other}");
    }
}

#[tokio::test]
async fn an_empty_store_has_empty_lists() {
    let here = testing::empty().await;
    for path in ["/sites", "/ledgers", "/loads", "/ledgers/@group/records"] {
        let told = get(&here.app, path).await;
        assert_eq!(told.json, json!({ "items": [], "next": null }), "{path}");
    }
    assert_eq!(get(&here.app, "/week").await.json["counts"]["on_target"], 0);
    assert_eq!(get(&here.app, "/ledgers/fernhollow/records").await.code(), (404, "not-there"));
}

#[tokio::test]
async fn head_works_where_get_does() {
    let here = testing::demo().await;
    for path in ["/week", "/sites/mossgate", "/estate", "/openapi.json"] {
        let told = ask(&here.app, Method::HEAD, path, &[], "").await;
        assert_eq!((told.status, told.json), (StatusCode::OK, json!(null)), "{path}");
    }
    let missing = ask(&here.app, Method::HEAD, "/sites/nowhere", &[], "").await;
    assert_eq!((missing.status, missing.json), (StatusCode::NOT_FOUND, json!(null)));
    assert_eq!(missing.headers["content-type"], super::MEDIA_TYPE);
}
