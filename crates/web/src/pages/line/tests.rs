//! What a line costs, its control charts, and how its family behaves, as pages and as data.

use axum::http::StatusCode;
use jiff::civil::{Date, date};
use ouncewise_estate::Estate;
use ouncewise_ledger::{Body, Draft, Record, Subject};
use serde_json::Value;
use uuid::Uuid;

use crate::testing::{Here, caught, demo, estate, get, post};

const LINE: &str = "/sites/fernhollow/counter-1/2";

/// The same estate with prices: 5.00 EUR/L, 1.40 EUR a drink, 700 portions of each line.
async fn price(here: &Here, cost: &str) {
    let mut priced = estate();
    priced.group.remade = Some("1.40".parse().unwrap());
    priced.products.values_mut().for_each(|product| product.cost = Some(cost.parse().unwrap()));
    for site in priced.sites.values_mut() {
        let lines = site.machines.values_mut().flat_map(|machine| machine.lines.values_mut());
        lines.for_each(|line| line.portions = Some(700.into()));
    }
    let drafts = ouncewise_report::described(&estate(), &priced, "2026-03-01T08:00:00.000Z");
    here.store.append(drafts).await.unwrap();
    here.store.follow().await.unwrap();
}

/// A technician was called to the machine, for so much.
async fn call(here: &Here, cost: Option<&str>) {
    let body = Body::TechnicianCalled {
        fault: "leaks".to_owned(),
        cost: cost.map(ToOwned::to_owned),
        out: None,
    };
    let like: Record = caught("fernhollow", "counter-1", "2", "2026-02-24", "30 mL", 70).record;
    let subject = Subject::machine("counter-1");
    let record = Record { id: Uuid::now_v7(), subject, body, ..like };
    here.store.append(vec![Draft::from(record)]).await.unwrap();
    here.store.follow().await.unwrap();
}

async fn money(here: &Here) -> Value {
    let (status, text) = get(&here.app, "/api/v1/lines/fernhollow/counter-1/2").await;
    assert_eq!(status, StatusCode::OK, "{text}");
    let line: Value = serde_json::from_str(&text).unwrap();
    line["standing"]["money"].clone()
}

fn amount(money: &Value, kind: &str) -> Option<f64> {
    let items = money["a_week"].as_array().unwrap();
    items.iter().find(|item| item["kind"] == kind)?["amount"].as_f64()
}

#[tokio::test]
async fn what_nobody_stated_is_not_reckoned_and_is_asked_for() {
    let here = demo().await;
    let (_, page) = get(&here.app, LINE).await;
    assert!(page.contains("Not stated, and so left out: what a litre of Smoked honey costs"));
    assert!(page.contains("how many portions") && page.contains("made again, with the group"));
    let none = money(&here).await;
    assert_eq!(none["a_week"].as_array().unwrap().len(), 0, "{none}");
    assert_eq!(none["not_stated"].as_array().unwrap().len(), 3, "{none}");
    // A price by the kilogram says nothing of a portion in mL.
    price(&here, "5.00 EUR/kg").await;
    let by_weight = money(&here).await;
    assert_eq!(amount(&by_weight, "given-away"), None, "{by_weight}");
    assert_eq!(by_weight["not_stated"].as_array().unwrap().len(), 1, "{by_weight}");
}

/// By hand: by three readings of 36.4 mL and what was expected before them the line stands at 36.12 mL where 30 are asked, and
/// 6.12 mL of 700 portions at 5.00 EUR/L are 21.42 EUR; three catches of 30 mL in the three weeks since the first are 0.15 EUR; a call of
/// 260 EUR in a year for its machine's three lines is 1.67 EUR a week for one. Nothing is short.
#[tokio::test]
async fn a_line_costs_what_the_stated_prices_come_to_each_number_by_itself() {
    let here = demo().await;
    price(&here, "5.00 EUR/L").await;
    call(&here, Some("260.00 EUR")).await;
    call(&here, None).await;
    let told = money(&here).await;
    let near = |kind: &str, want: f64, within: f64| {
        let got = amount(&told, kind).unwrap_or_else(|| panic!("{kind}: {told:#}"));
        assert!((got - want).abs() < within, "{kind}: {got}, {told:#}");
    };
    near("given-away", 21.42, 0.02);
    near("made-again", 0.0, 0.01);
    near("poured-away", 0.15, 0.001);
    near("technician", 260.0 / 3.0 / 52.0, 1e-9);
    assert_eq!(told["not_stated"].as_array().unwrap().len(), 1, "{told}");
    let (_, page) = get(&here.app, LINE).await;
    for words in [
        "What it costs a week",
        "1.67 EUR a week",
        "what 1 call of a technician cost",
        "not added up",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    let (_, week) = get(&here.app, "/api/v1/week?top=1").await;
    let week: Value = serde_json::from_str(&week).unwrap();
    // A list reads no histories: it tells what the line's standing tells.
    let listed = week["lines"][0]["money"]["a_week"].as_array().unwrap();
    let kinds: Vec<&Value> = listed.iter().map(|item| &item["kind"]).collect();
    assert_eq!(kinds, ["given-away", "made-again"], "{week}");
    assert!(listed.iter().all(|item| told["a_week"].as_array().unwrap().contains(item)), "{week}");
}

#[tokio::test]
async fn too_few_readings_are_not_charted_and_the_page_says_so() {
    let here = demo().await;
    let (status, page) = get(&here.app, &format!("{LINE}/charts")).await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("20 are needed before limits say anything"), "{page}");
    assert!(!page.contains("class=\"chart control\""));
    assert_eq!(
        get(&here.app, "/sites/fernhollow/counter-1/9/charts").await.0,
        StatusCode::NOT_FOUND
    );
}

/// Thirty weeks within 1 % of the target, and then 33 mL: more than three standard deviations of neighbours, on every chart.
#[tokio::test]
async fn a_reading_that_stands_out_signals_on_the_charts_and_asks_nobody_to_adjust() {
    let here = demo().await;
    let start: Date = date(2025, 6, 2);
    let mut drafts = Vec::new();
    for week in 0..31_u64 {
        let day = (start + jiff::Span::new().weeks(i64::try_from(week).unwrap())).to_string();
        let amount = match week {
            30 => "33 mL".to_owned(),
            week => format!("{:.1} mL", 29.8 + 0.1 * (week * 7 % 5) as f64),
        };
        drafts.push(caught("mossgate", "counter-1", "1", &day, &amount, 100 + week));
    }
    here.store.append(drafts).await.unwrap();
    here.store.follow().await.unwrap();
    let at = "/api/v1/sites/mossgate/machines/counter-1/lines/1/charts";
    let (_, text) = get(&here.app, at).await;
    let charts: Value = serde_json::from_str(&text).unwrap();
    // The three of the demo come later, at 30.6 mL.
    assert_eq!(charts["readings"], 34, "{charts:#}");
    let point = &charts["points"][30];
    assert_eq!(point["at"].as_str().unwrap().get(..10), Some("2025-12-29"));
    assert!((point["off"].as_f64().unwrap() - 0.1).abs() < 1e-9);
    for chart in ["single", "range", "average", "sum"] {
        assert!(point["signals"].as_array().unwrap().contains(&chart.into()), "{chart}: {point}");
    }
    assert_eq!(charts["points"][10]["signals"].as_array().unwrap().len(), 0);
    let (_, page) = get(&here.app, "/sites/mossgate/counter-1/1/charts").await;
    assert_eq!(page.matches("class=\"chart control\"").count(), 8, "four, wide and narrow");
    assert!(page.contains("Nobody is asked to adjust by a signal"), "{page}");
    assert!(page.contains("where the target was changed, those of before signal"), "{page}");
    assert!(page.contains("<td>+10 %</td>") && page.contains("single, range, average, sum"));
    let (_, line) = get(&here.app, "/sites/mossgate/counter-1/1").await;
    assert!(line.contains("href=\"/sites/mossgate/counter-1/1/charts\""));
}

#[tokio::test]
async fn a_family_of_few_machines_keeps_its_stated_priors() {
    let here = demo().await;
    let (_, page) = get(&here.app, "/setup/behaviour").await;
    assert!(page.contains("In force: stated priors"), "{page}");
    let (status, _, page) = post(&here.app, "/setup/behaviour", &[("family", "screw")]).await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("Fewer than 20 machines tell too little"), "{page}");
    assert!(!page.contains("Adopt what was learnt"));
    let adopt = [("family", "screw"), ("adopt", "yes")];
    let (_, _, page) = post(&here.app, "/setup/behaviour", &adopt).await;
    assert!(!page.contains("Adopted"), "{page}");
    let (status, _, page) = post(&here.app, "/setup/behaviour", &[("family", "scew")]).await;
    assert_eq!(status, StatusCode::NOT_FOUND);
    assert!(page.contains("Did you mean `screw`?"), "{page}");
}

/// Twenty machines of one line each that lose 1 % a week over twelve weeks: the records tell the drift, and are adopted.
#[tokio::test]
async fn what_twenty_machines_tell_is_adopted_on_a_page() {
    let here = demo().await;
    let mut many: Estate = estate();
    let site = many.sites.get_mut("mossgate").unwrap();
    let like = site.machines["counter-1"].clone();
    for machine in 1..=20 {
        site.machines.insert(format!("m-{machine}").parse().unwrap(), like.clone());
    }
    let described = ouncewise_report::described(&estate(), &many, "2026-01-06T08:00:00.000Z");
    here.store.append(described).await.unwrap();
    let mut drafts = Vec::new();
    for machine in 1..=20_u32 {
        for week in 0..12_u32 {
            let day = (date(2025, 12, 1) + jiff::Span::new().weeks(week)).to_string();
            let chance = f64::from((machine * 7 + week * 5) % 11) * 0.05 - 0.25;
            let amount = format!("{:.1} mL", 31.5 - 0.3 * f64::from(week) + chance);
            let name = format!("m-{machine}");
            drafts.push(caught("mossgate", &name, "1", &day, &amount, u64::from(200 + week)));
        }
    }
    here.store.append(drafts).await.unwrap();
    here.store.follow().await.unwrap();
    let (_, _, page) = post(&here.app, "/setup/behaviour", &[("family", "screw")]).await;
    assert!(page.contains("Adopt what was learnt"), "{page}");
    assert!(page.contains("how much it changes in a week"), "{page}");
    let adopt = [("family", "screw"), ("adopt", "yes")];
    let (_, _, page) = post(&here.app, "/setup/behaviour", &adopt).await;
    assert!(page.contains("Adopted."), "{page}");
    here.store.follow().await.unwrap();
    let (_, page) = get(&here.app, "/setup/behaviour").await;
    assert!(page.contains("In force: record "), "{page}");
}
