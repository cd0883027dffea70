//! Opening a store: the settings that "saved" rests on, set and read back.

use std::fs::File;
use std::path::{Path, PathBuf};
use std::time::Duration;

use sqlx::SqlitePool;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};

use crate::db::Pool;
use crate::error::StoreError;
use crate::tables;

#[cfg(feature = "postgres")]
mod postgres;

/// The database file within a data folder.
pub const FILE: &str = "ouncewise.db";

/// Marks a SQLite file as ours: "OzWi" in ASCII.
pub(crate) const APPLICATION_ID: i32 = 0x4f7a_5769;

/// Number of the newest migration.
pub(crate) const VERSION: i32 = 2;

/// The first SQLite without the write-ahead-log reset defect, which could
/// damage a database when two connections wrote and checkpointed at once
/// (sqlite.org/wal.html, "the WAL-reset bug"; fixed in 3.51.3).
const OLDEST_SQLITE: (u32, u32, u32) = (3, 51, 3);

/// Where a store is.
#[derive(Debug, Clone)]
pub enum Location {
    /// A folder that holds (or will hold) the file `ouncewise.db`.
    Dir(PathBuf),
    /// A PostgreSQL address: `postgres://user@host/database`.
    Url(String),
}

/// How a commit waits for the disk. Less than full is for checks that must be able to fail.
#[doc(hidden)]
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Synchronous {
    /// Saved means on disk.
    #[default]
    Full,
    /// The last commits may be lost with the power.
    Normal,
    /// Everything may.
    Off,
}

/// A pool whose connections stay for as long as it does.
///
/// With a lifetime or an idle time, the pool looks over its connections in a task of its own, as often as its counter of
/// idle ones says; as a pool opens, that counter can be read just below zero, and the task then never ends, nor lets the
/// program end (seen with sqlx 0.9.0, `spawn_maintenance_tasks`). Without them there is no such task.
pub(crate) fn lite_pool(most: u32) -> SqlitePoolOptions {
    SqlitePoolOptions::new()
        .max_connections(most)
        .max_lifetime(None)
        .idle_timeout(None)
        // A file that is open stays so: asking it before each use is a trip for nothing.
        .test_before_acquire(false)
}

/// What an open store holds on to.
#[derive(Debug)]
pub(crate) struct Opened {
    pub place: String,
    pub writer: Pool,
    pub reader: Pool,
    /// The database file, where there is one.
    pub file: Option<PathBuf>,
    /// Held shared for as long as the store is open, so that nobody swaps the file under it.
    _lock: Option<File>,
}

/// How to connect to a file of ours. The settings are those of the house:
/// a commit is on disk before it is answered.
pub(crate) fn file_options(path: &Path, synchronous: Synchronous) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(path)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(match synchronous {
            Synchronous::Full => SqliteSynchronous::Full,
            Synchronous::Normal => SqliteSynchronous::Normal,
            Synchronous::Off => SqliteSynchronous::Off,
        })
        .foreign_keys(true)
        .busy_timeout(Duration::from_secs(10))
        .pragma("trusted_schema", "OFF")
        .pragma("cache_size", "-32768")
}

pub(crate) async fn open(
    location: &Location,
    synchronous: Synchronous,
) -> Result<Opened, StoreError> {
    match location {
        Location::Dir(dir) => open_dir(dir, synchronous).await,
        Location::Url(url) => open_url(url).await,
    }
}

/// Takes the folder's lock: shared to use the file, exclusive to make or replace it.
pub(crate) fn lock_file(dir: &Path) -> Result<File, StoreError> {
    let path = dir.join("ouncewise.lock");
    File::options()
        .create(true)
        .truncate(false)
        .read(true)
        .write(true)
        .open(&path)
        .map_err(|e| StoreError::io(&path, &e))
}

async fn open_dir(dir: &Path, synchronous: Synchronous) -> Result<Opened, StoreError> {
    std::fs::create_dir_all(dir).map_err(|e| StoreError::io(dir, &e))?;
    let path = dir.join(FILE);
    let place = path.display().to_string();
    let lock = lock_file(dir)?;
    lock.lock_shared().map_err(|e| StoreError::io(dir, &e))?;

    let sql = |e: &sqlx::Error| StoreError::sql(&place, e);
    let connect = || {
        lite_pool(1).connect_with(
            file_options(&path, synchronous).create_if_missing(true).optimize_on_close(true, 400),
        )
    };
    let mut writer = connect().await.map_err(|e| sql(&e))?;
    assert_sqlite(&writer, &place).await?;
    if file_version(&writer, &place).await? < VERSION {
        // Migrate alone: let go, take the lock for ourselves, look again.
        writer.close().await;
        lock.lock().map_err(|e| StoreError::io(dir, &e))?;
        writer = connect().await.map_err(|e| sql(&e))?;
        if file_version(&writer, &place).await? < VERSION {
            migrate_file(&writer, &place).await?;
        }
        lock.lock_shared().map_err(|e| StoreError::io(dir, &e))?;
    }
    assert_settings(&writer, &place, synchronous).await?;
    let reader = lite_pool(4).connect_lazy_with(
        file_options(&path, synchronous).pragma("query_only", "ON").pragma("cache_size", "-8192"),
    );
    Ok(Opened {
        place,
        writer: Pool::Lite(writer),
        reader: Pool::Lite(reader),
        file: Some(path),
        _lock: Some(lock),
    })
}

/// The bundled library, as three numbers.
pub(crate) async fn sqlite_version(pool: &SqlitePool) -> Result<(u32, u32, u32), sqlx::Error> {
    let text: String = sqlx::query_scalar("SELECT sqlite_version()").fetch_one(pool).await?;
    let mut numbers = text.split('.').map(|n| n.parse().unwrap_or(0));
    let mut next = || numbers.next().unwrap_or(0);
    Ok((next(), next(), next()))
}

async fn assert_sqlite(pool: &SqlitePool, place: &str) -> Result<(), StoreError> {
    let version = sqlite_version(pool).await.map_err(|e| StoreError::sql(place, &e))?;
    if version < OLDEST_SQLITE {
        return Err(StoreError::Usage(format!(
            "this program was built with SQLite {}.{}.{}, which can damage a database; build it with {}.{}.{} or newer",
            version.0, version.1, version.2, OLDEST_SQLITE.0, OLDEST_SQLITE.1, OLDEST_SQLITE.2
        )));
    }
    Ok(())
}

/// The version a file is at; 0 for a new one. Refuses files that are not ours.
pub(crate) async fn file_version(pool: &SqlitePool, place: &str) -> Result<i32, StoreError> {
    let sql = |e| StoreError::sql(place, &e);
    let application: i32 =
        sqlx::query_scalar("PRAGMA application_id").fetch_one(pool).await.map_err(sql)?;
    let version: i32 =
        sqlx::query_scalar("PRAGMA user_version").fetch_one(pool).await.map_err(sql)?;
    let tables: i64 = sqlx::query_scalar("SELECT count(*) FROM sqlite_schema")
        .fetch_one(pool)
        .await
        .map_err(sql)?;
    let damaged = |what: String| Err(StoreError::Damaged { place: place.to_owned(), what });
    match (application, version) {
        (0, 0) if tables == 0 => Ok(0),
        (APPLICATION_ID, v) if v > VERSION => damaged(format!(
            "this store was written by a newer version of this program (format {v}, this one knows {VERSION}); use that version"
        )),
        (APPLICATION_ID, v) => Ok(v),
        _ => damaged(
            "this is not a store of this program; name another folder with --data".to_owned(),
        ),
    }
}

/// Makes the tables. The file is marked as ours first, so that what breaks off here is taken up again.
async fn migrate_file(pool: &SqlitePool, place: &str) -> Result<(), StoreError> {
    mark(pool, place, format!("PRAGMA application_id = {APPLICATION_ID}")).await?;
    tables::sqlite().run(pool).await.map_err(|e| migration(place, &e))?;
    mark(pool, place, format!("PRAGMA user_version = {VERSION}")).await
}

/// Sets a number in the file's header: a pragma takes no bound value.
async fn mark(pool: &SqlitePool, place: &str, pragma: String) -> Result<(), StoreError> {
    let done = sqlx::raw_sql(sqlx::AssertSqlSafe(pragma)).execute(pool).await;
    done.map(|_| ()).map_err(|e| StoreError::sql(place, &e))
}

fn migration(place: &str, error: &sqlx::migrate::MigrateError) -> StoreError {
    match error {
        sqlx::migrate::MigrateError::Execute(e)
        | sqlx::migrate::MigrateError::ExecuteMigration(e, _) => StoreError::sql(place, e),
        other => StoreError::Damaged {
            place: place.to_owned(),
            what: format!("its tables cannot be brought up to date: {other}"),
        },
    }
}

/// Reads back what durability rests on.
async fn assert_settings(
    pool: &SqlitePool,
    place: &str,
    wanted: Synchronous,
) -> Result<(), StoreError> {
    let sql = |e| StoreError::sql(place, &e);
    let journal: String =
        sqlx::query_scalar("PRAGMA journal_mode").fetch_one(pool).await.map_err(sql)?;
    let synchronous: i64 =
        sqlx::query_scalar("PRAGMA synchronous").fetch_one(pool).await.map_err(sql)?;
    let full = synchronous >= 2 || wanted != Synchronous::Full;
    if journal == "wal" && full {
        return Ok(());
    }
    Err(StoreError::Io {
        place: place.to_owned(),
        what: format!(
            "this disk does not let the database keep a write-ahead log (journal {journal}, synchronous {synchronous}); use a local disk"
        ),
    })
}

/// The address without its password, for messages.
fn bare(url: &str) -> String {
    match (url.split_once("://"), url.rsplit_once('@')) {
        (Some((scheme, _)), Some((_, host))) => format!("{scheme}://{host}"),
        _ => url.to_owned(),
    }
}

async fn open_url(url: &str) -> Result<Opened, StoreError> {
    if !url.starts_with("postgres://") && !url.starts_with("postgresql://") {
        return Err(StoreError::Usage(format!(
            "`{}` is no address of a database: write postgres://user@host/database, or name a folder",
            bare(url)
        )));
    }
    #[cfg(feature = "postgres")]
    return postgres::open(url).await;
    #[cfg(not(feature = "postgres"))]
    Err(StoreError::Usage(format!(
        "{}: this program was built without PostgreSQL; build it with `cargo build --release --features postgres`, or name a folder",
        bare(url)
    )))
}
