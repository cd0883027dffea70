//! Questions about names that are nearly another's, or that several things have.

use std::collections::{BTreeMap, BTreeSet};

use super::super::code::Code;
use super::super::index::{Index, fold};
use super::super::many;
use super::ask::{Seen, ask};
use super::names::{self, LEAVE_OUT, NEW, bare, question, rare, slip};
use super::{Mapping, Means, grow};
use crate::Estate;

/// Names among which slips of the pen are looked for.
const NAMES: usize = 2000;

/// Sites that are not found, or not only one.
pub(super) fn sites(mapping: &mut Mapping, seen: &Seen, estate: &Estate) {
    let index = Index::new(estate);
    let known: Vec<(&str, &str)> = estate
        .sites
        .iter()
        .flat_map(|(k, s)| [(k.as_str(), k.as_str()), (s.name.as_str(), k.as_str())])
        .collect();
    for (name, (count, row)) in &seen.sites {
        if name.is_empty() {
            continue;
        }
        let id = question(Means::Site, name);
        let sample = vec![format!("row {row}: {name}, {}", many(*count, "reading"))];
        let numbers = seen.site_numbers.get(name).filter(|n| n.len() > 1);
        let found = index.find_site(name).or_else(|_| index.find_site(bare(name)));
        match (found, numbers) {
            (Ok(_), None) => {}
            (found, Some(numbers)) if found.is_err() || !estate.sites.is_empty() => {
                let why = format!(
                    "the sheet has the name with the numbers {}",
                    numbers.iter().take(4).cloned().collect::<Vec<_>>().join(", ")
                );
                ask(
                    mapping,
                    &id,
                    format!("are the sites named {name:?} one, or several by their number?"),
                    &["by number", NEW, LEAVE_OUT],
                    "by number",
                    Some(&why),
                    sample,
                );
            }
            (Err(refusal), _) if refusal.code == Code::AmbiguousName => {
                let keys: Vec<&str> = estate
                    .sites
                    .iter()
                    .filter(|(k, s)| fold(k) == fold(name) || fold(&s.name) == fold(name))
                    .map(|(k, _)| k.as_str())
                    .collect();
                let choices: Vec<&str> = keys.into_iter().chain([LEAVE_OUT]).collect();
                ask(
                    mapping,
                    &id,
                    format!("which site is {name:?}?"),
                    &choices,
                    LEAVE_OUT,
                    None,
                    sample,
                );
            }
            _ => {
                let near = known.iter().find(|(n, _)| slip(n, name)).map(|(_, k)| *k);
                let common = || {
                    seen.sites
                        .iter()
                        .take(NAMES)
                        .filter(|(n, (c, _))| rare(*count, *c) && slip(n, name))
                        .max_by_key(|(_, (c, _))| *c)
                        .map(|(n, _)| n.as_str())
                };
                if let Some(near) = near.or_else(common) {
                    ask(
                        mapping,
                        &id,
                        format!("is {name:?} the site {near:?}, or a new one?"),
                        &[near, NEW, LEAVE_OUT],
                        near,
                        None,
                        sample,
                    );
                }
            }
        }
    }
}

pub(super) fn lines(mapping: &mut Mapping, seen: &Seen, estate: &Estate) {
    // Sites as they are likely meant: a slip in a site's name must not hide one in a line's.
    let likely = grow::with_defaults(mapping);
    let mut index = Index::new(estate);
    let mut common: BTreeMap<&str, usize> = BTreeMap::new();
    for ((_, _, line), (count, _)) in &seen.lines {
        *common.entry(line).or_default() += count;
    }
    for ((site, machine, line), (_, row)) in &seen.lines {
        let refusal = match names::spot(&likely, &mut index, site, machine, line) {
            Err(refusal) if !line.is_empty() => refusal,
            _ => continue,
        };
        let id = question(Means::Line, line);
        let sample = vec![format!("row {row}: {site} {machine} {line}")];
        match refusal.code {
            Code::AmbiguousName => {
                let keys: Vec<&str> = refusal
                    .hint
                    .as_deref()
                    .and_then(|h| h.split_once(": "))
                    .map(|(_, k)| {
                        k.split(", ").map(|k| k.rsplit('/').next().unwrap_or(k)).collect()
                    })
                    .unwrap_or_default();
                let choices: Vec<&str> = keys.into_iter().chain([LEAVE_OUT]).collect();
                ask(
                    mapping,
                    &id,
                    format!("which line is {line:?}?"),
                    &choices,
                    LEAVE_OUT,
                    None,
                    sample,
                );
            }
            Code::UnknownLine | Code::UnknownSite | Code::UnknownMachine => {
                let own = common.get(line.as_str()).copied().unwrap_or_default();
                let products =
                    estate.products.values().map(|p| p.name.as_str()).filter(|n| slip(n, line));
                let others = common
                    .iter()
                    .take(NAMES)
                    .filter(|(n, c)| rare(own, **c) && slip(n, line))
                    .map(|(n, _)| *n);
                let near: Option<String> = products.chain(others).next().map(str::to_owned);
                if let Some(near) = near {
                    ask(
                        mapping,
                        &id,
                        format!("is {line:?} the line {near:?}, or a new one?"),
                        &[&near, NEW, LEAVE_OUT],
                        &near,
                        None,
                        sample,
                    );
                }
            }
            _ => {}
        }
    }
}

/// Measures that sites of the estate do not have.
pub(super) fn measures(mapping: &mut Mapping, seen: &Seen, estate: &Estate) {
    let mut kept: BTreeMap<&str, (BTreeSet<&str>, u64)> = BTreeMap::new();
    let index = Index::new(estate);
    for ((site, measure), row) in &seen.measures {
        let Ok(number) = index.find_site(site) else { continue };
        let (_, site) = index.site(number);
        let wanted = fold(measure);
        let fits = |k: &str, kind: &str| {
            fold(k) == wanted
                || fold(kind) == wanted
                || estate.measures.get(kind).is_some_and(|m| fold(&m.name) == wanted)
        };
        if !site.measures.iter().any(|(k, p)| fits(k, &p.kind)) {
            let entry = kept.entry(measure).or_insert_with(|| (BTreeSet::new(), *row));
            entry.0.extend(site.measures.keys().map(crate::Key::as_str));
        }
    }
    for (measure, (keys, row)) in kept {
        let choices: Vec<&str> = keys.into_iter().chain([LEAVE_OUT]).collect();
        let default = choices.first().copied().unwrap_or(LEAVE_OUT);
        ask(
            mapping,
            &question(Means::Measure, measure),
            format!("which measure is {measure:?}?"),
            &choices,
            default,
            None,
            vec![format!("row {row}: {measure}")],
        );
    }
}
