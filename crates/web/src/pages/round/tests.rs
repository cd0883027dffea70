//! Rounds on their form: complete, lacking, wrongly typed, sent twice.

use axum::http::{StatusCode, header};
use ouncewise_estate::Estate;

use crate::testing::{Here, demo, estate, get, post};

const ROUND: &str = "/sites/fernhollow/counter-1/round";
const FORM: &str = "0195540a-c212-7000-8000-00000000aaaa";

/// The small group of the tests, under a food code.
async fn under(profile: &str) -> Here {
    let here = demo().await;
    let before = estate();
    let mut after: Estate = before.clone();
    after.group.jurisdiction = Some(profile.parse().unwrap());
    let described = ouncewise_report::described(&before, &after, "2026-01-06T08:00:00.000Z");
    here.store.append(described).await.unwrap();
    here
}

/// A whole round under the model code, at most six entries beside catches and boxes.
const WHOLE: &[(&str, &str)] = &[
    ("form", FORM),
    ("day", "2026-03-02"),
    ("opened", "06:40"),
    ("by", "Ada Brook"),
    ("how", "paper"),
    ("line-1", "yes"),
    ("line-2", "yes"),
    ("line-3", "yes"),
    ("sanitiser", "new"),
    ("sanitiser-name", "Chlorine tablets"),
    ("sanitiser-lot", "26C"),
    ("sanitiser-expiry", "2027-06"),
    ("sanitiser-active", "chlorine"),
    ("sanitiser-contact", "60 s"),
    ("strips", "new"),
    ("strips-name", "Chlorine strips"),
    ("strips-lot", "S-9"),
    ("strips-expiry", "2026-12-31"),
    // 1. Bucket
    ("dose", "1 sachet"),
    ("water", "10 L"),
    ("temperature", "25 °C"),
    ("strip-bucket", "100"),
    // 2. Outlet
    ("strip-outlet", "100"),
    ("outlet-time", "06:52"),
    // 3. End of the contact time
    ("contact-end", "2 min"),
    // 4. Emptying
    ("drained", "open"),
    ("discarded", "yes"),
    // 5. Parts
    ("parts-good", "yes"),
    ("lubricant", "Seal film"),
    // 6. Product
    ("product-temperature", "4 °C"),
    ("product-lot", "G-118"),
    ("product-opened", "2026-03-01"),
];

fn with(changes: &[(&'static str, &'static str)]) -> Vec<(&'static str, &'static str)> {
    let kept = WHOLE.iter().filter(|(name, _)| !changes.iter().any(|(other, _)| other == name));
    kept.chain(changes).copied().collect()
}

#[tokio::test]
async fn the_form_asks_what_the_food_code_asks_and_stands_under_its_cautions() {
    let here = under("model-code").await;
    let (status, page) = get(&here.app, ROUND).await;
    assert_eq!(status, StatusCode::OK);
    for words in [
        "Model food code (US)",
        "Follow the product label",
        "gives off chlorine gas",
        "Unplug the machine",
        "Vent or open nothing that holds pressure",
        "<legend>6. Product</legend>",
        "A second person’s look (good to have)",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    assert_eq!(page.matches("<legend>7").count(), 0, "six entries");
    // A rinse is the rule of the other profile, which asks for other records.
    let other = under("uk-rinse").await;
    let (_, page) = get(&other.app, ROUND).await;
    assert!(page.contains("uk-rinse"), "{page}");
    // Where no food code is in force, it is said so, and where to name one.
    let none = demo().await;
    let (_, page) = get(&none.app, ROUND).await;
    assert!(page.contains("No food code is in force here"), "{page}");
}

#[tokio::test]
async fn a_whole_round_is_complete_and_recorded_once() {
    let here = under("model-code").await;
    let (status, _, page) = post(&here.app, ROUND, WHOLE).await;
    assert_eq!(status, StatusCode::OK, "{page}");
    assert!(page.contains("The round is complete."), "{page}");
    assert!(page.contains("strip at the outlet: strip class 100"), "{page}");
    assert!(!page.contains("A question:"), "{page}");
    let (_, page) = get(&here.app, "/sites/fernhollow/counter-1").await;
    assert!(page.contains("No round was recorded yet."), "nothing is recorded before the button");
    for _ in 0..2 {
        let (status, headers, page) = post(&here.app, ROUND, &with(&[("act", "keep")])).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
        assert_eq!(headers[header::LOCATION], format!("{ROUND}/{FORM}"));
    }
    let (_, page) = get(&here.app, &format!("{ROUND}/{FORM}")).await;
    assert!(page.contains("The round is complete."), "{page}");
    let (_, page) = get(&here.app, "/sites/fernhollow/counter-1").await;
    assert!(page.contains("<strong>complete</strong>"), "{page}");
    let (_, json) = get(&here.app, "/api/v1/sites/fernhollow/machines/counter-1/rounds").await;
    let report: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(report["rounds"].as_array().unwrap().len(), 1);
    assert_eq!(report["rounds"][0]["state"], "complete");
    assert_eq!(report["rounds"][0]["profile"], "model-code");
    // The next form takes the boxes that are open, so that nothing of them is keyed in again.
    let (_, page) = get(&here.app, ROUND).await;
    assert!(page.contains("selected>Chlorine tablets, lot 26C"), "{page}");
    // A line's history shows that it was sanitised and drained.
    let (_, page) = get(&here.app, "/sites/fernhollow/counter-1/2").await;
    assert!(page.contains("<td>sanitised</td>") && page.contains("<td>drained</td>"), "{page}");
}

#[tokio::test]
async fn a_round_that_lacks_something_says_exactly_what_and_is_kept() {
    let here = under("model-code").await;
    let lacking = with(&[
        ("line-3", ""),
        ("lubricant", ""),
        ("verified", "ada brook"),
        ("contact-end", "20 s"),
        ("act", "keep"),
    ]);
    let (status, ..) = post(&here.app, ROUND, &lacking).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let (_, page) = get(&here.app, &format!("{ROUND}/{FORM}")).await;
    for words in [
        "The round is incomplete.",
        "It lacks 6 records",
        "The strip at the outlet (line 3).",
        "The lubricant.",
        "20 s",
        "60 s are asked: was it longer?",
        "did a second person look?",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    let (_, page) = get(&here.app, "/sites/fernhollow/counter-1").await;
    assert!(
        page.contains("<strong>incomplete</strong>") && page.contains("Lacks 6 records"),
        "{page}"
    );
}

#[tokio::test]
async fn what_cannot_be_understood_is_told_beside_its_field_all_at_once() {
    let here = under("model-code").await;
    for (changes, says) in [
        (&[("water", "ten")][..], "like 10 L"),
        (&[("temperature", "25 g")], "like 25 °C"),
        (&[("strip-bucket", "pale")], "like 100"),
        (&[("strip-outlet", "100 of 10/50/100/200")], "like 100"),
        (&[("outlet-time", "six")], "like 06:40"),
        (&[("outlet-time", "06:10")], "before what went before it"),
        (&[("contact-end", "long")], "like 2 min"),
        (&[("outlet-time", ""), ("contact-end", "2 min")], "when the contact time began"),
        (&[("sanitiser-expiry", "next year")], "like 2027-06"),
        (&[("sanitiser-strength", "strong")], "like 100 to 200 ppm"),
        (&[("sanitiser-strength", "200 to 100 ppm")], "the range falls"),
        (&[("sanitiser", FORM)], "choose one of the boxes"),
        (&[("opened", "")], "when the round began"),
        (&[("day", "2026-03-09")], "still to come"),
        (&[("happened", "it foamed")], "what was done about it"),
        (&[("line-1", ""), ("line-2", ""), ("line-3", "")], "tick the lines"),
        (&[("ph", "15")], "from 0 to 14"),
    ] {
        let (status, _, page) = post(&here.app, ROUND, &with(changes)).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{changes:?}");
        let says = crate::wrong::sentence(says);
        let lower = page.to_lowercase();
        assert!(lower.contains(&says.trim_end_matches('.').to_lowercase()), "{changes:?}: {page}");
    }
    let (_, _, page) = post(&here.app, ROUND, &with(&[("water", "ten"), ("ph", "x")])).await;
    assert_eq!(page.matches("class=\"fault\"").count(), 2, "{page}");
    assert!(page.contains("value=\"ten\""), "what was typed stays");
    let (status, ..) = post(&here.app, ROUND, &[("day", "2026-03-02"), ("opened", "06:40")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
}

/// What the box's label allows is written down when it is opened, and each later round is held to it: 50 mg/L at 25 °C is a row of
/// the code (HY-02, READ), and not of this label.
#[tokio::test]
async fn the_strength_on_a_boxs_label_is_typed_once_and_held_in_later_rounds() {
    let here = under("model-code").await;
    let first = with(&[
        ("sanitiser-strength", "100 to 200 ppm"),
        ("sanitiser-signal-word", "DANGER"),
        ("act", "keep"),
    ]);
    // What works in it need not be said for that.
    let typed = [("sanitiser-signal-word", "WARNING"), ("sanitiser-active", ""), ("act", "change")];
    let typed = with(&typed);
    let (_, _, page) = post(&here.app, ROUND, &typed).await;
    assert!(page.contains("<strong>WARNING: </strong>"), "of the new box, as it is typed: {page}");
    let (status, ..) = post(&here.app, ROUND, &first).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let (_, page) = get(&here.app, ROUND).await;
    let before = page.split("selected>Chlorine tablets").next().unwrap();
    let open = before.rsplit("value=\"").next().unwrap().split('"').next().unwrap().to_owned();
    let open: &'static str = Box::leak(open.into_boxed_str());
    assert!(page.contains("<strong>DANGER: </strong>"), "the label's word, as it stands there");
    let (_, page) = get(&here.app, "/records/fernhollow").await;
    assert!(page.contains("label strength 100 to 200 ppm, signal word DANGER"), "{page}");
    let next = |class: &'static str| {
        with(&[
            ("form", "0195540a-c212-7000-8000-00000000bbbb"),
            ("opened", "08:40"),
            ("outlet-time", "08:52"),
            ("sanitiser", open),
            ("sanitiser-name", ""),
            ("sanitiser-lot", ""),
            ("sanitiser-expiry", ""),
            ("sanitiser-active", ""),
            ("sanitiser-contact", ""),
            ("strip-bucket", class),
            ("strip-outlet", class),
        ])
    };
    let (status, _, page) = post(&here.app, ROUND, &next("100")).await;
    assert_eq!(status, StatusCode::OK, "{page}");
    assert!(page.contains("The round is complete."), "{page}");
    let (_, _, page) = post(&here.app, ROUND, &next("50")).await;
    assert!(page.contains("The round is incomplete."), "{page}");
    assert!(page.contains("the label of “Chlorine tablets” asks 100 mg/L or more"), "{page}");
}

/// HY-04 (READ): 12.5 mg/L is the least of iodine.
#[tokio::test]
async fn a_comma_in_a_strips_class_is_a_decimal() {
    let here = under("model-code").await;
    let iodine = with(&[
        ("sanitiser-active", "iodine"),
        ("strips-active", "iodine"),
        ("strip-bucket", "12,5"),
        ("strip-outlet", "12,5"),
    ]);
    let (status, _, page) = post(&here.app, ROUND, &iodine).await;
    assert_eq!(status, StatusCode::OK, "{page}");
    assert!(page.contains("strip at the outlet: strip class 12.5"), "{page}");
    assert!(page.contains("The round is complete."), "{page}");
}

/// HY-01 to HY-03, HY-07 and HY-10: what is on record and does not hold is no complete round.
#[tokio::test]
async fn sanitising_that_fails_is_asked_about_and_is_not_complete() {
    let here = under("model-code").await;
    let typed = with(&[
        ("temperature", "5 °C"),
        ("strip-bucket", "10"),
        ("strip-outlet", "0"),
        ("contact-end", "2 s"),
    ]);
    let (status, _, page) = post(&here.app, ROUND, &typed).await;
    assert_eq!(status, StatusCode::OK, "{page}");
    for words in [
        "The round is incomplete.",
        "did not hold",
        "at 5 °C",
        "bucket reads 10 mg/L",
        "outlet reads 0 mg/L",
        "the contact time was 2 s",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    // Also where something is lacking besides, on the form and once it is recorded.
    let lacking = [("strip-outlet", "0"), ("contact-end", "2 s"), ("lubricant", "")];
    let (_, _, page) = post(&here.app, ROUND, &with(&lacking)).await;
    assert!(page.contains("did not hold") && page.contains("It lacks 1 record"), "{page}");
    post(&here.app, ROUND, &with(&[&lacking[..], &[("act", "keep")]].concat())).await;
    let (_, page) = get(&here.app, &format!("{ROUND}/{FORM}")).await;
    assert!(page.contains("did not hold") && page.contains("It lacks 1 record"), "{page}");
    let (_, json) = get(&here.app, "/api/v1/sites/fernhollow/machines/counter-1/rounds").await;
    let report: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(report["rounds"][0]["failed"], serde_json::json!(["strip-outlet", "contact-end"]));
    let typed = with(&[("strip-outlet", "10"), ("contact-end", "2 s")]);
    let (_, _, page) = post(&here.app, ROUND, &typed).await;
    assert!(page.contains("The round is incomplete."), "{page}");
    // HY-62: strips for quats say nothing of chlorine.
    let (_, _, page) = post(&here.app, ROUND, &with(&[("strips-active", "quat")])).await;
    assert!(page.contains("The round is incomplete."), "{page}");
    assert!(page.contains("were they the right strips?"), "{page}");
}
