//! A store that is open.

use std::sync::Arc;

use ouncewise_estate::Estate;
use ouncewise_ledger::Draft;
use tokio::sync::{Mutex, mpsc, oneshot};
use tokio::task::JoinHandle;

use crate::answer::Answer;
use crate::clock::Clock;
use crate::db::{Conn, Watch};
use crate::error::StoreError;
use crate::estates::Estates;
use crate::open::{self, Location, Opened, Synchronous};
use crate::receipt::Receipt;
use crate::writer::{self, Job, Writer};

/// A store that is open. [`Store::close`] it at the end: what was answered is on disk either way, but
/// closing leaves one tidy file.
#[derive(Debug)]
pub struct Store {
    pub(crate) opened: Opened,
    jobs: mpsc::Sender<Job>,
    task: JoinHandle<()>,
    estates: Mutex<Estates>,
    /// The connection that is asked whether anything was written: the answers of one can be compared.
    watch: Mutex<Option<Watch>>,
}

/// How a store is opened.
#[derive(Debug, Clone)]
pub struct Options {
    /// What tells the time of receipt.
    pub clock: Clock,
    /// How a commit waits for the disk.
    #[doc(hidden)]
    pub synchronous: Synchronous,
}

impl Default for Options {
    fn default() -> Options {
        Options { clock: Clock::system(), synchronous: Synchronous::Full }
    }
}

impl Store {
    /// Opens a store, and makes it where there is none. Machines that an interrupted load left behind
    /// are folded again first.
    ///
    /// # Errors
    /// If the place cannot be read or written, is no store, was written by a newer version, or does
    /// not keep what it says it keeps.
    pub fn open(location: &Location) -> Answer<'_, Store> {
        Box::pin(async move { Store::open_with(location, Options::default()).await })
    }

    /// Opens a store with [`Options`].
    ///
    /// # Errors
    /// As [`Store::open`].
    pub fn open_with(location: &Location, options: Options) -> Answer<'_, Store> {
        Box::pin(async move {
            let opened = open::open(location, options.synchronous).await?;
            let (jobs, task) =
                writer::start(opened.writer.clone(), opened.place.clone(), options.clock.clone());
            let store =
                Store { opened, jobs, task, estates: Mutex::default(), watch: Mutex::default() };
            if store.reading().await?.any("SELECT 1 FROM stale", &[]).await? {
                // Somebody else may be loading just now, and will fold at the end: then leave it to them.
                match store.refold_marked().await {
                    Ok(()) | Err(StoreError::Unavailable { .. }) => {}
                    Err(e) => return Err(e),
                }
            }
            Ok(store)
        })
    }

    /// Where it is: the file, or the address without its password.
    #[must_use]
    pub fn place(&self) -> &str {
        &self.opened.place
    }

    /// Appends the records of one act: all of them, or none. Once it answers, they are on disk, and
    /// the standing of the machines they are about is up to date.
    ///
    /// # Errors
    /// If a draft is no record (all faults at once), or the database cannot keep it.
    pub fn append(&self, drafts: Vec<Draft>) -> Answer<'_, Receipt> {
        Box::pin(async move {
            let (reply, answer) = oneshot::channel();
            self.jobs.send(Job::Append(drafts, reply)).await.map_err(|_| self.gone())?;
            answer.await.map_err(|_| self.gone())?
        })
    }

    /// A number that is another one whenever anything was written in between, by anybody: while it stays, what was read
    /// still holds. None where the database cannot tell.
    ///
    /// # Errors
    /// If the database cannot be read.
    pub fn version(&self) -> Answer<'_, Option<i64>> {
        Box::pin(async move {
            let mut watch = self.watch.lock().await;
            if watch.is_none() {
                *watch = self.opened.reader.watch(&self.opened.place).await?;
            }
            match watch.as_mut() {
                Some(watch) => watch.version(&self.opened.place).await.map(Some),
                None => Ok(None),
            }
        })
    }

    /// The estate as the ledgers describe it.
    ///
    /// # Errors
    /// If a record cannot be read.
    pub fn estate(&self) -> Answer<'_, Arc<Estate>> {
        Box::pin(async move {
            let mut conn = self.reading().await?;
            self.estates.lock().await.whole(&mut conn).await
        })
    }

    /// The group, its families and products, and one site (which is missing where there is none of that key).
    /// On a large estate this is much quicker than [`Store::estate`].
    ///
    /// # Errors
    /// If a record cannot be read.
    pub fn estate_at<'a>(&'a self, site: &'a str) -> Answer<'a, Arc<Estate>> {
        Box::pin(async move {
            let mut conn = self.reading().await?;
            self.estates.lock().await.at(&mut conn, site).await
        })
    }

    /// Ends all work and closes the database.
    ///
    /// # Errors
    /// If the writing task has broken down.
    pub fn close(self) -> Answer<'static, ()> {
        Box::pin(async move {
            let gone = self.gone();
            if let Some(watch) = self.watch.into_inner() {
                watch.close().await;
            }
            // The writer last: whoever closes last tidies up.
            self.opened.reader.close().await;
            drop(self.jobs);
            self.task.await.map_err(|_| gone)
        })
    }

    pub(crate) async fn reading(&self) -> Result<Conn, StoreError> {
        self.opened.reader.get(&self.opened.place).await
    }

    /// Has the writer do something alone.
    pub(crate) async fn alone<T: Send + 'static>(
        &self,
        act: impl AsyncAct<T>,
    ) -> Result<T, StoreError> {
        self.start_alone(act).await?.await.map_err(|_| self.gone())?
    }

    /// Has the writer begin something alone, whose end can be waited for.
    pub(crate) async fn start_alone<T: Send + 'static>(
        &self,
        act: impl AsyncAct<T>,
    ) -> Result<oneshot::Receiver<Result<T, StoreError>>, StoreError> {
        let (reply, answer) = oneshot::channel();
        let job = Job::Alone(Box::new(move |writer| {
            Box::pin(async move {
                // Whoever asked may have gone; the answer is then nobody's.
                let _ = reply.send(act.run(writer).await);
            })
        }));
        self.jobs.send(job).await.map_err(|_| self.gone())?;
        Ok(answer)
    }

    pub(crate) async fn refold_marked(&self) -> Result<(), StoreError> {
        self.alone(RefoldMarked).await
    }

    pub(crate) fn gone(&self) -> StoreError {
        StoreError::Unavailable {
            place: self.opened.place.clone(),
            what: "the task that writes has ended".to_owned(),
        }
    }
}

/// Something that the writer does alone.
pub(crate) trait AsyncAct<T>: Send + 'static {
    fn run(self, writer: &mut Writer) -> impl Future<Output = Result<T, StoreError>> + Send;
}

struct RefoldMarked;

impl AsyncAct<()> for RefoldMarked {
    async fn run(self, writer: &mut Writer) -> Result<(), StoreError> {
        writer.refold_marked().await
    }
}
