//! The estate as its records tell it.
//!
//! Each ledger is folded on its own: a group's record touches what belongs to
//! the group, a site's record only that site. So the ledgers may be folded in
//! any order, each in the order of its events with corrections resolved.

use std::collections::BTreeMap;

use ouncewise_ledger::record::Thing;
use ouncewise_ledger::{Body, Record};

use crate::estate::Estate;
use crate::fields::read::thing;
use crate::fields::{Definition, Described};
use crate::key::Key;
use crate::line::Line;
use crate::machine::{Machine, State};
use crate::percent::decimal;
use crate::profile::OwnProfile;
use crate::site::Site;
use crate::written::Table;

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
            Thing::Profile => {
                let profile = profile(&key, definition)?;
                put(&mut estate.profiles, key, profile);
            }
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
            // Records that were made under it name it and its edition.
            Thing::Profile => {
                if estate.profiles.remove(key).is_none() {
                    return Err(missing("profile", key));
                }
            }
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

fn profile(key: &Key, definition: &Definition) -> Result<OwnProfile, Misfit> {
    let text = definition.get("text").and_then(serde_json::Value::as_str).unwrap_or_default();
    OwnProfile::read(key, text).map_err(|flaws| {
        Misfit(flaws.into_iter().map(|f| f.message).collect::<Vec<_>>().join("; "))
    })
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

#[cfg(test)]
mod tests {
    use ouncewise_ledger::{Entered, Scope, Subject};

    use super::*;

    fn record(scope: &str, subject: Subject, body: Body) -> Record {
        Record {
            v: 1,
            id: uuid::Uuid::nil(),
            scope: if scope == Scope::GROUP { Scope::group() } else { Scope::site(scope).unwrap() },
            subject,
            at: "2026-03-02T06:41:07.250+01:00".to_owned(),
            device: "tablet-1".to_owned(),
            sequence: 1,
            by: None,
            entered: Entered::AtMachine,
            note: None,
            body,
        }
    }

    fn starter() -> Estate {
        crate::files::read(&crate::starter::files()).0
    }

    fn adjusted(setting: &str) -> Body {
        Body::LineAdjusted {
            done: "number 57".to_owned(),
            setting: Some(setting.to_owned()),
            meant: None,
        }
    }

    #[test]
    fn what_happens_at_a_machine_is_seen_in_the_estate() {
        let mut estate = starter();
        let machine = || Subject::machine("counter-1");
        let line = || Subject::line("counter-1", "1");
        let mut apply =
            |subject, body| apply(&mut estate, &record("rowan-end", subject, body)).unwrap();
        apply(line(), adjusted("57 %"));
        apply(line(), Body::ProductChanged { product: "black-sesame".to_owned() });
        apply(machine(), Body::MachinePaused {});
        let now = &estate.sites["rowan-end"].machines["counter-1"];
        assert_eq!((now.lines["1"].setting, now.state), (Some(57.into()), State::Paused));
        assert_eq!(now.lines["1"].product, "black-sesame");

        let mut apply =
            |subject, body| super::apply(&mut estate, &record("rowan-end", subject, body)).unwrap();
        let family = Some("ring-step".to_owned());
        apply(machine(), Body::MachineSwapped { serial: "RS-7".to_owned(), family });
        apply(machine(), Body::MachineReopened {});
        let now = &estate.sites["rowan-end"].machines["counter-1"];
        assert_eq!((now.serial.as_deref(), now.state), (Some("RS-7"), State::Open));
        assert_eq!(now.family, "ring-step");
        assert_eq!(now.lines["1"].setting, None, "another machine's panel shows what it shows");
        assert_eq!(now.lines.len(), 2);
    }

    #[test]
    fn a_record_that_does_not_fit_changes_nothing() {
        let before = starter();
        let line = |line| Subject::line("counter-1", line);
        let configured = |thing, key: &str, definition| Body::Configured {
            thing,
            key: key.to_owned(),
            definition,
        };
        let wrong =
            Definition::from([("name".to_owned(), "x".into()), ("retird".to_owned(), true.into())]);
        let misfits = [
            ("nowhere", line("1"), adjusted("57"), "there is no site `nowhere`"),
            ("rowan-end", line("9"), adjusted("57"), "there is no line `9`"),
            (
                "rowan-end",
                line("1"),
                adjusted("a bit"),
                "`a bit` is no number or percent of a panel",
            ),
            (
                "rowan-end",
                line("1"),
                Body::MeasureReplaced { measure: "jug".to_owned() },
                "there is no measure `jug`",
            ),
            (
                Scope::GROUP,
                Subject::default(),
                configured(Thing::Product, "p", wrong),
                "product has no field `retird`",
            ),
            (
                "rowan-end",
                Subject::default(),
                configured(Thing::Product, "p", Definition::new()),
                "product does not belong to this ledger",
            ),
            (
                "rowan-end",
                Subject::default(),
                configured(Thing::Site, "other", Definition::new()),
                "the site `other` is described in the ledger of `rowan-end`",
            ),
            (
                Scope::GROUP,
                Subject::default(),
                Body::Retired { thing: Thing::Group, key: Scope::GROUP.to_owned() },
                "group does not belong to this ledger",
            ),
        ];
        for (scope, subject, body, reason) in misfits {
            let mut estate = before.clone();
            let misfit = apply(&mut estate, &record(scope, subject, body)).unwrap_err();
            assert_eq!(misfit.to_string(), reason);
            assert_eq!(estate, before);
        }
    }

    #[test]
    fn all_that_is_wrong_with_a_description_is_told() {
        let definition = Definition::from([
            ("product".to_owned(), "Goose Berry".into()),
            ("target".to_owned(), "1 oz".into()),
            ("tolerance".to_owned(), "5".into()),
        ]);
        let body = Body::Configured { thing: Thing::Line, key: "7".to_owned(), definition };
        let subject = Subject::machine("counter-1");
        let misfit = apply(&mut starter(), &record("rowan-end", subject, body)).unwrap_err();
        for part in ["`Goose Berry`", "`oz`", "no percent sign", "no `draw`"] {
            assert!(misfit.0.contains(part), "{part}: {misfit}");
        }
    }
}
