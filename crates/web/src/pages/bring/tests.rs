//! A sheet goes in, and comes out again.

mod book;

use std::collections::BTreeMap;

use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use proptest::prelude::*;

use super::uploads::{HELD, LARGEST};
use crate::App;
use crate::testing::{demo, empty, get, post, send, text};
use book::{X, book};

const SHEET: &str = "Our log,,,,\nSite,Flavour,Date,Before (ml),Seconds\n\
    Fern Hollow,Gooseberry,2026-02-02,31,7\nFern Hollow,Gooseberry,2026-02-09,\"30,5\",7.1\n\
    Fern Hollow,Honey,2026-02-09,OK,\nMoss Gate,Honey,2026-02-16,39,7\n\
    Fern Hollow,Honey,someday,30,7\nTotal,,,130,\n";

/// Sends a file, and gives the status, where it leads, and the page.
async fn upload(app: &App, name: &str, bytes: &[u8]) -> (StatusCode, String, String) {
    let head = format!(
        "--X\r\nContent-Disposition: form-data; name=\"sheet\"; filename=\"{name}\"\r\nContent-Type: application/octet-stream\r\n\r\n"
    );
    let body = [head.as_bytes(), bytes, b"\r\n--X--\r\n"].concat();
    let request =
        Request::post("/bring").header(header::CONTENT_TYPE, "multipart/form-data; boundary=X");
    let response = send(app, request, Body::from(body)).await;
    let to = response.headers().get(header::LOCATION);
    let to = to.map_or(String::new(), |to| to.to_str().unwrap().to_owned());
    (response.status(), to, text(response).await)
}

/// One that is taken: where it lies, and its page.
async fn taken(app: &App, name: &str, bytes: &[u8]) -> (String, String) {
    let (status, at, page) = upload(app, name, bytes).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    let (status, page) = get(app, &at).await;
    assert_eq!(status, StatusCode::OK, "{page}");
    (at, page)
}

/// What a browser would send of the page's form: all fields as they stand.
fn fields(page: &str) -> BTreeMap<String, String> {
    let form = &page[page.find("data-keep").expect("the page has its form")..];
    let mut fields = BTreeMap::new();
    let of = |tag: &str, name: &str| {
        let from = tag.find(&format!(" {name}=\""))? + name.len() + 3;
        Some(tag[from..].split('"').next()?.replace("&quot;", "\"").replace("&amp;", "&"))
    };
    let mut select = String::new();
    for tag in form.split('<').skip(1) {
        let tag = tag.split('>').next().unwrap_or_default();
        match tag.split(' ').next() {
            Some("select") => {
                select = of(tag, "name").unwrap();
                fields.entry(select.clone()).or_insert_with(String::new);
            }
            Some("option") if tag.ends_with(" selected") => {
                fields.insert(select.clone(), of(tag, "value").unwrap());
            }
            Some("input") if tag.contains("\"radio\"") && !tag.contains(" checked") => {}
            Some("input") => {
                fields.insert(of(tag, "name").unwrap(), of(tag, "value").unwrap_or_default());
            }
            _ => {}
        }
    }
    fields
}

/// Sends the page's form with some fields changed; gives the status, where it leads, and the page.
async fn sent(
    app: &App,
    at: &str,
    page: &str,
    change: &[(&str, &str)],
) -> (StatusCode, String, String) {
    let mut fields = fields(page);
    for (name, value) in change {
        fields.insert((*name).to_owned(), (*value).to_owned());
    }
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
    let (status, headers, page) = post(app, at, &fields).await;
    let to = headers.get(header::LOCATION).map_or("", |to| to.to_str().unwrap());
    (status, to.to_owned(), page)
}

/// The id of the question in whose words this stands.
fn question(page: &str, words: &str) -> String {
    let at = page.find(words).unwrap_or_else(|| panic!("{words} is asked: {page}"));
    // The label of a field stands before it, the legend before its buttons.
    let name = page[at..].find("name=\"answer-").map(|from| at + from + 6).unwrap();
    page[name..].split('"').next().unwrap().to_owned()
}

fn numbers(page: &str) -> Vec<u64> {
    let result = &page[page.find("id=\"result\"").unwrap()..];
    let numbers = result.split("class=\"number\">").skip(1);
    numbers.map(|rest| rest.split('<').next().unwrap().trim().parse().unwrap()).take(3).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_sheet_goes_in_once_shows_in_the_week_and_is_taken_back() {
    let here = empty().await;
    let (at, page) = taken(&here.app, "our log.csv", SHEET.as_bytes()).await;
    assert!(page.contains("D: Before (ml)") && page.contains("31 · 30,5 · OK"), "{page}");
    assert!(page.contains("2 Feb 2026, Fern Hollow, Gooseberry: 31 mL in 7 s, as found"), "{page}");
    assert_eq!(numbers(&page)[..2], [4, 1], "{page}");
    assert!(page.contains("Keep these 4 records"), "{page}");
    assert!(page.contains("2 sites"), "what is set up for it: {page}");
    let (status, out) = get(&here.app, &format!("{at}/refused.csv")).await;
    assert_eq!(status, StatusCode::OK);
    assert!(out.contains("\"7\",\"D (date)\",\"S040\"") && out.contains("someday"), "{out}");
    assert!(out.contains("\"S073\""), "rows with nothing to load are in it too: {out}");
    assert!(here.store.heads().await.unwrap().is_empty(), "nothing is kept yet");
    assert_eq!(get(&here.app, &format!("{at}/kept")).await.0, StatusCode::SEE_OTHER);

    // Pressed twice, and once more from the page that the back button shows.
    for _ in 0..3 {
        let (status, to, page) = sent(&here.app, &at, &page, &[("act", "keep")]).await;
        assert_eq!((status, to), (StatusCode::SEE_OTHER, format!("{at}/kept")), "{page}");
    }
    let (_, kept) = get(&here.app, &format!("{at}/kept")).await;
    assert!(
        kept.contains("4 records read: 4 added") && kept.contains("href=\"/sites/moss-gate\""),
        "{kept}"
    );
    assert_eq!(
        get(&here.app, &at).await.0,
        StatusCode::SEE_OTHER,
        "what is kept is not read again"
    );
    let (_, out) = get(&here.app, &format!("{at}/refused.csv")).await;
    assert!(out.contains("someday"), "{out}");
    let (_, week) = get(&here.app, "/").await;
    assert!(week.contains("/sites/moss-gate/") && week.contains("Fern Hollow"), "{week}");
    let (_, begin) = get(&here.app, "/bring").await;
    assert_eq!(begin.matches("href=\"/bring/back/").count(), 1, "{begin}");

    let from = kept.find("/bring/back/").expect("it can be taken back");
    let back = kept[from..].split('"').next().unwrap().to_owned();
    let (_, sure) = get(&here.app, &back).await;
    assert!(sure.contains("Take back 4 records") && sure.contains("our log.csv"), "{sure}");
    for _ in 0..2 {
        assert_eq!(post(&here.app, &back, &[]).await.0, StatusCode::SEE_OTHER);
    }
    let (_, done) = get(&here.app, &back).await;
    assert!(done.contains("4 records of our log.csv were withdrawn"), "{done}");
    let (_, begin) = get(&here.app, "/bring").await;
    assert!(
        begin.contains("taken back 2 Mar 2026") && !begin.contains("href=\"/bring/back/"),
        "{begin}"
    );
    let (_, week) = get(&here.app, "/").await;
    assert!(week.contains("Nothing is in here yet"), "what it set up goes with it: {week}");
    assert!(!week.contains("39 mL") && !week.contains("30.5 mL"), "{week}");
    assert_eq!(here.store.verify().await.unwrap().misfit, None);

    // Taken back, the file that is still held can be kept after all.
    assert!(done.contains(&format!("href=\"{at}\"")), "{done}");
    let (_, page) = get(&here.app, &at).await;
    let (_, to, _) = sent(&here.app, &at, &page, &[("act", "keep")]).await;
    let (_, kept) = get(&here.app, &to).await;
    assert!(kept.contains("4 records read: 4 added"), "{kept}");
}

#[tokio::test(flavor = "multi_thread")]
async fn the_same_file_again_adds_nothing_and_is_read_as_before() {
    let here = empty().await;
    let (at, page) = taken(&here.app, "log.csv", SHEET.as_bytes()).await;
    // The readings were taken after, and the site of one row is not to be read.
    let (_, to, _) = sent(&here.app, &at, &page, &[("state-D", "as-left")]).await;
    let (_, page) = get(&here.app, to.split('#').next().unwrap()).await;
    assert!(page.contains("7 s, as left") && !page.contains("7 s, as found"), "{page}");
    sent(&here.app, &at, &page, &[("act", "keep")]).await;
    let (again, page) = taken(&here.app, "another name.csv", SHEET.as_bytes()).await;
    assert!(
        page.contains("read the same way") && page.contains("This very file was brought in"),
        "{page}"
    );
    assert!(page.contains("7 s, as left") && !page.contains("7 s, as found"), "{page}");
    let (_, to, _) = sent(&here.app, &again, &page, &[("act", "keep")]).await;
    let (_, kept) = get(&here.app, &to).await;
    assert!(
        kept.contains("Nothing new in")
            && kept.contains("4 records read: 0 added, 4 there already"),
        "{kept}"
    );
    assert!(!kept.contains("/bring/back/"), "there is nothing to take back: {kept}");
    assert_eq!(here.store.loads().await.unwrap().len(), 1);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_workbook_is_read_at_the_sheet_with_readings() {
    let here = empty().await;
    let day =
        |d| [X::Day(d), X::Text("Fern Hollow"), X::Text("1"), X::Number(29.6), X::Number(7.0)];
    let head = ["Date", "Store", "Line", "ml", "Secs"].map(X::Text);
    let rows: [&[X]; 3] = [&head, &day(46083 - 14), &day(46083 - 7)];
    let other = ["Date", "Store", "Line", "Before (ml)", "Secs"].map(X::Text);
    let april: [&[X]; 2] = [&other, &day(46083 - 21)];
    let note: [&[X]; 1] = [&[X::Text("How to fill this in")]];
    let bytes = book(&[("Read me", &note), ("March", &rows), ("April", &april)]);
    let (at, page) = taken(&here.app, "logs.xlsx", &bytes).await;
    assert!(page.contains("value=\"March\" checked"), "{page}");
    assert!(page.contains("16 Feb 2026, Fern Hollow, line 1: 29.6 mL in 7 s"), "{page}");

    let other = format!("{at}/other");
    let (status, _, page) = post(&here.app, &other, &[("which", "Read me")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        page.contains("href=\"#which\"") && page.contains("No row looks like a heading"),
        "{page}"
    );
    let (status, ..) = post(&here.app, &other, &[("which", "May")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(post(&here.app, &other, &[("which", "April")]).await.0, StatusCode::SEE_OTHER);
    let (_, page) = get(&here.app, &at).await;
    assert!(page.contains("value=\"April\" checked") && page.contains("9 Feb 2026"), "{page}");
    let (_, to, page) = sent(&here.app, &at, &page, &[("act", "keep")]).await;
    assert!(to.ends_with("/kept"), "{to} {page}");
    let (_, week) = get(&here.app, "/").await;
    assert!(week.contains("/sites/fern-hollow/machine-1/1"), "{week}");
    let load = here.store.loads().await.unwrap()[0].id;
    post(&here.app, &format!("/bring/back/{load}"), &[]).await;
    let (_, line) = get(&here.app, "/sites/fern-hollow/machine-1/1").await;
    assert!(line.contains("Corrected or withdrawn") || !line.contains("29.6 mL in 7 s"), "{line}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_corrected_column_changes_the_result_and_brings_up_its_questions() {
    let here = empty().await;
    let sheet = "Site,Line,Date,Foo,Before (ml),Seconds\nFern Hollow,1,03/02/2026,2.1,29.6,7\nFern Hollow,1,04/02/2026,2.2,30.2,7\n";
    let (at, page) = taken(&here.app, "log.csv", sheet.as_bytes()).await;
    assert!(page.contains("Neither the heading nor the cells tell what this is"), "{page}");
    assert_eq!(numbers(&page)[0], 2, "{page}");
    // Changed and kept at once: it is shown first.
    let (status, to, _) = sent(
        &here.app,
        &at,
        &page,
        &[("means-E", "nothing"), ("means-D", "amount"), ("act", "keep")],
    )
    .await;
    assert_eq!((status, to), (StatusCode::SEE_OTHER, format!("{at}?changed=yes#questions")));
    assert!(here.store.heads().await.unwrap().is_empty());
    let (_, page) = get(&here.app, &format!("{at}?changed=yes")).await;
    assert!(page.contains("Nothing was kept yet") && !page.contains("29.6 mL in 7 s"), "{page}");
    let unit = question(&page, "Which unit are the amounts without one in?");
    let (_, to, _) = sent(&here.app, &at, &page, &[(&unit, "fl oz (US)")]).await;
    assert_eq!(to, format!("{at}#result"));
    let (_, page) = get(&here.app, &at).await;
    assert!(page.contains("2.1 fl oz (US) in 7 s"), "{page}");
    // What is left open keeps its rows out, and says so.
    let (_, _, _) = sent(&here.app, &at, &page, &[(&unit, "")]).await;
    let (_, page) = get(&here.app, &at).await;
    assert_eq!(numbers(&page)[..2], [0, 2], "{page}");
    assert!(
        page.contains("Waits for your answer to “Which unit are the amounts without one in?”"),
        "{page}"
    );
    assert!(!page.contains("value=\"keep\""), "there is nothing to keep: {page}");
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_answered_wrongly_is_said_beside_it_and_what_was_typed_stays() {
    let here = empty().await;
    let (at, page) = taken(&here.app, "log.csv", SHEET.as_bytes()).await;
    let [portion, tolerance, zone, draw] = [
        "What does the recipe ask for, where",
        "How far off still serves, where",
        "Which time zone",
        "How long is one portion",
    ]
    .map(|words| question(&page, words));
    let typed = [
        ("means-D", "gold"),
        ("unit-D", "parsecs"),
        ("state-D", "sideways"),
        ("date-D", "someday"),
        (portion.as_str(), "a lot"),
        (tolerance.as_str(), "little"),
        (zone.as_str(), "Atlantis"),
        (draw.as_str(), "a while"),
    ];
    let (status, _, page) = sent(&here.app, &at, &page, &typed).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("<title>Error: "), "{page}");
    for (field, _) in typed {
        assert!(page.contains(&format!("href=\"#{field}\"")), "{field}: {page}");
        assert_eq!(page.matches(&format!("id=\"{field}\"")).count(), 1, "{field}: {page}");
        assert_eq!(page.matches(&format!("id=\"{field}-fault\"")).count(), 1, "{field}: {page}");
    }
    // Each is fit by itself, and they do not fit together.
    let (_, page) = get(&here.app, &at).await;
    let (status, _, wrong) = sent(&here.app, &at, &page, &[(&draw, "2 doses")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{wrong}");
    assert!(
        wrong.contains(&format!("id=\"{draw}-fault\"")) && wrong.contains("Write seconds"),
        "{wrong}"
    );
    let (status, _, wrong) = sent(&here.app, &at, &page, &[("means-B", "date")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        wrong.contains("columns B and C are both") || wrong.contains("Columns B and C are both"),
        "{wrong}"
    );
    let (_, _, wrong) = sent(&here.app, &at, &page, &[("means-D", "nothing")]).await;
    assert!(wrong.contains("o column holds readings"), "{wrong}");
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_no_sheet_is_said_so() {
    let here = empty().await;
    for (name, bytes, why) in [
        ("", &b""[..], "hoose a file"),
        ("empty.csv", b"", "his file is empty"),
        ("blank.csv", b"\n\n,,\n", "there is nothing in it"),
        ("heading.csv", b"Site,Line,Date,Amount\n", "no rows under them"),
        ("prose.txt", b"Dear all,\nthe log is on paper.\n", "No row looks like a heading"),
        ("picture.png", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x10", "neither text nor a workbook"),
        ("locked.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 and so on", "without a password"),
        ("broken.xlsx", b"PK\x03\x04 and then nothing of it", "save it anew"),
    ] {
        let (status, at, page) = upload(&here.app, name, bytes).await;
        assert_eq!((status, at.as_str()), (StatusCode::UNPROCESSABLE_ENTITY, ""), "{name}: {page}");
        assert!(page.to_lowercase().contains(&why.to_lowercase()), "{name}: {page}");
        assert!(
            page.contains("href=\"#sheet\"") && page.contains("id=\"sheet-fault\""),
            "{name}: {page}"
        );
    }
    let workbook = book(&[("A", &[&[X::Text("Date"), X::Text("Amount (ml)")]])]);
    let (status, _, page) = upload(&here.app, "x.xlsx", &workbook[..workbook.len() / 2]).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && page.contains("save it anew"), "{page}");
    let (_, _, page) = upload(&here.app, "x.xlsx", &workbook).await;
    assert!(page.contains("no rows under them"), "{page}");

    let (status, _, page) = upload(&here.app, "large.csv", &vec![b'a'; LARGEST + 1]).await;
    assert_eq!(status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(page.contains("larger than 32 MB"), "{page}");
    let (status, ..) = upload(&here.app, "large.csv", &vec![b'\n'; LARGEST]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "so much is taken, and has nothing in it");
    let (status, _, page) = post(&here.app, "/bring", &[("sheet", "log.csv")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{page}");
    for path in [
        "/bring/nothing",
        "/bring/back/nothing",
        "/bring?from=x",
        "/bring/back/01956a52-0000-7000-8000-000000000001",
    ] {
        let (status, page) = get(&here.app, path).await;
        assert!(status.is_client_error() && page.contains("<h1>"), "{path}: {status} {page}");
    }
    assert_eq!(get(&here.app, "/bring?from=18446744073709551615").await.0, StatusCode::OK);
}

#[tokio::test(flavor = "multi_thread")]
async fn the_oldest_file_goes_and_its_reading_stays() {
    let here = empty().await;
    let (first, page) = taken(&here.app, "log.csv", SHEET.as_bytes()).await;
    sent(&here.app, &first, &page, &[("state-D", "as-left")]).await;
    let (second, _) =
        taken(&here.app, "other.csv", SHEET.replace("Seconds", "Secs").as_bytes()).await;
    for _ in 0..HELD {
        taken(&here.app, "more.csv", SHEET.replace("Flavour", "Line").as_bytes()).await;
    }
    for (at, kept) in [(&first, true), (&second, false)] {
        let (status, page) = get(&here.app, at).await;
        assert_eq!(status, StatusCode::GONE);
        assert!(page.contains("Choose the file again"), "{page}");
        assert_eq!(page.contains("the reading was kept"), kept, "{page}");
        for path in [format!("{at}/kept"), format!("{at}/refused.csv")] {
            assert_eq!(get(&here.app, &path).await.0, StatusCode::GONE);
        }
        assert_eq!(post(&here.app, at, &[("act", "keep")]).await.0, StatusCode::GONE);
    }
    let (_, page) = taken(&here.app, "log.csv", SHEET.as_bytes()).await;
    assert!(page.contains("read the same way") && page.contains("7 s, as left"), "{page}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_sheet_in_words_of_its_own_is_read_once_its_site_is_said() {
    let here = empty().await;
    let sheet = "Northpier - flow log;;;;;;\n;;;;;;\nStall;Machine;Flavour;Week of;Before (ml);Secs;Remarks\n\
        Harbour Stall;Front counter;Plum;02/02/2026;29,6;7;\nHarbour Stall;Front counter;Quince;02/02/2026;36,4 ml;7;sticky\n\
        Harbour Stall;Front counter;Sorrel;2 February 2026;OK;;\nHarbour Stall;Front counter;Plum;16.2.2026;a good deal;7;\nTotal;;;;66;;\n";
    let (at, page) = taken(&here.app, "log.csv", sheet.as_bytes()).await;
    let group = question(&page, "What is the group called?");
    let (_, to, _) =
        sent(&here.app, &at, &page, &[("means-A", "site"), (&group, "Northpier Stalls")]).await;
    assert_eq!(to, format!("{at}#result"));
    let (_, page) = get(&here.app, &at).await;
    assert_eq!(numbers(&page)[..2], [3, 1], "{page}");
    assert!(page.contains("2 Feb 2026, Harbour Stall, Plum: 29.6 mL in 7 s, as found"), "{page}");
    assert!(
        page.contains("the log says “OK”, no measurement") && page.contains("row 7, column"),
        "{page}"
    );
    assert!(page.contains("1 site,") || page.contains("1 site."), "{page}");
    let (_, to, _) = sent(&here.app, &at, &page, &[("act", "keep")]).await;
    let (_, kept) = get(&here.app, &to).await;
    assert!(kept.contains("href=\"/sites/harbour-stall\"") && kept.contains("3 added"), "{kept}");
    let (_, week) = get(&here.app, "/").await;
    assert!(week.contains("Northpier Stalls: this week"), "{week}");
}

#[tokio::test(flavor = "multi_thread")]
async fn while_a_sheet_is_being_kept_its_pages_say_so() {
    let here = empty().await;
    let (at, page) = taken(&here.app, "log.csv", SHEET.as_bytes()).await;
    let id = at.rsplit('/').next().unwrap().parse().unwrap();
    let held = here.app.uploads().get(id).unwrap();
    let mut working = held.clone().lock_owned().await;
    for path in [at.clone(), format!("{at}/kept")] {
        let (status, busy) = get(&here.app, &path).await;
        assert_eq!(status, StatusCode::ACCEPTED);
        assert!(
            busy.contains("Still being brought in") && busy.contains(&format!("{at}/kept")),
            "{busy}"
        );
    }
    working.stopped = Some("the disk is full".to_owned());
    drop(working);
    let (_, stopped) = get(&here.app, &at).await;
    assert!(stopped.contains("Keeping it stopped: The disk is full."), "{stopped}");
    let (_, to, _) = sent(&here.app, &at, &page, &[("act", "keep")]).await;
    assert_eq!(to, format!("{at}/kept"));
}

#[tokio::test(flavor = "multi_thread")]
async fn every_field_has_a_label_and_weeks_that_are_alike_are_folded() {
    let here = demo().await;
    let weeks: String = (1..=20).map(|day| format!(",2026-02-{day:02}")).collect();
    let cells =
        |from: usize| -> String { (0..20).map(|n| format!(",{}", 28 + (n + from) % 5)).collect() };
    let sheet = format!("Fern Hollow,,\n\nLine{weeks}\n2{}\n3{}\n", cells(0), cells(1));
    let (_, page) = taken(&here.app, "weeks.csv", sheet.as_bytes()).await;
    assert!(page.contains("Columns D to U are read in the same way"), "{page}");
    assert_eq!(numbers(&page)[0], 40, "{page}");
    assert_eq!(page.matches("<h1").count(), 1);
    assert!(!page.contains(" style=") && !page.contains("onclick"));
    let ids: Vec<&str> =
        page.split(" id=\"").skip(1).map(|rest| rest.split('"').next().unwrap()).collect();
    for id in &ids {
        assert_eq!(ids.iter().filter(|other| *other == id).count(), 1, "{id}");
    }
    for kind in ["<input ", "<select "] {
        for tag in page.split(kind).skip(1) {
            let tag = tag.split('>').next().unwrap();
            let id = tag
                .split("id=\"")
                .nth(1)
                .unwrap_or_else(|| panic!("{tag}"))
                .split('"')
                .next()
                .unwrap();
            assert!(page.contains(&format!("for=\"{id}\"")), "{tag}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]
    #[test]
    fn whatever_is_sent_is_answered(
        bytes in proptest::collection::vec(any::<u8>(), 0..400),
        rows in "(Date|Site|Line|[ -~]{0,9}),(ml|Before|[ -~]{0,9}),[ -~]{0,9}\n([0-9,./ a-z]{0,20}\n){0,8}",
        packed in any::<bool>(),
        values in proptest::collection::vec("(nothing|amount|date|site|as-left|[ -~]{0,12}|\\PC{0,9})", 1..6),
        extra in proptest::collection::vec(("(means|unit|date|fill|answer)-[A-C]", "\\PC{0,20}"), 0..4),
    ) {
        let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let here = empty().await;
            let bytes = if packed { [&b"PK\x03\x04"[..], &bytes].concat() } else { bytes };
            for bytes in [&bytes[..], rows.as_bytes()] {
                let (status, at, page) = upload(&here.app, "any", bytes).await;
                prop_assert!(!status.is_server_error(), "{status} {page}");
                if at.is_empty() {
                    continue;
                }
                for act in ["look", "keep", "keep"] {
                    let (status, page) = get(&here.app, &at).await;
                    prop_assert!(!status.is_server_error(), "{status} {page}");
                    if status.is_redirection() {
                        break;
                    }
                    let mut change: Vec<(String, &str)> = fields(&page).into_keys().zip(values.iter().map(String::as_str)).collect();
                    change.extend(extra.iter().map(|(name, value)| (name.clone(), value.as_str())));
                    let change: Vec<(&str, &str)> = change.iter().map(|(n, v)| (n.as_str(), *v)).chain([("act", act)]).collect();
                    let (status, _, page) = sent(&here.app, &at, &page, &change).await;
                    prop_assert!(!status.is_server_error(), "{status} {page}");
                    let (status, _, page) = sent(&here.app, &at, "data-keep", &change).await;
                    prop_assert!(!status.is_server_error(), "{status} {page}");
                }
                let (status, _) = get(&here.app, &format!("{at}/refused.csv")).await;
                prop_assert!(!status.is_server_error(), "{status}");
            }
            Ok(())
        })?;
    }
}
