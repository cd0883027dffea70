//! The one that is killed: four writers that append catches, and say so after each answer.

use std::collections::BTreeSet;
use std::io::Write;
use std::path::Path;

use ouncewise_estate::{Estate, plan};
use ouncewise_ledger::{Body, Draft, Entered, LineState, Record, Scope, Subject, derive_id};
use ouncewise_simulate::fleet::{self, Config};
use ouncewise_store::{Location, Options, Store, Synchronous};
use uuid::Uuid;

use crate::Found;

pub const WRITERS: u64 = 4;

/// Record number `n` of a writer: the same bytes however often it is sent.
pub fn draft(writer: u64, n: u64) -> Draft {
    Record {
        v: ouncewise_ledger::record::VERSION,
        id: id(writer, n),
        scope: scope(writer),
        subject: Subject::line("m1", &(1 + n % 4).to_string()),
        at: format!(
            "2026-03-02T{:02}:{:02}:{:02}.{:03}Z",
            n / 3600 % 24,
            n / 60 % 60,
            n % 60,
            writer
        ),
        device: format!("tablet-{writer}"),
        sequence: n,
        by: None,
        entered: Entered::AtMachine,
        note: None,
        body: Body::CatchTaken {
            state: LineState::AsFound,
            amount: format!("{} mL", 25 + n % 10),
            draw: "7 s".to_owned(),
            measure: "cylinder".to_owned(),
            water: None,
            water_draw: None,
            temperature: None,
        },
    }
    .into()
}

pub fn id(writer: u64, n: u64) -> Uuid {
    derive_id(&["crash", &writer.to_string()], n)
}

/// Two writers share each site.
fn scope(writer: u64) -> Scope {
    Scope::site(&format!("s{:05}", 1 + writer % 2)).expect("a key")
}

pub async fn open(dir: &Path, synchronous: Synchronous) -> Result<Store, String> {
    let options = Options { synchronous, ..Options::default() };
    Store::open_with(&Location::Dir(dir.to_owned()), options).await.map_err(|e| e.to_string())
}

/// Makes a store with a small estate, and closes it.
pub async fn furnish(dir: &Path) -> Result<(), String> {
    let store = open(dir, Synchronous::Full).await?;
    let fleet = fleet::generate(Config {
        sites: 2,
        lines_per_machine: 4,
        ..Config::new(1, jiff::civil::date(2026, 1, 5))
    });
    let drafts = plan::changes(&Estate::default(), &fleet.estate).changes.into_iter().enumerate();
    let drafts = drafts.map(|(i, change)| {
        Draft::from(Record {
            id: derive_id(&["set-up", &change.about], 0),
            scope: change.scope,
            subject: change.subject,
            sequence: i as u64,
            body: change.body,
            ..draft(0, 0).record
        })
    });
    store.append(drafts.collect()).await.map_err(|e| e.to_string())?;
    store.close().await.map_err(|e| e.to_string())
}

/// Appends from the given number on, for each writer, up to `count` each; writes `writer n` after each answer.
/// Arguments: synchronous, count, four numbers.
pub async fn write(dir: &Path, args: &[String]) -> Found {
    let synchronous = match args.first().map(String::as_str) {
        Some("normal") => Synchronous::Normal,
        Some("off") => Synchronous::Off,
        _ => Synchronous::Full,
    };
    let number = |at: usize| args.get(at).and_then(|n| n.parse::<u64>().ok()).unwrap_or(0);
    let (count, store) = (number(1), open(dir, synchronous).await?);
    let writers = (0..WRITERS).map(|writer| {
        let (store, from) = (&store, number(usize::try_from(writer).unwrap_or(0) + 2));
        async move {
            for n in from..from + count {
                store.append(vec![draft(writer, n)]).await.map_err(|e| e.to_string())?;
                // One call to the system each, so that a kill never cuts it.
                std::io::stdout()
                    .write_all(format!("{writer} {n}\n").as_bytes())
                    .map_err(|e| e.to_string())?;
            }
            Ok::<(), String>(())
        }
    });
    futures::future::try_join_all(writers).await?;
    Ok(String::new())
}

/// Opens what was left, and holds it against what was answered for: `answered[w]` records of writer `w`, none
/// missing, none twice, and at most those on their way besides.
pub async fn hold(dir: &Path, answered: &[u64]) -> Result<u64, String> {
    let store = open(dir, Synchronous::Full).await?;
    let held = held(&store, answered).await;
    store.close().await.map_err(|e| e.to_string())?;
    held
}

async fn held(store: &Store, answered: &[u64]) -> Result<u64, String> {
    let verified = store.verify().await.map_err(|e| e.to_string())?;
    if let Some(misfit) = verified.misfit {
        return Err(format!("damaged: {misfit}"));
    }
    let mut ids = BTreeSet::new();
    for head in &verified.ledgers {
        for entry in store.entries(&head.site, 0, u32::MAX).await.map_err(|e| e.to_string())? {
            if matches!(entry.record.body, Body::CatchTaken { .. }) && !ids.insert(entry.record.id)
            {
                return Err(format!("twice: {}", entry.record.id));
            }
        }
    }
    let found = ids.len() as u64;
    for (writer, count) in (0..).zip(answered) {
        for n in 0..*count {
            if !ids.remove(&id(writer, n)) {
                return Err(format!("lost: record {n} of writer {writer}"));
            }
        }
    }
    // What was on its way may be there or not; nothing else may.
    for (writer, count) in (0..).zip(answered) {
        ids.remove(&id(writer, *count));
    }
    if !ids.is_empty() {
        return Err(format!("{} records that nobody sent", ids.len()));
    }
    if !store.conflicts().await.map_err(|e| e.to_string())?.is_empty() {
        return Err("a record sent again was taken for another".to_owned());
    }
    Ok(found)
}
