//! Names and notes lie beside the ledger, stay the same for the same record, and can be erased.

use ouncewise_ledger::note_hash;

use super::*;
use crate::Outcome;

fn by(person: &str, note: &str) -> Draft {
    let mut draft = caught("fernhollow/counter-1/1", 2, "29.6 mL");
    draft.person = Some(person.to_owned());
    draft.note = Some(note.to_owned());
    draft
}

#[tokio::test(flavor = "multi_thread")]
async fn one_name_in_two_spellings_is_one_person() {
    let place = furnished().await;
    let drafts = vec![by(" Åsa  Lind ", "a"), by("åsa lind", "b"), by("Bo", "c")];
    place.store.append(drafts.clone()).await.unwrap();
    let people = place.store.people().await.unwrap();
    let mut names: Vec<&str> = people.iter().filter_map(|p| p.name.as_deref()).collect();
    names.sort_unstable();
    assert_eq!(names, ["Bo", "Åsa Lind"]);
    let mut ids = Vec::new();
    for draft in &drafts {
        let entry =
            place.store.record(&site("fernhollow"), draft.record.id).await.unwrap().unwrap();
        ids.push(entry.record.by.unwrap());
    }
    assert_eq!(ids[0], ids[1]);
    assert_ne!(ids[0], ids[2]);
    // An id is a person too.
    let mut again = by("Bo", "d");
    again.person = Some(ids[2].0.to_string());
    place.store.append(vec![again.clone()]).await.unwrap();
    let entry = place.store.record(&site("fernhollow"), again.record.id).await.unwrap().unwrap();
    assert_eq!(entry.record.by, Some(ids[2]));
    assert_eq!(place.store.people().await.unwrap().len(), 2);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_note_is_a_salted_hash_and_the_same_for_the_same_record() {
    let place = furnished().await;
    let draft = by("Bo", "syrup was warm");
    place.store.append(vec![draft.clone()]).await.unwrap();
    let entry = place.store.record(&site("fernhollow"), draft.record.id).await.unwrap().unwrap();
    let rows: Vec<(Vec<u8>, String)> = place.ask("SELECT salt, text FROM note", &[]).await;
    let salt: [u8; 16] = rows[0].0.clone().try_into().unwrap();
    assert_eq!(entry.record.note, Some(note_hash(&salt, "syrup was warm")));
    assert_eq!(place.store.notes(&site("fernhollow")).await.unwrap()[0].text, "syrup was warm");
    let again = place.store.append(vec![draft.clone()]).await.unwrap();
    assert!(matches!(again.outcomes[0], Outcome::AlreadyThere { .. }), "{again:?}");
    let mut other = draft;
    other.note = Some("syrup was cold".to_owned());
    let other = place.store.append(vec![other]).await.unwrap();
    assert!(matches!(other.outcomes[0], Outcome::Conflict { .. }), "{other:?}");
}

#[tokio::test(flavor = "multi_thread")]
async fn erased_names_and_notes_are_gone_and_the_ledger_still_holds() {
    let place = furnished().await;
    let draft = by("Bo", "his back hurts");
    place.store.append(vec![draft.clone()]).await.unwrap();
    let entry = place.store.record(&site("fernhollow"), draft.record.id).await.unwrap().unwrap();
    let bo = entry.record.by.unwrap();
    assert!(place.store.erase_person(bo).await.unwrap());
    assert!(place.store.erase_note(&site("fernhollow"), draft.record.id).await.unwrap());
    assert!(!place.store.erase_person(bo).await.unwrap());
    assert_eq!(place.store.people().await.unwrap()[0].name, None);
    assert!(place.store.notes(&site("fernhollow")).await.unwrap().is_empty());
    assert_eq!(place.store.verify().await.unwrap().misfit, None);
    // The same row brought in again is the same record, and brings neither back.
    let again = place.store.append(vec![draft]).await.unwrap();
    assert!(matches!(again.outcomes[0], Outcome::AlreadyThere { .. }), "{again:?}");
    assert_eq!(place.count("SELECT count(*) FROM person WHERE name IS NOT NULL").await, 0);
    assert_eq!(place.count("SELECT count(*) FROM note WHERE text IS NOT NULL").await, 0);
    // A new record by that name is by somebody new.
    let new = by("Bo", "on time");
    place.store.append(vec![new.clone()]).await.unwrap();
    let entry = place.store.record(&site("fernhollow"), new.record.id).await.unwrap().unwrap();
    assert_ne!(entry.record.by, Some(bo));
}
