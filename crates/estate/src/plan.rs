//! From the estate that is to the estate that is wanted: what to add, change and retire.
//! Nothing is deleted.

use std::collections::BTreeMap;
use std::fmt;

use ouncewise_ledger::record::Thing;
use ouncewise_ledger::{Body, Scope, Subject};
use ouncewise_measure::Adjuster;
use serde_json::Value;

use crate::estate::Estate;
use crate::fields::{Definition, Described};
use crate::key::Key;
use crate::line::Line;
use crate::machine::Machine;
use crate::site::Site;

/// What sort of change it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sort {
    /// Something new.
    Add,
    /// Something is otherwise from now on.
    Change,
    /// Something is no longer in use.
    Retire,
}

/// One change, and the record that makes it.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// What sort.
    pub sort: Sort,
    /// What it is about: `line fernhollow/counter-1/3`.
    pub about: String,
    /// Field by field: its name, what it was, what it will be.
    pub fields: Vec<FieldChange>,
    /// A remark on what follows from it.
    pub remark: Option<&'static str>,
    /// Whose ledger the record goes to.
    pub scope: Scope,
    /// What the record is about.
    pub subject: Subject,
    /// What it says.
    pub body: Body,
}

/// One field that changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldChange {
    /// Its name; `adjuster.per_turn` within a table.
    pub name: String,
    /// What it was; nothing if it was not there.
    pub old: Option<String>,
    /// What it will be; nothing if it goes.
    pub new: Option<String>,
}

/// All changes, in the order in which they are to be made.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Plan {
    /// What changes.
    pub changes: Vec<Change>,
    /// How many things stay as they are.
    pub unchanged: usize,
}

impl Plan {
    /// How many changes there are of a sort.
    #[must_use]
    pub fn count(&self, sort: Sort) -> usize {
        self.changes.iter().filter(|c| c.sort == sort).count()
    }
}

impl fmt::Display for Change {
    /// One line: `~ line fernhollow/counter-1/3: target 30 mL → 25 mL`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = match self.sort {
            Sort::Add => '+',
            Sort::Change => '~',
            Sort::Retire => '-',
        };
        write!(f, "{sign} {}", self.about)?;
        for (i, field) in self.fields.iter().enumerate() {
            f.write_str(if i == 0 { ": " } else { "; " })?;
            f.write_str(&field.name)?;
            match (&field.old, &field.new) {
                (None, Some(new)) => write!(f, " {new}")?,
                (old, new) => {
                    let say =
                        |x: &Option<String>| x.clone().unwrap_or_else(|| "nothing".to_owned());
                    write!(f, " {} → {}", say(old), say(new))?;
                }
            }
        }
        match self.remark {
            Some(remark) => write!(f, " ({remark})"),
            None => Ok(()),
        }
    }
}

/// What leads from `current` to `wanted`.
///
/// What `wanted` does not name is retired; what it names again comes back. A
/// line's panel setting that `wanted` leaves open stays as the records tell it.
/// Do not plan from files that have errors: what was refused would be retired.
#[must_use]
pub fn changes(current: &Estate, wanted: &Estate) -> Plan {
    let mut plan = Plan::default();
    let group = Scope::group();
    let at = |scope: &Scope, prefix: &str| At {
        scope: scope.clone(),
        prefix: prefix.to_owned(),
        machine: None,
    };
    let top = at(&group, "");
    plan.group(current, wanted);
    plan.each(&top, Thing::Owner, "owner", &current.owners, &wanted.owners, |o| {
        (o.define(), o.retired)
    });
    plan.each(&top, Thing::Family, "family", &current.families, &wanted.families, |f| {
        (f.define(), f.retired)
    });
    plan.each(&top, Thing::Product, "product", &current.products, &wanted.products, |p| {
        (p.define(), p.retired)
    });
    let kind = "kind of measure";
    plan.each(&top, Thing::Measure, kind, &current.measures, &wanted.measures, |m| {
        (m.define(), m.retired)
    });
    let profiles = (&current.profiles, &wanted.profiles);
    plan.each(&top, Thing::Profile, "profile", profiles.0, profiles.1, |p| (p.define(), false));
    for key in keys(&current.sites, &wanted.sites) {
        let scope = Scope::site(key).expect("an estate's key is a record's key");
        let (old, new) = (current.sites.get(key), wanted.sites.get(key));
        let describe = |s: &Site| (s.define(), s.retired);
        plan.compare(
            &at(&scope, ""),
            Thing::Site,
            "site",
            key,
            old.map(describe),
            new.map(describe),
        );
        if let Some(new) = new {
            let below = at(&scope, &format!("{key}/"));
            plan.site(&below, old, new, wanted);
        }
    }
    plan
}

/// Where a thing stands.
#[derive(Clone)]
struct At {
    scope: Scope,
    prefix: String,
    machine: Option<Key>,
}

impl At {
    fn subject(&self) -> Subject {
        self.machine.as_ref().map_or_else(Subject::default, |m| Subject::machine(m))
    }
}

fn keys<'a, T>(a: &'a BTreeMap<Key, T>, b: &'a BTreeMap<Key, T>) -> impl Iterator<Item = &'a Key> {
    let mut all: Vec<&Key> = a.keys().chain(b.keys()).collect();
    all.sort_unstable();
    all.dedup();
    all.into_iter()
}

impl Plan {
    fn group(&mut self, current: &Estate, wanted: &Estate) {
        let (old, new) = (current.group.define(), wanted.group.define());
        if old == new {
            self.unchanged += 1;
            return;
        }
        // A group without a name was never described.
        let sort = if current.group.name.is_empty() { Sort::Add } else { Sort::Change };
        let old = if sort == Sort::Add { Definition::new() } else { old };
        self.changes.push(Change {
            sort,
            about: "group".to_owned(),
            fields: differences(&old, &new),
            remark: None,
            scope: Scope::group(),
            subject: Subject::default(),
            body: Body::Configured {
                thing: Thing::Group,
                key: Scope::GROUP.to_owned(),
                definition: new,
            },
        });
    }

    fn each<T>(
        &mut self,
        at: &At,
        thing: Thing,
        what: &str,
        current: &BTreeMap<Key, T>,
        wanted: &BTreeMap<Key, T>,
        describe: impl Fn(&T) -> (Definition, bool),
    ) {
        for key in keys(current, wanted) {
            self.compare(
                at,
                thing,
                what,
                key,
                current.get(key).map(&describe),
                wanted.get(key).map(&describe),
            );
        }
    }

    /// Adds what leads from one description of a thing to another; each with whether it is retired.
    fn compare(
        &mut self,
        at: &At,
        thing: Thing,
        what: &str,
        key: &Key,
        old: Option<(Definition, bool)>,
        new: Option<(Definition, bool)>,
    ) {
        let about = format!("{what} {}{key}", at.prefix);
        let was_retired = old.as_ref().is_some_and(|(_, retired)| *retired);
        let known = old.is_some();
        let (new, retired) = match (old.as_ref(), new) {
            (_, Some(new)) => new,
            // What nobody names any more is retired as it was.
            (Some((old, _)), None) => (old.clone(), true),
            (None, None) => return,
        };
        let old = old.map(|(definition, _)| definition).unwrap_or_default();
        let back = was_retired && !retired;
        let described = !known || old != new || back;
        if described {
            self.changes.push(Change {
                sort: if known { Sort::Change } else { Sort::Add },
                about: about.clone(),
                fields: differences(&old, &new),
                remark: back.then_some("back in use"),
                scope: at.scope.clone(),
                subject: at.subject(),
                body: Body::Configured { thing, key: key.to_string(), definition: new },
            });
        }
        if retired && (described || !was_retired) {
            self.changes.push(Change {
                sort: Sort::Retire,
                about,
                fields: Vec::new(),
                remark: Some("no longer in use; its history stays"),
                scope: at.scope.clone(),
                subject: at.subject(),
                body: Body::Retired { thing, key: key.to_string() },
            });
        } else if !described {
            self.unchanged += 1;
        }
    }

    fn site(&mut self, at: &At, old: Option<&Site>, new: &Site, wanted: &Estate) {
        let none = BTreeMap::new();
        let pieces = old.map_or(&none, |s| &s.measures);
        self.each(at, Thing::Measure, "measure", pieces, &new.measures, |p| {
            (p.define(), p.retired)
        });
        let none = BTreeMap::new();
        let machines = old.map_or(&none, |s| &s.machines);
        for key in keys(machines, &new.machines) {
            let old = machines.get(key);
            match new.machines.get(key) {
                Some(new) => self.machine(at, key, old, new, wanted),
                None => {
                    let describe = |m: &Machine| (m.define(), m.retired());
                    self.compare(at, Thing::Machine, "machine", key, old.map(describe), None);
                }
            }
        }
    }

    fn machine(
        &mut self,
        at: &At,
        key: &Key,
        old: Option<&Machine>,
        new: &Machine,
        wanted: &Estate,
    ) {
        let mut old = old.cloned();
        if let Some(old) = &mut old
            && let (Some(was), Some(is)) = (&old.serial, &new.serial)
            && was != is
        {
            self.swap(at, key, old, new, was, is);
            old.serial.clone_from(&new.serial);
            old.family.clone_from(&new.family);
            for line in old.lines.values_mut() {
                line.setting = None;
            }
        }
        // That it is removed is a field of it; only a machine that nobody names is retired.
        let describe = |m: &Machine| (m.define(), false);
        self.compare(
            at,
            Thing::Machine,
            "machine",
            key,
            old.as_ref().map(describe),
            Some(describe(new)),
        );
        let within =
            At { prefix: format!("{}{key}/", at.prefix), machine: Some(key.clone()), ..at.clone() };
        let adjuster = wanted.families.get(&new.family).map(|f| &f.adjuster);
        let panel = matches!(adjuster, Some(Adjuster::Number { .. } | Adjuster::Percent { .. }));
        let none = BTreeMap::new();
        let lines = old.as_ref().map_or(&none, |m| &m.lines);
        for key in keys(lines, &new.lines) {
            self.line(&within, key, lines.get(key), new.lines.get(key), panel);
        }
    }

    fn swap(&mut self, at: &At, key: &Key, old: &Machine, new: &Machine, was: &str, is: &str) {
        let mut fields = vec![FieldChange {
            name: "serial".to_owned(),
            old: Some(was.to_owned()),
            new: Some(is.to_owned()),
        }];
        let family = (old.family != new.family).then(|| new.family.to_string());
        if family.is_some() {
            let old = Some(old.family.to_string());
            fields.push(FieldChange { name: "family".to_owned(), old, new: family.clone() });
        }
        self.changes.push(Change {
            sort: Sort::Change,
            about: format!("machine {}{key}", at.prefix),
            fields,
            remark: Some("another machine: its lines start anew, and both keep their histories"),
            scope: at.scope.clone(),
            subject: Subject::machine(key),
            body: Body::MachineSwapped { serial: is.to_owned(), family },
        });
    }

    fn line(&mut self, at: &At, key: &Key, old: Option<&Line>, new: Option<&Line>, panel: bool) {
        let mut old = old.cloned();
        let mut new = new.cloned();
        if let (Some(old), Some(new)) = (&mut old, &mut new) {
            if new.setting.is_none() && panel {
                new.setting = old.setting;
            }
            if old.product != new.product {
                self.changes.push(Change {
                    sort: Sort::Change,
                    about: format!("line {}{key}", at.prefix),
                    fields: vec![FieldChange {
                        name: "product".to_owned(),
                        old: Some(old.product.to_string()),
                        new: Some(new.product.to_string()),
                    }],
                    remark: Some("another product: the line starts anew"),
                    scope: at.scope.clone(),
                    subject: Subject::line(at.machine.as_deref().unwrap_or_default(), key),
                    body: Body::ProductChanged { product: new.product.to_string() },
                });
                old.product.clone_from(&new.product);
                // Where nothing else changes, the line is done.
                if old == new {
                    return;
                }
            }
        }
        let describe = |l: &Line| (l.define(), l.retired);
        self.compare(
            at,
            Thing::Line,
            "line",
            key,
            old.as_ref().map(describe),
            new.as_ref().map(describe),
        );
    }
}

/// Field by field, what differs.
fn differences(old: &Definition, new: &Definition) -> Vec<FieldChange> {
    let (old, new) = (flat(old), flat(new));
    let mut names: Vec<&String> = old.keys().chain(new.keys()).collect();
    names.sort_unstable();
    names.dedup();
    let differs = |name: &&String| old.get(*name) != new.get(*name);
    let change = |name: &String| FieldChange {
        name: name.clone(),
        old: old.get(name).cloned(),
        new: new.get(name).cloned(),
    };
    names.into_iter().filter(differs).map(change).collect()
}

/// Tables within become dotted names.
fn flat(definition: &Definition) -> BTreeMap<String, String> {
    fn add(out: &mut BTreeMap<String, String>, name: String, value: &Value) {
        match value {
            Value::Object(map) => {
                for (inner, value) in map {
                    add(out, format!("{name}.{inner}"), value);
                }
            }
            Value::Array(items) => {
                let items: Vec<&str> = items.iter().filter_map(Value::as_str).collect();
                out.insert(name, items.join(", "));
            }
            Value::String(text) => drop(out.insert(name, text.clone())),
            Value::Bool(flag) => {
                drop(out.insert(name, if *flag { "yes" } else { "no" }.to_owned()));
            }
            other => drop(out.insert(name, other.to_string())),
        }
    }
    let mut out = BTreeMap::new();
    for (name, value) in definition {
        add(&mut out, name.clone(), value);
    }
    out
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::fold::apply;
    use crate::machine::State;
    use crate::testing::estate;

    fn record(change: &Change) -> ouncewise_ledger::Record {
        ouncewise_ledger::Record {
            v: 1,
            id: uuid::Uuid::nil(),
            scope: change.scope.clone(),
            subject: change.subject.clone(),
            at: "2026-03-02T06:41:07.250+01:00".to_owned(),
            device: "desk".to_owned(),
            sequence: 0,
            by: None,
            entered: ouncewise_ledger::Entered::AtDesk,
            note: None,
            body: change.body.clone(),
        }
    }

    fn applied(current: &Estate, plan: &Plan) -> Estate {
        let mut estate = current.clone();
        for change in &plan.changes {
            let record = record(change);
            record.to_bytes().unwrap();
            apply(&mut estate, &record).unwrap_or_else(|e| panic!("{change}: {e}"));
        }
        estate
    }

    fn keep<T: Clone>(
        current: &BTreeMap<Key, T>,
        wanted: &BTreeMap<Key, T>,
        retire: impl Fn(&mut T),
        both: impl Fn(&T, &T) -> T,
    ) -> BTreeMap<Key, T> {
        let mut kept = current.clone();
        kept.values_mut().for_each(retire);
        for (key, new) in wanted {
            let new = current.get(key).map_or_else(|| new.clone(), |old| both(old, new));
            kept.insert(key.clone(), new);
        }
        kept
    }

    /// What is wanted, with what is not named any more kept as retired.
    fn expected(current: &Estate, wanted: &Estate) -> Estate {
        let panel = |m: &Machine| {
            matches!(
                wanted.families[&m.family].adjuster,
                Adjuster::Number { .. } | Adjuster::Percent { .. }
            )
        };
        let line = |old: &Line, new: &Line, stays: bool| {
            let setting = new.setting.or(old.setting.filter(|_| stays));
            Line { setting, ..new.clone() }
        };
        let machine = |old: &Machine, new: &Machine| {
            let swapped = matches!((&old.serial, &new.serial), (Some(a), Some(b)) if a != b);
            let stays = panel(new) && !swapped;
            let mut before = old.lines.clone();
            if swapped {
                before.values_mut().for_each(|l| l.setting = None);
            }
            let lines = keep(&before, &new.lines, |l| l.retired = true, |a, b| line(a, b, stays));
            Machine { lines, ..new.clone() }
        };
        let site = |old: &Site, new: &Site| Site {
            measures: keep(&old.measures, &new.measures, |p| p.retired = true, |_, b| b.clone()),
            machines: keep(&old.machines, &new.machines, |m| m.state = State::Removed, machine),
            ..new.clone()
        };
        Estate {
            group: wanted.group.clone(),
            owners: keep(&current.owners, &wanted.owners, |o| o.retired = true, |_, b| b.clone()),
            families: keep(
                &current.families,
                &wanted.families,
                |f| f.retired = true,
                |_, b| b.clone(),
            ),
            products: keep(
                &current.products,
                &wanted.products,
                |p| p.retired = true,
                |_, b| b.clone(),
            ),
            profiles: wanted.profiles.clone(),
            measures: keep(
                &current.measures,
                &wanted.measures,
                |m| m.retired = true,
                |_, b| b.clone(),
            ),
            sites: keep(&current.sites, &wanted.sites, |s| s.retired = true, site),
        }
    }

    proptest! {
        #[test]
        fn the_records_of_a_plan_make_what_is_wanted(current in estate(), wanted in estate()) {
            let plan = changes(&current, &wanted);
            let became = applied(&current, &plan);
            prop_assert_eq!(&became, &expected(&current, &wanted));
            // And then nothing is left to do, but for what is already retired.
            let again = changes(&became, &became);
            prop_assert_eq!(again.changes, vec![]);
        }

        #[test]
        fn from_nothing_a_plan_makes_all(wanted in estate()) {
            let nothing = Estate::default();
            prop_assert_eq!(applied(&nothing, &changes(&nothing, &wanted)), wanted);
        }

        /// A few changes to one estate, as a lead makes them: the plan has no more changes than were made.
        #[test]
        fn a_plan_tells_only_what_differs(current in estate(), name in "[a-z]{3}", pick in any::<prop::sample::Index>()) {
            let mut wanted = current.clone();
            let nth = pick.index(wanted.products.len());
            let (key, product) = wanted.products.iter_mut().nth(nth).unwrap();
            let (key, old) = (key.clone(), std::mem::replace(&mut product.name, name.clone()));
            let plan = changes(&current, &wanted);
            if old == name {
                prop_assert!(plan.changes.is_empty());
            } else {
                // A retired product is described anew, and retired again.
                prop_assert_eq!(plan.changes.len(), 1 + usize::from(current.products[&key].retired));
                prop_assert_eq!(plan.changes[0].to_string(), format!("~ product {key}: name {old} → {name}"));
            }
        }
    }
}
