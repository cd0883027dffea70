//! A food code of one's own by forms alone: copied, changed row by row, told at the field, in force, taken away.

use axum::http::StatusCode;
use proptest::prelude::*;

use crate::testing::{demo, get, post};

/// The names and values of a page's last form that checks or keeps, as a browser would send them.
fn fields(page: &str) -> Vec<(String, String)> {
    let plain = |text: &str| {
        text.replace("&quot;", "\"").replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
    };
    let form = page.split("<form method=\"post\"").nth(1).unwrap().split("</form>").next().unwrap();
    let mut found = Vec::new();
    for tag in form.split('<').filter(|tag| !tag.starts_with("button")) {
        let Some(name) = tag.split(" name=\"").nth(1).and_then(|rest| rest.split('"').next())
        else {
            // The chosen one of a list.
            if tag.starts_with("option") && tag.contains(" selected") {
                let value = tag.split("value=\"").nth(1).unwrap().split('"').next().unwrap();
                let last: &mut (String, String) = found.last_mut().unwrap();
                last.1 = plain(value);
            }
            continue;
        };
        if tag.contains("type=\"checkbox\"") {
            continue;
        }
        let value = match tag.starts_with("textarea") {
            true => tag.split_once('>').unwrap().1,
            false => {
                tag.split(" value=\"").nth(1).map_or("", |rest| rest.split('"').next().unwrap())
            }
        };
        found.push((name.to_owned(), plain(value)));
    }
    found
}

fn with<'a>(
    fields: &'a [(String, String)],
    changes: &[(&'a str, &'a str)],
) -> Vec<(&'a str, &'a str)> {
    let kept = fields.iter().map(|(name, value)| (name.as_str(), value.as_str()));
    let kept = kept.filter(|(name, _)| changes.iter().all(|(other, _)| other != name));
    kept.chain(changes.iter().copied()).collect()
}

#[tokio::test]
async fn a_food_code_is_copied_changed_put_in_force_and_taken_away() {
    let here = demo().await;
    let app = &here.app;
    let (_, page) = get(app, "/setup/profiles").await;
    assert!(page.contains("Model food code (US)") && page.contains("None yet."), "{page}");
    let copy = [("base", "model-code"), ("name", "Our county")];
    let (status, _, page) = post(app, "/setup/profiles", &copy).await;
    assert_eq!(status, StatusCode::OK, "{page}");
    assert!(
        page.contains("Nothing is recorded yet.") && page.contains("Limit 2, chlorine, from 50"),
        "{page}"
    );
    let at = "/setup/profiles/our-county";
    assert_eq!(get(app, at).await.0, StatusCode::NOT_FOUND, "nothing is recorded by a copy");
    let copied = fields(&page);
    // Ceilings of the copy lose their first row; a row of records is added.
    let changes = [
        ("edition", "2026"),
        ("limit.2.from", "60"),
        ("ceiling.1.out", "yes"),
        ("record.99.kind", "water-hardness"),
        ("record.99.only", "quat"),
        ("record.99.clause", "4.9"),
        ("record.99.status", "READ"),
        ("record.99.source", "the county’s page"),
        ("act", "check"),
    ];
    let (status, _, check) = post(app, at, &with(&copied, &changes)).await;
    assert_eq!(status, StatusCode::OK, "{check}");
    for words in ["limit[2].from: “50” → “60”", "“2026”", "Record it", "water-hardness"]
    {
        assert!(check.contains(words), "{words}: {check}");
    }
    let checked = fields(&check);
    for _ in 0..2 {
        let (status, _, page) = post(app, at, &with(&checked, &[("act", "keep")])).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{page}");
    }
    let estate = here.store.estate().await.unwrap();
    let (own, shipped) =
        (&estate.profiles["our-county"].profile, estate.profile("model-code").unwrap());
    assert_eq!((own.name.as_str(), own.edition.as_str()), ("Our county", "2026"));
    assert_eq!(own.limits.len(), shipped.limits.len());
    assert!((own.limits[1].from.unwrap().0 - 60.0).abs() < 1e-9);
    assert_eq!(own.ceilings[..], shipped.ceilings[1..]);
    assert_eq!(own.records.len(), shipped.records.len() + 1);
    assert_eq!(own.contacts, shipped.contacts, "what was not touched is as it was copied");
    assert_eq!(here.store.verify().await.unwrap().misfit, None);
    // In force, rounds are held to it, and it is not taken away.
    let (_, page) = get(app, "/setup/group").await;
    assert!(page.contains("<option value=\"our-county\""), "{page}");
    let group = with(&fields(&page), &[("jurisdiction", "our-county"), ("act", "keep")])
        .into_iter()
        .map(|(a, b)| (a.to_owned(), b.to_owned()))
        .collect::<Vec<_>>();
    let (status, ..) = post(app, "/setup/group", &with(&group, &[])).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let (_, page) = get(app, "/sites/fernhollow/counter-1/round").await;
    assert!(page.contains("Our county"), "{page}");
    // So are calculations, which begin with it.
    let (_, page) = get(app, "/calculate/strength").await;
    assert!(page.contains("<option value=\"our-county\" selected"), "{page}");
    for calculation in ["strength", "flush"] {
        let path = format!("/calculate/{calculation}?sent=yes&profile=our-county&contents=100+ppm");
        let (status, page) = get(app, &path).await;
        assert_eq!(status, StatusCode::OK, "{page}");
        assert!(page.contains("Our county"), "{page}");
    }
    let (_, page) = get(app, at).await;
    let seen = fields(&page).into_iter().find(|(name, _)| name == "seen").unwrap().1;
    let (status, _, page) = post(app, at, &[("seen", &seen), ("act", "remove")]).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(page.contains("E061"), "{page}");
    let (_, page) = get(app, "/setup/group").await;
    let group = fields(&page);
    post(app, "/setup/group", &with(&group, &[("jurisdiction", ""), ("act", "keep")])).await;
    let (_, page) = get(app, at).await;
    let seen = fields(&page).into_iter().find(|(name, _)| name == "seen").unwrap().1;
    let (status, ..) = post(app, at, &[("seen", &seen), ("act", "remove")]).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    assert!(here.store.estate().await.unwrap().profiles.is_empty());
}

#[tokio::test]
async fn what_is_wrong_stands_at_its_field_and_its_row_is_open() {
    let here = demo().await;
    let app = &here.app;
    let (status, _, page) = post(app, "/setup/profiles", &[("base", "atlantis")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("id=\"base-fault\"") && page.contains("id=\"name-fault\""), "{page}");
    for key in ["model-code", "A key!"] {
        let copy = [("base", "model-code"), ("name", "x"), ("key", key)];
        let (status, _, page) = post(app, "/setup/profiles", &copy).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{key}");
        assert!(page.contains("id=\"key-fault\""), "{key}: {page}");
    }
    let copy = [("base", "model-code"), ("name", "Our county")];
    let (_, _, page) = post(app, "/setup/profiles", &copy).await;
    let copied = fields(&page);
    let changes = [
        ("limit.2.from", "fifty"),
        ("limit.3.source", ""),
        ("limit.1.temperature.1.c", "90"),
        ("after.rule", ""),
        ("act", "check"),
    ];
    let (status, _, page) = post(app, "/setup/profiles/our-county", &with(&copied, &changes)).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{page}");
    for field in ["limit.2.from", "limit.3.source", "after.rule"] {
        assert!(page.contains(&format!("id=\"{field}-fault\"")), "{field}: {page}");
        assert!(page.contains(&format!("href=\"#{field}\"")), "{field}: {page}");
    }
    assert!(page.contains("value=\"fifty\"") && page.contains("<title>Error: "), "{page}");
    assert!(page.contains("<details open><summary>Limit 2"), "{page}");
    // Every place that the summary leads to is there.
    for link in page.split("href=\"#").skip(1) {
        let id = link.split('"').next().unwrap();
        assert!(page.contains(&format!("id=\"{id}\"")), "{id}");
    }
    // Somebody else was quicker.
    let stale = with(&copied, &[("seen", "0000"), ("act", "keep")]);
    let (status, ..) = post(app, "/setup/profiles/our-county", &stale).await;
    assert_eq!(status, StatusCode::CONFLICT);
    let none = [("base", "nothing"), ("act", "check")];
    let (status, ..) = post(app, "/setup/profiles/our-county", &none).await;
    assert_eq!(status, StatusCode::NOT_FOUND);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 8, ..ProptestConfig::default() })]
    #[test]
    fn whatever_is_typed_is_answered(name in "[a-z0-9.\\[\\]]{0,12}", a in ".{0,30}", b in "[0-9a-z.-]{0,9}") {
        let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let here = demo().await;
            for act in ["check", "keep", "change", "remove"] {
                let fields = [("base", "uk-rinse"), ("name", a.as_str()), ("key", &b), (&name, &a), ("limit.1.from", &b), ("limit.7.temperature.3.c", &b), ("allergens.names", &a), ("act", act)];
                for path in ["/setup/profiles", "/setup/profiles/our-county", "/setup/profiles/%00"] {
                    let (status, _, page) = post(&here.app, path, &fields).await;
                    prop_assert!(!status.is_server_error(), "{path} {act}: {status} {page}");
                }
            }
            Ok(())
        })?;
    }
}
