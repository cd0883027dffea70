//! The page of a fault, as a browser without scripts goes through it.

use axum::http::StatusCode;
use proptest::prelude::*;

use crate::testing::{demo, get};

const PAGE: &str = "/sites/fernhollow/counter-1/2/fault";

/// The part of a page from one heading to the next.
fn under<'a>(page: &'a str, heading: &str) -> &'a str {
    let from = page.find(heading).unwrap_or_else(|| panic!("no {heading}: {page}"));
    let rest = &page[from..];
    &rest[..rest[heading.len()..].find("<h2").map_or(rest.len(), |at| at + heading.len())]
}

/// Line 2 reads 36.4 mL of 30 three times, its siblings right: that much nobody needs to be asked.
#[tokio::test]
async fn what_the_records_tell_is_not_asked_and_can_be_left_out() {
    let here = demo().await;
    let (status, page) = get(&here.app, PAGE).await;
    assert_eq!(status, StatusCode::OK);
    assert_eq!(page.matches("<h1").count(), 1);
    assert!(!page.contains(" style=") && page.contains("Before you touch the machine"));
    for caution in [
        "Unplug the machine",
        "Vent or open nothing that holds pressure",
        "licensed technician",
        "isolates nothing",
    ] {
        assert!(under(&page, "Before you touch").contains(caution), "{caution}");
    }
    let known = under(&page, "Already known from its records");
    assert!(known.contains("Yes.</strong> Is the portion high"), "{known}");
    assert!(known.contains("No.</strong> Are all lines of the machine off"), "{known}");
    assert!(known.contains("over its target") && known.contains("23 Feb 2026"), "{known}");
    let ask = under(&page, "Look at this next");
    assert!(!ask.contains("Is the portion high"), "{ask}");
    // Taken out, it is asked again only if somebody wants it, and can be put back.
    let out = format!("{PAGE}?sign=high-steady:unknown");
    assert!(page.contains(&format!("href=\"{out}#ask\"")), "{known}");
    let (_, page) = get(&here.app, &out).await;
    assert!(!under(&page, "Already known").contains("Is the portion high"));
    let answered = under(&page, "What you answered");
    assert!(
        answered.contains("Cannot tell.") && answered.contains("Its records say yes"),
        "{answered}"
    );
    assert!(answered.contains(&format!("href=\"{PAGE}#ask\"")), "{answered}");
}

#[tokio::test]
async fn answers_stand_in_the_address_and_lead_to_the_cause() {
    let here = demo().await;
    let (_, page) =
        get(&here.app, &format!("{PAGE}?sign=drips-side:no&sign=drips-centre:yes")).await;
    let causes = under(&page, "Likeliest causes");
    let first = &causes[..causes.find("</li>").unwrap()];
    assert!(first.contains("seal that is split") && first.contains(" %"), "{first}");
    let acts = under(&page, "Then act in this order");
    assert!(acts.contains("minute") && acts.contains("Technician only"), "{acts}");
    let call = under(&page, "Before you call");
    let call = &call[..call.find("</section>").unwrap()];
    assert!(call.contains("Fern Hollow") && call.contains("Counter 1"), "{call}");
    assert!(call.contains("36.4 mL where 30.0 mL is asked (+21 %)"), "{call}");
    assert!(call[call.rfind("<p>").unwrap()..].contains("Part to name"), "{call}");
    // What was answered goes on with the next answer.
    let (_, page) =
        get(&here.app, &format!("{PAGE}?sign=drips-side:no&sign=tastes-wrong:no&ask=bubbles"))
            .await;
    let ask = under(&page, "Look at this next");
    assert!(
        ask.contains("type=\"hidden\" name=\"sign\" value=\"drips-side:no,tastes-wrong:no\""),
        "{ask}"
    );
    let (_, page) = get(
        &here.app,
        &format!("{PAGE}?sign=drips-side:no,drips-centre:no&answer=bubbles:no&ask=tastes-wrong"),
    )
    .await;
    assert!(
        page.contains("value=\"drips-side:no,drips-centre:no,bubbles:no\"")
            && under(&page, "What you answered").contains("Do bubbles")
    );
    // The last answer to a sign counts; a question of one's own is asked.
    let (_, page) =
        get(&here.app, &format!("{PAGE}?sign=bubbles:yes&sign=bubbles:no&ask=tastes-wrong")).await;
    assert!(under(&page, "What you answered").contains("No.</strong> Do bubbles"), "{page}");
    assert!(under(&page, "Look at this next").contains("value=\"tastes-wrong:yes\""), "{page}");
}

/// With everything answered there is nothing to ask, and still acts and a part.
#[tokio::test]
async fn when_all_is_answered_one_begins() {
    let here = demo().await;
    let (_, page) = get(&here.app, PAGE).await;
    let mut query = String::new();
    let mut asked = vec![page];
    loop {
        let page = asked.last().unwrap();
        let button = page.rfind(":unknown\" class=\"plain\"");
        let Some(end) = button else { break };
        let start = page[..end].rfind("value=\"").unwrap() + 7;
        query = format!(
            "{query}{}sign={}:no",
            if query.is_empty() { "?" } else { "&" },
            &page[start..end]
        );
        let (status, next) = get(&here.app, &format!("{PAGE}{query}")).await;
        assert_eq!(status, StatusCode::OK);
        asked.push(next);
        assert!(asked.len() < 20, "{query}");
    }
    let page = asked.last().unwrap();
    assert!(page.contains("No question saves more minutes than it takes"), "{query}");
    assert!(page.contains("Part to name"));
}

#[tokio::test]
async fn the_line_page_leads_here_and_what_is_not_there_is_said() {
    let here = demo().await;
    let (_, page) = get(&here.app, "/sites/fernhollow/counter-1/2").await;
    assert!(page.contains(&format!("class=\"button plain\" href=\"{PAGE}\"")), "{page}");
    for (path, says) in [
        (format!("{PAGE}?sign=drips-center:yes"), "drips-centre"),
        ("/sites/fernhollow/counter-1/9/fault".to_owned(), "fernhollow/counter-1/"),
    ] {
        let (status, page) = get(&here.app, &path).await;
        assert_eq!(status, StatusCode::NOT_FOUND, "{path}");
        assert!(page.contains(says), "{page}");
    }
    let (status, page) = get(&here.app, &format!("{PAGE}?sign=drips-centre")).await;
    assert_eq!(status, StatusCode::BAD_REQUEST);
    assert!(page.contains("yes, no or unknown"), "{page}");
    // A line that was never caught has nothing known, and is asked all.
    let (status, page) = get(&here.app, "/sites/fernhollow/counter-2/1/fault").await;
    assert_eq!(status, StatusCode::OK);
    assert!(!page.contains("Already known"), "{page}");
    assert!(page.contains("Lines with a roller pump") && page.contains("may not fit"), "{page}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]
    #[test]
    fn whatever_stands_in_the_address_is_answered(sign in ".{0,40}", ask in ".{0,40}") {
        let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let here = demo().await;
            let encode = |text: &str| percent_encoding::utf8_percent_encode(text, percent_encoding::NON_ALPHANUMERIC).to_string();
            let (status, page) = get(&here.app, &format!("{PAGE}?sign={}&ask={}&other=1", encode(&sign), encode(&ask))).await;
            prop_assert!(!status.is_server_error(), "{status} {page}");
            prop_assert!(!page.contains("<script>"), "{page}");
            Ok(())
        })?;
    }
}
