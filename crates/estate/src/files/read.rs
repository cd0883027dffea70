//! Reads all files of an estate, and tells every fault in them at its place.

use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};

use super::lines::Lines;
use super::{
    Files, GROUP, LINES, MACHINES, MEASURES, MUST, PRODUCTS, SITES, cross, csv, family_key,
    is_known, profile_key,
};
use crate::estate::Estate;
use crate::fault::{Fault, Place, Severity, nearest};
use crate::fields::read::{tables, thing};
use crate::fields::{Described, Field, Fields, Flaw, Shape, code};
use crate::group::Group;
use crate::key::Key;
use crate::line::Line;
use crate::machine::Machine;
use crate::misread::Misread;
use crate::owner::Owner;
use crate::profile::OwnProfile;
use crate::site::Site;
use crate::written::{self, Table, Value};

/// The tables of `estate.toml`.
pub(crate) const ESTATE_FIELDS: &[Field] = &[
    Field::must("group", Shape::Table(Group::FIELDS), "the group and its settings", "[group]"),
    Field::may("owners", Shape::Tables(Owner::FIELDS), "owners of sites", "[owners.millbrook]"),
];

/// Keys that a file names, also where the thing itself was refused: what uses
/// them is then not told a second time that they are missing.
#[derive(Default)]
pub(crate) struct Named {
    /// Files that are not there, or could not be read whole.
    pub(crate) unread: BTreeSet<String>,
    /// How often a name was sought that was probably meant.
    pub(crate) sought: Cell<usize>,
    pub(crate) owners: BTreeSet<Key>,
    pub(crate) families: BTreeSet<Key>,
    pub(crate) products: BTreeSet<Key>,
    pub(crate) measures: BTreeSet<Key>,
    /// Our own profiles.
    pub(crate) profiles: BTreeSet<Key>,
    /// Each with the line of its file.
    pub(crate) sites: BTreeMap<Key, usize>,
    pub(crate) machines: BTreeMap<(Key, Key), usize>,
    pub(crate) lines: BTreeMap<(Key, Key, Key), usize>,
    pub(crate) serials: BTreeMap<String, (Key, Key)>,
}

/// Reads an estate. What is faulty is left out and told, and with it what uses it; what is good is there.
///
/// The estate is whole only if no fault is an error ([`crate::fault::passes`]):
/// a thing that was left out is then missing, and not retired.
#[must_use]
pub fn read(files: &Files) -> (Estate, Vec<Fault>) {
    let mut read =
        Read { files, estate: Estate::default(), named: Named::default(), faults: Vec::new() };
    read.names();
    read.profiles();
    read.group();
    read.families();
    read.products();
    read.measures();
    read.sites();
    read.machines();
    read.lines();
    (read.estate, by_place(read.faults))
}

/// Faults in the order of the text, file by file; the files as they were read, since one fault leads to another.
fn by_place(mut faults: Vec<Fault>) -> Vec<Fault> {
    let mut rank: BTreeMap<String, usize> = BTreeMap::new();
    for fault in &faults {
        let next = rank.len();
        rank.entry(fault.place.file.clone()).or_insert(next);
    }
    faults.sort_by_key(|fault| {
        (rank.get(&fault.place.file).copied(), fault.place.line, fault.place.column)
    });
    faults
}

struct Read<'a> {
    files: &'a Files,
    estate: Estate,
    named: Named,
    faults: Vec<Fault>,
}

impl<'a> Read<'a> {
    /// Files that are missing, or nearly named.
    fn names(&mut self) {
        let place =
            |file: &str| Place { file: file.to_owned(), line: 1, column: 1, span: Some(0..0) };
        for name in MUST.into_iter().filter(|name| !self.files.contains_key(*name)) {
            self.named.unread.insert(name.to_owned());
            self.faults.push(Fault {
                code: code::NO_FILE,
                severity: Severity::Error,
                place: place(name),
                message: format!("there is no `{name}`"),
                hint: Some("if there is nothing to say, keep it with its headings only".to_owned()),
            });
        }
        for name in self.files.keys().filter(|name| !is_known(name)) {
            if let Some(near) = nearest(name, MUST).filter(|near| !self.files.contains_key(*near)) {
                self.faults.push(Fault {
                    code: code::OTHER_FILE,
                    severity: Severity::Warning,
                    place: place(name),
                    message: format!("`{name}` is not read"),
                    hint: Some(format!("did you mean `{near}`?")),
                });
            }
        }
    }

    fn tell(&mut self, file: &str, bytes: &[u8], flaws: Vec<Flaw>) {
        if !flaws.is_empty() {
            let whole = [code::NOT_TEXT, code::TOML, code::CSV, code::HEADINGS];
            if flaws.iter().any(|f| whole.contains(&f.code)) {
                self.named.unread.insert(file.to_owned());
            }
            let lines = Lines::new(file, bytes);
            self.faults.extend(flaws.into_iter().map(|flaw| lines.fault(flaw)));
        }
    }

    /// Reads one TOML file with what makes sense of its table.
    fn toml<T>(
        &mut self,
        file: &str,
        make: impl FnOnce(&Table, &mut Named, &mut Vec<Flaw>) -> T,
    ) -> Option<T> {
        let bytes = self.files.get(file)?;
        let mut flaws = Vec::new();
        let made = match table(bytes, &mut flaws) {
            Some(table) => Some(make(&table, &mut self.named, &mut flaws)),
            None => None,
        };
        self.tell(file, bytes, flaws);
        made
    }

    fn profiles(&mut self) {
        let files = self.files;
        for (name, bytes) in files {
            let Some(text) = profile_key(name) else { continue };
            let Some(key) = self.key_of(name, text, "profile") else { continue };
            self.named.profiles.insert(key.clone());
            let read = match std::str::from_utf8(bytes) {
                Ok(text) if !written::too_deep(text) => {
                    OwnProfile::read(&key, text.trim_start_matches('\u{feff}'))
                }
                // Says what is wrong with the bytes.
                _ => {
                    let mut flaws = Vec::new();
                    drop(table(bytes, &mut flaws));
                    Err(flaws)
                }
            };
            match read {
                Ok(own) => drop(self.estate.profiles.insert(key, own)),
                Err(flaws) => self.tell(name, bytes, flaws),
            }
        }
    }

    /// The key that a file's name gives.
    fn key_of(&mut self, name: &str, text: &str, what: &str) -> Option<Key> {
        match text.parse::<Key>() {
            Ok(key) => Some(key),
            Err(Misread { message, hint }) => {
                self.faults.push(Fault {
                    code: code::BAD_KEY,
                    severity: Severity::Error,
                    place: Place { file: name.to_owned(), line: 1, column: 1, span: Some(0..0) },
                    message: format!("{message}, and the file's name is the {what}'s key"),
                    hint: Some(hint),
                });
                None
            }
        }
    }

    fn group(&mut self) {
        let estate = std::mem::take(&mut self.estate);
        let read = self.toml(GROUP, |table, named, flaws| {
            cross::group(table, &estate, named, flaws);
            let mut fields = Fields::new(table, ESTATE_FIELDS, 0..0, GROUP, flaws);
            fields.refuse_unknown();
            let group = fields.within::<Group>("group");
            let mut owners = Vec::new();
            if let Some(entry) = table.get("owners") {
                match &entry.node.value {
                    Value::Table(inner) => {
                        owners = tables(inner, flaws, |key| named.owners.extend([key.clone()]));
                    }
                    _ => drop(
                        Fields::new(table, ESTATE_FIELDS, 0..0, GROUP, flaws)
                            .by_key::<Owner>("owners"),
                    ),
                }
            }
            (group, owners)
        });
        self.estate = estate;
        if let Some((group, owners)) = read {
            let mut group = group.unwrap_or_default();
            // One that is not there was told of above, and is nobody's food code.
            group.jurisdiction =
                group.jurisdiction.filter(|key| self.estate.profile_keys().contains(&key.as_str()));
            self.estate.group = group;
            self.estate.owners = owners.into_iter().collect();
        }
    }

    fn families(&mut self) {
        let files = self.files;
        for name in files.keys() {
            let Some(text) = family_key(name) else { continue };
            let Some(key) = self.key_of(name, text, "family") else { continue };
            self.named.families.insert(key.clone());
            let called = format!("family `{key}`");
            let family = self.toml(name, |table, _, flaws| thing(table, 0..0, &called, flaws));
            if let Some(family) = family.flatten() {
                self.estate.families.insert(key, family);
            }
        }
    }

    fn products(&mut self) {
        let read = self.toml(PRODUCTS, |table, named, flaws| {
            tables(table, flaws, |key| named.products.extend([key.clone()]))
        });
        self.estate.products = read.unwrap_or_default().into_iter().collect();
    }

    fn measures(&mut self) {
        let read = self.toml(MEASURES, |table, named, flaws| {
            tables(table, flaws, |key| named.measures.extend([key.clone()]))
        });
        self.estate.measures = read.unwrap_or_default().into_iter().collect();
    }

    /// Reads the rows of one CSV file. `check` looks at what a row names, and `put` keeps the thing
    /// if nothing is wrong with it.
    fn rows<T: Described, const N: usize>(
        &mut self,
        file: &'static str,
        keys: [&str; N],
        mut seen: impl FnMut(&mut Named, &[Key; N], usize) -> Option<usize>,
        mut check: impl FnMut(&mut Fields<'_>, &Estate, &mut Named),
        mut put: impl FnMut(&mut Estate, [Key; N], T),
    ) {
        let Some(bytes) = self.files.get(file) else { return };
        let mut flaws = Vec::new();
        let sheet = csv::sheet(bytes, file, T::FIELDS, &mut flaws);
        let lines = Lines::new(file, bytes);
        let name = format!("this {}", T::NAME);
        for csv::Row { span, table, broken } in &sheet.rows {
            let line = lines.place(span.clone()).line;
            let mut told = Vec::new();
            let mut fields = Fields::new(table, T::FIELDS, span.clone(), &name, &mut told);
            let read: Vec<Key> = keys.iter().filter_map(|key| fields.of(key)).collect();
            let read = <[Key; N]>::try_from(read).ok();
            if let Some(keys_read) = &read
                && let Some(before) = seen(&mut self.named, keys_read, line)
            {
                let key = keys_read.each_ref().map(Key::as_str).join("/");
                let message = format!("{} `{key}` is already on line {before}", T::NAME);
                let hint = "give each its own key, or keep one of the two rows";
                fields.refuse_field(keys[N - 1], code::TWICE, message, hint);
            }
            if *broken {
                // What is wrong with such a row is told; its cells may stand under the wrong headings.
                continue;
            }
            let thing = T::read(&mut fields);
            check(&mut fields, &self.estate, &mut self.named);
            if let (Some(keys), Some(thing), true) = (read, thing, fields.clean()) {
                put(&mut self.estate, keys, thing);
            }
            flaws.append(&mut told);
        }
        flaws.sort_by_key(|f| f.span.start);
        self.tell(file, bytes, flaws);
    }

    fn sites(&mut self) {
        self.rows(
            SITES,
            ["site"],
            |named, [key], line| twice(&mut named.sites, key.clone(), line),
            |fields, estate, named| cross::site(fields, estate, named),
            |estate, [key], mut site: Site| {
                if site.name.is_empty() {
                    site.name = key.to_string();
                }
                estate.sites.insert(key, site);
            },
        );
    }

    fn machines(&mut self) {
        self.rows(
            MACHINES,
            ["site", "machine"],
            |named, keys, line| twice(&mut named.machines, keys.clone().into(), line),
            cross::machine,
            |estate, [site, key], mut machine: Machine| {
                if machine.name.is_empty() {
                    machine.name = key.to_string();
                }
                if let Some(site) = estate.sites.get_mut(&site) {
                    site.machines.insert(key, machine);
                }
            },
        );
    }

    fn lines(&mut self) {
        self.rows(
            LINES,
            ["site", "machine", "line"],
            |named, keys, line| twice(&mut named.lines, keys.clone().into(), line),
            |fields, estate, named| cross::line(fields, estate, named),
            |estate, [site, machine, key], line: Line| {
                let machine =
                    estate.sites.get_mut(&site).and_then(|s| s.machines.get_mut(&machine));
                if let Some(machine) = machine {
                    machine.lines.insert(key, line);
                }
            },
        );
    }
}

/// The line on which a key was already seen.
fn twice<K: Ord>(seen: &mut BTreeMap<K, usize>, key: K, line: usize) -> Option<usize> {
    match seen.get(&key) {
        Some(before) => Some(*before),
        None => {
            seen.insert(key, line);
            None
        }
    }
}

/// The table of a TOML file, as far as it can be read. Nothing if it is not text.
fn table(bytes: &[u8], flaws: &mut Vec<Flaw>) -> Option<Table> {
    let refuse = |code, span, message: String, hint: &str| Flaw {
        code,
        severity: Severity::Error,
        span,
        message,
        hint: Some(hint.to_owned()),
    };
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let at = error.valid_up_to();
            let message = "the file is not UTF-8 text".to_owned();
            flaws.push(refuse(code::NOT_TEXT, at..at + 1, message, "save it as UTF-8"));
            return None;
        }
    };
    let (table, broken) = written::toml(text);
    for broken in broken {
        flaws.push(refuse(code::TOML, broken.span, broken.message, broken.hint));
    }
    table
}
