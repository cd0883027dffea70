//! A sheet goes in, and comes out again.

use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use proptest::prelude::*;

use super::LARGEST;
use crate::App;
use crate::testing::{empty, get, post, send, text};

const SHEET: &str = "Our log,,,,\nSite,Flavour,Date,Before (ml),Seconds\nFern Hollow,Gooseberry,2026-02-02,31,7\n\
     Fern Hollow,Gooseberry,2026-02-09,\"30,5\",7.1\nFern Hollow,Honey,2026-02-09,OK,\nFern Hollow,Honey,2026-02-16,39,7\nFern Hollow,Honey,someday,30,7\n";

/// Sends a file, and gives the status, where it leads, and the page.
async fn upload(app: &App, name: &str, bytes: &[u8]) -> (StatusCode, String, String) {
    let mut body = format!("--X\r\nContent-Disposition: form-data; name=\"sheet\"; filename=\"{name}\"\r\nContent-Type: application/octet-stream\r\n\r\n").into_bytes();
    body.extend_from_slice(bytes);
    body.extend_from_slice(b"\r\n--X--\r\n");
    let request =
        Request::post("/bring").header(header::CONTENT_TYPE, "multipart/form-data; boundary=X");
    let response = send(app, request, Body::from(body)).await;
    let to = response.headers().get(header::LOCATION);
    let to = to.map_or(String::new(), |to| to.to_str().unwrap().to_owned());
    (response.status(), to, text(response).await)
}

#[tokio::test(flavor = "multi_thread")]
async fn a_sheet_goes_in_once_and_can_be_taken_back() {
    let here = empty().await;
    let (status, at, page) = upload(&here.app, "our log.csv", SHEET.as_bytes()).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    let (_, page) = get(&here.app, &at).await;
    assert!(page.contains("Before (ml)") && page.contains("31 · 30,5 · OK"), "{page}");
    assert!(page.contains("Keep these 4 records"), "{page}");
    assert!(page.contains("31 mL in 7 s, as found"), "{page}");
    let (_, out) = get(&here.app, &format!("{at}/left-out.csv")).await;
    assert!(out.contains("someday"), "{out}");
    assert!(here.store.heads().await.unwrap().is_empty(), "nothing is kept yet");

    for _ in 0..2 {
        let (status, headers, page) = post(&here.app, &at, &[("act", "keep")]).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
        assert_eq!(headers[header::LOCATION], format!("{at}/kept"));
    }
    let (_, page) = get(&here.app, &format!("{at}/kept")).await;
    assert!(page.contains("4 records in") && page.contains("4 added"), "{page}");
    let (_, page) = get(&here.app, "/").await;
    assert!(page.contains("Gooseberry") && page.contains("Fern Hollow"), "{page}");

    // The same file again: read the same way, and nothing new in it.
    let (_, again, _) = upload(&here.app, "our log.csv", SHEET.as_bytes()).await;
    let (_, page) = get(&here.app, &again).await;
    assert!(page.contains("was brought in before: this one is read the same way"), "{page}");
    post(&here.app, &again, &[("act", "keep")]).await;
    let (_, page) = get(&here.app, &format!("{again}/kept")).await;
    assert!(page.contains("0 added, 4 there already"), "{page}");

    let (_, page) = get(&here.app, "/bring").await;
    let from = page.rfind("/bring/back/").expect("the first load can be taken back");
    let back = page[from..].split('"').next().unwrap().to_owned();
    let (_, sure) = get(&here.app, &back).await;
    assert!(sure.contains("Withdraw 4 records"), "{sure}");
    for _ in 0..2 {
        assert_eq!(post(&here.app, &back, &[]).await.0, StatusCode::SEE_OTHER);
    }
    let (_, page) = get(&here.app, "/bring").await;
    assert_eq!(page.matches("withdrawn ").count(), 1, "{page}");
    assert_eq!(here.store.verify().await.unwrap().misfit, None);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_corrected_column_changes_what_becomes_of_it() {
    let here = empty().await;
    let (_, at, _) = upload(&here.app, "log.csv", SHEET.as_bytes()).await;
    let (status, ..) = post(&here.app, &at, &[("means-D", "nothing"), ("act", "look")]).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let (_, page) = get(&here.app, &at).await;
    assert!(page.contains("Nothing here can be read as a record yet"), "{page}");
    let (status, _, page) = post(&here.app, &at, &[("means-D", "gold"), ("act", "look")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("href=\"#means-D\""), "{page}");
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_no_sheet_is_said_so() {
    let here = empty().await;
    for (name, bytes) in [
        ("", &b""[..]),
        ("empty.csv", b""),
        ("heading.csv", b"Site,Line,Date,Amount\n"),
        ("picture.png", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"),
        ("locked.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 and so on"),
        ("broken.xlsx", b"PK\x03\x04 and then nothing of it"),
    ] {
        let (status, at, page) = upload(&here.app, name, bytes).await;
        let page = if at.is_empty() { page } else { get(&here.app, &at).await.1 };
        let told = page.contains("There is a problem") || page.contains("Nothing here can be read");
        assert!(told && (status.is_client_error() || !at.is_empty()), "{name}: {status} {page}");
    }
    let large = vec![b'a'; LARGEST + 1];
    let (status, _, page) = upload(&here.app, "large.csv", &large).await;
    assert_eq!(status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(page.contains("larger than 32 MB"), "{page}");
    let (status, page) = get(&here.app, "/bring/01956a52-0000-7000-8000-000000000001").await;
    assert_eq!(status, StatusCode::NOT_FOUND);
    assert!(page.contains("Choose the file again"), "{page}");
}

#[tokio::test(flavor = "multi_thread")]
async fn only_so_many_sheets_are_held() {
    let here = empty().await;
    let (_, first, _) = upload(&here.app, "log.csv", SHEET.as_bytes()).await;
    for _ in 0..8 {
        upload(&here.app, "log.csv", SHEET.as_bytes()).await;
    }
    assert_eq!(get(&here.app, &first).await.0, StatusCode::NOT_FOUND);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]
    #[test]
    fn whatever_is_sent_is_answered(bytes in proptest::collection::vec(any::<u8>(), 0..400), rows in "([ -~]{0,12},){0,4}\n([0-9,./ a-z]{0,20}\n){0,8}", means in ".{0,12}", answer in ".{0,20}") {
        let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let here = empty().await;
            for bytes in [&bytes[..], rows.as_bytes()] {
                let (status, at, page) = upload(&here.app, "any", bytes).await;
                prop_assert!(!status.is_server_error(), "{status} {page}");
                if !at.is_empty() {
                    for act in ["look", "keep"] {
                        let (status, _, page) = post(&here.app, &at, &[("means-A", &means), ("answer-0", &answer), ("act", act)]).await;
                        prop_assert!(!status.is_server_error(), "{status} {page}");
                    }
                    let (status, page) = get(&here.app, &at).await;
                    prop_assert!(!status.is_server_error(), "{status} {page}");
                }
            }
            Ok(())
        })?;
    }
}
