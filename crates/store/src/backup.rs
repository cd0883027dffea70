//! Backup and restore of a SQLite store: whole, verified, and never half there.

use std::fs::File;
use std::path::{Path, PathBuf};

use ouncewise_ledger::{Body, Draft, Entered, Record, Scope, Subject};
use serde::Serialize;
use sqlx::sqlite::SqliteConnectOptions;
use uuid::Uuid;

use crate::answer::Answer;
use crate::clock::received;
use crate::db::Pool;
use crate::error::StoreError;
use crate::open::{FILE, Location, Synchronous, file_options, file_version, lite_pool, lock_file};
use crate::store::{Options, Store};
use crate::verify::{Verified, verify};

/// What restoring did.
#[derive(Debug, Clone, Serialize)]
pub struct Restored {
    /// What the backup holds.
    pub verified: Verified,
    /// Where the file that was there before is now.
    pub aside: Option<PathBuf>,
}

impl Store {
    /// Copies the store as it is at one moment into a file, while others may go on writing. The copy
    /// is verified and on disk before it takes the place of an older one.
    ///
    /// # Errors
    /// If the copy cannot be written or does not verify; an older backup is then untouched. On PostgreSQL: use `pg_dump`.
    pub fn backup<'a>(&'a self, to: &'a Path) -> Answer<'a, Verified> {
        Box::pin(async move {
            let Some(own) = &self.opened.file else {
                return Err(StoreError::Usage(format!(
                    "{} is a PostgreSQL database: back it up with `pg_dump --format=custom`, and restore it with `pg_restore`",
                    self.place()
                )));
            };
            if to.canonicalize().ok().is_some_and(|to| own.canonicalize().ok() == Some(to)) {
                return Err(StoreError::Usage(format!(
                    "{} is the store itself; name another file for its backup",
                    to.display()
                )));
            }
            let half = beside(to, &format!("half-{}", Uuid::now_v7()));
            let done = copy(own, &half, to).await;
            if done.is_err() {
                // What is half there is worth nothing; that it cannot be removed changes nothing.
                let _ = std::fs::remove_file(&half);
            }
            done
        })
    }

    /// Puts a backup in the place of a store. The backup is verified first; the file that was there is kept beside
    /// it. The group's ledger then says that it was restored, so that nobody can take the store back in time unseen.
    ///
    /// # Errors
    /// If the backup does not verify, another process has the store open, or a file cannot be written. The store
    /// is then as it was.
    pub fn restore<'a>(from: &'a Path, dir: &'a Path, options: Options) -> Answer<'a, Restored> {
        Box::pin(async move {
            let verified = verify_file(from).await?;
            std::fs::create_dir_all(dir).map_err(|e| StoreError::io(dir, &e))?;
            let lock = lock_file(dir)?;
            lock.try_lock().map_err(|e| match e {
                std::fs::TryLockError::WouldBlock => StoreError::Unavailable {
                    place: dir.display().to_string(),
                    what: "another process has this store open; stop it first".to_owned(),
                },
                std::fs::TryLockError::Error(e) => StoreError::io(dir, &e),
            })?;
            let file = dir.join(FILE);
            let fresh = beside(&file, "restoring");
            std::fs::copy(from, &fresh)
                .and_then(|_| File::options().write(true).open(&fresh)?.sync_all())
                .map_err(|e| StoreError::io(&fresh, &e))?;
            let now_ms = options.clock.now_ms();
            let aside = if file.exists() { Some(set_aside(&file, now_ms).await?) } else { None };
            std::fs::rename(&fresh, &file).map_err(|e| StoreError::io(&file, &e))?;
            sync_folder(&file)?;
            drop(lock);
            note_it(&verified, now_ms, dir, options).await?;
            Ok(Restored { verified, aside })
        })
    }
}

/// Copies a store's file to a name that is only half there, then to its own.
async fn copy(own: &Path, half: &Path, to: &Path) -> Result<Verified, StoreError> {
    let Some(name) = half.to_str() else {
        return Err(StoreError::Usage(format!(
            "{}: a backup's name must be Unicode text",
            half.display()
        )));
    };
    let place = own.display().to_string();
    let pool = lite_pool(1)
        .connect_with(file_options(own, Synchronous::Full))
        .await
        .map_err(|e| StoreError::sql(&place, &e))?;
    let copied = sqlx::query("VACUUM INTO $1").bind(name).execute(&pool).await;
    pool.close().await;
    // It is the copy that could not be written, not the store.
    copied.map_err(|e| StoreError::sql(&to.display().to_string(), &e))?;
    let verified = verify_file(half).await?;
    File::open(half).and_then(|f| f.sync_all()).map_err(|e| StoreError::io(half, &e))?;
    std::fs::rename(half, to).map_err(|e| StoreError::io(to, &e))?;
    sync_folder(to)?;
    Ok(verified)
}

/// Gives the store's file a second name, so that the first can be replaced in one step.
async fn set_aside(file: &Path, now_ms: i64) -> Result<PathBuf, StoreError> {
    let aside = beside(file, &format!("replaced-{now_ms}"));
    let log = |of: &Path| with_ending(of, "-wal");
    if settle(file).await.is_ok() {
        // All of it is in the one file now: a crash here leaves either store, whole.
        std::fs::hard_link(file, &aside).map_err(|e| StoreError::io(&aside, &e))?;
    } else {
        // It is damaged. Keep it together with the log that it cannot take in.
        std::fs::rename(file, &aside).map_err(|e| StoreError::io(&aside, &e))?;
        if log(file).exists() {
            std::fs::rename(log(file), log(&aside)).map_err(|e| StoreError::io(&aside, &e))?;
        }
    }
    for stale in [log(file), with_ending(file, "-shm")] {
        match std::fs::remove_file(&stale) {
            Err(e) if e.kind() != std::io::ErrorKind::NotFound => {
                return Err(StoreError::io(&stale, &e));
            }
            _ => {}
        }
    }
    Ok(aside)
}

/// Brings everything from a store's log into its file.
async fn settle(file: &Path) -> Result<(), StoreError> {
    let place = file.display().to_string();
    let sql = |e| StoreError::sql(&place, &e);
    let pool =
        lite_pool(1).connect_with(file_options(file, Synchronous::Full)).await.map_err(sql)?;
    let done: Result<(i64, i64, i64), _> =
        sqlx::query_as("PRAGMA wal_checkpoint(TRUNCATE)").fetch_one(&pool).await;
    pool.close().await;
    match done.map_err(sql)? {
        (0, _, _) => Ok(()),
        _ => Err(StoreError::Unavailable { place, what: "it is being read".to_owned() }),
    }
}

/// Has the restored ledger say that it was.
async fn note_it(
    verified: &Verified,
    now_ms: i64,
    dir: &Path,
    options: Options,
) -> Result<(), StoreError> {
    let store = Store::open_with(&Location::Dir(dir.to_owned()), options).await?;
    let group = verified.ledgers.iter().find(|head| head.site.is_group());
    let (size, root) = group
        .map_or_else(|| (0, ouncewise_ledger::merkle::empty_root()), |head| (head.size, head.root));
    let record = Record {
        v: ouncewise_ledger::record::VERSION,
        id: Uuid::now_v7(),
        scope: Scope::group(),
        subject: Subject::default(),
        at: received(now_ms),
        device: "store".to_owned(),
        sequence: 0,
        by: None,
        entered: Entered::AtDesk,
        note: None,
        body: Body::Verification { size, root: root.to_string() },
    };
    let note = format!(
        "restored from a backup of {} records in {} ledgers",
        verified.records,
        verified.ledgers.len()
    );
    store.append(vec![Draft { record, person: None, note: Some(note) }]).await?;
    store.close().await
}

/// Verifies a store's file without changing it.
///
/// # Errors
/// If it is no store, cannot be read, or a record does not fit.
pub fn verify_file(file: &Path) -> Answer<'_, Verified> {
    Box::pin(async move {
        let place = file.display().to_string();
        std::fs::metadata(file).map_err(|e| StoreError::io(file, &e))?;
        let options = SqliteConnectOptions::new()
            .filename(file)
            .read_only(true)
            .pragma("trusted_schema", "OFF");
        let pool =
            lite_pool(1).connect_with(options).await.map_err(|e| StoreError::sql(&place, &e))?;
        let verified = async {
            if file_version(&pool, &place).await? == 0 {
                return Err(StoreError::Damaged {
                    place: place.clone(),
                    what: "it is empty; name a file that `ouncewise backup` wrote".to_owned(),
                });
            }
            let mut conn = Pool::Lite(pool.clone()).get(&place).await?;
            verify(&mut conn).await
        }
        .await;
        pool.close().await;
        let verified = verified?;
        match &verified.misfit {
            None => Ok(verified),
            Some(misfit) => Err(StoreError::Damaged { place, what: misfit.to_string() }),
        }
    })
}

/// A name in the same folder: `ouncewise.db.replaced-1767225600000`.
fn beside(file: &Path, ending: &str) -> PathBuf {
    with_ending(file, &format!(".{ending}"))
}

fn with_ending(file: &Path, ending: &str) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// Makes sure that a file's name is on disk, and not only its content.
fn sync_folder(file: &Path) -> Result<(), StoreError> {
    let folder = match file.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    File::open(folder).and_then(|f| f.sync_all()).map_err(|e| StoreError::io(folder, &e))
}
