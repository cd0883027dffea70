//! Drafts become records once, whole, in order, and together or not at all.

use super::*;
use crate::{Outcome, StoreError};

#[tokio::test(flavor = "multi_thread")]
async fn a_record_is_given_back_as_it_was_made() {
    let place = furnished().await;
    let draft = caught("fernhollow/counter-1/1", 2, "29.6 mL");
    let receipt = place.store.append(vec![draft.clone()]).await.unwrap();
    let Outcome::Added { index, id } = receipt.outcomes[0] else { panic!("{receipt:?}") };
    assert_eq!(id, draft.record.id);
    let place = place.reopened().await;
    let entry = place.store.record(&site("fernhollow"), id).await.unwrap().unwrap();
    assert_eq!((entry.index, &entry.record), (index, &draft.record));
    let page = place.store.entries(&site("fernhollow"), index, 10).await.unwrap();
    assert_eq!(page, [entry]);
}

#[tokio::test(flavor = "multi_thread")]
async fn sent_twice_it_is_one_record() {
    let place = furnished().await;
    let draft = caught("fernhollow/counter-1/1", 2, "29.6 mL");
    let first = place.store.append(vec![draft.clone()]).await.unwrap().outcomes[0];
    let twice = place.store.append(vec![draft.clone(), draft.clone()]).await.unwrap();
    let (index, id) = (first.index(), first.id());
    assert_eq!(twice.outcomes, [Outcome::AlreadyThere { index, id }; 2]);
    assert_eq!(place.count("SELECT count(*) FROM record WHERE kind = 'catch-taken'").await, 1);
}

#[tokio::test(flavor = "multi_thread")]
async fn twice_in_one_act_it_is_one_record() {
    let place = furnished().await;
    let draft = caught("fernhollow/counter-1/1", 2, "29.6 mL");
    let receipt = place.store.append(vec![draft.clone(), draft]).await.unwrap();
    assert!(matches!(receipt.outcomes[0], Outcome::Added { .. }));
    assert!(matches!(receipt.outcomes[1], Outcome::AlreadyThere { .. }));
}

#[tokio::test(flavor = "multi_thread")]
async fn under_a_known_id_other_bytes_are_kept_and_flagged() {
    let place = furnished().await;
    let draft = caught("fernhollow/counter-1/1", 2, "29.6 mL");
    place.store.append(vec![draft.clone()]).await.unwrap();
    let mut other = draft.clone();
    other.record.at = "2026-02-03T06:41:07.250+01:00".to_owned();
    for _ in 0..2 {
        let receipt = place.store.append(vec![other.clone()]).await.unwrap();
        assert!(matches!(receipt.outcomes[0], Outcome::Conflict { .. }), "{receipt:?}");
    }
    let kept = place.store.conflicts().await.unwrap();
    assert_eq!(kept.len(), 1);
    assert_eq!(kept[0].record, other.record);
    let stands = place.store.record(&site("fernhollow"), draft.record.id).await.unwrap().unwrap();
    assert_eq!(stands.record, draft.record);
}

#[tokio::test(flavor = "multi_thread")]
async fn an_act_is_kept_whole_or_not_at_all_and_every_fault_is_told() {
    let place = furnished().await;
    let good = caught("fernhollow/counter-1/1", 2, "29.6 mL");
    let mut bad = caught("fernhollow/counter-1/1", 2, "29.6 mL");
    bad.record.at = "yesterday".to_owned();
    let mut worse = caught("fernhollow/counter-1/1", 2, "29.6 mL");
    worse.person = Some("A\0".to_owned());
    let refused = place.store.append(vec![good.clone(), bad, worse]).await.unwrap_err();
    let StoreError::Drafts(refusals) = &refused else { panic!("{refused}") };
    assert_eq!(refusals.iter().map(|r| r.position).collect::<Vec<_>>(), [1, 2]);
    assert_eq!(refused.kind().exit_code(), 65);
    assert!(place.store.record(&site("fernhollow"), good.record.id).await.unwrap().is_none());
}

#[tokio::test(flavor = "multi_thread")]
async fn one_act_that_cannot_be_kept_does_not_sink_those_that_share_its_commit() {
    let place = furnished().await;
    // A name that the database itself refuses: nothing checks for it before.
    place
        .raw()
        .await
        .plain(if place.is_sqlite() {
            "CREATE TRIGGER no_zed BEFORE INSERT ON person WHEN new.folded = 'zed' BEGIN SELECT RAISE(ABORT, 'no'); END"
        } else {
            "ALTER TABLE person ADD CHECK (folded <> 'zed')"
        })
        .await
        .unwrap();
    let acts = (0..40).map(|i| {
        let mut draft = caught("fernhollow/counter-1/1", 2, "29.6 mL");
        draft.person = Some(if i == 17 { "Zed".to_owned() } else { format!("P{i}") });
        place.store.append(vec![draft])
    });
    let done = futures::future::join_all(acts).await;
    for (i, done) in done.iter().enumerate() {
        assert_eq!(done.is_err(), i == 17, "{i}: {done:?}");
    }
    assert_eq!(place.count("SELECT count(*) FROM record WHERE kind = 'catch-taken'").await, 39);
    assert_eq!(place.store.verify().await.unwrap().misfit, None);
}

#[tokio::test(flavor = "multi_thread")]
async fn many_at_once_are_numbered_without_gaps() {
    let place = furnished().await;
    let before = place.store.heads().await.unwrap();
    let size = |key: &str, heads: &[ouncewise_ledger::checkpoint::SiteHead]| {
        heads.iter().find(|h| h.site == site(key)).map_or(0, |h| h.size)
    };
    let acts = (0..200).map(|i| {
        let at = ["fernhollow/counter-1/1", "mossgate/counter-1/1"][i % 2];
        place.store.append(vec![caught(at, 2, "29.6 mL")])
    });
    let mut indexes: Vec<u64> = futures::future::join_all(acts)
        .await
        .into_iter()
        .step_by(2)
        .map(|r| r.unwrap().outcomes[0].index())
        .collect();
    indexes.sort_unstable();
    let from = size("fernhollow", &before);
    assert_eq!(indexes, (from..from + 100).collect::<Vec<_>>());
    assert_eq!(
        size("mossgate", &place.store.heads().await.unwrap()),
        size("mossgate", &before) + 100
    );
    assert_eq!(place.store.verify().await.unwrap().misfit, None);
}

/// DESIGN: append-only. The database refuses, whoever asks.
#[tokio::test(flavor = "multi_thread")]
async fn a_record_cannot_be_changed_or_deleted() {
    let place = furnished().await;
    for sql in ["UPDATE record SET at_ms = 0", "DELETE FROM record WHERE idx = 0"] {
        let refused = place.raw().await.run(sql, &[]).await.unwrap_err().to_string();
        assert!(refused.contains("a record is never"), "{refused}");
    }
    let emptied = place.raw().await.run("TRUNCATE record", &[]).await.unwrap_err();
    assert!(place.is_sqlite() || emptied.to_string().contains("a record is never"), "{emptied}");
}

#[tokio::test(flavor = "multi_thread")]
async fn two_stores_over_one_place_take_turns() {
    let place = furnished().await;
    let other = Store::open_with(&place.location, place.options.clone()).await.unwrap();
    let acts = (0..60).map(|i| {
        let store = if i % 2 == 0 { &place.store } else { &other };
        store.append(vec![caught("fernhollow/counter-1/1", 2, "29.6 mL")])
    });
    for done in futures::future::join_all(acts).await {
        done.unwrap();
    }
    assert_eq!(place.count("SELECT count(*) FROM record WHERE kind = 'catch-taken'").await, 60);
    let verified = other.verify().await.unwrap();
    assert_eq!(verified.misfit, None);
    // What either remembered of the other's writing is not stale.
    let shown = place.projection().await;
    place.store.rebuild().await.unwrap();
    same(&place.projection().await, &shown);
}

#[tokio::test(flavor = "multi_thread")]
async fn what_another_store_wrote_in_between_counts() {
    let place = furnished().await;
    let bo = || Draft {
        person: Some("Bo".to_owned()),
        ..caught("fernhollow/counter-1/1", 2, "29.6 mL")
    };
    let by = async |id| {
        let entry = place.store.record(&site("fernhollow"), id).await.unwrap().unwrap();
        entry.record.by.unwrap()
    };
    let mut ids = Vec::new();
    for _ in 0..3 {
        let draft = bo();
        ids.push(draft.record.id);
        place.store.append(vec![draft]).await.unwrap();
    }
    let first = by(ids[0]).await;
    assert_eq!(by(ids[2]).await, first);

    // The name is erased, and the recipe renamed, where this store's writer does not see it.
    let other = Store::open_with(&place.location, place.options.clone()).await.unwrap();
    assert!(other.erase_person(first).await.unwrap());
    let mut wanted = estate();
    wanted.products.get_mut("gooseberry").unwrap().name = "Green gooseberry".to_owned();
    let changes = plan::changes(&estate(), &wanted).changes;
    let drafts = changes.into_iter().map(|c| {
        record(Uuid::now_v7(), c.scope, c.subject, "2026-02-20T08:00:00.000Z", c.body).into()
    });
    other.append(drafts.collect()).await.unwrap();

    let draft = bo();
    let id = draft.record.id;
    place.store.append(vec![draft]).await.unwrap();
    assert_ne!(by(id).await, first);
    let stands = place.store.line(&line("fernhollow/counter-1/1")).await.unwrap().standing.unwrap();
    assert_eq!(stands.line, "Green gooseberry");
    assert_eq!(place.store.verify().await.unwrap().misfit, None);
}
