//! Tests of the store as a whole. Each runs on SQLite; with `OUNCEWISE_TEST_POSTGRES` set to the address of a
//! database it may fill, the same functions run on PostgreSQL.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};

use jiff::Timestamp;
use ouncewise_estate::{Estate, files, plan};
use ouncewise_ledger::{Body, Draft, Entered, LineState, Record, Scope, Subject, derive_id};
use tempfile::TempDir;
use uuid::Uuid;

use crate::db::{Conn, Row, Val};
use crate::open::open;
use crate::{Clock, Location, Options, Store, Synchronous};

mod append;
mod backup;
mod beside;
mod load;
mod plans;
mod projection;
mod published;
mod settings;
mod verify;

/// 2026-03-02T06:00:00Z.
pub const MONDAY: i64 = 1_772_431_200_000;

/// A store of its own, and a clock that each look moves on by a second.
pub struct Place {
    pub store: Store,
    pub location: Location,
    pub options: Options,
    folder: TempDir,
}

pub fn clock() -> Options {
    let ms = Arc::new(AtomicI64::new(MONDAY));
    let tell = move || Timestamp::from_millisecond(ms.fetch_add(1000, Ordering::Relaxed)).unwrap();
    Options { clock: Clock::new(tell), ..Options::default() }
}

/// An empty store.
pub async fn place() -> Place {
    let folder = tempfile::tempdir().unwrap();
    let location = match std::env::var("OUNCEWISE_TEST_POSTGRES") {
        Err(_) => Location::Dir(folder.path().join("data")),
        #[cfg(not(feature = "postgres"))]
        Ok(_) => panic!("build these tests with `--features postgres`"),
        #[cfg(feature = "postgres")]
        Ok(url) => {
            let schema = format!("t{}", Uuid::now_v7().simple());
            use sqlx::Connection;
            let mut conn = sqlx::PgConnection::connect(&url).await.unwrap();
            let make = sqlx::AssertSqlSafe(format!("CREATE SCHEMA {schema}"));
            sqlx::raw_sql(make).execute(&mut conn).await.unwrap();
            conn.close().await.unwrap();
            let sign = if url.contains('?') { '&' } else { '?' };
            Location::Url(format!("{url}{sign}options=-c%20search_path%3D{schema}"))
        }
    };
    let options = clock();
    let store = Store::open_with(&location, options.clone()).await.unwrap();
    Place { store, location, options, folder }
}

/// A store that holds the small estate.
pub async fn furnished() -> Place {
    let place = place().await;
    place.store.append(estate_drafts()).await.unwrap();
    place
}

impl Place {
    pub fn is_sqlite(&self) -> bool {
        matches!(self.location, Location::Dir(_))
    }

    pub fn folder(&self) -> &std::path::Path {
        self.folder.path()
    }

    /// Closes the store and opens it again.
    pub async fn reopened(self) -> Place {
        let Place { store, location, options, folder } = self;
        store.close().await.unwrap();
        let store = Store::open_with(&location, options.clone()).await.unwrap();
        Place { store, location, options, folder }
    }

    /// A connection beside the store's own, for looking and for mischief.
    pub async fn raw(&self) -> Conn {
        // The store's own is with its writer.
        let opened = open(&self.location, Synchronous::Full).await.unwrap();
        opened.writer.get("test").await.unwrap()
    }

    pub async fn count(&self, sql: &str) -> i64 {
        let row: Option<(i64,)> = self.raw().await.row(sql, &[]).await.unwrap();
        row.unwrap().0
    }

    pub async fn ask<T: Row>(&self, sql: &str, values: &[Val<'_>]) -> Vec<T> {
        self.raw().await.rows(sql, values).await.unwrap()
    }

    /// All rows of the projection, as text, after histories were followed.
    pub async fn projection(&self) -> Vec<String> {
        self.store.follow().await.unwrap();
        type Row = (String, String, String, Option<f64>, Option<String>, Option<i64>, String);
        let rows: Vec<Row> = self
            .ask(
                "SELECT scope, machine, line, urgency, verdict, caught_ms, json FROM standing \
                 ORDER BY scope, machine, line",
                &[],
            )
            .await;
        rows.iter().map(|row| format!("{row:?}")).collect()
    }
}

/// Compares projections, and shows where they part.
#[track_caller]
pub fn same(left: &[String], right: &[String]) {
    assert_eq!(left.len(), right.len());
    for (a, b) in left.iter().zip(right) {
        if let Some(at) = a.bytes().zip(b.bytes()).position(|(a, b)| a != b) {
            let near = |s: &str| {
                String::from_utf8_lossy(
                    &s.as_bytes()[at.saturating_sub(200)..(at + 200).min(s.len())],
                )
                .into_owned()
            };
            panic!("…{}…\n…{}…", near(a), near(b));
        }
        assert_eq!(a.len(), b.len());
    }
}

/// Two sites; `fernhollow` has two machines.
pub fn estate() -> Estate {
    let files = [
        ("estate.toml", "[group]\nname = \"G\"\ntime_zone = \"Etc/UTC\"\ncurrency = \"EUR\"\n"),
        (
            "families/screw.toml",
            "name = \"Screw\"\nmetering = \"rate\"\n[adjuster]\nkind = \"screw\"\nper_turn = \"40 %\"\nmore = \"anticlockwise\"\n",
        ),
        ("products.toml", "[gooseberry]\nname = \"Gooseberry\"\n[honey]\nname = \"Honey\"\n"),
        (
            "measures.toml",
            "[cylinder]\nname = \"Cylinder\"\nkind = \"vessel\"\ndivision = \"1 mL\"\ntolerance = \"0.5 mL\"\n",
        ),
        ("sites.csv", "site,measures\nfernhollow,cylinder\nmossgate,cylinder\n"),
        (
            "machines.csv",
            "site,machine,family\nfernhollow,counter-1,screw\nfernhollow,counter-2,screw\nmossgate,counter-1,screw\n",
        ),
        (
            "lines.csv",
            "site,machine,line,product,target,tolerance,draw\n\
             fernhollow,counter-1,1,gooseberry,30 mL,5 %,7 s\n\
             fernhollow,counter-1,2,honey,30 mL,5 %,7 s\n\
             fernhollow,counter-2,1,honey,25 mL,5 %,5 s\n\
             mossgate,counter-1,1,gooseberry,30 mL,5 %,7 s\n",
        ),
    ];
    let files = files.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec())).into();
    let (estate, faults) = files::read(&files);
    assert!(faults.is_empty(), "{faults:#?}");
    estate
}

/// What describes it.
pub fn estate_drafts() -> Vec<Draft> {
    let changes = plan::changes(&Estate::default(), &estate()).changes;
    changes
        .into_iter()
        .enumerate()
        .map(|(i, change)| {
            let id = derive_id(&["set-up", &change.about], 0);
            let record =
                record(id, change.scope, change.subject, "2026-01-01T08:00:00.000Z", change.body);
            Record { sequence: i as u64, ..record }.into()
        })
        .collect()
}

pub fn record(id: Uuid, scope: Scope, subject: Subject, at: &str, body: Body) -> Record {
    Record {
        v: ouncewise_ledger::record::VERSION,
        id,
        scope,
        subject,
        at: at.to_owned(),
        device: "tablet-1".to_owned(),
        sequence: 0,
        by: None,
        entered: Entered::AtMachine,
        note: None,
        body,
    }
}

/// A catch at a line, as if made at a tablet.
pub fn caught(address: &str, day: u32, amount: &str) -> Draft {
    static SEQUENCE: AtomicU64 = AtomicU64::new(1);
    let parts: Vec<&str> = address.split('/').collect();
    let body = Body::CatchTaken {
        state: LineState::AsFound,
        amount: amount.to_owned(),
        draw: "7 s".to_owned(),
        measure: "cylinder".to_owned(),
        water: None,
        water_draw: None,
        temperature: None,
    };
    let at = format!("2026-02-{day:02}T06:41:07.250+01:00");
    let record = record(
        Uuid::now_v7(),
        Scope::site(parts[0]).unwrap(),
        Subject::line(parts[1], parts[2]),
        &at,
        body,
    );
    Record { sequence: SEQUENCE.fetch_add(1, Ordering::Relaxed), ..record }.into()
}

/// The same catch, as if brought in from a file: its id follows from what it says.
pub fn imported(address: &str, day: u32, amount: &str) -> Draft {
    let mut draft = caught(address, day, amount);
    // A moment of its own: catches of one moment are ordered by their ids.
    let ms = amount.bytes().fold(0_u32, |h, b| h.wrapping_mul(31).wrapping_add(b.into())) % 60_000;
    draft.record.at = format!("2026-02-{day:02}T10:10:{:02}.{:03}Z", ms / 1000, ms % 1000);
    draft.record.id = derive_id(&[address, &draft.record.at, amount], 0);
    draft.record.sequence = 1;
    draft.record.entered = Entered::Imported;
    draft
}

pub fn withdrawn(draft: &Draft) -> Draft {
    let of = &draft.record;
    record(
        Uuid::now_v7(),
        of.scope.clone(),
        of.subject.clone(),
        "2026-03-01T08:00:00.000Z",
        Body::Correction {
            of: of.id,
            reason: "read from the wrong side".to_owned(),
            instead: None,
        },
    )
    .into()
}

pub fn line(address: &str) -> ouncewise_estate::Address {
    address.parse().unwrap()
}

pub fn site(key: &str) -> Scope {
    Scope::site(key).unwrap()
}
