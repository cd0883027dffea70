//! The one writer: a thread that owns the one connection that writes.
//!
//! Acts that wait at the same time share one transaction, and so one wait for the
//! disk. Should the shared one fail, each is tried by itself, so that one that cannot be
//! kept does not sink the others.

use std::future::Future;
use std::pin::Pin;
use std::time::Duration;

use ouncewise_ledger::Draft;
use tokio::sync::{mpsc, oneshot};

use crate::clock::Clock;
use crate::db::{Conn, Pool};
use crate::error::StoreError;
use crate::estates::Estates;
use crate::followed;
use crate::put::{Done, Source, put, refusals};
use crate::receipt::Receipt;
use crate::standing::{self, Memory};
use crate::touch::{Lines, Machine};
use crate::trust::Trust;

/// The most drafts that share one transaction.
const SHARED: usize = 1_000;

/// The most machines that are folded again within the act that touched them.
const AT_ONCE: usize = 64;

/// With nothing to do for so long, the writer follows histories.
const IDLE: Duration = Duration::from_millis(50);

/// How often a transaction that somebody else stood in the way of is tried.
const TRIES: usize = 3;

type Act = (Vec<Draft>, Reply);
type Reply = oneshot::Sender<Result<Receipt, StoreError>>;
type Task =
    Box<dyn for<'w> FnOnce(&'w mut Writer) -> Pin<Box<dyn Future<Output = ()> + Send + 'w>> + Send>;

pub(crate) enum Job {
    /// One act's drafts.
    Append(Vec<Draft>, Reply),
    /// Anything else that needs the writer to itself.
    Alone(Task),
}

/// The state of the writing task.
pub(crate) struct Writer {
    pool: Pool,
    place: String,
    /// The connection between transactions: the pool would ask the database whether it lives at each giving and taking
    /// back, and that costs more than most acts.
    conn: Option<Conn>,
    queue: mpsc::Receiver<Job>,
    /// A job that was taken from the queue too early.
    next: Option<Job>,
    /// How many acts shared the last transaction.
    company: usize,
    /// Something was written whose histories are to be followed.
    behind: bool,
    pub clock: Clock,
    pub estates: Estates,
    pub memory: Memory,
    trust: Trust,
}

/// Starts the task; it ends when the last sender is gone, and closes its connection.
pub(crate) fn start(
    pool: Pool,
    place: String,
    clock: Clock,
) -> (mpsc::Sender<Job>, tokio::task::JoinHandle<()>) {
    let (jobs, queue) = mpsc::channel(1024);
    let writer = Writer {
        pool,
        place,
        conn: None,
        queue,
        next: None,
        company: 1,
        // Another program may have written and left it to us.
        behind: true,
        clock,
        estates: Estates::default(),
        memory: Memory::default(),
        trust: Trust::default(),
    };
    // On a thread of its own: in turns with the database's thread it is woken at once, where the runtime's own
    // threads would first take the work from each other.
    let here = tokio::runtime::Handle::current();
    let task = tokio::task::spawn_blocking(move || here.block_on(writer.work()));
    (jobs, task)
}

impl Writer {
    async fn work(mut self) {
        while let Some(job) = self.job().await {
            match job {
                Job::Alone(task) => {
                    task(&mut self).await;
                    self.behind = true;
                }
                Job::Append(drafts, reply) => {
                    self.wait_for_company();
                    let acts = self.gather(vec![(drafts, reply)]);
                    self.company = acts.len();
                    self.acts(acts).await;
                }
            }
        }
        // The pool waits for what it gave out.
        self.conn = None;
        self.pool.close().await;
    }

    /// Lets those who were answered together come back together: alone, the first of them would have the others wait
    /// for a disk that they can share.
    fn wait_for_company(&self) {
        for _ in 0..4 {
            if self.queue.len() + 1 >= self.company {
                return;
            }
            std::thread::sleep(Duration::from_micros(20));
        }
    }

    async fn job(&mut self) -> Option<Job> {
        if let Some(job) = self.next.take() {
            return Some(job);
        }
        while self.behind {
            match tokio::time::timeout(IDLE, self.queue.recv()).await {
                Ok(job) => return job,
                // What cannot be followed now is tried after the next act, and by whoever asks: it will say why.
                Err(_) => self.behind = self.follow_some().await.unwrap_or(false),
            }
        }
        self.queue.recv().await
    }

    /// Follows the histories of some machines; tells whether there may be more.
    pub async fn follow_some(&mut self) -> Result<bool, StoreError> {
        let mut conn = self.begin().await?;
        let done = followed::follow_some(&mut conn, &mut self.estates).await;
        let done = self.end(conn, done).await;
        // What is remembered of rows is older now.
        self.memory.forget();
        done
    }

    /// Adds the acts that wait in the queue, up to the next job of another sort.
    fn gather(&mut self, mut acts: Vec<Act>) -> Vec<Act> {
        let mut drafts: usize = acts.iter().map(|(drafts, _)| drafts.len()).sum();
        while drafts < SHARED && self.next.is_none() {
            match self.queue.try_recv() {
                Ok(Job::Append(more, reply)) => {
                    drafts += more.len();
                    acts.push((more, reply));
                }
                Ok(other) => self.next = Some(other),
                Err(_) => break,
            }
        }
        acts
    }

    /// Lets acts that wait go before a long job goes on.
    pub async fn serve_waiting(&mut self) {
        let acts = self.gather(Vec::new());
        if !acts.is_empty() {
            self.acts(acts).await;
        }
    }

    /// Forgets everything read so far: it may not be what is stored.
    pub fn forget(&mut self) {
        self.memory.forget();
        self.estates.forget();
        self.trust = Trust::default();
    }

    /// Appends the drafts of acts that wait, and answers each.
    async fn acts(&mut self, acts: Vec<Act>) {
        let mut good = Vec::new();
        for (drafts, reply) in acts {
            let refused = refusals(&drafts);
            if refused.is_empty() {
                good.push((drafts, reply));
            } else {
                // Whoever asked may have gone; the answer is then nobody's.
                let _ = reply.send(Err(StoreError::Drafts(refused)));
            }
        }
        if good.len() > 1 {
            let all: Vec<Draft> =
                good.iter().flat_map(|(drafts, _)| drafts.iter().cloned()).collect();
            if let Ok(done) = self.append(&all).await {
                let mut outcomes = done.outcomes.into_iter();
                for (drafts, reply) in good {
                    let outcomes = outcomes.by_ref().take(drafts.len()).collect();
                    let _ = reply.send(Ok(Receipt { outcomes }));
                }
                return;
            }
        }
        for (drafts, reply) in good {
            let done = self.append(&drafts).await;
            let _ = reply.send(done.map(|done| Receipt { outcomes: done.outcomes }));
        }
    }

    /// Appends drafts and brings the standing of what they touch up to date: one transaction.
    pub async fn append(&mut self, drafts: &[Draft]) -> Result<Done, StoreError> {
        let new = drafts.iter().all(|d| d.record.id.get_version_num() == 7);
        let mut source = if new { Source::Fresh } else { Source::Device };
        let mut tries = 1;
        loop {
            let mut trust = std::mem::take(&mut self.trust);
            let mut conn = self.begin().await?;
            let done = self.put_and_fold(&mut conn, drafts, source, &mut trust).await;
            match self.end(conn, done).await {
                Ok((done, later)) => {
                    self.trust = trust;
                    self.behind = true;
                    if later {
                        self.refold_marked().await?;
                    }
                    return Ok(done);
                }
                Err(StoreError::Database { .. }) if source == Source::Fresh => {
                    source = Source::Device;
                }
                Err(StoreError::Unavailable { .. }) if tries < TRIES => tries += 1,
                Err(e) => return Err(e),
            }
        }
    }

    /// Gives what was done, and whether machines were only marked.
    async fn put_and_fold(
        &mut self,
        conn: &mut Conn,
        drafts: &[Draft],
        source: Source,
        trust: &mut Trust,
    ) -> Result<(Done, bool), StoreError> {
        let done = put(conn, drafts, source, trust, self.clock.now_ms()).await?;
        self.memory.follow(&done);
        if done.touched.is_empty() {
            return Ok((done, false));
        }
        let mut machines = done.touched.machines.clone();
        for at in standing::machines_of(conn, &mut self.estates, &done.touched.sites).await? {
            machines.insert(at, Lines::All);
        }
        if done.touched.all || machines.len() > AT_ONCE {
            let machines: Vec<&Machine> = machines.keys().collect();
            standing::mark(conn, done.touched.all, &machines).await?;
            return Ok((done, true));
        }
        standing::refold(conn, &mut self.estates, &mut self.memory, &machines, &done.heads).await?;
        Ok((done, false))
    }

    /// Folds again every machine that is marked, some in each transaction.
    pub async fn refold_marked(&mut self) -> Result<(), StoreError> {
        self.memory.forget();
        loop {
            let mut conn = self.begin().await?;
            let done = standing::refold_some(&mut conn, &mut self.estates).await;
            if self.end(conn, done).await? == 0 {
                return Ok(());
            }
        }
    }

    /// Opens a transaction: what it will do is not followed, unless its caller does.
    pub async fn begin(&mut self) -> Result<Conn, StoreError> {
        self.trust = Trust::default();
        let mut conn = match self.conn.take() {
            Some(conn) => conn,
            None => self.pool.get(&self.place).await?,
        };
        match conn.begin().await {
            Ok(()) => Ok(conn),
            Err(e) => {
                conn.discard().await;
                Err(e)
            }
        }
    }

    /// Ends a transaction: commits what went well. After anything else the connection is given
    /// up, which rolls back, and everything remembered is forgotten: a failed write or sync leaves
    /// nothing that may be trusted.
    pub async fn end<T>(
        &mut self,
        mut conn: Conn,
        done: Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let failed = match done {
            Ok(done) => match conn.commit().await {
                Ok(()) => {
                    self.conn = Some(conn);
                    return Ok(done);
                }
                Err(e) => e,
            },
            Err(e) => e,
        };
        conn.discard().await;
        self.forget();
        Err(failed)
    }
}
