//! The one way in: drafts become records at the end of their ledgers.
//!
//! All of it happens inside a transaction that the caller opens and ends.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use ouncewise_ledger::merkle::Hash;
use ouncewise_ledger::record::MAX_BYTES;
use ouncewise_ledger::{Body, Draft, Entered, Record, again, leaf_hash};
use sha2::{Digest, Sha256};
use uuid::Uuid;

use crate::clock::received;
use crate::db::{Conn, Val};
use crate::error::StoreError;
use crate::head::{self, Head, Heads, signed, unsigned};
use crate::people::{self, uuid};
use crate::receipt::{Outcome, Refusal};
use crate::touch::{Touched, shapes};
use crate::trust::Trust;

// A CROSS JOIN is SQLite's way of being told where to begin: with the keys that are wanted. Left to
// itself it may read the whole table instead.
pub(crate) const WANT_ID: &str = "WITH want (scope, id) AS (VALUES ";
pub(crate) const WANT_INDEX: &str = "WITH want (scope, idx) AS (VALUES ";
pub(crate) const KNOWN: &str = ") SELECT r.scope, r.id, r.idx, r.bytes FROM want CROSS JOIN record r \
     WHERE r.scope = want.scope AND r.id = want.id";
pub(crate) const TARGETS: &str = ") SELECT r.scope, r.id, r.shapes, r.machine FROM want CROSS JOIN record r \
     WHERE r.scope = want.scope AND r.id = want.id";
pub(crate) const UNDONE: &str = ") SELECT want.scope, want.idx FROM want CROSS JOIN load_range g CROSS JOIN load l \
     WHERE g.scope = want.scope AND g.first <= want.idx AND g.last >= want.idx \
     AND l.id = g.load AND l.undone_ms IS NOT NULL";

/// A record that is in its ledger already.
#[derive(Debug, Clone)]
pub(crate) struct Known {
    pub index: u64,
    pub bytes: Vec<u8>,
}

impl Known {
    pub fn record(&self) -> Option<Record> {
        Record::from_kept(&self.bytes).ok()
    }
}

/// What a batch of drafts came to.
#[derive(Debug, Default)]
pub(crate) struct Done {
    /// One for each draft.
    pub outcomes: Vec<Outcome>,
    /// The new records, in order of receipt.
    pub added: Vec<Record>,
    /// Whose standing is now older than the records.
    pub touched: Touched,
    /// Sizes of the ledgers before.
    pub before: BTreeMap<String, u64>,
    /// Their heads now.
    pub heads: Heads,
}

/// A record on its way into its table.
struct Row<'a> {
    record: &'a Record,
    index: u64,
    at_ms: i64,
    shapes: bool,
    leaf: Hash,
    bytes: Vec<u8>,
}

/// Finds every draft that is no record, before anything is written.
pub(crate) fn refusals(drafts: &[Draft]) -> Vec<Refusal> {
    drafts
        .iter()
        .enumerate()
        .filter_map(|(position, draft)| {
            let mut what: Vec<String> = match draft.record.check() {
                Ok(()) => Vec::new(),
                Err(faults) => faults.iter().map(ToString::to_string).collect(),
            };
            if let Err(e) = draft.record.instant() {
                what.push(format!("at: {e}"));
            }
            match draft.record.to_bytes() {
                // Room for a person and a note.
                Ok(bytes) if bytes.len() + 200 > MAX_BYTES => what
                    .push(format!("a record of {} bytes; the longest is {MAX_BYTES}", bytes.len())),
                Ok(_) => {}
                Err(e) => what.push(e.to_string()),
            }
            if [&draft.person, &draft.note].into_iter().flatten().any(|t| t.contains('\0')) {
                what.push("a name or note holds a zero character; leave it out".to_owned());
            }
            what.dedup();
            (!what.is_empty()).then_some(Refusal { position, id: draft.record.id, what })
        })
        .collect()
}

/// Where drafts come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Source {
    /// A device, with ids that it has just made: taken to be new, which saves asking. Should one not be, the
    /// database refuses it, and the same drafts are to be put as from [`Source::Device`].
    Fresh,
    /// A device, which may say again what it said before.
    Device,
    /// A file that somebody brings in: what an undo withdrew may come in again.
    File,
}

/// Appends drafts. They must have been [checked](refusals). Fresh ones are put by what is known on `trust`; the
/// caller forgets it should the transaction fail.
pub(crate) async fn put(
    conn: &mut Conn,
    drafts: &[Draft],
    source: Source,
    trust: &mut Trust,
    now_ms: i64,
) -> Result<Done, StoreError> {
    let scopes: Vec<&str> = drafts
        .iter()
        .map(|d| d.record.scope.as_str())
        .collect::<BTreeSet<_>>()
        .into_iter()
        .collect();
    let recalled = match source {
        Source::Fresh => trust.heads(conn, &scopes)?,
        _ => None,
    };
    let mut heads = match recalled {
        Some(heads) => heads,
        None => head::hold(conn, &scopes).await?,
    };
    let before = heads.by_scope.iter().map(|(s, h)| (s.clone(), h.size())).collect();

    let mut records: Vec<Record> = drafts.iter().map(|d| d.record.clone()).collect();
    let mut known = match source {
        Source::Fresh => HashMap::new(),
        _ => lookup(conn, drafts, source, &mut records).await?,
    };
    people::name(conn, drafts, &mut records, &known, trust).await?;
    let notes = people::note(conn, drafts, &mut records, &known).await?;
    let targets = targets(conn, &records).await?;

    let received = received(now_ms);
    let mut rows: Vec<Row<'_>> = Vec::new();
    let mut conflicts: Vec<(&Record, Vec<u8>)> = Vec::new();
    let mut done = Done { before, ..Done::default() };
    let mut corrections = Corrections::new();
    let mut shaped_here: HashMap<Uuid, (bool, Option<String>)> = HashMap::new();
    for (draft, record) in drafts.iter().zip(&records) {
        let scope = draft.record.scope.as_str();
        let id = record.id;
        let bytes = record.to_bytes().map_err(|e| refused(id, e.to_string()))?;
        if let Some(known) = known.get(&(scope, id)) {
            let index = known.index;
            let alike = known.bytes == bytes
                || (source == Source::File
                    && matches!(known.record(), Some(kept) if {
                        tells(&kept, &kept.body, record)
                            || corrected(conn, scope, &mut corrections)
                                .await?
                                .iter()
                                .any(|(of, instead)| *of == id && tells(&kept, instead, record))
                    }));
            done.outcomes.push(if alike {
                Outcome::AlreadyThere { index, id }
            } else {
                conflicts.push((record, bytes));
                Outcome::Conflict { index, id }
            });
            continue;
        }
        let target = match &record.body {
            Body::Correction { of, .. } => {
                shaped_here.get(of).or_else(|| targets.get(&(scope.to_owned(), *of)))
            }
            _ => None,
        };
        let shapes = match &record.body {
            // A correction that came before its record may well concern the estate.
            Body::Correction { .. } => target.is_none_or(|(shapes, _)| *shapes),
            body => shapes(body),
        };
        done.touched.add(record, shapes, target.map(|(_, machine)| machine.as_deref()));
        shaped_here.insert(id, (shapes, record.subject.machine.clone()));

        let head = heads.by_scope.get_mut(scope).expect("every scope's head is held");
        let index = head.size();
        let leaf = leaf_hash(&received, &bytes);
        head.frontier.push(leaf);
        if shapes {
            head.shaped = index + 1;
        }
        known.insert((scope, id), Known { index, bytes: bytes.clone() });
        let at = record.instant().map_err(|e| refused(id, e.to_string()))?;
        rows.push(Row { record, index, at_ms: at.as_millisecond(), shapes, leaf, bytes });
        done.outcomes.push(Outcome::Added { index, id });
    }
    insert(conn, &rows, now_ms).await?;
    keep_conflicts(conn, &conflicts, now_ms).await?;
    let added: BTreeSet<(&str, Uuid)> =
        rows.iter().map(|r| (r.record.scope.as_str(), r.record.id)).collect();
    people::keep_notes(conn, &notes, &added).await?;
    if !rows.is_empty() {
        let changed: Vec<(&str, &Head)> = heads
            .by_scope
            .iter()
            .filter(|(scope, head)| done.before.get(*scope) != Some(&head.size()))
            .map(|(scope, head)| (scope.as_str(), head))
            .collect();
        head::put(conn, &changed).await?;
    }
    trust.follow_heads(&heads);
    done.heads = heads;
    done.added = rows.iter().map(|r| r.record.clone()).collect();
    Ok(done)
}

/// Whether a row of a file tells no more than a record that is kept, by its own body or by one that stands for it since a
/// correction: a spreadsheet has no columns for the device and for how a record was entered, may spell the same moment by
/// another clock, and leaves out the sign of what was added.
fn tells(kept: &Record, body: &Body, row: &Record) -> bool {
    let same = |row: Option<&str>, kept: Option<&str>| row.is_none() || row == kept;
    let plain = |body: &Body| match body {
        Body::LineAdjusted { done, setting, meant: Some(meant) } => Body::LineAdjusted {
            done: done.clone(),
            setting: setting.clone(),
            meant: Some(meant.trim_start_matches('+').to_owned()),
        },
        other => other.clone(),
    };
    row.entered == Entered::Imported
        && row.subject == kept.subject
        && plain(&row.body) == plain(body)
        && row.sequence == kept.sequence
        && (row.by.is_none() || row.by == kept.by)
        && same(row.note.as_deref(), kept.note.as_deref())
        && matches!((row.instant(), kept.instant()), (Ok(row), Ok(kept)) if row == kept)
}

/// By scope: each record that was corrected, and the body that stands for it. Read once it is asked for.
type Corrections = HashMap<String, Vec<(Uuid, Body)>>;

async fn corrected<'c>(
    conn: &mut Conn,
    scope: &str,
    known: &'c mut Corrections,
) -> Result<&'c [(Uuid, Body)], StoreError> {
    if !known.contains_key(scope) {
        let rows: Vec<(Vec<u8>,)> = conn
            .rows(
                "SELECT bytes FROM record WHERE scope = $1 AND kind = 'correction'",
                &[Val::T(scope)],
            )
            .await?;
        let all =
            rows.into_iter().filter_map(|(bytes,)| match Record::from_kept(&bytes).ok()?.body {
                Body::Correction { of, instead: Some(instead), .. } => Some((of, *instead)),
                _ => None,
            });
        known.insert(scope.to_owned(), all.collect());
    }
    Ok(known.get(scope).map_or(&[], Vec::as_slice))
}

fn refused(id: Uuid, what: String) -> StoreError {
    StoreError::Drafts(vec![Refusal { position: 0, id, what: vec![what] }])
}

/// The records that stand under the drafts' ids. Where an undo withdrew one, the id of an import moves on
/// to the next that follows from it: any id in a file, and elsewhere one that was derived.
async fn lookup<'d>(
    conn: &mut Conn,
    drafts: &'d [Draft],
    source: Source,
    records: &mut [Record],
) -> Result<HashMap<(&'d str, Uuid), Known>, StoreError> {
    let mut known = HashMap::new();
    let mut open: Vec<usize> = (0..drafts.len()).collect();
    let scope_of = |i: usize| drafts[i].record.scope.as_str();
    while !open.is_empty() {
        let keys: Vec<(&str, Uuid)> = open.iter().map(|i| (scope_of(*i), records[*i].id)).collect();
        let rows: Vec<(String, Vec<u8>, i64, Vec<u8>)> = conn
            .ask(WANT_ID, &keys, |(scope, id)| [Val::T(scope), Val::B(id.as_bytes())], KNOWN)
            .await?;
        if rows.is_empty() {
            break;
        }
        let names: BTreeSet<&'d str> = drafts.iter().map(|d| d.record.scope.as_str()).collect();
        for (scope, id, index, bytes) in rows {
            if let (Some(scope), Some(id)) = (names.get(scope.as_str()), uuid(&id)) {
                known.insert((*scope, id), Known { index: unsigned(index), bytes });
            }
        }
        let derived: Vec<(usize, &str, u64)> = open
            .iter()
            .filter(|i| source == Source::File || records[**i].id.get_version_num() == 8)
            .filter_map(|i| {
                let known = known.get(&(scope_of(*i), records[*i].id))?;
                Some((*i, scope_of(*i), known.index))
            })
            .collect();
        let undone = undone(conn, &derived).await?;
        open = derived
            .iter()
            .filter(|(_, scope, index)| undone.contains(&((*scope).to_owned(), *index)))
            .map(|(i, ..)| *i)
            .collect();
        for i in &open {
            records[*i].id = again(records[*i].id);
        }
    }
    Ok(known)
}

/// Which of these records were withdrawn because the load that brought them was undone.
async fn undone(
    conn: &mut Conn,
    derived: &[(usize, &str, u64)],
) -> Result<BTreeSet<(String, u64)>, StoreError> {
    if derived.is_empty() {
        return Ok(BTreeSet::new());
    }
    if !conn.any("SELECT 1 FROM load WHERE undone_ms IS NOT NULL", &[]).await? {
        return Ok(BTreeSet::new());
    }
    let rows: Vec<(String, i64)> = conn
        .ask(
            WANT_INDEX,
            derived,
            |(_, scope, index)| [Val::T(scope), Val::I(signed(*index))],
            UNDONE,
        )
        .await?;
    Ok(rows.into_iter().map(|(scope, index)| (scope, unsigned(index))).collect())
}

/// For corrections: whether the record they correct describes the estate, and its machine.
async fn targets(
    conn: &mut Conn,
    records: &[Record],
) -> Result<HashMap<(String, Uuid), (bool, Option<String>)>, StoreError> {
    let keys: Vec<(&str, Uuid)> = records
        .iter()
        .filter_map(|r| match &r.body {
            Body::Correction { of, .. } => Some((r.scope.as_str(), *of)),
            _ => None,
        })
        .collect();
    let rows: Vec<(String, Vec<u8>, i64, Option<String>)> = conn
        .ask(WANT_ID, &keys, |(scope, id)| [Val::T(scope), Val::B(id.as_bytes())], TARGETS)
        .await?;
    Ok(rows
        .into_iter()
        .filter_map(|(scope, id, shapes, machine)| {
            Some(((scope, uuid(&id)?), (shapes != 0, machine)))
        })
        .collect())
}

async fn insert(conn: &mut Conn, rows: &[Row<'_>], now_ms: i64) -> Result<(), StoreError> {
    conn.insert(
        "INSERT INTO record (scope, idx, id, received_ms, at_ms, machine, line, kind, shapes, leaf, bytes) VALUES ",
        rows,
        |row| {
            let r = row.record;
            [
                Val::T(r.scope.as_str()),
                Val::I(signed(row.index)),
                Val::B(r.id.as_bytes()),
                Val::I(now_ms),
                Val::I(row.at_ms),
                Val::Tn(r.subject.machine.as_deref()),
                Val::Tn(r.subject.line.as_deref()),
                Val::T(r.body.kind()),
                Val::I(i64::from(row.shapes)),
                Val::B(&row.leaf.0),
                Val::B(&row.bytes),
            ]
        },
        "",
    )
    .await
}

async fn keep_conflicts(
    conn: &mut Conn,
    conflicts: &[(&Record, Vec<u8>)],
    now_ms: i64,
) -> Result<(), StoreError> {
    let rows: Vec<(&Record, [u8; 32], &[u8])> = conflicts
        .iter()
        .map(|(record, bytes)| (*record, Sha256::digest(bytes).into(), bytes.as_slice()))
        .collect();
    conn.insert(
        "INSERT INTO conflict (scope, id, digest, received_ms, bytes) VALUES ",
        &rows,
        |(record, digest, bytes)| {
            [
                Val::T(record.scope.as_str()),
                Val::B(record.id.as_bytes()),
                Val::B(digest),
                Val::I(now_ms),
                Val::B(bytes),
            ]
        },
        " ON CONFLICT (scope, id, digest) DO NOTHING",
    )
    .await
}
