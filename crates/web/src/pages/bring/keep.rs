//! Keeping a sheet, and what was kept before: what it was called, when, how many records, and taking it back.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::Timestamp;
use jiff::tz::TimeZone;
use ouncewise_estate::sheets::mapping;
use ouncewise_estate::sheets::{Refusal, Row};
use ouncewise_ledger::Draft;
use ouncewise_report::{Failure, refused};
use ouncewise_store::{Load, LoadOptions};
use tokio::runtime::Handle;
use uuid::Uuid;

use super::look::{self, Beside};
use super::tried;
use super::uploads::{Kept, Sheet};
use crate::App;
use crate::wrong::Wrong;

/// Keeps a sheet: sets up what the estate lacks, loads its rows, and remembers how it was read. It goes on where the
/// browser goes away. Reading keeps a thread busy, so this is called on one of its own.
pub fn keep(app: &App, sheet: &Sheet, on: &Handle) -> Result<Kept, Failure> {
    let name = sheet.file.name.as_str();
    let all = |refusals: Vec<Refusal>| refused(name, &refusals);
    let mapping = sheet.reading.decided();
    let beside = on.block_on(Beside::of(app))?;
    let wanted = tried::wanted(sheet, &mapping, &beside).map_err(all)?;
    let described = ouncewise_report::described(&beside.estate, &wanted, &app.now_at());
    let set_up = described.len();
    let table =
        look::open(sheet.file.file.path(), sheet.which.as_deref()).map_err(|r| all(vec![r]))?;
    let applied = mapping::apply(&mapping, table, &wanted, beside.now).map_err(all)?;
    let mut sites: BTreeMap<String, u64> = BTreeMap::new();
    let rows = applied.inspect(|row| {
        if let Row::Draft { draft: Draft { record, .. }, .. } = row {
            match sites.get_mut(record.scope.as_str()) {
                Some(count) => *count += 1,
                None => {
                    sites.insert(record.scope.to_string(), 1);
                }
            }
        }
    });
    let options =
        LoadOptions { name: name.to_owned(), hash: sheet.file.hash.clone(), all_or_nothing: false };
    let loading = ouncewise_report::load(app.store(), described, rows, &wanted, options, |_| {});
    let report = match on.block_on(loading)? {
        Ok(report) | Err(report) => report,
    };
    let load = match report.added {
        0 => None,
        _ => on.block_on(app.store().loads())?.into_iter().find(|load| came_from(load, sheet)),
    };
    // The records are kept: that the reading cannot be remembered is said, and undoes nothing.
    let remembered = app.mappings().map(|dir| ouncewise_report::remember(dir, name, &mapping));
    let sites = sites.into_iter().map(|(key, count)| {
        let name =
            wanted.sites.get(key.as_str()).map_or_else(|| key.clone(), |site| site.name.clone());
        (key, name, count)
    });
    Ok(Kept {
        report,
        load: load.map(|load| load.id),
        sites: sites.collect(),
        set_up,
        not_remembered: remembered.and_then(Result::err).map(|failure| failure.message),
    })
}

fn came_from(load: &Load, sheet: &Sheet) -> bool {
    load.hash == sheet.file.hash && load.name == sheet.file.name && load.undone_ms.is_none()
}

/// A file that was brought in.
pub struct Brought {
    pub id: Uuid,
    pub name: String,
    pub added: u64,
    /// When, by the group's clock.
    pub at: String,
    /// When it was taken back, if it was.
    pub back: Option<String>,
    hash: String,
}

/// What was brought in, the latest first.
pub async fn brought(app: &App) -> Result<Vec<Brought>, Wrong> {
    let loads = app.store().loads().await?;
    let zone = app.store().estate().await?.group.time_zone.rules();
    Ok(loads.into_iter().map(|load| of(load, &zone)).collect())
}

fn of(load: Load, zone: &TimeZone) -> Brought {
    let at = |ms: i64| {
        Timestamp::from_millisecond(ms).map_or_else(
            |_| format!("{ms} ms"),
            |at| at.to_zoned_datetime(zone.clone()).strftime("%-d %b %Y, %H:%M").to_string(),
        )
    };
    Brought {
        id: load.id,
        at: at(load.at_ms),
        back: load.undone_ms.map(at),
        name: load.name,
        added: load.added,
        hash: load.hash,
    }
}

/// One of them.
pub async fn one(app: &App, id: Uuid) -> Result<Brought, Wrong> {
    brought(app).await?.into_iter().find(|brought| brought.id == id).ok_or_else(|| {
        Wrong::missing(
            "nothing was brought in under this number",
            "the page “Bring in a sheet” lists all that was",
        )
    })
}

/// The same file, if it was brought in before and not taken back.
pub async fn same_file(app: &App, sheet: &Sheet) -> Result<Option<Brought>, Wrong> {
    let all = brought(app).await?;
    Ok(all.into_iter().find(|brought| brought.hash == sheet.file.hash && brought.back.is_none()))
}

/// Whether what was kept of a sheet was taken back since: then it may be kept again.
pub async fn was_taken_back(app: &App, kept: Option<&Arc<Kept>>) -> Result<bool, Wrong> {
    let Some(load) = kept.and_then(|kept| kept.load) else { return Ok(false) };
    let loads = app.store().loads().await?;
    Ok(loads.iter().any(|known| known.id == load && known.undone_ms.is_some()))
}
