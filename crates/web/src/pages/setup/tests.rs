//! From nothing to a machine by forms alone; and what is wrong stands beside its field.

use axum::http::StatusCode;
use proptest::prelude::*;

use crate::App;
use crate::testing::{demo, empty, get, post};

mod allergens;

/// Checks a form and records it, as a person would. Gives the page that showed what would change.
async fn set(app: &App, path: &str, fields: &[(&str, &str)]) -> String {
    let (_, form) = get(app, path).await;
    let mark =
        form.split("name=\"seen\" value=\"").nth(1).unwrap().split('"').next().unwrap().to_owned();
    let with = |act| {
        fields.iter().copied().chain([("seen", mark.as_str()), ("act", act)]).collect::<Vec<_>>()
    };
    let (status, _, page) = post(app, path, &with("check")).await;
    assert_eq!(status, StatusCode::OK, "{path}: {page}");
    assert!(page.contains("Record it"), "{path}: {page}");
    for _ in 0..2 {
        let (status, _, page) = post(app, path, &with("keep")).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{path}: {page}");
    }
    page
}

#[tokio::test]
async fn from_nothing_to_a_machine_by_forms_alone() {
    let here = empty().await;
    let app = &here.app;
    let (_, page) = get(app, "/setup").await;
    assert!(page.contains("There is nothing here yet"), "{page}");
    set(
        app,
        "/setup/group",
        &[("name", "Our Counters"), ("time_zone", "Europe/Vienna"), ("currency", "EUR")],
    )
    .await;
    assert_eq!(post(app, "/setup", &[]).await.0, StatusCode::SEE_OTHER);
    set(app, "/setup/products", &[("name", "Pandan \"green\""), ("allergens", "milk, soy")]).await;
    set(
        app,
        "/setup/measures",
        &[
            ("key", "cup"),
            ("name", "Cup"),
            ("kind", "vessel"),
            ("division", "1 mL"),
            ("tolerance", "0.5 mL"),
        ],
    )
    .await;
    set(app, "/setup/sites", &[("name", "Fern, Hollow"), ("measures", "a = cup")]).await;
    set(
        app,
        "/setup/sites/fern-hollow/machines",
        &[("key", "bar"), ("name", "Bar"), ("family", "screw-trim")],
    )
    .await;
    for line in ["1", "2"] {
        let fields = [
            ("key", line),
            ("product", "pandan-green"),
            ("target", "30 mL"),
            ("tolerance", "5 %"),
            ("draw", "7 s"),
            ("measure", "a"),
        ];
        set(app, "/setup/sites/fern-hollow/machines/bar/lines", &fields).await;
    }
    let estate = here.store.estate().await.unwrap();
    assert_eq!(estate.group.name, "Our Counters");
    assert_eq!(estate.sites["fern-hollow"].name, "Fern, Hollow");
    assert_eq!(estate.products["pandan-green"].name, "Pandan \"green\"");
    assert_eq!(estate.machine("fern-hollow", "bar").unwrap().lines.len(), 2);
    let (status, page) = get(app, "/sites/fern-hollow/bar").await;
    assert_eq!(status, StatusCode::OK, "{page}");
    assert_eq!(here.store.verify().await.unwrap().misfit, None);
}

#[tokio::test]
async fn each_thing_is_changed_taken_out_of_use_and_brought_back() {
    let here = demo().await;
    let app = &here.app;
    set(
        app,
        "/setup/sites/fernhollow/machines/counter-1/lines/1",
        &[("product", "honey"), ("target", "25 mL"), ("tolerance", "4 %"), ("draw", "6 s")],
    )
    .await;
    let estate = here.store.estate().await.unwrap();
    let line = &estate.machine("fernhollow", "counter-1").unwrap().lines["1"];
    assert_eq!((line.target.to_string(), line.product.as_str()), ("25 mL".to_owned(), "honey"));
    for (path, fields) in [
        ("/setup/products/honey", &[("name", "Wood honey")][..]),
        (
            "/setup/families/roller",
            &[("name", "Roller"), ("metering", "dose"), ("adjuster.kind", "taught")],
        ),
        (
            "/setup/measures/cylinder",
            &[
                ("name", "Cylinder"),
                ("kind", "vessel"),
                ("division", "1 mL"),
                ("tolerance", "0.5 mL"),
            ],
        ),
        ("/setup/sites/mossgate", &[("name", "Moss"), ("measures", "cylinder = cylinder")]),
        (
            "/setup/sites/fernhollow/machines/counter-2",
            &[("name", "Second"), ("family", "roller"), ("state", "open")],
        ),
        ("/setup/owners", &[("name", "Millbrook")]),
    ] {
        set(app, path, fields).await;
    }
    for path in [
        "/setup/owners/millbrook",
        "/setup/sites/mossgate",
        "/setup/sites/fernhollow/machines/counter-2",
        "/setup/sites/fernhollow/machines/counter-1/lines/3",
    ] {
        for (act, is) in [("retire", true), ("bring-back", false)] {
            let (status, _, check) = post(app, path, &[("act", act)]).await;
            assert_eq!(status, StatusCode::OK, "{path}: {check}");
            let hidden: Vec<(String, String)> = check
                .split("type=\"hidden\" name=\"")
                .skip(1)
                .map(|field| {
                    let (name, rest) = field.split_once("\" value=\"").unwrap();
                    (name.to_owned(), rest.split('"').next().unwrap().replace("&quot;", "\""))
                })
                .collect();
            let mut fields: Vec<(&str, &str)> =
                hidden.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
            fields.push(("act", "keep"));
            let (status, _, page) = post(app, path, &fields).await;
            assert_eq!(status, StatusCode::SEE_OTHER, "{path} {act}: {page}");
            let (_, page) = get(app, path).await;
            assert_eq!(page.contains("This is no longer in use"), is, "{path} {act}: {page}");
        }
    }
    assert_eq!(here.store.verify().await.unwrap().misfit, None);
}

#[tokio::test]
async fn faults_stand_beside_their_fields() {
    let here = demo().await;
    let path = "/setup/sites/fernhollow/machines/counter-1/lines/1";
    let fields = [
        ("product", "gooseberry"),
        ("target", "30 oz"),
        ("tolerance", "five"),
        ("draw", "7 s"),
        ("act", "check"),
    ];
    let (status, _, page) = post(&here.app, path, &fields).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    for field in ["target", "tolerance"] {
        assert!(page.contains(&format!("id=\"{field}-fault\"")), "{field}: {page}");
    }
    assert!(page.contains("value=\"30 oz\"") && page.contains("<title>Error: "), "{page}");
    let (status, _, page) = post(
        &here.app,
        "/setup/families/screw",
        &[
            ("name", "Screw"),
            ("metering", "rate"),
            ("adjuster.kind", "screw"),
            ("adjuster.per_turn", "much"),
            ("act", "check"),
        ],
    )
    .await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("id=\"adjuster.per_turn-fault\""), "{page}");
    for path in [
        "/setup/nothing",
        "/setup/sites/nowhere",
        "/setup/sites/nowhere/machines/x",
        "/setup/products/none",
    ] {
        assert_eq!(get(&here.app, path).await.0, StatusCode::NOT_FOUND, "{path}");
    }
    // Somebody else was quicker.
    let stale = [("name", "Honey of another"), ("seen", "0000"), ("act", "keep")];
    assert_eq!(post(&here.app, "/setup/products/honey", &stale).await.0, StatusCode::CONFLICT);
}

#[tokio::test]
async fn a_file_changes_what_a_form_does() {
    let here = demo().await;
    let (_, text) = get(&here.app, "/setup/files/products.toml").await;
    let text = text.replace("Smoked honey", "Oak honey");
    let (_, page) = get(&here.app, "/setup/files").await;
    let mark = page.split("name=\"seen\" value=\"").nth(1).unwrap().split('"').next().unwrap();
    let fields = [("name", "products.toml"), ("text", text.as_str()), ("seen", mark)];
    let (status, _, page) =
        post(&here.app, "/setup/files", &[&fields[..], &[("act", "check")]].concat()).await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("Oak honey") && page.contains("Record it"), "{page}");
    let (status, ..) =
        post(&here.app, "/setup/files", &[&fields[..], &[("act", "keep")]].concat()).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    assert_eq!(here.store.estate().await.unwrap().products["honey"].name, "Oak honey");
    let (status, _, page) =
        post(&here.app, "/setup/files", &[("name", "products.toml"), ("text", "[honey\nname = 3")])
            .await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("line 1"), "{page}");
    assert_eq!(
        post(&here.app, "/setup/files", &[("name", "../x"), ("text", "")]).await.0,
        StatusCode::UNPROCESSABLE_ENTITY
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 8, ..ProptestConfig::default() })]
    #[test]
    fn whatever_is_typed_is_answered(a in ".{0,30}", b in ".{0,30}", key in ".{0,12}") {
        let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let here = demo().await;
            for path in ["group", "owners", "families", "products", "measures", "sites", "sites/fernhollow/machines", "sites/fernhollow/machines/counter-1/lines", "families/screw", "sites/fernhollow", "files"] {
                for act in ["check", "keep", "retire", "change"] {
                    let fields = [("key", key.as_str()), ("name", &a), ("metering", &b), ("adjuster.kind", &a), ("adjuster.per_turn", &b), ("measures", &b), ("target", &a), ("draw", &b), ("text", &a), ("act", act)];
                    let (status, _, page) = post(&here.app, &format!("/setup/{path}"), &fields).await;
                    prop_assert!(!status.is_server_error(), "{path} {act}: {status} {page}");
                }
            }
            Ok(())
        })?;
    }
}
