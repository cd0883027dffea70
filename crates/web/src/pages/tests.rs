//! Pages as a browser meets them.

use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use proptest::prelude::*;

use crate::testing::{Here, demo, empty, get, post};

#[tokio::test]
async fn an_empty_ledger_says_what_to_do_first() {
    let here = empty().await;
    let (status, page) = get(&here.app, "/").await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("href=\"/bring\""), "{page}");
    assert!(page.contains("ouncewise demo"), "{page}");
    for path in [
        "/sites",
        "/records",
        "/docs",
        "/setup",
        "/bring",
        "/calculate",
        "/calculate/flush",
        "/calculate/strength",
    ] {
        assert_eq!(get(&here.app, path).await.0, StatusCode::OK, "{path}");
    }
}

#[tokio::test]
async fn the_worst_line_comes_first_with_its_reason_and_one_act() {
    let here = demo().await;
    let (_, page) = get(&here.app, "/").await;
    let worst =
        page.find("/sites/fernhollow/counter-1/2").expect("the line that is far off is listed");
    let right = page.find("/sites/fernhollow/counter-1/1").unwrap_or(usize::MAX);
    assert!(worst < right, "{page}");
    let first = &page[worst..];
    let first = &first[..first.find("</li>").unwrap()];
    assert!(first.contains("off target") && first.contains("+20 %"), "{first}");
    assert!(first.contains("by its history") && first.contains("21.3 % over"), "{first}");
    assert!(first.contains("turn clockwise") || first.contains("clockwise"), "{first}");
}

#[tokio::test]
async fn what_is_not_there_is_said_so_and_what_is_near_is_named() {
    let here = demo().await;
    for (path, near) in [
        ("/nowhere", "this week"),
        ("/sites/fernholow", "fernhollow"),
        ("/sites/fernhollow/counter-9", "counter-9"),
        ("/sites/fernhollow/counter-1/9", "fernhollow/counter-1/"),
        ("/sites/Fern%20Hollow/x/y", "Fern Hollow"),
        ("/records/nowhere", "nowhere"),
        ("/docs/nowhere", "nowhere"),
    ] {
        let (status, page) = get(&here.app, path).await;
        assert!(status.is_client_error(), "{path}: {status}");
        assert!(page.contains(near), "{path}: {page}");
        assert!(page.contains("<h1>"), "{path}");
    }
}

#[tokio::test]
async fn a_line_shows_its_chart_its_numbers_and_its_doubt() {
    let here = demo().await;
    let (status, page) = get(&here.app, "/sites/fernhollow/counter-1/2").await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(page.matches("class=\"chart line\"").count(), 2, "wide and narrow");
    assert_eq!(page.matches("<td>36.4 mL in 7 s</td>").count(), 3, "a row for each catch");
    assert!(page.contains("Where the doubt of the last catch comes from"));
    assert!(page.contains("This catch shows"));
    let (_, page) = get(&here.app, "/sites/fernhollow/counter-1").await;
    assert!(page.contains("class=\"chart machine\""), "{page}");
    let (_, page) = get(&here.app, "/sites/fernhollow/counter-2/1").await;
    assert!(page.contains("Nothing was recorded yet"), "{page}");
}

#[tokio::test]
async fn a_machine_sheet_is_printed_with_its_own_style() {
    let here = demo().await;
    let (_, page) = get(&here.app, "/sites/fernhollow/counter-1/sheet?paper=letter").await;
    assert!(page.contains("/sites/fernhollow/counter-1/sheet.css?paper=letter"), "{page}");
    assert!(!page.contains("<style"), "a page carries no style of its own");
    let (status, style) =
        get(&here.app, "/sites/fernhollow/counter-1/sheet.css?paper=letter").await;
    assert_eq!(status, StatusCode::OK);
    assert!(style.contains("@page"), "{style}");
}

fn fields<'a>(form: &'a str, more: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let mut all = vec![
        ("form", form),
        ("day", "2026-03-02"),
        ("time", "06:40"),
        ("by", "Bo"),
        ("how", "paper"),
        ("act", "check"),
        ("found-draw-1", "7"),
        ("found-draw-2", "7"),
        ("measure-1", "cylinder"),
        ("measure-2", "cylinder"),
        ("left-draw-2", "7"),
    ];
    for (name, value) in more {
        match all.iter_mut().find(|(known, _)| known == name) {
            Some(field) => field.1 = value,
            None => all.push((name, value)),
        }
    }
    all
}

const RECORD: &str = "/sites/fernhollow/counter-1/record";
const FORM: &str = "01956a52-0000-7000-8000-000000000001";

async fn catches(here: &Here) -> u64 {
    here.store.heads().await.unwrap().iter().find(|h| h.site.as_str() == "fernhollow").unwrap().size
}

#[tokio::test]
async fn catches_are_checked_and_then_recorded_once() {
    let here = demo().await;
    let before = catches(&here).await;
    let (_, blank) = get(&here.app, RECORD).await;
    assert!(blank.contains("name=\"found-3\"") && blank.contains("value=\"7 s\""), "{blank}");
    let typed = [
        ("found-1", "29,6"),
        ("found-2", "36.4"),
        ("done-2", "1/2 turn clockwise"),
        ("left-2", "30,2"),
    ];
    let (status, _, page) = post(&here.app, RECORD, &fields(FORM, &typed)).await;
    assert_eq!(status, StatusCode::OK, "{page}");
    assert!(page.contains("29.6 mL in 7 s"), "it echoes what it understood: {page}");
    assert!(page.contains("off target") && page.contains("on target"), "{page}");
    assert_eq!(catches(&here).await, before, "nothing is recorded yet");

    let keep: Vec<_> = typed.iter().copied().chain([("act", "keep")]).collect();
    for _ in 0..50 {
        let (status, headers, page) = post(&here.app, RECORD, &fields(FORM, &keep)).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
        assert_eq!(
            headers[header::LOCATION],
            format!("/sites/fernhollow/counter-1/recorded/{FORM}")
        );
    }
    assert_eq!(catches(&here).await, before + 4, "sent often, recorded once");
    let (_, page) = get(&here.app, &format!("/sites/fernhollow/counter-1/recorded/{FORM}")).await;
    assert!(page.contains("4 entries about 2 lines"), "{page}");

    // The same form with other figures would be a second truth: it is kept aside, and said so.
    let other: Vec<_> =
        keep.iter().copied().filter(|(n, _)| *n != "found-1").chain([("found-1", "31")]).collect();
    let (status, _, page) = post(&here.app, RECORD, &fields(FORM, &other)).await;
    assert_eq!(status, StatusCode::CONFLICT, "{page}");
    assert_eq!(here.store.verify().await.unwrap().misfit, None);
}

#[tokio::test]
async fn faults_stand_together_and_beside_their_fields_and_what_was_typed_stays() {
    let here = demo().await;
    let typed = [
        ("found-1", "29.6 oz"),
        ("found-2", "thirty"),
        ("day", "2026-13-01"),
        ("how", ""),
        ("measure-1", "nothing"),
    ];
    let (status, _, page) = post(&here.app, RECORD, &fields(FORM, &typed)).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("<title>Error: "), "{page}");
    for field in ["found-2", "day", "how-paper", "measure-1"] {
        assert!(page.contains(&format!("href=\"#{field}\"")), "{field}: {page}");
        assert!(page.contains(&format!("id=\"{field}-fault\"")), "{field}");
        assert!(page.contains(&format!("id=\"{field}\"")), "{field}");
    }
    assert!(page.contains("value=\"thirty\"") && page.contains("value=\"29.6 oz\""), "{page}");
    let future = fields(FORM, &[("day", "2026-03-03"), ("found-1", "30")]);
    assert!(post(&here.app, RECORD, &future).await.2.contains("still to come"));
    let nothing = fields(FORM, &[]);
    assert!(
        post(&here.app, RECORD, &nothing).await.2.contains("nothing is filled in yet")
            || post(&here.app, RECORD, &nothing).await.2.contains("Nothing is filled in yet")
    );
}

#[tokio::test]
async fn a_record_is_withdrawn_once_with_its_reason() {
    let here = demo().await;
    let (_, ledger) = get(&here.app, "/records/fernhollow").await;
    let at = ledger.find("href=\"/records/fernhollow/").unwrap() + 6;
    let path = ledger[at..].split('"').next().unwrap().to_owned();
    let (status, _, page) = post(&here.app, &path, &[("reason", " ")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{page}");
    let before = catches(&here).await;
    for _ in 0..2 {
        let (status, ..) = post(&here.app, &path, &[("reason", "wrong line")]).await;
        assert_eq!(status, StatusCode::SEE_OTHER);
    }
    assert_eq!(catches(&here).await, before + 1);
    let (_, page) = get(&here.app, &path).await;
    assert!(page.contains("Withdrawn: Wrong line."), "{page}");
    let (_, page) = get(&here.app, "/sites/fernhollow/counter-1/3").await;
    assert!(page.contains("Corrected or withdrawn"), "{page}");
}

#[tokio::test]
async fn only_this_machine_is_answered_and_nothing_runs_in_a_page() {
    use axum::body::Body;
    use axum::http::Request;
    use tower::ServiceExt;
    let here = demo().await;
    let ask = |host: &str| {
        let request = Request::get("/").header(header::HOST, host).body(Body::empty()).unwrap();
        crate::router(here.app.clone()).oneshot(request)
    };
    let page = ask("localhost:8037").await.unwrap();
    let policy = page.headers()[header::CONTENT_SECURITY_POLICY].to_str().unwrap();
    assert!(policy.contains("default-src 'none'") && !policy.contains("unsafe"), "{policy}");
    assert_eq!(ask("rebound.example").await.unwrap().status(), StatusCode::MISDIRECTED_REQUEST);
    let cross = Request::post(RECORD)
        .header(header::HOST, "localhost")
        .header("sec-fetch-site", "cross-site")
        .body(Body::empty())
        .unwrap();
    let refused = crate::router(here.app.clone()).oneshot(cross).await.unwrap();
    assert_eq!(refused.status(), StatusCode::FORBIDDEN);
    for path in [
        "/",
        "/sites",
        "/sites/fernhollow",
        "/sites/fernhollow/counter-1",
        "/sites/fernhollow/counter-1/2",
        RECORD,
        "/records/fernhollow",
        "/docs/sheets",
    ] {
        let (_, page) = get(&here.app, path).await;
        assert!(!page.contains(" style=") && !page.contains("<style"), "{path}");
        assert_eq!(page.matches("<script").count(), 1, "{path}");
        assert_eq!(page.matches("<h1").count(), 1, "{path}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]
    #[test]
    fn whatever_is_typed_into_the_form_is_answered(amount in ".{0,40}", draw in ".{0,20}", done in ".{0,60}", day in ".{0,12}", by in ".{0,30}", right in any::<bool>()) {
        let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let here = demo().await;
            let day = if right { "2026-03-02" } else { &day };
            let form = uuid::Uuid::now_v7().to_string();
            for act in ["check", "keep"] {
                let typed = [("found-1", amount.as_str()), ("found-draw-1", &draw), ("done-1", &done), ("left-1", &amount), ("left-draw-1", &draw), ("day", day), ("by", &by), ("act", act)];
                let (status, _, page) = post(&here.app, RECORD, &fields(&form, &typed)).await;
                prop_assert!(!status.is_server_error(), "{status} {page}");
            }
            Ok(())
        })?;
    }
}

#[tokio::test]
async fn a_slash_too_many_leads_to_the_page_and_to_no_other_host() {
    let here = demo().await;
    for (path, to) in [
        ("/calculate/", "/calculate"),
        ("/sites/", "/sites"),
        ("/sites/fernhollow/counter-1/", "/sites/fernhollow/counter-1"),
        ("/docs/?x=1", "/docs?x=1"),
        ("//example.com/", "/example.com"),
    ] {
        let response = crate::testing::send(&here.app, Request::get(path), Body::empty()).await;
        assert_eq!(response.status(), StatusCode::PERMANENT_REDIRECT, "{path}");
        assert_eq!(response.headers()[header::LOCATION], to, "{path}");
    }
    assert_eq!(get(&here.app, "/nowhere").await.0, StatusCode::NOT_FOUND);
    assert_eq!(get(&here.app, "/\\example.com/").await.0, StatusCode::NOT_FOUND);
    assert_eq!(post(&here.app, "/calculate/", &[]).await.0, StatusCode::NOT_FOUND);
}
