//! From page to page while others write: nothing is lost, nothing is repeated.

use axum::Router;
use axum::http::{Method, header};
use proptest::prelude::*;
use serde_json::{Value, json};
use uuid::Uuid;

use super::{Told, ask_of, draft, get};
use crate::testing;

async fn page_at(router: &Router, path: &str) -> Told {
    ask_of(router, Method::GET, path, &[], "").await
}

async fn add(router: &Router, site: &str, count: usize, sequence: &mut u64) {
    if count > 0 {
        let drafts: Vec<Value> = (0..count)
            .map(|_| {
                *sequence += 1;
                draft(site, Uuid::now_v7(), *sequence)
            })
            .collect();
        let kind = [(header::CONTENT_TYPE, "application/json")];
        let body = json!({ "records": drafts }).to_string();
        let told = ask_of(router, Method::POST, "/records", &kind, body).await;
        assert_eq!(told.json["added"], count);
    }
}

/// Walks a ledger while records are added between its pages: what it saw, by sequence.
async fn walk(
    router: &Router,
    site: &str,
    first: usize,
    limit: usize,
    between: &[usize],
) -> Vec<u64> {
    let mut sequence = 0;
    add(router, site, first, &mut sequence).await;
    let mut between = between.iter();
    let mut seen = Vec::new();
    let mut path = format!("/ledgers/{site}/records?limit={limit}");
    loop {
        let page = page_at(router, &path).await;
        let items = page.json["items"].as_array().unwrap();
        assert!(items.len() <= limit);
        seen.extend(items.iter().map(|entry| entry["record"]["sequence"].as_u64().unwrap()));
        let Some(next) = page.json["next"].as_str() else {
            assert_eq!(page.header(&header::LINK), "");
            break;
        };
        assert_eq!(page.header(&header::LINK), format!("<{next}>; rel=\"next\""));
        path = next.strip_prefix("/api/v1").unwrap().to_owned();
        add(router, site, between.next().copied().unwrap_or(0), &mut sequence).await;
    }
    seen
}

#[test]
fn a_walk_neither_loses_nor_repeats() {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    let here = runtime.block_on(testing::empty());
    let router = crate::router(here.app.clone());
    let site = std::cell::Cell::new(0);
    let config = ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(1000) };
    proptest!(config, |(first in 1..9_usize, limit in 1..5_usize, between in prop::collection::vec(0..3_usize, 0..4))| {
        site.set(site.get() + 1);
        let seen = runtime.block_on(walk(&router, &format!("s{}", site.get()), first, limit, &between));
        // In order and without a gap: everything that was there at the beginning, and of what came later a beginning.
        let wanted: Vec<u64> = (1..=seen.len() as u64).collect();
        prop_assert_eq!(&seen, &wanted);
        prop_assert!(seen.len() >= first);
    });
}

#[tokio::test]
async fn writers_at_the_same_time_do_not_disturb_a_walk() {
    let here = testing::empty().await;
    let router = crate::router(here.app.clone());
    add(&router, "mossgate", 20, &mut 0).await;
    let writer = tokio::spawn({
        let router = router.clone();
        async move {
            for i in 0..30 {
                add(&router, "mossgate", 3, &mut (100 + i * 10)).await;
            }
        }
    });
    let mut walks = 0;
    let mut longest = 0;
    while walks < 2 || !writer.is_finished() {
        let mut indexes = Vec::new();
        let mut next = Some("/ledgers/mossgate/records?limit=7".to_owned());
        while let Some(path) = next {
            let page = page_at(&router, &path).await.json;
            let items = page["items"].as_array().unwrap().iter();
            indexes.extend(items.map(|entry| entry["index"].as_u64().unwrap()));
            next =
                page["next"].as_str().map(|next| next.strip_prefix("/api/v1").unwrap().to_owned());
        }
        let wanted: Vec<u64> = (0..indexes.len() as u64).collect();
        assert_eq!(indexes, wanted);
        assert!(indexes.len() >= 20 && indexes.len() >= longest);
        longest = indexes.len();
        walks += 1;
    }
    writer.await.unwrap();
    assert!(walks > 1 && longest > 20, "{walks} walks, the longest saw {longest}");
}

#[tokio::test]
async fn sites_ledgers_and_loads_are_walked_too() {
    let here = testing::demo().await;
    let keys = |page: &Value, name: &str| -> Vec<String> {
        page["items"]
            .as_array()
            .unwrap()
            .iter()
            .map(|item| item[name].as_str().unwrap().to_owned())
            .collect()
    };
    for (list, name, wanted) in [
        ("sites", "site", vec!["fernhollow", "mossgate"]),
        ("ledgers", "ledger", vec!["@group", "fernhollow", "mossgate"]),
    ] {
        let mut seen = Vec::new();
        let mut path = format!("/{list}?limit=1");
        loop {
            let page = get(&here.app, &path).await.json;
            seen.extend(keys(&page, name));
            let Some(next) = page["next"].as_str() else { break };
            path = next.strip_prefix("/api/v1").unwrap().to_owned();
        }
        assert_eq!(seen, wanted);
    }
    // A cursor is of its own list, and nobody's making.
    let next = get(&here.app, "/sites?limit=1").await.json["next"].as_str().unwrap().to_owned();
    let cursor = next.split("cursor=").nth(1).unwrap();
    for path in [
        format!("/ledgers?cursor={cursor}"),
        "/sites?cursor=1".to_owned(),
        "/sites?cursor=".to_owned(),
    ] {
        assert_eq!(get(&here.app, &path).await.code(), (400, "usage"), "{path}");
    }
}
