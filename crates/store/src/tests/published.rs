//! Versions of procedures that were published.

use ouncewise_ledger::procedure_version;

use super::*;

const MODEL: &str = "family = 1\n";

fn publishes(n: u128, name: &str, text: &str) -> Draft {
    record(
        n,
        Body::ProcedurePublished {
            key: name.to_owned(),
            hash: procedure_version(text, Some(MODEL)),
            family: Some("screw-trim".to_owned()),
            text: Some(text.to_owned()),
            model: Some(MODEL.to_owned()),
        },
    )
}

fn record(n: u128, body: Body) -> Draft {
    Record {
        v: 1,
        id: Uuid::from_u128(0x0195_540a_c212_7000_8000_0000_0000_0000 | n),
        scope: Scope::group(),
        subject: Subject::default(),
        at: "2026-03-02T06:00:00.000Z".to_owned(),
        device: "desk".to_owned(),
        sequence: 0,
        by: None,
        entered: Entered::AtDesk,
        note: None,
        body,
    }
    .into()
}

#[tokio::test]
async fn what_was_published_is_told_newest_last_and_what_was_withdrawn_is_marked() {
    let place = place().await;
    let store = &place.store;
    // A record of before texts were kept says only that something was published.
    let hash = "ab".repeat(32);
    let key = "weekly".to_owned();
    let bare = Body::ProcedurePublished { key, hash, family: None, text: None, model: None };
    store.append(vec![record(1, bare)]).await.unwrap();
    for (n, text) in [(9, "a = 1\n"), (8, "a = 2\n"), (7, "a = 3\n")] {
        store.append(vec![publishes(n, "weekly-clean", text)]).await.unwrap();
    }
    let of = Uuid::from_u128(0x0195_540a_c212_7000_8000_0000_0000_0000 | 7);
    let body = Body::Correction { of, reason: "too short".to_owned(), instead: None };
    store.append(vec![record(10, body)]).await.unwrap();
    let all = store.published().await.unwrap();
    let told: Vec<(&str, bool)> =
        all.iter().map(|one| (one.text.as_str(), one.withdrawn)).collect();
    assert_eq!(told, [("a = 1\n", false), ("a = 2\n", false), ("a = 3\n", true)]);
    assert_eq!(all[0].version, procedure_version("a = 1\n", Some(MODEL)));
    assert!(store.verify().await.unwrap().misfit.is_none());
}
