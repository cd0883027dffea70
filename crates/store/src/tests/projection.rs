//! Where lines stand follows from the records, whatever way they came in.

use proptest::prelude::*;

use super::*;

#[tokio::test(flavor = "multi_thread")]
async fn an_estate_comes_back_as_it_was_described() {
    let place = furnished().await.reopened().await;
    assert_eq!(*place.store.estate().await.unwrap(), estate());
    let one = place.store.estate_at("mossgate").await.unwrap();
    assert_eq!(one.sites.len(), 1);
    assert_eq!(one.sites["mossgate"], estate().sites["mossgate"]);
    assert_eq!(one.products, estate().products);
}

#[tokio::test(flavor = "multi_thread")]
async fn the_worst_line_comes_first() {
    let place = furnished().await;
    let week = place.store.week(50, None).await.unwrap();
    assert_eq!((week.lines, week.rows.len(), week.behind), (4, 4, 0));
    place
        .store
        .append(vec![
            caught("fernhollow/counter-1/1", 2, "30 mL"),
            caught("mossgate/counter-1/1", 2, "45 mL"),
        ])
        .await
        .unwrap();
    let week = place.store.week(2, None).await.unwrap();
    assert_eq!((week.lines, week.rows.len()), (4, 2));
    assert_eq!(week.rows[0].standing.address, line("mossgate/counter-1/1"));
    assert!(week.rows[0].urgency > week.rows[1].urgency);
    assert!(week.verdicts.contains(&("off-target".to_owned(), 1)), "{:?}", week.verdicts);
    let week = place.store.week(50, Some("fernhollow")).await.unwrap();
    assert_eq!(week.rows.len(), 3);
    assert!(week.rows.iter().all(|row| &*row.standing.address.site == "fernhollow"));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_change_of_recipe_is_seen_at_once_everywhere() {
    let place = furnished().await;
    place.store.append(vec![caught("mossgate/counter-1/1", 2, "30 mL")]).await.unwrap();
    let before = place.store.line(&line("mossgate/counter-1/1")).await.unwrap().standing.unwrap();
    // The whole group decides at another risk: a record of the group's ledger.
    let mut wanted = estate();
    wanted.products.get_mut("gooseberry").unwrap().name = "Green gooseberry".to_owned();
    let changes = plan::changes(&estate(), &wanted).changes;
    let drafts = changes.into_iter().map(|c| {
        record(Uuid::now_v7(), c.scope, c.subject, "2026-02-20T08:00:00.000Z", c.body).into()
    });
    place.store.append(drafts.collect()).await.unwrap();
    let after = place.store.line(&line("mossgate/counter-1/1")).await.unwrap().standing.unwrap();
    assert_eq!((before.line.as_str(), after.line.as_str()), ("Gooseberry", "Green gooseberry"));
    assert_eq!(place.store.week(9, None).await.unwrap().behind, 0);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_correction_folds_the_machine_again_and_both_stay_visible() {
    let place = furnished().await;
    let address = line("fernhollow/counter-1/1");
    let never = place.store.line(&address).await.unwrap().standing;
    let draft = caught("fernhollow/counter-1/1", 2, "45 mL");
    place.store.append(vec![draft.clone()]).await.unwrap();
    assert_ne!(place.store.line(&address).await.unwrap().standing, never);
    place.store.append(vec![withdrawn(&draft)]).await.unwrap();
    let history = place.store.line(&address).await.unwrap();
    assert_eq!(history.standing, never);
    let of = history.events.iter().find(|e| e.record.id == draft.record.id).unwrap();
    assert!(matches!(of.outcome, ouncewise_ledger::order::Outcome::Withdrawn { .. }));
}

#[tokio::test(flavor = "multi_thread")]
async fn what_describes_the_estate_can_be_corrected() {
    let place = furnished().await;
    let change = record(
        Uuid::now_v7(),
        site("fernhollow"),
        Subject::line("counter-1", "1"),
        "2026-02-01T08:00:00.000Z",
        Body::ProductChanged { product: "honey".to_owned() },
    );
    place.store.append(vec![change.clone().into()]).await.unwrap();
    let product = |estate: &Estate| {
        estate.sites["fernhollow"].machines["counter-1"].lines["1"].product.to_string()
    };
    assert_eq!(product(&place.store.estate().await.unwrap()), "honey");
    place.store.append(vec![withdrawn(&change.into())]).await.unwrap();
    assert_eq!(product(&place.store.estate().await.unwrap()), "gooseberry");
}

#[tokio::test(flavor = "multi_thread")]
async fn rebuilt_projections_are_the_same_to_the_byte() {
    let place = furnished().await;
    let drafts: Vec<Draft> = (1..=28)
        .map(|day| caught("fernhollow/counter-1/1", day, &format!("{} mL", 28 + day % 5)))
        .collect();
    for draft in &drafts {
        place.store.append(vec![draft.clone()]).await.unwrap();
    }
    place.store.append(vec![withdrawn(&drafts[27]), withdrawn(&drafts[3])]).await.unwrap();
    let shown = place.projection().await;
    assert_eq!(place.store.rebuild().await.unwrap(), 3);
    same(&place.projection().await, &shown);
    assert_eq!(shown.len(), 4);
}

#[tokio::test(flavor = "multi_thread")]
async fn an_interrupted_load_is_folded_when_the_store_is_opened() {
    let place = furnished().await;
    place.store.append(vec![caught("fernhollow/counter-1/1", 2, "45 mL")]).await.unwrap();
    let shown = place.projection().await;
    let mut conn = place.raw().await;
    // As a load that was killed leaves it: records newer than the standing.
    conn.run("UPDATE standing SET json = 'old', urgency = 0", &[]).await.unwrap();
    conn.run(
        "INSERT INTO stale (scope, machine) SELECT DISTINCT scope, machine FROM standing",
        &[],
    )
    .await
    .unwrap();
    drop(conn);
    let place = place.reopened().await;
    same(&place.projection().await, &shown);
    assert_eq!(place.count("SELECT count(*) FROM stale").await, 0);
}

/// What happened at two machines in a month, corrections and changes of the estate among it.
fn month() -> Vec<Draft> {
    let mut drafts = estate_drafts();
    for day in 1..=9 {
        for at in ["fernhollow/counter-1/1", "fernhollow/counter-1/2", "mossgate/counter-1/1"] {
            drafts.push(caught(at, day, &format!("{} mL", 27 + (day * 7) % 9)));
        }
    }
    let (wrong, other) = (drafts[drafts.len() - 2].clone(), drafts[drafts.len() - 9].clone());
    drafts.extend([withdrawn(&wrong), withdrawn(&other)]);
    let body = Body::ProductChanged { product: "honey".to_owned() };
    let at = "2026-02-05T12:00:00.000Z";
    let changed =
        record(Uuid::now_v7(), site("mossgate"), Subject::line("counter-1", "1"), at, body);
    drafts.extend([changed.clone().into(), withdrawn(&changed.into())]);
    let body = Body::LineAdjusted {
        done: "1/4 turn".to_owned(),
        setting: None,
        meant: Some("-8 %".to_owned()),
    };
    drafts.push(
        record(Uuid::now_v7(), site("fernhollow"), Subject::line("counter-1", "2"), at, body)
            .into(),
    );
    drafts
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    /// DESIGN §4: computations fold in the order of events, so receipt may be in any order, act by act or at once.
    #[test]
    fn any_order_of_receipt_gives_the_same_standing(order in Just(month()).prop_shuffle(), act in 1_usize..9) {
        let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().unwrap();
        runtime.block_on(async {
            let shuffled = place().await;
            for drafts in order.chunks(act) {
                shuffled.store.append(drafts.to_vec()).await.unwrap();
            }
            let straight = place().await;
            let mut sorted = order.clone();
            sorted.sort_by_key(|d| (d.record.instant().unwrap(), d.record.sequence, d.record.id));
            straight.store.append(sorted).await.unwrap();
            same(&shuffled.projection().await, &straight.projection().await);
            assert_eq!(shuffled.store.estate().await.unwrap(), straight.store.estate().await.unwrap());
        });
    }
}
