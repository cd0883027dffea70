//! What is odd on the form of catches is asked before it is recorded; what cannot be read says what is wrong with it.

use axum::http::StatusCode;
use ouncewise_ledger::{Body, LineState};

use crate::testing::{demo, get, post};

const RECORD: &str = "/sites/fernhollow/counter-1/record";

/// A form with the usual answers, and these.
fn with<'t>(more: &[(&'t str, &'t str)]) -> Vec<(&'t str, &'t str)> {
    let usual = [
        ("form", "01956a52-0000-7000-8000-000000000009"),
        ("day", "2026-03-02"),
        ("time", "06:40"),
        ("how", "paper"),
        ("found-draw-1", "7 s"),
        ("measure-1", "cylinder"),
    ];
    usual.into_iter().chain(more.iter().copied()).collect()
}

#[tokio::test]
async fn a_slip_of_the_decimal_point_is_asked_about_and_may_be_true() {
    let here = demo().await;
    let (status, _, page) = post(&here.app, RECORD, &with(&[("found-1", "3.0")])).await;
    assert_eq!(status, StatusCode::OK, "{page}");
    let asked = "3.0 mL is 10 % of the target of 30 mL: a slip of the decimal point";
    assert!(page.contains(asked) && page.contains("name=\"sure\""), "{page}");
    let keep = [("found-1", "3.0"), ("act", "keep")];
    let (status, _, page) = post(&here.app, RECORD, &with(&keep)).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("href=\"#sure\"") && page.contains("id=\"sure-fault\""), "{page}");
    let sure: Vec<_> = keep.into_iter().chain([("sure", "yes")]).collect();
    let (status, _, page) = post(&here.app, RECORD, &with(&sure)).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    // What is not odd asks nothing.
    let (_, _, page) = post(&here.app, RECORD, &with(&[("found-1", "29.8")])).await;
    assert!(!page.contains("name=\"sure\""), "{page}");
}

#[tokio::test]
async fn an_adjustment_that_nothing_called_for_is_asked_about() {
    let here = demo().await;
    let typed = [("found-1", "30; 30; 30; 30"), ("done-1", "1/4 turn clockwise")];
    let (_, _, page) = post(&here.app, RECORD, &with(&typed)).await;
    assert!(page.contains("Nothing needed adjusting: as found it was on target"), "{page}");
    assert!(page.contains("Was it adjusted all the same (1/4 turn clockwise)?"), "{page}");
    // A line that is off is adjusted, and nothing is asked.
    let off = [
        ("found-1", "36"),
        ("done-1", "1/4 turn clockwise"),
        ("left-1", "30"),
        ("left-draw-1", "7 s"),
    ];
    let (_, _, page) = post(&here.app, RECORD, &with(&off)).await;
    assert!(!page.contains("Nothing needed adjusting"), "{page}");
}

// What the lines share is seen where all were caught before any was touched: the same order as by a sheet of the same paper.
#[tokio::test]
async fn all_lines_are_found_before_any_is_adjusted() {
    let here = demo().await;
    let mut typed = Vec::new();
    for line in 1..=3 {
        for (name, text) in [
            ("measure", "cylinder"),
            ("found", "36"),
            ("found-draw", "7 s"),
            ("done", "1/4 turn clockwise"),
            ("left", "30"),
            ("left-draw", "7 s"),
        ] {
            typed.push((format!("{name}-{line}"), text));
        }
    }
    let typed = typed.iter().map(|(name, text)| (name.as_str(), *text));
    let typed: Vec<_> = typed.chain([("act", "keep"), ("sure", "yes")]).collect();
    let (status, _, page) = post(&here.app, RECORD, &with(&typed)).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    let mut events = here.store.machine("fernhollow", "counter-1").await.unwrap();
    events.retain(|event| event.record.device == "desk");
    // The same desk described the estate.
    let stages = events.iter().filter_map(|event| match &event.record.body {
        Body::CatchTaken { state: LineState::AsFound, .. } => Some("found"),
        Body::LineAdjusted { .. } => Some("adjusted"),
        Body::CatchTaken { .. } => Some("left"),
        _ => None,
    });
    let expected = ["found", "adjusted", "left"].into_iter().flat_map(|stage| [stage; 3]);
    assert!(stages.eq(expected), "{events:#?}");
}

#[tokio::test]
async fn what_cannot_be_read_says_what_is_wrong_with_it() {
    let here = demo().await;
    for (typed, words) in [
        ("over", "`over` says nothing without a mark, and this measure has many"),
        ("29,6,1", "`29,6,1` has 2 points or commas: a number has one at most, such as 29.6"),
        ("29.6.1 mL", "several readings are parted by ;"),
    ] {
        let (status, _, page) = post(&here.app, RECORD, &with(&[("found-1", typed)])).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{typed}: {page}");
        assert!(page.contains(words), "{typed}: {page}");
    }
    let draw = [("found-1", "29.6"), ("found-draw-1", "7,1,2")];
    let (_, _, page) = post(&here.app, RECORD, &with(&draw)).await;
    assert!(page.contains("`7,1,2` has 2 points or commas"), "{page}");
}

#[tokio::test]
async fn lines_that_carry_the_same_are_told_apart_by_their_numbers() {
    let here = demo().await;
    // Lines 1 and 3 carry gooseberry.
    let (_, page) = get(&here.app, "/").await;
    assert!(page.contains("Gooseberry (line 1)") && page.contains("Gooseberry (line 3)"), "{page}");
    assert!(page.contains("Smoked honey"), "{page}");
    assert!(!page.contains("Smoked honey (line"), "{page}");
    let (_, page) = get(&here.app, RECORD).await;
    assert!(page.contains("Line 1: Gooseberry</legend>"), "{page}");
}
