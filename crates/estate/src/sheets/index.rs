//! Finding sites, machines, lines and measures by what people write: their key, their name, or (for a line) its product.

use std::cell::OnceCell;
use std::collections::HashMap;
use std::sync::LazyLock;

use jiff::tz::TimeZone;

use super::code::{Code, Refusal};
use crate::family::TUBES;
use crate::fault::nearest;
use crate::{Estate, Family, Key, Line, Machine, MeasureKind, Piece, Site};

/// A text without case, accents, spaces and punctuation: `Fern Hollow` and `fern-hollow` are one.
pub(super) fn fold(text: &str) -> String {
    match Key::suggest(text) {
        Some(key) if !has_other_letters(text) => key.as_str().replace('-', ""),
        // Another script, or a mixture: a slug would lose the letters that tell names apart.
        _ => text.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect(),
    }
}

fn has_other_letters(text: &str) -> bool {
    text.chars()
        .any(|c| c.is_alphabetic() && !matches!(c, 'a'..='z' | 'A'..='Z' | '\u{AA}'..='\u{24F}'))
}

/// A line that was found, with all that is needed to read a row about it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spot<'a> {
    /// Number of the site in the index.
    pub(super) site: usize,
    pub(super) site_key: &'a Key,
    pub(super) machine_key: &'a Key,
    pub(super) machine: &'a Machine,
    pub(super) line_key: &'a Key,
    pub(super) line: &'a Line,
    pub(super) family: Option<&'a Family>,
}

/// What a row is about: a line, or a whole machine, or a site.
#[derive(Debug, Clone, Copy)]
pub(super) struct About<'a> {
    /// Number of the site in the index.
    pub(super) site: usize,
    pub(super) site_key: &'a Key,
    pub(super) machine: Option<(&'a Key, &'a Machine)>,
    pub(super) line: Option<&'a Key>,
}

impl<'a> From<Spot<'a>> for About<'a> {
    fn from(spot: Spot<'a>) -> Self {
        Self {
            site: spot.site,
            site_key: spot.site_key,
            machine: Some((spot.machine_key, spot.machine)),
            line: Some(spot.line_key),
        }
    }
}

/// The estate by what people write.
pub(super) struct Index<'a> {
    pub(super) estate: &'a Estate,
    sites: Vec<Place<'a>>,
    by_name: HashMap<String, Vec<usize>>,
    spots: HashMap<String, Spot<'a>>,
    buffer: String,
}

struct Place<'a> {
    key: &'a Key,
    site: &'a Site,
    rules: OnceCell<TimeZone>,
}

impl<'a> Index<'a> {
    pub(super) fn new(estate: &'a Estate) -> Index<'a> {
        let sites: Vec<_> = estate
            .sites
            .iter()
            .map(|(key, site)| Place { key, site, rules: OnceCell::new() })
            .collect();
        let mut by_name: HashMap<String, Vec<usize>> = HashMap::new();
        for (number, place) in sites.iter().enumerate() {
            for name in [fold(place.key), fold(&place.site.name)] {
                let list = by_name.entry(name).or_default();
                if list.last() != Some(&number) {
                    list.push(number);
                }
            }
        }
        Index { estate, sites, by_name, spots: HashMap::new(), buffer: String::new() }
    }

    /// The rules of a site's time zone.
    pub(super) fn rules(&self, site: usize) -> &TimeZone {
        let place = &self.sites[site];
        place.rules.get_or_init(|| {
            place.site.time_zone.as_ref().unwrap_or(&self.estate.group.time_zone).rules()
        })
    }

    pub(super) fn site(&self, number: usize) -> (&'a Key, &'a Site) {
        (self.sites[number].key, self.sites[number].site)
    }

    /// Number of the site that is meant.
    pub(super) fn find_site(&self, text: &str) -> Result<usize, Refusal> {
        if text.is_empty() {
            return Err(empty("site"));
        }
        if let Ok(number) = self.sites.binary_search_by(|p| p.key.as_str().cmp(text)) {
            return Ok(number);
        }
        let found = self.by_name.get(&fold(text)).map_or(&[][..], Vec::as_slice);
        let open: Vec<usize> =
            found.iter().copied().filter(|n| !self.sites[*n].site.retired).collect();
        match (if open.is_empty() { found } else { &open }).to_vec().as_slice() {
            [one] => Ok(*one),
            [] => {
                let names = self.sites.iter().flat_map(|p| [p.key.as_str(), p.site.name.as_str()]);
                Err(unknown(Code::UnknownSite, format!("there is no site {text:?}"), text, names))
            }
            several => {
                Err(ambiguous("sites", text, several.iter().map(|n| self.sites[*n].key.as_str())))
            }
        }
    }

    /// The machine that is meant; without a name, the only one in use.
    pub(super) fn find_machine(
        &self,
        site: usize,
        text: &str,
    ) -> Result<(&'a Key, &'a Machine), Refusal> {
        let (key, place) = self.site(site);
        if let Some(found) = place.machines.get_key_value(text) {
            return Ok(found);
        }
        if text.is_empty() {
            let mut open = place.machines.iter().filter(|(_, m)| !m.retired());
            return match (open.next(), open.next()) {
                (Some(one), None) => Ok(one),
                _ => Err(empty("machine").hint(format!(
                    "site {key} has: {}",
                    list(place.machines.keys().map(Key::as_str))
                ))),
            };
        }
        let wanted = fold(text);
        let fits = |k: &Key, m: &Machine| {
            fold(k) == wanted
                || fold(&m.name) == wanted
                || m.serial.as_deref().is_some_and(|s| fold(s) == wanted)
        };
        let found: Vec<_> = place.machines.iter().filter(|(k, m)| fits(k, m)).collect();
        one_in_use(found, |(_, m)| m.retired()).map_err(|several| {
            if several.is_empty() {
                let names = place.machines.iter().flat_map(|(k, m)| [k.as_str(), m.name.as_str()]);
                unknown(
                    Code::UnknownMachine,
                    format!("site {key} has no machine {text:?}"),
                    text,
                    names,
                )
            } else {
                ambiguous("machines", text, several.iter().map(|(k, _)| k.as_str()))
            }
        })
    }

    /// The line that is meant. Without a machine's name the line is looked for on all machines of the site.
    pub(super) fn find_line(
        &mut self,
        site: &str,
        machine: &str,
        line: &str,
    ) -> Result<Spot<'a>, Refusal> {
        self.buffer.clear();
        for part in [site, "\u{1f}", machine, "\u{1f}", line] {
            self.buffer.push_str(part);
        }
        if let Some(spot) = self.spots.get(&self.buffer) {
            return Ok(*spot);
        }
        let number = self.find_site(site)?;
        let spot = self.line_at(number, machine, line)?;
        self.spots.insert(self.buffer.clone(), spot);
        Ok(spot)
    }

    /// The line that is meant, or the whole machine where none is named.
    pub(super) fn find_machine_or_line(
        &mut self,
        site: &str,
        machine: &str,
        line: &str,
    ) -> Result<About<'a>, Refusal> {
        if !line.is_empty() {
            return self.find_line(site, machine, line).map(About::from);
        }
        let site = self.find_site(site)?;
        let machine = Some(self.find_machine(site, machine)?);
        Ok(About { site, site_key: self.site(site).0, machine, line: None })
    }

    /// The site that is meant, and none of its machines.
    pub(super) fn find_whole_site(&self, site: &str) -> Result<About<'a>, Refusal> {
        let site = self.find_site(site)?;
        Ok(About { site, site_key: self.site(site).0, machine: None, line: None })
    }

    fn line_at(&self, number: usize, machine: &str, line: &str) -> Result<Spot<'a>, Refusal> {
        let (site_key, site) = self.site(number);
        let machines = match self.find_machine(number, machine) {
            Ok(one) => vec![one],
            Err(_) if machine.is_empty() => {
                site.machines.iter().filter(|(_, m)| !m.retired()).collect()
            }
            Err(refusal) => return Err(refusal),
        };
        let mut found = Vec::new();
        for (machine_key, m) in &machines {
            if line.is_empty() {
                found.extend(m.lines.iter().map(|(line_key, l)| (*machine_key, *m, line_key, l)));
                continue;
            }
            let exact = m.lines.get_key_value(line).into_iter().collect::<Vec<_>>();
            let lines = if exact.is_empty() { self.lines_named(m, line) } else { exact };
            found.extend(lines.into_iter().map(|(line_key, l)| (*machine_key, *m, line_key, l)));
        }
        let (machine_key, machine, line_key, line) = one_in_use(found, |(_, _, _, l)| l.retired)
            .map_err(|several| {
                if several.is_empty() {
                    let names = machines
                        .iter()
                        .flat_map(|(_, m)| m.lines.iter().flat_map(|(k, l)| self.names_of(k, l)));
                    let place = match machines.as_slice() {
                        [(key, _)] => format!("machine {site_key}/{key}"),
                        _ => format!("site {site_key}"),
                    };
                    unknown(Code::UnknownLine, format!("{place} has no line {line:?}"), line, names)
                } else {
                    let keys: Vec<_> =
                        several.iter().map(|(m, _, l, _)| format!("{m}/{l}")).collect();
                    ambiguous("lines", line, keys.iter().map(String::as_str))
                }
            })?;
        Ok(Spot {
            site: number,
            site_key,
            machine_key,
            machine,
            line_key,
            line,
            family: self.estate.families.get(&machine.family),
        })
    }

    fn lines_named(&self, machine: &'a Machine, text: &str) -> Vec<(&'a Key, &'a Line)> {
        let wanted = fold(text);
        machine
            .lines
            .iter()
            .filter(|(k, l)| self.names_of(k, l).any(|n| fold(n) == wanted))
            .collect()
    }

    /// Everything that a line goes by.
    fn names_of(&self, key: &'a Key, line: &'a Line) -> impl Iterator<Item = &'a str> + use<'a> {
        let product = self.estate.products.get(&line.product).map(|p| p.name.as_str());
        [Some(key.as_str()), line.name.as_deref(), Some(line.product.as_str()), product]
            .into_iter()
            .flatten()
    }

    /// The measure that is meant: named, or the line's usual one, or the only one of the site.
    pub(super) fn find_measure(
        &self,
        spot: &Spot<'a>,
        text: &str,
    ) -> Result<(&'a Key, Option<&'a MeasureKind>), Refusal> {
        let (site_key, site) = self.site(spot.site);
        let found: Option<(&Key, &Piece)> = if text.is_empty() {
            let usual = spot.line.measure.as_ref().and_then(|key| site.measures.get_key_value(key));
            usual.or_else(|| {
                let mut pieces = site.measures.iter().filter(|(_, p)| !p.retired);
                pieces.next().filter(|_| pieces.next().is_none())
            })
        } else {
            site.measures.get_key_value(text).or_else(|| {
                let wanted = fold(text);
                let fits = |k: &Key, p: &Piece| {
                    fold(k) == wanted
                        || fold(&p.kind) == wanted
                        || self
                            .estate
                            .measures
                            .get(&p.kind)
                            .is_some_and(|kind| fold(&kind.name) == wanted)
                };
                one_in_use(site.measures.iter().filter(|(k, p)| fits(k, p)).collect(), |(_, p)| {
                    p.retired
                })
                .ok()
            })
        };
        match found {
            Some((key, piece)) => Ok((key, self.estate.measures.get(&piece.kind))),
            None if text.is_empty() => Err(Refusal::new(
                0,
                Code::UnknownMeasure,
                format!("site {site_key} has not one measure only, so the row must say which"),
            )
            .hint(format!("write one of: {}", list(site.measures.keys().map(Key::as_str))))),
            None => Err(unknown(
                Code::UnknownMeasure,
                format!("site {site_key} has no measure {text:?}"),
                text,
                site.measures.keys().map(Key::as_str),
            )),
        }
    }

    /// The product that is meant.
    pub(super) fn find_product(&self, text: &str) -> Result<&'a Key, Refusal> {
        if let Some((key, _)) = self.estate.products.get_key_value(text) {
            return Ok(key);
        }
        let wanted = fold(text);
        let fits: Vec<_> = self
            .estate
            .products
            .iter()
            .filter(|(k, p)| fold(k) == wanted || fold(&p.name) == wanted)
            .collect();
        one_in_use(fits, |(_, p)| p.retired).map(|(key, _)| key).map_err(|_| {
            let names =
                self.estate.products.iter().flat_map(|(k, p)| [k.as_str(), p.name.as_str()]);
            unknown(Code::UnknownProduct, format!("there is no product {text:?}"), text, names)
        })
    }

    /// The wear part that is meant.
    pub(super) fn find_part(
        &self,
        (key, machine): (&Key, &'a Machine),
        text: &str,
    ) -> Result<&'a Key, Refusal> {
        if text.is_empty() {
            return Err(empty("part"));
        }
        let Some(family) = self.estate.families.get(&machine.family) else {
            return Err(Refusal::new(
                0,
                Code::UnknownPart,
                format!("machine {key} has no family that is known"),
            ));
        };
        let wanted = fold(text);
        let number = |n: &Option<String>| n.as_deref().is_some_and(|n| fold(n) == wanted);
        family
            .parts
            .iter()
            .find(|(k, p)| {
                k.as_str() == text
                    || fold(k) == wanted
                    || fold(&p.name) == wanted
                    || number(&p.number)
            })
            .map(|(key, _)| key)
            .or_else(|| (wanted == TUBES).then_some(&*TUBES_KEY))
            .ok_or_else(|| {
                let names = family.parts.iter().flat_map(|(k, p)| [k.as_str(), p.name.as_str()]);
                unknown(
                    Code::UnknownPart,
                    format!("family {} has no part {text:?}", machine.family),
                    text,
                    names,
                )
            })
    }
}

/// Every line has tubes, whether its family names them or not.
static TUBES_KEY: LazyLock<Key> = LazyLock::new(|| TUBES.parse().expect("a word is a key"));

/// The only one, or the only one that is in use; otherwise all that fit.
fn one_in_use<T>(mut found: Vec<T>, retired: impl Fn(&T) -> bool) -> Result<T, Vec<T>> {
    if found.len() > 1 && found.iter().any(|x| !retired(x)) {
        found.retain(|x| !retired(x));
    }
    if found.len() == 1 { Ok(found.remove(0)) } else { Err(found) }
}

fn empty(what: &str) -> Refusal {
    Refusal::new(0, Code::EmptyCell, format!("the {what} is not given")).column(what)
}

fn unknown<'n>(
    code: Code,
    reason: String,
    text: &str,
    names: impl Iterator<Item = &'n str>,
) -> Refusal {
    let refusal = Refusal::new(0, code, reason);
    let names: Vec<&str> = names.collect();
    match nearest(text, names.iter().copied()) {
        Some(near) => refusal.hint(format!("did you mean {near:?}?")),
        None => {
            if names.is_empty() {
                refusal
            } else {
                refusal.hint(format!("known are: {}", list(names.into_iter())))
            }
        }
    }
}

fn ambiguous<'n>(what: &str, text: &str, keys: impl Iterator<Item = &'n str>) -> Refusal {
    Refusal::new(0, Code::AmbiguousName, format!("{text:?} fits several {what}"))
        .hint(format!("write one of: {}", list(keys)))
}

fn list<'n>(names: impl Iterator<Item = &'n str>) -> String {
    let all: Vec<&str> = names.collect();
    match all.len() {
        0 => "none".to_owned(),
        n if n > 12 => format!("{}, and {} more", all[..12].join(", "), n - 12),
        _ => all.join(", "),
    }
}
