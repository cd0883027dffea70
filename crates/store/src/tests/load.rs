//! Files go in whole or row by row, once, and can be taken back.

use super::*;
use crate::{LoadOptions, Loaded, StoreError};

fn rows(count: u32) -> Vec<Draft> {
    (0..count)
        .map(|i| {
            let at = ["fernhollow/counter-1/1", "fernhollow/counter-2/1", "mossgate/counter-1/1"];
            imported(at[i as usize % 3], 1 + i % 28, &format!("{}.{} mL", 28 + i % 4, i / 4))
        })
        .collect()
}

fn options(all_or_nothing: bool) -> LoadOptions {
    LoadOptions { name: "catches.csv".to_owned(), hash: "ab".to_owned(), all_or_nothing }
}

async fn load(place: &Place, drafts: &[Draft], all_or_nothing: bool) -> Result<Loaded, StoreError> {
    let mut loader = place.store.loader(options(all_or_nothing), |_| {}).await?;
    for draft in drafts {
        loader.push(draft.clone()).await?;
    }
    loader.finish().await
}

async fn withdrawn_by(place: &Place, load: Uuid) -> u64 {
    let undone = place.store.undo(load, None).await.unwrap();
    assert_eq!(undone.kept, 0);
    undone.withdrawn
}

async fn catches(place: &Place) -> i64 {
    place.count("SELECT count(*) FROM record WHERE kind = 'catch-taken'").await
}

#[tokio::test(flavor = "multi_thread")]
async fn the_same_file_again_adds_nothing() {
    let place = furnished().await;
    let drafts = rows(5_000);
    let mut steps = Vec::new();
    {
        let mut loader =
            place.store.loader(options(false), |p| steps.push(p.drafts)).await.unwrap();
        for draft in &drafts {
            loader.push(draft.clone()).await.unwrap();
        }
        let loaded = loader.finish().await.unwrap();
        assert_eq!((loaded.added, loaded.already_there, loaded.refused), (5_000, 0, 0));
    }
    assert_eq!(steps, [2_000, 4_000, 5_000]);
    let again = load(&place, &drafts, false).await.unwrap();
    assert_eq!((again.added, again.already_there, again.load), (0, 5_000, None));
    assert_eq!(place.store.loads().await.unwrap().len(), 1);
    assert_eq!(catches(&place).await, 5_000);
    assert_eq!(place.store.verify().await.unwrap().misfit, None);
    let shown = place.projection().await;
    place.store.rebuild().await.unwrap();
    same(&place.projection().await, &shown);
}

#[tokio::test(flavor = "multi_thread")]
async fn the_same_rows_one_by_one_come_to_the_same() {
    let (bulk, single) = (furnished().await, furnished().await);
    let drafts = rows(60);
    load(&bulk, &drafts, false).await.unwrap();
    for draft in drafts {
        single.store.append(vec![draft]).await.unwrap();
    }
    same(&bulk.projection().await, &single.projection().await);
    // But for the time of receipt, the ledgers are the same.
    let records = "SELECT scope, idx, bytes FROM record ORDER BY scope, idx";
    let a: Vec<(String, i64, Vec<u8>)> = bulk.ask(records, &[]).await;
    let b: Vec<(String, i64, Vec<u8>)> = single.ask(records, &[]).await;
    assert_eq!(a, b);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_bad_row_is_refused_and_the_good_ones_load() {
    let place = furnished().await;
    let mut drafts = rows(2_400);
    drafts[2_200].record.at = "later".to_owned();
    let loaded = load(&place, &drafts, false).await.unwrap();
    assert_eq!((loaded.added, loaded.refused, loaded.drafts), (2_399, 1, 2_400));
    assert_eq!(loaded.refusals[0].position, 2_200);
}

#[tokio::test(flavor = "multi_thread")]
async fn all_or_nothing_leaves_nothing_at_a_bad_row() {
    let place = furnished().await;
    let before = (place.store.heads().await.unwrap(), place.projection().await);
    let mut drafts = rows(2_400);
    drafts[2_200].record.at = "later".to_owned();
    let refused = load(&place, &drafts, true).await.unwrap_err();
    assert!(matches!(&refused, StoreError::Drafts(r) if r[0].position == 2_200), "{refused}");
    assert_eq!((place.store.heads().await.unwrap(), place.projection().await), before);
    assert!(place.store.loads().await.unwrap().is_empty());
    // And the store goes on.
    drafts.truncate(2_200);
    assert_eq!(load(&place, &drafts, true).await.unwrap().added, 2_200);
    assert_eq!(place.store.week(9, None).await.unwrap().behind, 0);
}

#[tokio::test(flavor = "multi_thread")]
async fn an_abandoned_all_or_nothing_load_leaves_nothing_and_holds_nobody_up() {
    let place = furnished().await;
    let mut loader = place.store.loader(options(true), |_| {}).await.unwrap();
    for draft in rows(2_001) {
        loader.push(draft).await.unwrap();
    }
    drop(loader);
    place.store.append(vec![caught("fernhollow/counter-1/1", 2, "30 mL")]).await.unwrap();
    assert_eq!(catches(&place).await, 1);
    assert_eq!(place.store.verify().await.unwrap().misfit, None);
}

#[tokio::test(flavor = "multi_thread")]
async fn single_acts_get_their_turn_during_a_load() {
    let place = furnished().await;
    let mut loader = place.store.loader(options(false), |_| {}).await.unwrap();
    let drafts = rows(6_000);
    let store = &place.store;
    let act = async move {
        store.append(vec![caught("fernhollow/counter-1/1", 2, "30 mL")]).await.unwrap()
    };
    let mut act = Box::pin(act);
    let mut answered = None;
    for (i, draft) in drafts.into_iter().enumerate() {
        loader.push(draft).await.unwrap();
        if answered.is_none() && futures::poll!(&mut act).is_ready() {
            answered = Some(i);
        }
    }
    loader.finish().await.unwrap();
    assert!(answered.is_some_and(|i| i < 5_999), "{answered:?}");
}

#[tokio::test(flavor = "multi_thread")]
async fn an_undone_load_can_be_brought_in_again() {
    let place = furnished().await;
    let empty = place.projection().await;
    let drafts = rows(2_500);
    // Two rows came by other ways before, and are not the load's to withdraw.
    place.store.append(drafts[..2].to_vec()).await.unwrap();
    let two = place.projection().await;
    assert_ne!(two, empty);
    let loaded = load(&place, &drafts, false).await.unwrap();
    assert_eq!((loaded.added, loaded.already_there), (2_498, 2));
    let full = place.projection().await;
    let id = loaded.load.unwrap();
    assert_eq!(withdrawn_by(&place, id).await, 2_498);
    same(&place.projection().await, &two);
    assert_eq!(withdrawn_by(&place, id).await, 0);
    assert!(place.store.loads().await.unwrap()[0].undone_ms.is_some());

    let again = load(&place, &drafts, true).await.unwrap();
    assert_eq!((again.added, again.already_there, again.conflicts), (2_498, 2, 0));
    same(&place.projection().await, &full);
    let third = load(&place, &drafts, true).await.unwrap();
    assert_eq!((third.added, third.already_there), (0, 2_500));
    assert_eq!(withdrawn_by(&place, again.load.unwrap()).await, 2_498);
    same(&place.projection().await, &two);
    assert_eq!(load(&place, &drafts, false).await.unwrap().added, 2_498);
    assert_eq!(place.store.verify().await.unwrap().misfit, None);
    let missing = place.store.undo(Uuid::nil(), None).await.unwrap_err();
    assert_eq!(missing.kind().exit_code(), 2);
}

/// What an undo withdrew comes in again by a file whatever its ids; a device that says it again adds nothing.
#[tokio::test(flavor = "multi_thread")]
async fn records_of_devices_can_be_brought_in_again_too() {
    let place = furnished().await;
    let drafts: Vec<Draft> =
        (1..=3).map(|day| caught("fernhollow/counter-1/1", day, "30 mL")).collect();
    assert!(drafts.iter().all(|draft| draft.record.id.get_version_num() == 7));
    let loaded = load(&place, &drafts, false).await.unwrap();
    let full = place.projection().await;
    place.store.undo(loaded.load.unwrap(), None).await.unwrap();
    let receipt = place.store.append(drafts.clone()).await.unwrap();
    assert!(receipt.outcomes.iter().all(|o| matches!(o, crate::Outcome::AlreadyThere { .. })));
    assert_eq!(load(&place, &drafts, false).await.unwrap().added, 3);
    same(&place.projection().await, &full);
    assert_eq!(load(&place, &drafts, false).await.unwrap().already_there, 3);
}

#[tokio::test(flavor = "multi_thread")]
async fn an_estate_can_be_loaded_as_well() {
    let (bulk, single) = (place().await, furnished().await);
    load(&bulk, &estate_drafts(), true).await.unwrap();
    assert_eq!(bulk.store.estate().await.unwrap(), single.store.estate().await.unwrap());
    same(&bulk.projection().await, &single.projection().await);
}

#[tokio::test(flavor = "multi_thread")]
async fn what_a_load_described_goes_with_it_unless_others_use_it() {
    let place = place().await;
    let empty = place.store.estate().await.unwrap();
    let drafts = [estate_drafts(), rows(9)].concat();
    let loaded = load(&place, &drafts, false).await.unwrap();
    let undone = place.store.undo(loaded.load.unwrap(), None).await.unwrap();
    assert_eq!((undone.withdrawn, undone.kept), (9, 0));
    assert_eq!(undone.set_up, estate_drafts().len() as u64);
    assert_eq!(place.store.estate().await.unwrap(), empty, "nothing that it made is left");
    assert_eq!(place.projection().await, Vec::<String>::new());

    // Once more; and meanwhile somebody catches one of its lines.
    let again = load(&place, &drafts, false).await.unwrap();
    let whole = place.store.estate().await.unwrap();
    assert_ne!(whole, empty);
    place.store.append(vec![caught("fernhollow/counter-1/1", 20, "30 mL")]).await.unwrap();
    let undone = place.store.undo(again.load.unwrap(), None).await.unwrap();
    assert!(undone.kept > 0, "{undone:?}");
    let left = place.store.estate().await.unwrap();
    let lines: Vec<String> = left.lines().map(|(at, _)| at.to_string()).collect();
    assert_eq!(lines, ["fernhollow/counter-1/1"], "its line, and no other");
    assert_eq!(left.families, whole.families);
    assert!(!left.sites.contains_key("mossgate"));
    let shown = place.projection().await;
    place.store.rebuild().await.unwrap();
    same(&place.projection().await, &shown);
    assert_eq!(place.store.verify().await.unwrap().misfit, None);
}

/// A spreadsheet has no column for the device, and for how a record was entered.
#[tokio::test(flavor = "multi_thread")]
async fn a_row_that_tells_no_more_than_its_record_is_there_already() {
    let place = furnished().await;
    let mut draft = caught("fernhollow/counter-1/1", 3, "30 mL");
    draft.person = Some("Ada Brook".to_owned());
    draft.note = Some("foamed".to_owned());
    place.store.append(vec![draft.clone()]).await.unwrap();
    let mut row = draft.clone();
    row.record.entered = ouncewise_ledger::Entered::Imported;
    row.record.device = "import".to_owned();
    let mut bare = row.clone();
    (bare.person, bare.note) = (None, None);
    let loaded = load(&place, &[row.clone(), bare], false).await.unwrap();
    assert_eq!((loaded.already_there, loaded.conflicts, loaded.added), (2, 0, 0));
    // An export tells what stands, and that is another body where a record was corrected.
    let corrected = ouncewise_ledger::Body::CatchTaken {
        state: ouncewise_ledger::LineState::AsFound,
        amount: "29 mL".to_owned(),
        draw: "7 s".to_owned(),
        measure: "cylinder".to_owned(),
        water: None,
        water_draw: None,
        temperature: None,
    };
    let mut correction = withdrawn(&draft);
    correction.record.body = ouncewise_ledger::Body::Correction {
        of: draft.record.id,
        reason: "a slip".to_owned(),
        instead: Some(Box::new(corrected.clone())),
    };
    place.store.append(vec![correction]).await.unwrap();
    let mut exported = row.clone();
    exported.record.body = corrected;
    assert_eq!(load(&place, &[exported], false).await.unwrap().already_there, 1);
    // Whatever it tells otherwise is kept aside, as ever.
    let mut other = [row.clone(), row.clone(), row.clone(), row];
    other[0].record.sequence += 1;
    other[1].person = Some("Ben Hill".to_owned());
    other[2].note = Some("no foam".to_owned());
    other[3].record.at = other[3].record.at.replace("2026", "2025");
    let loaded = load(&place, &other, false).await.unwrap();
    assert_eq!((loaded.already_there, loaded.conflicts), (0, 4));
}

/// Nobody asks, and nobody writes afterwards: the writer has the time.
#[tokio::test(flavor = "multi_thread")]
async fn histories_follow_a_load_by_themselves() {
    let place = furnished().await;
    while place.store.behind().await.unwrap() > 0 {
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
    }
    load(&place, &rows(40), false).await.unwrap();
    assert!(place.store.behind().await.unwrap() > 0);
    let mut waited = 0;
    while place.store.behind().await.unwrap() > 0 {
        assert!(waited < 1_000, "nobody follows them");
        waited += 1;
        tokio::time::sleep(std::time::Duration::from_millis(20)).await;
    }
    assert_eq!(place.store.verify().await.unwrap().misfit, None);
}
