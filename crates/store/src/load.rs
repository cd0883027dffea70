//! Bringing many records in at once, and taking them back.

use std::collections::{HashMap, HashSet};

use ouncewise_ledger::{Body, Draft, Entered, PersonId, Record, Scope, Subject, Thing, derive_id};
use serde::Serialize;
use tokio::sync::{mpsc, oneshot};
use uuid::Uuid;

use crate::answer::Answer;
use crate::db::{Conn, Val};
use crate::error::StoreError;
use crate::estates::{Estates, read};
use crate::head::{signed, unsigned};
use crate::people::uuid;
use crate::put::{Done, Source, put, refusals};
use crate::receipt::{Outcome, Refusal};
use crate::standing;
use crate::store::{AsyncAct, Store};
use crate::touch::{Machine, Touched};
use crate::trust::Trust;
use crate::writer::Writer;

/// How many drafts go in one transaction.
const CHUNK: usize = 2_000;

/// How many refusals are kept in words; all are counted.
const TOLD: usize = 1_000;

/// A file that was brought in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Load {
    /// Its id, by which it can be undone.
    pub id: Uuid,
    /// What it was called.
    pub name: String,
    /// Hash of its content, hex, as the loader was told.
    pub hash: String,
    /// When, in milliseconds since 1970 UTC.
    pub at_ms: i64,
    /// How many records it added, without those that describe what it set up.
    pub added: u64,
    /// When it was undone, if it was.
    pub undone_ms: Option<i64>,
}

/// What a load, or as much of it as is done, came to.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Loaded {
    /// The load's id; nothing while it has added nothing.
    pub load: Option<Uuid>,
    /// Drafts seen.
    pub drafts: u64,
    /// Records added.
    pub added: u64,
    /// Drafts that were there already.
    pub already_there: u64,
    /// Drafts that say otherwise than the record under their id; kept aside.
    pub conflicts: u64,
    /// Drafts that are no records.
    pub refused: u64,
    /// What is wrong with the first thousand of those.
    pub refusals: Vec<Refusal>,
}

/// What undoing a load came to.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Undone {
    /// Records that were withdrawn, without descriptions.
    pub withdrawn: u64,
    /// Descriptions that were withdrawn: what the load set up, as far as nobody else uses it.
    pub set_up: u64,
    /// Descriptions that stay, because other records are about what they describe.
    pub kept: u64,
}

/// How a load goes about it.
#[derive(Debug, Clone, Default)]
pub struct LoadOptions {
    /// What the file is called.
    pub name: String,
    /// Hash of its content, hex.
    pub hash: String,
    /// One refused draft undoes all, and nobody sees any of it before its end.
    pub all_or_nothing: bool,
}

enum Order {
    Chunk(Vec<Draft>),
    Finish,
}

type Sum = Result<Loaded, StoreError>;

/// A load under way. Drop it without [`Loader::finish`], and an all-or-nothing load leaves nothing; another one
/// keeps what it has added.
pub struct Loader<'s> {
    store: &'s Store,
    waiting: Vec<Draft>,
    orders: mpsc::Sender<(Order, oneshot::Sender<Sum>)>,
    ended: oneshot::Receiver<Result<(), StoreError>>,
    progress: Box<dyn FnMut(&Loaded) + Send + 's>,
}

impl Store {
    /// Opens a load. `progress` is called after each few thousand drafts.
    ///
    /// # Errors
    /// If the writer has gone.
    pub fn loader<'s>(
        &'s self,
        options: LoadOptions,
        progress: impl FnMut(&Loaded) + Send + 's,
    ) -> Answer<'s, Loader<'s>> {
        self.load_with(options, Box::new(progress))
    }

    fn load_with<'s>(
        &'s self,
        options: LoadOptions,
        progress: Box<dyn FnMut(&Loaded) + Send + 's>,
    ) -> Answer<'s, Loader<'s>> {
        Box::pin(async move {
            let (orders, queue) = mpsc::channel(1);
            let ended = self.start_alone(Loading { options, queue }).await?;
            Ok(Loader { store: self, waiting: Vec::with_capacity(CHUNK), orders, ended, progress })
        })
    }

    /// The files that were brought in, the latest first.
    ///
    /// # Errors
    /// If the database cannot be read.
    pub fn loads(&self) -> Answer<'_, Vec<Load>> {
        Box::pin(async move {
            let rows: Vec<(Vec<u8>, String, String, i64, i64, Option<i64>)> = self
            .reading()
            .await?
            .rows(
                "SELECT id, name, hash, at_ms, added, undone_ms FROM load ORDER BY at_ms DESC, id",
                &[],
            )
            .await?;
            Ok(rows
                .into_iter()
                .filter_map(|(id, name, hash, at_ms, added, undone_ms)| {
                    Some(Load {
                        id: uuid(&id)?,
                        name,
                        hash,
                        at_ms,
                        added: unsigned(added),
                        undone_ms,
                    })
                })
                .collect())
        })
    }

    /// Withdraws every record that a load added: one correction for each, in one transaction. The same
    /// file can then be brought in again. What the load described (a site, a machine, a line) is withdrawn too, unless
    /// records that did not come with it are about it. None is withdrawn if it was undone before.
    ///
    /// # Errors
    /// If there is no such load, or the database cannot keep it.
    pub fn undo(&self, load: Uuid, by: Option<PersonId>) -> Answer<'_, Undone> {
        Box::pin(async move { self.alone(Undo { load, by }).await })
    }
}

impl<'s> Loader<'s> {
    /// Takes a draft.
    ///
    /// # Errors
    /// If the drafts before it could not be kept; in an all-or-nothing load also if one was refused.
    pub fn push(&mut self, draft: Draft) -> Answer<'_, ()> {
        Box::pin(async move {
            self.waiting.push(draft);
            if self.waiting.len() >= CHUNK {
                self.send().await?;
            }
            Ok(())
        })
    }

    /// Puts in what is left, and folds the machines that were touched.
    ///
    /// # Errors
    /// As [`Loader::push`].
    pub fn finish(mut self) -> Answer<'s, Loaded> {
        Box::pin(async move {
            self.send().await?;
            let done = self.order(Order::Finish).await?;
            drop(self.orders);
            self.ended.await.map_err(|_| self.store.gone())??;
            Ok(done)
        })
    }

    async fn send(&mut self) -> Result<(), StoreError> {
        if self.waiting.is_empty() {
            return Ok(());
        }
        let chunk = std::mem::replace(&mut self.waiting, Vec::with_capacity(CHUNK));
        let so_far = self.order(Order::Chunk(chunk)).await?;
        (self.progress)(&so_far);
        Ok(())
    }

    async fn order(&mut self, order: Order) -> Sum {
        let (reply, answer) = oneshot::channel();
        self.orders.send((order, reply)).await.map_err(|_| self.store.gone())?;
        answer.await.map_err(|_| self.store.gone())?
    }
}

/// The writer's side of a load.
struct Loading {
    options: LoadOptions,
    queue: mpsc::Receiver<(Order, oneshot::Sender<Sum>)>,
}

/// What a load remembers from chunk to chunk.
#[derive(Default)]
struct SoFar {
    done: Loaded,
    /// By scope: the stretch of the ledger that the last chunk ended with.
    stretches: HashMap<String, (u64, u64)>,
}

impl AsyncAct<()> for Loading {
    async fn run(mut self, writer: &mut Writer) -> Result<(), StoreError> {
        let mut so_far = SoFar::default();
        // An all-or-nothing load holds one transaction open from first to last.
        let mut held: Option<Conn> = None;
        while let Some((order, reply)) = self.queue.recv().await {
            let Order::Chunk(drafts) = order else {
                let ended = finish(writer, held.take()).await;
                let _ = reply.send(ended.map(|()| so_far.done));
                return Ok(());
            };
            let mut conn = match held.take() {
                Some(conn) => conn,
                None => match writer.begin().await {
                    Ok(conn) => conn,
                    Err(e) => {
                        let _ = reply.send(Err(e));
                        return Ok(());
                    }
                },
            };
            let mut done = self.chunk(&mut conn, writer, drafts, &mut so_far).await;
            if done.is_err() || !self.options.all_or_nothing {
                done = writer.end(conn, done).await;
            } else {
                held = Some(conn);
            }
            let failed = done.is_err();
            let _ = reply.send(done.map(|()| so_far.done.clone()));
            if failed {
                // What earlier chunks touched is marked, and is folded as after a crash.
                return writer.refold_marked().await;
            }
            if held.is_none() {
                writer.serve_waiting().await;
            }
        }
        // Dropped without an end.
        if let Some(conn) = held {
            conn.discard().await;
            writer.forget();
        }
        writer.refold_marked().await
    }
}

impl Loading {
    async fn chunk(
        &self,
        conn: &mut Conn,
        writer: &mut Writer,
        mut drafts: Vec<Draft>,
        so_far: &mut SoFar,
    ) -> Result<(), StoreError> {
        let now_ms = writer.clock.now_ms();
        let mut refused = refusals(&drafts);
        let first = usize::try_from(so_far.done.drafts).unwrap_or(usize::MAX);
        let mut bad = refused.iter().map(|r| r.position).collect::<Vec<_>>().into_iter().peekable();
        let mut position = 0;
        drafts.retain(|_| {
            let keep = bad.next_if_eq(&position).is_none();
            position += 1;
            keep
        });
        for refusal in &mut refused {
            refusal.position = refusal.position.saturating_add(first);
        }
        if self.options.all_or_nothing && !refused.is_empty() {
            return Err(StoreError::Drafts(refused));
        }
        let put = put(conn, &drafts, Source::File, &mut Trust::default(), now_ms).await?;
        let added = put.added.len() as u64;
        let fresh = Uuid::now_v7();
        if added > 0 {
            let load = *so_far.done.load.get_or_insert(fresh);
            self.book(conn, load, &put, now_ms, &mut so_far.stretches).await?;
        }
        mark(conn, &mut writer.estates, &put.touched).await?;
        let done = &mut so_far.done;
        done.drafts += drafts.len() as u64 + refused.len() as u64;
        done.refused += refused.len() as u64;
        done.refusals.extend(refused.into_iter().take(TOLD.saturating_sub(done.refusals.len())));
        done.added += added;
        for outcome in &put.outcomes {
            match outcome {
                Outcome::Added { .. } => {}
                Outcome::AlreadyThere { .. } => done.already_there += 1,
                Outcome::Conflict { .. } => done.conflicts += 1,
            }
        }
        Ok(())
    }

    /// Writes down which stretch of which ledger came from this load.
    async fn book(
        &self,
        conn: &mut Conn,
        load: Uuid,
        put: &Done,
        now_ms: i64,
        stretches: &mut HashMap<String, (u64, u64)>,
    ) -> Result<(), StoreError> {
        conn.run(
            "INSERT INTO load (id, name, hash, at_ms, added) VALUES ($1, $2, $3, $4, $5) \
             ON CONFLICT (id) DO UPDATE SET added = load.added + excluded.added",
            &[
                Val::B(load.as_bytes()),
                Val::T(&self.options.name),
                Val::T(&self.options.hash),
                Val::I(now_ms),
                Val::I(signed(put.added.iter().filter(|r| !describes(r)).count() as u64)),
            ],
        )
        .await?;
        let mut counts: HashMap<&str, u64> = HashMap::new();
        for record in &put.added {
            *counts.entry(record.scope.as_str()).or_default() += 1;
        }
        let mut rows = Vec::new();
        for (scope, count) in counts {
            let from = put.before.get(scope).copied().unwrap_or(0);
            let first = match stretches.get(scope) {
                // Nobody wrote in between: one stretch.
                Some((first, last)) if last + 1 == from => *first,
                _ => from,
            };
            stretches.insert(scope.to_owned(), (first, from + count - 1));
            rows.push((scope, first, from + count - 1));
        }
        conn.insert(
            "INSERT INTO load_range (load, scope, first, last) VALUES ",
            &rows,
            |(scope, first, last)| {
                [
                    Val::B(load.as_bytes()),
                    Val::T(scope),
                    Val::I(signed(*first)),
                    Val::I(signed(*last)),
                ]
            },
            " ON CONFLICT (scope, first) DO UPDATE SET last = excluded.last",
        )
        .await
    }
}

/// Commits what is still open, and folds what was touched.
async fn finish(writer: &mut Writer, held: Option<Conn>) -> Result<(), StoreError> {
    if let Some(conn) = held {
        writer.end(conn, Ok(())).await?;
    }
    writer.refold_marked().await
}

/// Marks what was touched, to be folded at the end.
async fn mark(conn: &mut Conn, estates: &mut Estates, touched: &Touched) -> Result<(), StoreError> {
    let of_sites = standing::machines_of(conn, estates, &touched.sites).await?;
    let machines: Vec<&Machine> = touched.machines.keys().chain(&of_sites).collect();
    standing::mark(conn, touched.all, &machines).await
}

/// Whether a record describes a thing, and tells nothing that happened.
fn describes(record: &Record) -> bool {
    matches!(record.body, Body::Configured { .. })
}

struct Undo {
    load: Uuid,
    by: Option<PersonId>,
}

impl AsyncAct<Undone> for Undo {
    async fn run(self, writer: &mut Writer) -> Result<Undone, StoreError> {
        let mut conn = writer.begin().await?;
        let done = self.withdraw(&mut conn, writer).await;
        let undone = writer.end(conn, done).await?;
        writer.refold_marked().await?;
        Ok(undone)
    }
}

impl Undo {
    async fn withdraw(&self, conn: &mut Conn, writer: &mut Writer) -> Result<Undone, StoreError> {
        let now_ms = writer.clock.now_ms();
        let id = Val::B(self.load.as_bytes());
        let row: Option<(String, Option<i64>)> =
            conn.row("SELECT name, undone_ms FROM load WHERE id = $1", &[id]).await?;
        let Some((name, undone)) = row else {
            return Err(StoreError::Usage(format!(
                "there is no load {}; `ouncewise loads` lists them",
                self.load
            )));
        };
        if undone.is_some() {
            return Ok(Undone::default());
        }
        let stretches: Vec<(String, i64, i64)> = conn
            .rows(
                "SELECT scope, first, last FROM load_range WHERE load = $1 ORDER BY scope, first",
                &[id],
            )
            .await?;
        let mut undone = Undone::default();
        let mut others: Option<(String, Others)> = None;
        for (scope, first, last) in stretches {
            if others.as_ref().is_none_or(|(of, _)| *of != scope) {
                others = Some((scope.clone(), Others::read(conn, &scope, self.load).await?));
            }
            let mut from = first;
            while from <= last {
                let rows: Vec<(i64, Vec<u8>)> = conn
                    .rows(
                        "SELECT idx, bytes FROM record WHERE scope = $1 AND idx >= $2 AND idx <= $3 ORDER BY idx LIMIT $4",
                        &[Val::T(&scope), Val::I(from), Val::I(last), Val::I(signed(CHUNK as u64))],
                    )
                    .await?;
                let Some((end, _)) = rows.last() else { break };
                from = end + 1;
                let mut drafts = Vec::with_capacity(rows.len());
                for (index, bytes) in &rows {
                    let record = read(conn, &scope, *index, bytes)?;
                    if others.as_ref().is_some_and(|(_, others)| others.need(&record)) {
                        undone.kept += 1;
                        continue;
                    }
                    let nth = undone.withdrawn + undone.set_up;
                    drafts.push(self.withdrawal(&record, &name, now_ms, nth));
                    *if describes(&record) { &mut undone.set_up } else { &mut undone.withdrawn } +=
                        1;
                }
                let put = put(conn, &drafts, Source::Device, &mut Trust::default(), now_ms).await?;
                mark(conn, &mut writer.estates, &put.touched).await?;
            }
        }
        conn.run("UPDATE load SET undone_ms = $2 WHERE id = $1", &[id, Val::I(now_ms)]).await?;
        Ok(undone)
    }

    fn withdrawal(&self, record: &Record, name: &str, now_ms: i64, sequence: u64) -> Draft {
        let load = self.load.to_string();
        Draft::from(Record {
            v: ouncewise_ledger::record::VERSION,
            id: derive_id(&["undo", &load, &record.id.to_string()], 0),
            scope: record.scope.clone(),
            // A correction is about the same machine as what it corrects.
            subject: Subject { part: None, ..record.subject.clone() },
            at: crate::clock::received(now_ms),
            device: "store".to_owned(),
            sequence,
            by: self.by,
            entered: Entered::AtDesk,
            note: None,
            body: Body::Correction {
                of: record.id,
                reason: format!("the load of {name} was undone"),
                instead: None,
            },
        })
    }
}

/// What the records of a ledger are about that did not come with a load, and that no undo withdrew.
#[derive(Debug, Default)]
struct Others {
    /// Whether there is any of them; for the group's ledger, anywhere.
    any: bool,
    machines: HashSet<String>,
    lines: HashSet<(String, String)>,
}

/// Records that stand by themselves: they came neither with this load (`$1`) nor with one that was undone.
const APART: &str = "r.kind <> 'correction' AND NOT EXISTS (SELECT 1 FROM load_range g JOIN load l ON l.id = g.load \
     WHERE g.scope = r.scope AND g.first <= r.idx AND g.last >= r.idx AND (l.id = $1 OR l.undone_ms IS NOT NULL))";

impl Others {
    async fn read(conn: &mut Conn, scope: &str, load: Uuid) -> Result<Self, StoreError> {
        let id = Val::B(load.as_bytes());
        if scope == Scope::GROUP {
            // The group's things are used from all sites.
            let any =
                conn.any(&format!("SELECT 1 FROM record r WHERE {APART} LIMIT 1"), &[id]).await?;
            return Ok(Self { any, ..Self::default() });
        }
        let about: Vec<(Option<String>, Option<String>)> = conn
            .rows(
                &format!(
                    "SELECT DISTINCT r.machine, r.line FROM record r WHERE r.scope = $2 AND {APART}"
                ),
                &[id, Val::T(scope)],
            )
            .await?;
        let described: Vec<(i64, Vec<u8>)> = conn
            .rows(
                &format!(
                    "SELECT r.idx, r.bytes FROM record r WHERE r.scope = $2 AND r.kind = 'configured' AND {APART}"
                ),
                &[id, Val::T(scope)],
            )
            .await?;
        let mut others = Self { any: !about.is_empty(), ..Self::default() };
        for (machine, line) in about {
            let Some(machine) = machine else { continue };
            if let Some(line) = line {
                others.lines.insert((machine.clone(), line));
            }
            others.machines.insert(machine);
        }
        for (index, bytes) in described {
            let record = read(conn, scope, index, &bytes)?;
            match (record.subject.machine, record.body) {
                (Some(machine), Body::Configured { thing: Thing::Line, key, .. }) => {
                    others.lines.insert((machine, key));
                }
                (_, Body::Configured { thing: Thing::Machine, key, .. }) => {
                    others.machines.insert(key);
                }
                _ => {}
            }
        }
        Ok(others)
    }

    /// Whether they need what a record describes.
    fn need(&self, record: &Record) -> bool {
        let Body::Configured { thing, key, .. } = &record.body else { return false };
        match (thing, &record.subject.machine) {
            (Thing::Line, Some(machine)) => self.lines.contains(&(machine.clone(), key.clone())),
            (Thing::Machine, _) => self.machines.contains(key),
            _ => self.any,
        }
    }
}
