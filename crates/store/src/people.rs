//! Names and free text: they lie beside the ledger, which holds only an id and a salted hash.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use ouncewise_ledger::{Draft, PersonId, Record, Scope, note_hash};
use serde::Serialize;
use uuid::Uuid;

use crate::answer::Answer;
use crate::db::{Conn, Val};
use crate::error::StoreError;
use crate::put::{Known, WANT_ID};
use crate::store::{AsyncAct, Store};
use crate::trust::Trust;
use crate::writer::Writer;

pub(crate) const SALTS: &str = ") SELECT note.scope, note.id, note.salt FROM want CROSS JOIN note \
     WHERE note.scope = want.scope AND note.id = want.id";

/// Somebody who did something.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Person {
    /// The id that stands in records.
    pub id: PersonId,
    /// The name; nothing once it has been erased.
    pub name: Option<String>,
}

/// A note that a draft brought, on its way to its table.
#[derive(Debug, Clone)]
pub(crate) struct NewNote {
    pub scope: String,
    pub id: Uuid,
    pub salt: [u8; 16],
    pub text: String,
}

/// How two spellings of one name are seen to be one: white space and case do not count.
pub(crate) fn folded(name: &str) -> String {
    name.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// Puts an id for each draft's person into its record, new ones where a name is new. An id given as text is taken
/// as it is. A record that is there already, by somebody whose name has been erased since, keeps its person.
pub(crate) async fn name(
    conn: &mut Conn,
    drafts: &[Draft],
    records: &mut [Record],
    known: &HashMap<(&str, Uuid), Known>,
    trust: &mut Trust,
) -> Result<(), StoreError> {
    let mut wanted: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (i, draft) in drafts.iter().enumerate() {
        let Some(name) = &draft.person else { continue };
        match name.trim().parse::<Uuid>() {
            Ok(id) => records[i].by = Some(PersonId(id)),
            Err(_) if folded(name).is_empty() => {}
            Err(_) => wanted.entry(folded(name)).or_default().push(i),
        }
    }
    if wanted.is_empty() {
        return Ok(());
    }
    let mut ids = HashMap::new();
    let mut names = Vec::new();
    for name in wanted.keys() {
        match trust.person(conn, name)? {
            Some(id) => drop(ids.insert(name.clone(), id)),
            None => names.push(name.clone()),
        }
    }
    ids.extend(find(conn, &names).await?);
    let mut fresh = Vec::new();
    for (name, at) in &wanted {
        if ids.contains_key(name) {
            continue;
        }
        let mut needed = None;
        for i in at {
            let before = known.get(&(drafts[*i].record.scope.as_str(), records[*i].id));
            match before.and_then(Known::record).and_then(|r| r.by) {
                Some(by) if erased(conn, by).await? => records[*i].by = Some(by),
                _ => {
                    needed.get_or_insert(*i);
                }
            }
        }
        if let Some(i) = needed {
            let spelt = drafts[i].person.as_deref().unwrap_or_default();
            let spelt = spelt.split_whitespace().collect::<Vec<_>>().join(" ");
            fresh.push((Uuid::now_v7(), spelt, name.clone()));
        }
    }
    if !fresh.is_empty() {
        conn.insert(
            "INSERT INTO person (id, name, folded) VALUES ",
            &fresh,
            |(id, name, folded)| [Val::B(id.as_bytes()), Val::T(name), Val::T(folded)],
            " ON CONFLICT (folded) DO NOTHING",
        )
        .await?;
        // Another server may have been quicker: ask again rather than trust our own id.
        ids.extend(find(conn, &names).await?);
    }
    trust.follow_people(&ids);
    for (name, at) in wanted {
        let Some(id) = ids.get(&name) else { continue };
        for i in at {
            records[i].by.get_or_insert(PersonId(*id));
        }
    }
    Ok(())
}

async fn find(conn: &mut Conn, names: &[String]) -> Result<HashMap<String, Uuid>, StoreError> {
    let rows: Vec<(String, Vec<u8>)> = conn
        .ask(
            "SELECT folded, id FROM person WHERE (folded) IN (VALUES ",
            names,
            |name| [Val::T(name)],
            ")",
        )
        .await?;
    Ok(rows.into_iter().filter_map(|(name, id)| Some((name, uuid(&id)?))).collect())
}

async fn erased(conn: &mut Conn, id: PersonId) -> Result<bool, StoreError> {
    conn.any("SELECT 1 FROM person WHERE id = $1 AND name IS NULL", &[Val::B(id.0.as_bytes())])
        .await
}

/// Puts the hash of each draft's note into its record; gives the notes that are new. The same record brought again
/// is hashed with the salt it had, and one whose note has been erased since keeps the hash it has.
pub(crate) async fn note(
    conn: &mut Conn,
    drafts: &[Draft],
    records: &mut [Record],
    known: &HashMap<(&str, Uuid), Known>,
) -> Result<Vec<NewNote>, StoreError> {
    let noted: Vec<(usize, &str, Uuid, &str)> = drafts
        .iter()
        .enumerate()
        .filter_map(|(i, d)| {
            let text = d.note.as_deref().filter(|t| !t.trim().is_empty())?;
            Some((i, d.record.scope.as_str(), records[i].id, text))
        })
        .collect();
    if noted.is_empty() {
        return Ok(Vec::new());
    }
    let rows: Vec<(String, Vec<u8>, Option<Vec<u8>>)> = conn
        .ask(WANT_ID, &noted, |(_, scope, id, _)| [Val::T(scope), Val::B(id.as_bytes())], SALTS)
        .await?;
    let mut salts: HashMap<(String, Uuid), Option<[u8; 16]>> = rows
        .into_iter()
        .filter_map(|(scope, id, salt)| {
            Some(((scope, uuid(&id)?), salt.and_then(|s| s.try_into().ok())))
        })
        .collect();
    let mut fresh = Vec::new();
    for (i, scope, id, text) in noted {
        let salt = *salts.entry((scope.to_owned(), id)).or_insert_with(|| {
            let salt = rand::random();
            fresh.push(NewNote { scope: scope.to_owned(), id, salt, text: text.to_owned() });
            Some(salt)
        });
        records[i].note = match salt {
            Some(salt) => Some(note_hash(&salt, text)),
            None => known.get(&(scope, id)).and_then(Known::record).and_then(|r| r.note),
        };
    }
    Ok(fresh)
}

/// Keeps new notes, except of drafts that were not kept as records.
pub(crate) async fn keep_notes(
    conn: &mut Conn,
    notes: &[NewNote],
    added: &BTreeSet<(&str, Uuid)>,
) -> Result<(), StoreError> {
    let kept: Vec<&NewNote> =
        notes.iter().filter(|n| added.contains(&(n.scope.as_str(), n.id))).collect();
    conn.insert(
        "INSERT INTO note (scope, id, salt, text) VALUES ",
        &kept,
        |n| [Val::T(&n.scope), Val::B(n.id.as_bytes()), Val::B(&n.salt), Val::T(&n.text)],
        " ON CONFLICT (scope, id) DO NOTHING",
    )
    .await
}

/// A note, where it has not been erased.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Note {
    /// The record it belongs to.
    pub id: Uuid,
    /// What it says.
    pub text: String,
}

impl Store {
    /// Everybody who stands in a record by name, erased ones too.
    ///
    /// # Errors
    /// If the database cannot be read.
    pub fn people(&self) -> Answer<'_, Vec<Person>> {
        Box::pin(async move {
            let rows: Vec<(Vec<u8>, Option<String>)> = self
                .reading()
                .await?
                .rows("SELECT id, name FROM person ORDER BY folded, id", &[])
                .await?;
            Ok(rows
                .into_iter()
                .filter_map(|(id, name)| Some(Person { id: PersonId(uuid(&id)?), name }))
                .collect())
        })
    }

    /// The notes of a ledger.
    ///
    /// # Errors
    /// If the database cannot be read.
    pub fn notes<'a>(&'a self, scope: &'a Scope) -> Answer<'a, Vec<Note>> {
        Box::pin(async move {
            let rows: Vec<(Vec<u8>, String)> = self
                .reading()
                .await?
                .rows(
                    "SELECT id, text FROM note WHERE scope = $1 AND text IS NOT NULL ORDER BY id",
                    &[Val::T(scope.as_str())],
                )
                .await?;
            Ok(rows
                .into_iter()
                .filter_map(|(id, text)| Some(Note { id: uuid(&id)?, text }))
                .collect())
        })
    }

    /// Erases a name. The records keep their id, which then stands for nobody known. Gives whether there was one.
    ///
    /// # Errors
    /// If the database cannot keep it.
    pub fn erase_person(&self, id: PersonId) -> Answer<'_, bool> {
        Box::pin(async move { self.alone(Erase::Person(id)).await })
    }

    /// Erases the text of a record's note, and the salt without which its hash tells nothing. Gives
    /// whether there was one.
    ///
    /// # Errors
    /// If the database cannot keep it.
    pub fn erase_note<'a>(&'a self, scope: &'a Scope, id: Uuid) -> Answer<'a, bool> {
        Box::pin(async move { self.alone(Erase::Note(scope.clone(), id)).await })
    }
}

enum Erase {
    Person(PersonId),
    Note(Scope, Uuid),
}

impl AsyncAct<bool> for Erase {
    async fn run(self, writer: &mut Writer) -> Result<bool, StoreError> {
        let mut conn = writer.begin().await?;
        let changed = match &self {
            Erase::Person(id) => {
                conn.run(
                    "UPDATE person SET name = NULL, folded = NULL WHERE id = $1 AND name IS NOT NULL",
                    &[Val::B(id.0.as_bytes())],
                )
                .await
            }
            Erase::Note(scope, id) => {
                conn.run(
                    "UPDATE note SET salt = NULL, text = NULL WHERE scope = $1 AND id = $2 AND text IS NOT NULL",
                    &[Val::T(scope.as_str()), Val::B(id.as_bytes())],
                )
                .await
            }
        };
        Ok(writer.end(conn, changed).await? > 0)
    }
}

/// An id as the database gives it.
pub(crate) fn uuid(bytes: &[u8]) -> Option<Uuid> {
    Uuid::from_slice(bytes).ok()
}
