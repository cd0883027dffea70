//! Procedures on pages: read, checked, published, withdrawn, and followed by a round.

use axum::http::{StatusCode, header};
use ouncewise_ledger::procedure_version;

use crate::testing::{Here, demo, empty, estate, get, post};

const AT: &str = "/procedures/screw-trim/weekly-clean";
const CLEAN: &str = include_str!("../../../../../content/procedures/screw-trim/weekly-clean.toml");
const MODEL: &str = include_str!("../../../../../content/procedures/screw-trim/family.toml");

#[tokio::test]
async fn the_list_says_of_each_text_what_the_check_says_and_never_of_a_machine() {
    let here = demo().await;
    let (status, page) = get(&here.app, "/procedures").await;
    assert_eq!(status, StatusCode::OK);
    for words in [
        "is said of the text, never of a machine",
        "Weekly clean and sanitise",
        "cannot be shown clean",
        "es (safety text unreviewed)",
        "<p lang=\"es\">Limpieza y desinfección semanal</p>",
        "Families without a procedure",
        "<li>Screw trim</li>",
        "as it ships",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    // An empty group has the shipped ones to begin with, and no family without.
    let none = empty().await;
    let (_, page) = get(&none.app, "/procedures").await;
    assert!(page.contains("These ship as examples"), "{page}");
    assert!(!page.contains("Families without a procedure"), "{page}");
}

#[tokio::test]
async fn every_page_of_every_shipped_procedure_is_there() {
    let here = empty().await;
    for (family, name, _) in ouncewise_report::shipped_procedures() {
        let at = format!("/procedures/{family}/{name}");
        for more in [
            "",
            "/skip",
            "/skip?language=es",
            "/quiz",
            "/card?language=es&paper=letter",
            "/sign-off?language=es",
        ] {
            let (status, page) = get(&here.app, &format!("{at}{more}")).await;
            assert_eq!(status, StatusCode::OK, "{at}{more}: {page}");
            assert!(!page.contains("style=\"") && !page.contains("<style"), "{at}{more}");
        }
    }
    for missing in [
        "/procedures/screw-trim/nothing",
        "/procedures/screw-trim/nothing/skip",
        "/procedures/screw-trim/weekly-clean/card?language=xx",
        "/procedures/screw-trim/weekly-clean/versions/00",
        "/procedures/screw-trim/weekly-clean/skip?for=nowhere",
        "/procedures/kit",
        "/procedures/kit?for=nowhere",
    ] {
        assert_eq!(get(&here.app, missing).await.0, StatusCode::NOT_FOUND, "{missing}");
    }
    for style in ["card", "sign-off"] {
        let (status, text) = get(&here.app, &format!("/procedures/{style}.css?paper=letter")).await;
        assert!(status == StatusCode::OK && text.contains("size:letter"), "{text}");
    }
    let (_, page) = get(&here.app, &format!("{AT}/skip")).await;
    assert!(page.contains("Steps that must not be skipped") && page.contains("a guest"), "{page}");
    let (_, page) = get(&here.app, &format!("{AT}/quiz")).await;
    assert!(
        page.contains("Answer sheet") && page.contains("/procedures/screw-trim/weekly-clean"),
        "{page}"
    );
}

#[tokio::test]
async fn a_text_is_checked_without_a_record_and_then_published_once() {
    let here = demo().await;
    let shipped = version_of(CLEAN);
    let ours = CLEAN.replace("Weekly clean and sanitise", "Our weekly clean");
    let sent = [("text", ours.as_str()), ("seen", shipped.as_str())];
    let (status, _, page) = post(&here.app, AT, &[&sent[..], &[("act", "check")]].concat()).await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("It can be published, as version"), "{page}");
    assert!(here.store.published().await.unwrap().is_empty(), "nothing is recorded by a check");
    // A browser ends lines with two characters; the file that is published ends them with one.
    let lines = ours.replace('\n', "\r\n");
    let publish = [("text", lines.as_str()), ("seen", shipped.as_str()), ("act", "publish")];
    for _ in 0..2 {
        let (status, headers, page) = post(&here.app, AT, &publish).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
        assert_eq!(headers[header::LOCATION], format!("{AT}?done=yes"));
    }
    let published = here.store.published().await.unwrap();
    assert_eq!(published.len(), 1);
    assert_eq!(
        (published[0].version.clone(), published[0].text.as_str()),
        (version_of(&ours), ours.as_str())
    );
    let (_, page) = get(&here.app, AT).await;
    assert!(page.contains("Our weekly clean") && page.contains("in force"), "{page}");
    let old = get(&here.app, &format!("{AT}/versions/{shipped}")).await;
    assert!(old.1.contains("no longer in force"), "{}", old.1);
    // Made before that one was published: it must not go under.
    let other = CLEAN.replace("Weekly clean and sanitise", "Another");
    let stale = [("text", other.as_str()), ("seen", shipped.as_str()), ("act", "publish")];
    assert_eq!(post(&here.app, AT, &stale).await.0, StatusCode::CONFLICT);
    // So must it not be said to be withdrawn.
    let stale = [("seen", shipped.as_str()), ("act", "withdraw")];
    let (status, _, page) = post(&here.app, AT, &stale).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(page.contains("nothing was withdrawn"), "{page}");
    assert_eq!(here.store.published().await.unwrap().len(), 1);
    // Withdrawn twice by the same form, what ships is in force again.
    let now = version_of(&ours);
    for _ in 0..2 {
        let form = [("seen", now.as_str()), ("act", "withdraw")];
        assert_eq!(post(&here.app, AT, &form).await.0, StatusCode::SEE_OTHER);
    }
    let (_, page) = get(&here.app, AT).await;
    assert!(page.contains("as it ships, <strong>in force</strong>"), "{page}");
    assert!(page.contains("withdrawn"), "{page}");
}

/// The version of a text in the model that ships.
fn version_of(text: &str) -> String {
    procedure_version(text, Some(MODEL))
}

/// What a browser makes of a text area of a page.
fn typed_in(page: &str, name: &str) -> String {
    let rest = page.split(&format!("<textarea id=\"{name}\"")).nth(1).unwrap();
    let text = rest.split_once(">\n").unwrap().1.split("</textarea>").next().unwrap();
    let marks = [("&quot;", "\""), ("&lt;", "<"), ("&gt;", ">"), ("&amp;", "&")];
    marks.iter().fold(text.to_owned(), |text, (coded, mark)| text.replace(coded, mark))
}

#[tokio::test]
async fn changing_an_older_text_leaves_its_family_the_model_that_it_has_now() {
    let here = demo().await;
    let at = "/procedures/screw-trim/weekly-calibration";
    let newer = format!("{MODEL}\n# A newer model.\n");
    let shipped = get(&here.app, at).await.1;
    let text = typed_in(&shipped, "text");
    for (path, text, model) in [(at, text.as_str(), MODEL), (AT, CLEAN, newer.as_str())] {
        let seen = version_of(text);
        let form = [("text", text), ("model", model), ("seen", seen.as_str()), ("act", "publish")];
        assert_eq!(post(&here.app, path, &form).await.0, StatusCode::SEE_OTHER, "{path}");
    }
    let page = get(&here.app, at).await.1;
    let (model, seen) = (typed_in(&page, "model"), version_of(&text));
    let text = text.replace("Weekly calibration", "Our calibration");
    let form = [
        ("text", text.as_str()),
        ("model", model.as_str()),
        ("seen", seen.as_str()),
        ("act", "publish"),
    ];
    let (status, _, page) = post(&here.app, at, &form).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    let published = here.store.published().await.unwrap();
    assert_eq!((published.len(), &published[2].model), (3, &newer));
}

#[tokio::test]
async fn a_text_that_does_not_hold_shows_its_findings_at_their_lines_and_is_not_published() {
    let here = demo().await;
    let broken = CLEAN.replace("use = \"sanitise\"", "use = \"flush\"");
    for act in ["check", "publish"] {
        let (status, _, page) =
            post(&here.app, AT, &[("text", broken.as_str()), ("act", act)]).await;
        assert_eq!(status == StatusCode::OK, act == "check");
        assert!(page.contains("It cannot be published so"), "{page}");
        assert!(page.contains("How it comes about"), "{page}");
        assert!(page.contains("class=\"marked\"") && page.contains("href=\"#"), "{page}");
    }
    let (_, _, page) = post(&here.app, AT, &[("text", "kind = 3\n<b>"), ("act", "check")]).await;
    assert!(page.contains("cannot be read") && page.contains("&lt;b&gt;"), "{page}");
    assert!(here.store.published().await.unwrap().is_empty());
    // Whatever is sent is answered.
    for (path, form) in [
        ("/procedures/Not%20A%20Key/x", &[("text", CLEAN), ("act", "publish")][..]),
        ("/procedures/screw/weekly-clean", &[("text", CLEAN), ("act", "publish")]),
        ("/procedures/screw-trim/family", &[("text", CLEAN), ("act", "publish")]),
        (AT, &[("act", "withdraw")]),
        (AT, &[]),
        ("/procedures", &[("family", ""), ("name", "A b"), ("like", "x")]),
    ] {
        let (status, _, page) = post(&here.app, path, form).await;
        assert!(!status.is_server_error(), "{path} {status}: {page}");
    }
    assert!(here.store.published().await.unwrap().is_empty());
}

#[tokio::test]
async fn the_kit_is_listed_for_a_site_and_what_has_none_is_told() {
    let here = of_screw().await;
    let (status, page) =
        get(&here.app, "/procedures/screw/weekly-clean?for=fernhollow/counter-1").await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("For 1 machine with 3 lines"), "{page}");
    let (status, page) = get(&here.app, "/procedures/screw/weekly-clean?for=nowhere").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("id=\"for-fault\""), "{page}");
    let (_, page) = get(&here.app, "/sites/fernhollow/counter-1").await;
    assert!(page.contains("/procedures/screw/weekly-clean?for=fernhollow/counter-1#kit"), "{page}");
}

/// The same, with one site under uk-rinse: `[after] rule = "rinse"`.
async fn of_screw_rinsing_at(site: &str) -> Here {
    let here = of_screw().await;
    let before = estate();
    let mut after = before.clone();
    after.sites.get_mut(site).unwrap().jurisdiction = Some("uk-rinse".parse().unwrap());
    let described = ouncewise_report::described(&before, &after, "2026-01-06T08:00:00.000Z");
    here.store.append(described).await.unwrap();
    here
}

#[tokio::test]
async fn what_a_site_asks_holds_on_the_pages_of_a_procedure_and_the_kit_is_for_all_its_machines() {
    // uk-rinse: `[after] rule = "rinse"`, under which step 27 rinses; the usual drains.
    let here = of_screw_rinsing_at("fernhollow").await;
    let at = "/procedures/screw/weekly-clean";
    let place = "for=fernhollow/counter-1";
    for more in ["?", "/skip?", "/quiz?", "/card?", "/sign-off?"] {
        let usual = get(&here.app, &format!("{at}{more}")).await.1;
        let (status, held) = get(&here.app, &format!("{at}{more}{place}")).await;
        assert_eq!(status, StatusCode::OK, "{held}");
        assert!(held.contains("United Kingdom"), "{more}: {held}");
        assert!(!usual.contains("United Kingdom"), "{more}: {usual}");
    }
    let page = get(&here.app, &format!("{at}?{place}")).await.1;
    let (rinses, drains) = ("<li>Connect drinking water", "<li>Take the sanitiser off");
    assert!(page.contains(rinses) && !page.contains(drains), "{page}");
    assert!(page.contains(&format!("paper=letter&amp;{place}")), "what is below is for it too");
    let page = get(&here.app, ROUND).await.1;
    assert!(page.contains("rinse for 150 seconds") && !page.contains("let the line drain"));
    // The whole site: one of its two machines is of a family for which nothing is written.
    let page = get(&here.app, "/sites/fernhollow").await.1;
    assert!(page.contains("/procedures/kit?for=fernhollow"), "{page}");
    let page = get(&here.app, "/procedures/kit?for=fernhollow").await.1;
    for words in ["For 1 machine with 3 lines", "3 × soft brush", "United Kingdom", "counter-2"] {
        assert!(page.contains(words), "{words}: {page}");
    }
    for none in ["fernhollow/counter-2", "fernhollow/counter-9"] {
        let (status, page) = get(&here.app, &format!("/procedures/kit?for={none}")).await;
        assert_eq!(status, StatusCode::NOT_FOUND, "{page}");
    }
}

/// The small group of the tests, with a weekly clean of its own for its screw-set family, begun as a copy.
async fn of_screw() -> Here {
    let here = demo().await;
    let begin =
        [("family", "screw"), ("name", "weekly-clean"), ("like", "screw-trim/weekly-clean")];
    let (status, _, page) = post(&here.app, "/procedures", &begin).await;
    assert_eq!(status, StatusCode::OK, "{page}");
    assert!(page.contains("family = &quot;screw&quot;"), "{page}");
    let own = |text: &str| text.replace("family = \"screw-trim\"", "family = \"screw\"");
    let (text, model) = (own(CLEAN), own(MODEL));
    let form = [("text", text.as_str()), ("model", model.as_str()), ("act", "publish")];
    let (status, _, page) = post(&here.app, "/procedures/screw/weekly-clean", &form).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    here
}

const ROUND: &str = "/sites/fernhollow/counter-1/round";
const FORM: &str = "0195540a-c212-7000-8000-00000000bbbb";

/// The keys of the boxes to tick in a page of the round.
fn keys(page: &str) -> Vec<String> {
    let boxes = page.split("<input type=\"checkbox\" id=\"step-").skip(1);
    boxes.map(|rest| format!("step-{}", rest.split('"').next().unwrap())).collect()
}

#[tokio::test]
async fn a_round_names_the_version_and_is_incomplete_without_what_must_not_be_skipped() {
    let here = of_screw().await;
    let (_, page) = get(&here.app, ROUND).await;
    let version = here.store.published().await.unwrap()[0].version.clone();
    assert!(page.contains(&format!("value=\"{version}\" selected")), "{page}");
    let keys = keys(&page);
    assert!(keys.len() > 2, "{page}");
    // Where the seal was good, a new one did not come up: nobody is made to say that it was laid in.
    let choices: Vec<String> = page
        .split("It did not come up")
        .filter_map(|before| before.rsplit("name=\"step-").next()?.split('"').next())
        .filter(|number| number.parse::<usize>().is_ok())
        .map(|number| format!("step-{number}"))
        .collect();
    assert!(!choices.is_empty() && !choices.iter().any(|key| keys.contains(key)), "{choices:?}");
    let base = [
        ("form", FORM),
        ("day", "2026-03-02"),
        ("opened", "06:40"),
        ("how", "paper"),
        ("line-1", "yes"),
        ("drained", "open"),
        ("procedure", version.as_str()),
        ("steps-of", version.as_str()),
    ];
    let ticked = |keys: &'static [String]| keys.iter().map(|key| (key.as_str(), "yes"));
    let keys: &'static [String] = Vec::leak(keys);
    let choices: &'static [String] = Vec::leak(choices);
    let all = |more: &[(&'static str, &'static str)], keys: &'static [String]| {
        let fields: Vec<(&str, &str)> = base
            .iter()
            .copied()
            .chain(ticked(keys))
            .chain(choices.iter().map(|key| (key.as_str(), "not")))
            .chain(more.iter().copied())
            .collect();
        fields.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect::<Vec<_>>()
    };
    let send = async |fields: Vec<(String, String)>| {
        let fields: Vec<(&str, &str)> =
            fields.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
        post(&here.app, ROUND, &fields).await
    };
    let (status, _, page) = send(all(&[], &keys[1..])).await;
    assert_eq!(status, StatusCode::OK, "{page}");
    assert!(page.contains("The round is incomplete."), "{page}");
    assert!(page.contains("1 step that must not be skipped is not confirmed"), "{page}");
    let (_, _, page) = send(all(&[], keys)).await;
    assert!(page.contains("no profile is in force") && !page.contains("not confirmed"), "{page}");
    let (status, ..) = send(all(&[("act", "keep")], &keys[1..])).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let (_, json) = get(&here.app, "/api/v1/sites/fernhollow/machines/counter-1/rounds").await;
    let report: serde_json::Value = serde_json::from_str(&json).unwrap();
    let round = &report["rounds"][0];
    assert_eq!(
        (&round["procedure"], &round["state"]),
        (&version.as_str().into(), &"incomplete".into())
    );
    assert_eq!(round["follows"], "screw/weekly-clean");
    assert_eq!(round["unconfirmed"][0]["key"], keys[0]);
    assert_eq!(round["unconfirmed"].as_array().unwrap().len(), 1);
    let (_, page) = get(&here.app, "/sites/fernhollow/counter-1").await;
    assert!(page.contains("Not confirmed: 1 step"), "{page}");
    // A procedure of another family cannot be followed here; another one's ticks are no answer.
    let mut other = all(&[], keys);
    other.retain(|(name, _)| name != "procedure");
    other.push(("procedure".to_owned(), version_of(CLEAN)));
    let (status, _, page) = send(other).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("id=\"procedure-fault\""), "{page}");
}

/// The terms of uk-rinse (`[after] rule = "rinse"`) ask for what a text that only drains does not do.
#[tokio::test]
async fn that_a_text_does_not_hold_at_a_site_is_said_before_it_is_published_and_in_each_round() {
    let here = of_screw_rinsing_at("mossgate").await;
    let old = here.store.published().await.unwrap()[0].clone();
    let (drains, rest) =
        old.model.split_once("[[passage.sanitise.step]]\nunder = [\"rinse\"]").unwrap();
    let fill = rest.split_once("[[passage.fill.step]]").unwrap().1;
    let drains = drains.replace("under = [\"drain-no-rinse\", \"drain\"]\n", "");
    let drains = format!("{drains}[[passage.fill.step]]{fill}");
    let at = "/procedures/screw/weekly-clean";
    let send = async |model: &str, act: &str| {
        let (text, seen) = (old.text.as_str(), old.version.as_str());
        let form = [("text", text), ("model", model), ("seen", seen), ("act", act)];
        post(&here.app, at, &form).await
    };
    let warning = "It does not hold under the food code of 1 site: mossgate.";
    let (_, _, page) = send(&old.model, "check").await;
    assert!(!page.contains("It does not hold under"), "{page}");
    let (_, _, page) = send(&drains, "check").await;
    assert!(page.contains("It can be published") && page.contains(warning), "{page}");
    assert_eq!(send(&drains, "publish").await.0, StatusCode::SEE_OTHER);
    let told = "do not serve by it";
    let page = get(&here.app, "/sites/mossgate/counter-1/round").await.1;
    assert!(page.contains(told) && page.contains(&format!("{at}?for=mossgate")), "{page}");
    let page = get(&here.app, ROUND).await.1;
    assert!(!page.contains(told), "{page}");
}

/// A crew begins by the version of six o'clock; another is published before the form is sent.
#[tokio::test]
async fn a_round_may_follow_the_version_that_was_replaced_meanwhile() {
    let here = of_screw().await;
    let old = here.store.published().await.unwrap()[0].clone();
    let text = old.text.replace("Weekly clean and sanitise", "Our weekly clean");
    let form = [("text", text.as_str()), ("seen", old.version.as_str()), ("act", "publish")];
    let (status, _, page) = post(&here.app, "/procedures/screw/weekly-clean", &form).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    let (_, page) = get(&here.app, ROUND).await;
    assert!(
        page.contains(&format!(
            "value=\"{}\" selected",
            procedure_version(&text, Some(&old.model))
        )),
        "{page}"
    );
    assert!(page.contains(", no longer in force</option>"), "{page}");
    let round = [
        ("form", FORM),
        ("day", "2026-03-02"),
        ("opened", "06:40"),
        ("how", "paper"),
        ("line-1", "yes"),
        ("drained", "open"),
        ("procedure", old.version.as_str()),
        ("steps-of", old.version.as_str()),
    ];
    let (status, _, page) = post(&here.app, ROUND, &round).await;
    assert_eq!(status, StatusCode::OK, "{page}");
    let change = [&round[..], &[("act", "change")]].concat();
    let (_, _, page) = post(&here.app, ROUND, &change).await;
    assert!(page.contains(&format!("value=\"{}\" selected", old.version)), "{page}");
    assert!(keys(&page).len() > 2, "its steps are there: {page}");
    let keep = [&round[..], &[("act", "keep")]].concat();
    assert_eq!(post(&here.app, ROUND, &keep).await.0, StatusCode::SEE_OTHER);
    let (_, page) = get(&here.app, &format!("{ROUND}/{FORM}")).await;
    assert!(page.contains(&format!("screw/weekly-clean/versions/{}", old.version)), "{page}");
}
