//! Whether what is stored is what was stored: every leaf and every root derived anew from the bytes.

use std::collections::HashMap;

use ouncewise_ledger::checkpoint::SiteHead;
use ouncewise_ledger::merkle::{Frontier, Hash};
use ouncewise_ledger::{Body, Record, leaf_hash, note_hash};
use serde::Serialize;
use uuid::Uuid;

use crate::answer::Answer;
use crate::clock::received;
use crate::db::{Conn, Val};
use crate::error::StoreError;
use crate::head::{signed, unsigned};
use crate::people::uuid;
use crate::read::heads;
use crate::standing;
use crate::store::{AsyncAct, Store};
use crate::touch::shapes;
use crate::writer::Writer;

/// How many records are read at once.
const PAGE: u64 = 2_000;

/// What verifying found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Verified {
    /// The heads of all ledgers, as stored.
    pub ledgers: Vec<SiteHead>,
    /// Records that were checked and fit.
    pub records: u64,
    /// The first thing that does not fit; nothing, if all does.
    pub misfit: Option<Misfit>,
}

/// Something stored that is not what it was.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Misfit {
    /// The ledger; nothing, where it is the file as a whole.
    pub scope: Option<String>,
    /// The record's place in it.
    pub index: Option<u64>,
    /// The record's id, where it can be told.
    pub id: Option<Uuid>,
    /// What does not fit.
    pub what: String,
}

impl std::fmt::Display for Misfit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if let Some(scope) = &self.scope {
            write!(f, "ledger {scope}, ")?;
        }
        if let Some(index) = self.index {
            write!(f, "record {index}")?;
            match self.id {
                Some(id) => write!(f, " ({id}): ")?,
                None => write!(f, ": ")?,
            }
        }
        f.write_str(&self.what)
    }
}

impl Store {
    /// Derives every leaf and root from the stored bytes, and compares all that repeats them.
    ///
    /// It shows that records have not been altered since they were stored, or names the first that does not fit. Somebody
    /// who can rewrite the whole file can rewrite its heads too: only a [checkpoint](Store::checkpoint) kept elsewhere shows that.
    ///
    /// # Errors
    /// If the database cannot be reached; damage is no error but an answer.
    pub fn verify(&self) -> Answer<'_, Verified> {
        Box::pin(async move { verify(&mut self.reading().await?).await })
    }

    /// Throws the projections away and folds them from the ledgers again; gives the number of machines. The
    /// rows come out the same, byte for byte. The ledgers and their heads are evidence, and stay as they are.
    ///
    /// # Errors
    /// If the database cannot be read or written.
    pub fn rebuild(&self) -> Answer<'_, u64> {
        Box::pin(async move { self.alone(Rebuild).await })
    }
}

struct Rebuild;

impl AsyncAct<u64> for Rebuild {
    async fn run(self, writer: &mut Writer) -> Result<u64, StoreError> {
        writer.forget();
        let mut conn = writer.begin().await?;
        let done = async {
            let machines: Vec<(String, String)> = {
                let estate = writer.estates.whole(&mut conn).await?;
                let machine = |site: &str, machine: &str| (site.to_owned(), machine.to_owned());
                estate
                    .sites
                    .iter()
                    .flat_map(|(site, s)| s.machines.keys().map(move |m| machine(site, m)))
                    .collect()
            };
            conn.run("DELETE FROM standing", &[]).await?;
            conn.run("DELETE FROM followed", &[]).await?;
            standing::mark(&mut conn, false, &machines.iter().collect::<Vec<_>>()).await?;
            Ok(machines.len() as u64)
        }
        .await;
        let count = writer.end(conn, done).await?;
        writer.refold_marked().await?;
        while writer.follow_some().await? {}
        Ok(count)
    }
}

/// Verifies over any connection.
pub(crate) async fn verify(conn: &mut Conn) -> Result<Verified, StoreError> {
    conn.begin_reading().await?;
    let mut verified = Verified { ledgers: Vec::new(), records: 0, misfit: None };
    let found = all(conn, &mut verified).await;
    // It only read; there is nothing to keep, and a connection that broke rolls back by itself.
    let _ = conn.rollback().await;
    match found {
        Ok(misfit) => verified.misfit = misfit,
        Err(StoreError::Damaged { what, .. } | StoreError::Database { what, .. }) => {
            verified.misfit = Some(Misfit { scope: None, index: None, id: None, what });
        }
        Err(e) => return Err(e),
    }
    Ok(verified)
}

async fn all(conn: &mut Conn, verified: &mut Verified) -> Result<Option<Misfit>, StoreError> {
    verified.ledgers = heads(conn).await?;
    for head in verified.ledgers.clone() {
        let misfit = match ledger(conn, &head, &mut verified.records).await {
            // A page of the file that cannot be read: say in which ledger.
            Err(StoreError::Damaged { what, .. } | StoreError::Database { what, .. }) => {
                Some(Misfit { scope: Some(head.site.to_string()), index: None, id: None, what })
            }
            other => other?,
        };
        if misfit.is_some() {
            return Ok(misfit);
        }
    }
    if let Some(misfit) = beside(conn).await? {
        return Ok(Some(misfit));
    }
    if let Some(misfit) = whole_file(conn).await? {
        return Ok(Some(misfit));
    }
    let what = standing::misfit(conn).await?;
    Ok(what.map(|what| Misfit { scope: None, index: None, id: None, what }))
}

type Stored =
    (i64, Vec<u8>, i64, i64, Option<String>, Option<String>, String, i64, Vec<u8>, Vec<u8>);

async fn ledger(
    conn: &mut Conn,
    head: &SiteHead,
    count: &mut u64,
) -> Result<Option<Misfit>, StoreError> {
    let scope = head.site.as_str();
    let mut frontier = Frontier::new();
    loop {
        let from = frontier.size();
        let rows: Vec<Stored> = conn
            .rows(
                "SELECT idx, id, received_ms, at_ms, machine, line, kind, shapes, leaf, bytes FROM record \
                 WHERE scope = $1 AND idx >= $2 ORDER BY idx LIMIT $3",
                &[Val::T(scope), Val::I(signed(from)), Val::I(signed(PAGE))],
            )
            .await?;
        let notes: HashMap<Uuid, (Vec<u8>, String)> = notes(conn, scope, from).await?;
        let last = rows.len() < usize::try_from(PAGE).unwrap_or(usize::MAX);
        for row in rows {
            let index = frontier.size();
            let misfit =
                |id, what| Misfit { scope: Some(scope.to_owned()), index: Some(index), id, what };
            if unsigned(row.0) != index {
                return Ok(Some(misfit(None, format!("it is missing; the next one is {}", row.0))));
            }
            if index >= head.size {
                let what = format!(
                    "the ledger's head says that it has {} records, yet there it is",
                    head.size
                );
                return Ok(Some(misfit(uuid(&row.1), what)));
            }
            match record(scope, &row, &notes) {
                Ok(leaf) => frontier.push(leaf),
                Err(what) => return Ok(Some(misfit(uuid(&row.1), what))),
            }
            *count += 1;
        }
        if last {
            break;
        }
    }
    let misfit = |what| Some(Misfit { scope: Some(scope.to_owned()), index: None, id: None, what });
    if frontier.size() < head.size {
        return Ok(Some(Misfit {
            scope: Some(scope.to_owned()),
            index: Some(frontier.size()),
            id: None,
            what: format!(
                "it is missing; the ledger's head says that there are {} records",
                head.size
            ),
        }));
    }
    if frontier.root() != head.root {
        return Ok(misfit(format!(
            "the root over its records is {}, its head says {}: a record was exchanged together with its leaf",
            frontier.root(),
            head.root
        )));
    }
    let stored: Option<(Vec<u8>,)> =
        conn.row("SELECT frontier FROM head WHERE scope = $1", &[Val::T(scope)]).await?;
    if stored.is_none_or(|(bytes,)| bytes != frontier.to_bytes()) {
        return Ok(misfit("its head does not fit its records".to_owned()));
    }
    Ok(None)
}

/// Checks one record; gives its leaf, or what does not fit.
fn record(
    scope: &str,
    (_, id, received_ms, at_ms, machine, line, kind, shapes_column, leaf, bytes): &Stored,
    notes: &HashMap<Uuid, (Vec<u8>, String)>,
) -> Result<Hash, String> {
    let derived = leaf_hash(&received(*received_ms), bytes);
    if derived.0.as_slice() != leaf.as_slice() {
        return Err(format!(
            "its bytes and time of receipt have the hash {derived}, and not the one stored with them"
        ));
    }
    let record = Record::from_kept(bytes).map_err(|e| format!("its bytes are no record: {e}"))?;
    if record.to_bytes().ok().as_deref() != Some(bytes.as_slice()) {
        return Err("its bytes are not in their one spelling".to_owned());
    }
    let is_shape = *shapes_column != 0;
    let repeated = [
        ("id", id.as_slice() == record.id.as_bytes()),
        ("scope", scope == record.scope.as_str()),
        ("at_ms", record.instant().is_ok_and(|at| at.as_millisecond() == *at_ms)),
        ("machine", *machine == record.subject.machine),
        ("line", *line == record.subject.line),
        ("kind", kind == record.body.kind()),
        (
            "shapes",
            matches!(record.body, Body::Correction { .. }) || is_shape == shapes(&record.body),
        ),
    ];
    if let Some((column, _)) = repeated.iter().find(|(_, fits)| !fits) {
        return Err(format!("its column {column} says otherwise than its bytes"));
    }
    if let Some((salt, text)) = notes.get(&record.id) {
        let hash = <[u8; 16]>::try_from(salt.as_slice()).ok().map(|salt| note_hash(&salt, text));
        if hash != record.note {
            return Err("its note is not the one that was written".to_owned());
        }
    }
    Ok(derived)
}

/// The notes of a page of records.
async fn notes(
    conn: &mut Conn,
    scope: &str,
    from: u64,
) -> Result<HashMap<Uuid, (Vec<u8>, String)>, StoreError> {
    let rows: Vec<(Vec<u8>, Vec<u8>, String)> = conn
        .rows(
            "SELECT n.id, n.salt, n.text FROM note n JOIN record r ON r.scope = n.scope AND r.id = n.id \
             WHERE n.scope = $1 AND r.idx >= $2 AND r.idx < $3 AND n.text IS NOT NULL AND n.salt IS NOT NULL",
            &[Val::T(scope), Val::I(signed(from)), Val::I(signed(from + PAGE))],
        )
        .await?;
    Ok(rows.into_iter().filter_map(|(id, salt, text)| Some((uuid(&id)?, (salt, text)))).collect())
}

/// Records without a ledger.
async fn beside(conn: &mut Conn) -> Result<Option<Misfit>, StoreError> {
    let row: Option<(String, i64)> = conn
        .row(
            "SELECT r.scope, r.idx FROM record r WHERE NOT EXISTS \
             (SELECT 1 FROM head h WHERE h.scope = r.scope AND h.size > 0) ORDER BY r.scope, r.idx LIMIT 1",
            &[],
        )
        .await?;
    Ok(row.map(|(scope, index)| Misfit {
        scope: Some(scope),
        index: Some(unsigned(index)),
        id: None,
        what: "there it is, yet its ledger has no head".to_owned(),
    }))
}

/// What SQLite itself can tell about its file.
async fn whole_file(conn: &mut Conn) -> Result<Option<Misfit>, StoreError> {
    if !conn.is_sqlite() {
        return Ok(None);
    }
    let rows: Vec<(String,)> = conn.rows("PRAGMA integrity_check(1)", &[]).await?;
    Ok(rows.into_iter().find(|(what,)| what != "ok").map(|(what,)| Misfit {
        scope: None,
        index: None,
        id: None,
        what: format!("the file is damaged: {what}"),
    }))
}
