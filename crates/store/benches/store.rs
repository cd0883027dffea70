//! How fast records are saved one by one and by the file, and the week's worst lines found, each beside what bare
//! SQLite does with the same rows in the same run.
//!
//! `cargo bench -p ouncewise-store` runs all at a small size; `-- single 4000`, `-- load 1000000 1600` (catches or so,
//! sites) and `-- week` (after `load`) run one of them. Needs the `sqlite3` shell.

#![expect(clippy::print_stdout, reason = "a benchmark prints its figures")]
#![expect(clippy::disallowed_methods, reason = "a benchmark reads the clock")]

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use ouncewise_estate::{Estate, plan};
use ouncewise_ledger::{Draft, Entered, Record, derive_id};
use ouncewise_simulate::fleet::{self, Config, Fleet};
use ouncewise_store::{FILE, LoadOptions, Location, Store};
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqliteSynchronous};
use sqlx::{ConnectOptions, Connection, SqliteConnection};

#[tokio::main]
async fn main() {
    let args: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let number = |at: usize, or: usize| args.get(at).and_then(|n| n.parse().ok()).unwrap_or(or);
    let dir = Path::new(env!("CARGO_TARGET_TMPDIR")).join("store-bench");
    match args.first().map(String::as_str) {
        Some("single") => single(&dir, number(1, 4_000)).await,
        Some("load") => load(&dir, number(1, 1_000_000), number(2, 1_600)).await,
        Some("week") => week(&dir).await,
        _ => {
            single(&dir, 1_000).await;
            load(&dir, 10_000, 16).await;
            load(&dir, 100_000, 160).await;
            week(&dir).await;
        }
    }
}

fn fleet(sites: usize) -> Fleet {
    fleet::generate(Config {
        sites,
        machines_per_site: 1,
        lines_per_machine: 12,
        ..Config::new(7, jiff::civil::date(2025, 3, 3))
    })
}

/// The drafts that describe an estate.
fn describing(estate: &Estate) -> impl Iterator<Item = Draft> {
    plan::changes(&Estate::default(), estate).changes.into_iter().enumerate().map(|(i, change)| {
        Record {
            v: ouncewise_ledger::record::VERSION,
            id: derive_id(&["set-up", &change.about], 0),
            scope: change.scope,
            subject: change.subject,
            at: "2025-01-01T08:00:00.000Z".to_owned(),
            device: "desk".to_owned(),
            sequence: i as u64,
            by: None,
            entered: Entered::AtDesk,
            note: None,
            body: change.body,
        }
        .into()
    })
}

async fn empty(dir: &Path) -> Store {
    let _ = std::fs::remove_dir_all(dir);
    Store::open(&Location::Dir(dir.to_owned())).await.expect("a folder of the build")
}

async fn bring(store: &Store, name: &str, drafts: impl Iterator<Item = Draft>) -> u64 {
    let options = LoadOptions { name: name.to_owned(), ..LoadOptions::default() };
    let mut loader = store.loader(options, |_| {}).await.expect("a writer");
    for draft in drafts {
        loader.push(draft).await.expect("room on the disk");
    }
    loader.finish().await.expect("room on the disk").added
}

/// How many records are saved at a stretch before the next way has its turn: what the disk does to one, it
/// then does to all.
const ROUND: usize = 100;

/// Durable records, one act each: bare SQLite, one writer and sixteen writers in turn; medians of their rounds.
async fn single(dir: &Path, count: usize) {
    let fleet = fleet(16);
    let store = empty(dir).await;
    bring(&store, "estate", describing(&fleet.estate)).await;
    let drafts: Vec<Draft> =
        fleet.drafts().filter(|d| d.record.body.kind() == "catch-taken").take(3 * count).collect();
    let mut bare = bare(&dir.join("bare.db")).await;
    let mut rates = [const { Vec::new() }; 3];
    for (nth, round) in drafts.chunks_exact(3 * ROUND).enumerate() {
        let mut parts = round.chunks(ROUND);
        let mut part = || parts.next().unwrap_or_default();
        let started = Instant::now();
        insert(&mut bare, part(), nth * ROUND).await;
        rates[0].push(rate(ROUND, started.elapsed()));
        let started = Instant::now();
        append(&store, part().iter()).await;
        rates[1].push(rate(ROUND, started.elapsed()));
        let sixteen = part();
        let started = Instant::now();
        let writers = (0..16).map(|w| append(&store, sixteen.iter().skip(w).step_by(16)));
        futures::future::join_all(writers).await;
        rates[2].push(rate(ROUND, started.elapsed()));
    }
    bare.close().await.expect("an open file");
    store.close().await.expect("an open store");
    let [bare, one, sixteen] = rates.map(|mut rates| {
        rates.sort_by(f64::total_cmp);
        rates[rates.len() / 2]
    });
    println!("single: bare SQLite       {bare:>8.0} commits/s");
    println!("single: one writer        {one:>8.0} records/s, {:.0} % of bare", 100.0 * one / bare);
    println!(
        "single: sixteen writers   {sixteen:>8.0} records/s, {:.0} % of bare",
        100.0 * sixteen / bare
    );
}

async fn append(store: &Store, drafts: impl Iterator<Item = &Draft>) {
    for draft in drafts {
        store.append(vec![draft.clone()]).await.expect("room on the disk");
    }
}

/// A file with nothing around it.
async fn bare(file: &Path) -> SqliteConnection {
    let mut conn = SqliteConnectOptions::new()
        .filename(file)
        .create_if_missing(true)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .connect()
        .await
        .expect("a file of the build");
    let table = format!("{SCHEMA}{INDEXES}");
    sqlx::raw_sql(sqlx::AssertSqlSafe(table)).execute(&mut conn).await.expect("a new file");
    conn
}

/// The same rows, one durable insert each.
async fn insert(conn: &mut SqliteConnection, drafts: &[Draft], from: usize) {
    for (i, draft) in drafts.iter().enumerate() {
        let r = &draft.record;
        let bytes = r.to_bytes().expect("a record");
        sqlx::query("INSERT INTO record VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)")
            .bind(r.scope.as_str())
            .bind((from + i) as i64)
            .bind(r.id.as_bytes().as_slice())
            .bind(0_i64)
            .bind(0_i64)
            .bind(r.subject.machine.as_deref())
            .bind(r.subject.line.as_deref())
            .bind(r.body.kind())
            .bind(0_i64)
            .bind([0_u8; 32].as_slice())
            .bind(bytes)
            .execute(&mut *conn)
            .await
            .expect("room on the disk");
    }
}

const SCHEMA: &str = "CREATE TABLE record (scope TEXT NOT NULL, idx INTEGER NOT NULL, id BLOB NOT NULL, received_ms INTEGER NOT NULL, \
    at_ms INTEGER NOT NULL, machine TEXT, line TEXT, kind TEXT NOT NULL, shapes INTEGER NOT NULL, leaf BLOB NOT NULL, bytes BLOB NOT NULL);\n";
const INDEXES: &str = "CREATE UNIQUE INDEX record_order ON record (scope, idx); CREATE UNIQUE INDEX record_id ON record (scope, id);\n\
    CREATE INDEX record_machine ON record (scope, machine, idx); CREATE INDEX record_shapes ON record (scope, idx) WHERE shapes = 1;\n";

/// A file of catches, and the same rows by the `sqlite3` shell.
async fn load(dir: &Path, count: usize, sites: usize) {
    let fleet = fleet(sites);
    let store = empty(dir).await;
    bring(&store, "estate", describing(&fleet.estate)).await;
    let started = Instant::now();
    let made = fleet.drafts().take(count).count();
    let making = started.elapsed();
    let started = Instant::now();
    let added = bring(&store, "catches", fleet.drafts().take(count)).await;
    let loading = started.elapsed();
    let peak = peak_mb();
    assert_eq!(added as usize, made);
    let started = Instant::now();
    let again = bring(&store, "catches", fleet.drafts().take(count)).await;
    let again_time = started.elapsed();
    assert_eq!(again, 0);
    let started = Instant::now();
    assert_eq!(store.verify().await.expect("an open store").misfit, None);
    let verifying = started.elapsed();
    store.close().await.expect("an open store");
    let peer = peer(dir);
    println!(
        "load {added}: {:>7.2} s, of which {:.2} s for making the rows; peak memory {} MB",
        loading.as_secs_f64(),
        making.as_secs_f64(),
        peak
    );
    println!(
        "load {added}: {:>7.2} s by the sqlite3 shell, ratio {:.2}",
        peer.as_secs_f64(),
        (loading - making).as_secs_f64() / peer.as_secs_f64()
    );
    println!(
        "load {added}: {:>7.2} s for loading it again, {:.2} s for verifying",
        again_time.as_secs_f64(),
        verifying.as_secs_f64()
    );
}

/// Imports the rows of the store's own table from CSV into a table with the same indexes.
fn peer(dir: &Path) -> Duration {
    let (csv, file) = (dir.join("rows.csv"), dir.join("peer.db"));
    let columns = "scope, idx, hex(id), received_ms, at_ms, machine, line, kind, shapes, hex(leaf), CAST(bytes AS TEXT)";
    let rows = std::fs::File::create(&csv).expect("a file of the build");
    let status = Command::new("sqlite3")
        .args(["-csv".into(), dir.join(FILE).into_os_string()])
        .arg(format!("SELECT {columns} FROM record"))
        .stdout(rows)
        .status()
        .expect("the sqlite3 shell");
    assert!(status.success());
    let started = Instant::now();
    let status = Command::new("sqlite3")
        .arg(&file)
        .args(["-cmd", "PRAGMA journal_mode = WAL", "-cmd", "PRAGMA synchronous = FULL"])
        .args([
            "-cmd",
            SCHEMA.trim(),
            "-cmd",
            INDEXES.lines().next().expect("two lines"),
            "-cmd",
            INDEXES.lines().nth(1).expect("two lines"),
        ])
        .arg(format!(".import --csv {} record", csv.display()))
        .stdout(std::process::Stdio::null())
        .status()
        .expect("the sqlite3 shell");
    assert!(status.success());
    started.elapsed()
}

/// The fifty worst lines of what `load` left, from opening the store to the answer.
async fn week(dir: &Path) {
    let mut open = Vec::new();
    let mut asked = Vec::new();
    let mut lines = 0;
    for _ in 0..20 {
        let started = Instant::now();
        let store = Store::open(&Location::Dir(dir.to_owned())).await.expect("what load left");
        open.push(started.elapsed());
        let started = Instant::now();
        lines = store.week(50, None).await.expect("an open store").lines;
        asked.push(started.elapsed());
        store.close().await.expect("an open store");
    }
    open.sort();
    asked.sort();
    println!(
        "week: {lines} lines: open {:.1} ms, fifty worst {:.1} ms (medians; slowest {:.1} and {:.1})",
        ms(open[10]),
        ms(asked[10]),
        ms(open[19]),
        ms(asked[19])
    );
}

fn rate(count: usize, took: Duration) -> f64 {
    count as f64 / took.as_secs_f64()
}

fn ms(took: Duration) -> f64 {
    took.as_secs_f64() * 1e3
}

/// The most memory this process has held.
fn peak_mb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|l| l.starts_with("VmHWM")).unwrap_or_default();
    line.split_whitespace().nth(1).and_then(|kb| kb.parse::<u64>().ok()).unwrap_or(0) / 1024
}
