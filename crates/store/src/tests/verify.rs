//! What was altered is noticed, and the first record that does not fit is named.

use super::*;

async fn with_catches() -> (Place, Vec<Draft>) {
    let place = furnished().await;
    let drafts: Vec<Draft> =
        (1..=20).map(|day| caught("fernhollow/counter-1/1", day, "30 mL")).collect();
    place.store.append(drafts.clone()).await.unwrap();
    let mut noted = caught("mossgate/counter-1/1", 21, "30 mL");
    noted.note = Some("as always".to_owned());
    place.store.append(vec![noted]).await.unwrap();
    (place, drafts)
}

/// Somebody who takes the guards off first.
async fn alter(place: &Place, sql: &'static str) {
    let mut conn = place.raw().await;
    if place.is_sqlite() {
        conn.plain("DROP TRIGGER record_never_changed; DROP TRIGGER record_never_deleted")
            .await
            .unwrap();
    } else {
        conn.plain("ALTER TABLE record DISABLE TRIGGER USER").await.unwrap();
    }
    conn.plain(sql).await.unwrap();
}

#[tokio::test(flavor = "multi_thread")]
async fn an_untouched_store_verifies() {
    let (place, _) = with_catches().await;
    let verified = place.store.verify().await.unwrap();
    assert_eq!(verified.misfit, None);
    assert_eq!(verified.records as i64, place.count("SELECT count(*) FROM record").await);
    assert_eq!(verified.ledgers, place.store.heads().await.unwrap());
}

#[tokio::test(flavor = "multi_thread")]
async fn each_alteration_is_named() {
    for (sql, what) in [
        (
            "UPDATE record SET bytes = (SELECT r.bytes FROM record r WHERE r.scope = 'fernhollow' AND r.idx = 14) WHERE scope = 'fernhollow' AND idx = 12",
            "record 12",
        ),
        (
            "UPDATE record SET received_ms = received_ms + 1 WHERE scope = 'fernhollow' AND idx = 12",
            "record 12",
        ),
        (
            "UPDATE record SET leaf = (SELECT r.leaf FROM record r WHERE r.scope = 'fernhollow' AND r.idx = 14) WHERE scope = 'fernhollow' AND idx = 12",
            "record 12",
        ),
        ("UPDATE record SET at_ms = 0 WHERE scope = 'fernhollow' AND idx = 12", "at_ms"),
        (
            "UPDATE record SET machine = 'counter-2' WHERE scope = 'fernhollow' AND idx = 12",
            "machine",
        ),
        ("UPDATE record SET line = NULL WHERE scope = 'fernhollow' AND idx = 12", "line"),
        ("UPDATE record SET kind = 'claim-made' WHERE scope = 'fernhollow' AND idx = 12", "kind"),
        ("UPDATE record SET shapes = 1 WHERE scope = 'fernhollow' AND idx = 12", "shapes"),
        ("DELETE FROM record WHERE scope = 'fernhollow' AND idx = 12", "record 12: it is missing"),
        (
            "DELETE FROM record WHERE scope = 'mossgate' AND idx = (SELECT max(idx) FROM record WHERE scope = 'mossgate')",
            "it is missing",
        ),
        ("UPDATE head SET size = size - 1 WHERE scope = 'fernhollow'", "the ledger's head says"),
        (
            "UPDATE head SET root = (SELECT h.root FROM head h WHERE h.scope = 'mossgate') WHERE scope = 'fernhollow'",
            "the root over its records",
        ),
        ("DELETE FROM head WHERE scope = 'mossgate'", "its ledger has no head"),
        ("UPDATE note SET text = 'never'", "its note"),
        // Order swapped, each with its own leaf: only the root tells.
        (
            "UPDATE record SET idx = -1 WHERE scope = 'fernhollow' AND idx = 12; UPDATE record SET idx = 12 WHERE scope = 'fernhollow' AND idx = 13; UPDATE record SET idx = 13 WHERE scope = 'fernhollow' AND idx = -1",
            "the root over its records",
        ),
    ] {
        let (place, _) = with_catches().await;
        alter(&place, sql).await;
        let misfit = place.store.verify().await.unwrap().misfit;
        let said = misfit.map(|m| m.to_string()).unwrap_or_default();
        assert!(said.contains(what), "{sql}: {said}");
    }
}

/// The head of one ledger against one kept elsewhere: the whole file rewritten, heads and all, is seen only so.
#[tokio::test(flavor = "multi_thread")]
async fn a_checkpoint_kept_elsewhere_shows_a_rewritten_ledger() {
    let (place, _) = with_catches().await;
    let kept = place.store.checkpoint("larkfield.example", &site("fernhollow")).await.unwrap();
    assert_eq!(kept.origin(), "larkfield.example/fernhollow");
    let leaves = place.store.leaves(&site("fernhollow"), 0, 1000).await.unwrap();
    let root = |leaves: &[Vec<u8>]| {
        let hashes: Vec<_> =
            leaves.iter().map(|l| ouncewise_ledger::merkle::leaf_hash(l)).collect();
        ouncewise_ledger::merkle::root(&hashes)
    };
    assert_eq!((leaves.len() as u64, root(&leaves)), (kept.size, kept.root));
    assert_ne!(root(&leaves[1..]), kept.root);
    assert!(leaves.iter().all(|leaf| !leaf.contains(&b'\n')));
}
