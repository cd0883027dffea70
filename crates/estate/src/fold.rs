//! The estate as its records tell it.
//!
//! Each ledger is folded on its own: a group's record touches what belongs to
//! the group, a site's record only that site. So the ledgers may be folded in
//! any order, each in the order of its events with corrections resolved.

use std::collections::BTreeMap;

use ouncewise_ledger::record::Thing;
use ouncewise_ledger::{Body, Record};

use crate::estate::Estate;
use crate::fields::node::Table;
use crate::fields::read::thing;
use crate::fields::{Definition, Described};
use crate::key::Key;
use crate::line::Line;
use crate::machine::{Machine, State};
use crate::percent::decimal;
use crate::site::Site;

/// A record that does not fit the estate. It stays in its ledger, and changes nothing here.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Misfit(pub String);

/// Applies one record. Records that do not describe the estate (catches, rounds, …) change nothing.
///
/// # Errors
///
/// Why the record does not fit; the estate is then as it was.
pub fn apply(estate: &mut Estate, record: &Record) -> Result<(), Misfit> {
    match &record.body {
        Body::Configured { thing, key, definition } => {
            configure(estate, record, *thing, key, definition)
        }
        Body::Retired { thing, key } => retire(estate, record, *thing, key),
        Body::MachineSwapped { serial, family } => {
            let family = family.as_deref().map(key_of).transpose()?;
            let machine = machine_of(estate, record)?;
            machine.serial = Some(serial.clone());
            if let Some(family) = family {
                machine.family = family;
            }
            // Another machine's panel shows what it shows.
            for line in machine.lines.values_mut() {
                line.setting = None;
            }
            Ok(())
        }
        Body::MachinePaused {} => machine_of(estate, record).map(|m| m.state = State::Paused),
        Body::MachineReopened {} => machine_of(estate, record).map(|m| m.state = State::Open),
        Body::ProductChanged { product } => {
            let product = key_of(product)?;
            line_of(estate, record).map(|l| l.product = product)
        }
        Body::LineAdjusted { setting: Some(setting), .. } => {
            let shown = decimal(setting.trim().trim_end_matches('%').trim_end());
            let shown = shown
                .ok_or_else(|| Misfit(format!("`{setting}` is no number or percent of a panel")))?;
            line_of(estate, record).map(|l| l.setting = Some(shown))
        }
        Body::MeasureReplaced { measure } => {
            let site = site_of(estate, record)?;
            match site.measures.contains_key(measure.as_str()) {
                true => Ok(()),
                false => Err(missing("measure", measure)),
            }
        }
        _ => Ok(()),
    }
}

fn configure(
    estate: &mut Estate,
    record: &Record,
    sort: Thing,
    key: &str,
    definition: &Definition,
) -> Result<(), Misfit> {
    if sort == Thing::Group {
        estate.group = described(definition)?;
        return Ok(());
    }
    let key = key_of(key)?;
    if record.scope.is_group() {
        match sort {
            Thing::Owner => put(&mut estate.owners, key, described(definition)?),
            Thing::Family => put(&mut estate.families, key, described(definition)?),
            Thing::Product => put(&mut estate.products, key, described(definition)?),
            Thing::Measure => put(&mut estate.measures, key, described(definition)?),
            _ => return Err(elsewhere(sort)),
        }
        return Ok(());
    }
    match sort {
        Thing::Site => {
            if key != *record.scope.as_str() {
                return Err(Misfit(format!(
                    "the site `{key}` is described in the ledger of `{}`",
                    record.scope
                )));
            }
            let mut site: Site = described(definition)?;
            if site.name.is_empty() {
                site.name = key.to_string();
            }
            if let Some(old) = estate.sites.remove(&key) {
                (site.measures, site.machines) = (old.measures, old.machines);
            }
            estate.sites.insert(key, site);
        }
        Thing::Measure => {
            let piece = described(definition)?;
            put(&mut site_of(estate, record)?.measures, key, piece);
        }
        Thing::Machine => {
            let mut machine: Machine = described(definition)?;
            if machine.name.is_empty() {
                machine.name = key.to_string();
            }
            let machines = &mut site_of(estate, record)?.machines;
            if let Some(old) = machines.remove(&key) {
                machine.lines = old.lines;
            }
            machines.insert(key, machine);
        }
        Thing::Line => {
            let line = described(definition)?;
            put(&mut machine_of(estate, record)?.lines, key, line);
        }
        _ => return Err(elsewhere(sort)),
    }
    Ok(())
}

fn retire(estate: &mut Estate, record: &Record, sort: Thing, key: &str) -> Result<(), Misfit> {
    if record.scope.is_group() {
        match sort {
            Thing::Owner => entry(&mut estate.owners, "owner", key)?.retired = true,
            Thing::Family => entry(&mut estate.families, "family", key)?.retired = true,
            Thing::Product => entry(&mut estate.products, "product", key)?.retired = true,
            Thing::Measure => entry(&mut estate.measures, "kind of measure", key)?.retired = true,
            _ => return Err(elsewhere(sort)),
        }
        return Ok(());
    }
    match sort {
        Thing::Site => site_of(estate, record)?.retired = true,
        Thing::Measure => {
            entry(&mut site_of(estate, record)?.measures, "measure", key)?.retired = true;
        }
        Thing::Machine => {
            entry(&mut site_of(estate, record)?.machines, "machine", key)?.state = State::Removed;
        }
        Thing::Line => entry(&mut machine_of(estate, record)?.lines, "line", key)?.retired = true,
        _ => return Err(elsewhere(sort)),
    }
    Ok(())
}

/// Reads a thing from its definition; all that is wrong with it is told.
fn described<T: Described>(definition: &Definition) -> Result<T, Misfit> {
    let mut flaws = Vec::new();
    let read = thing(&Table::from_json(definition), 0..0, T::NAME, &mut flaws);
    read.ok_or_else(|| Misfit(flaws.into_iter().map(|f| f.message).collect::<Vec<_>>().join("; ")))
}

fn put<T>(things: &mut BTreeMap<Key, T>, key: Key, thing: T) {
    things.insert(key, thing);
}

fn key_of(text: &str) -> Result<Key, Misfit> {
    text.parse().map_err(|e: crate::Misread| Misfit(e.message))
}

fn missing(what: &str, key: &str) -> Misfit {
    Misfit(format!("there is no {what} `{key}`"))
}

fn elsewhere(sort: Thing) -> Misfit {
    Misfit(format!("{sort:?} does not belong to this ledger").to_lowercase())
}

fn entry<'a, T>(
    things: &'a mut BTreeMap<Key, T>,
    what: &str,
    key: &str,
) -> Result<&'a mut T, Misfit> {
    things.get_mut(key).ok_or_else(|| missing(what, key))
}

fn site_of<'a>(estate: &'a mut Estate, record: &Record) -> Result<&'a mut Site, Misfit> {
    entry(&mut estate.sites, "site", record.scope.as_str())
}

fn machine_of<'a>(estate: &'a mut Estate, record: &Record) -> Result<&'a mut Machine, Misfit> {
    let key = record.subject.machine.as_deref().unwrap_or_default();
    entry(&mut site_of(estate, record)?.machines, "machine", key)
}

fn line_of<'a>(estate: &'a mut Estate, record: &Record) -> Result<&'a mut Line, Misfit> {
    let key = record.subject.line.as_deref().unwrap_or_default();
    entry(&mut machine_of(estate, record)?.lines, "line", key)
}
