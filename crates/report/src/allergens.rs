//! What a change of product leaves behind, and what a shared part carries over: neither can be flushed away.

use std::collections::BTreeMap;
use std::fmt;

use jiff::Timestamp;
use ouncewise_estate::family::{TUBES, Touches};
use ouncewise_estate::plan::Plan;
use ouncewise_estate::sheets::Row;
use ouncewise_estate::{Address, Estate, Product};
use ouncewise_hygiene::label::{Hazard, cautions};
use ouncewise_hygiene::profile::{AllergenChange, WettedPart, allergen_change, carried_protein};
use ouncewise_ledger::{Body, Record, Thing};
use ouncewise_measure::Grams;
use ouncewise_measure::print::significant;
use ouncewise_store::Event;
use schemars::JsonSchema;
use serde::Serialize;

use crate::rounds::effective;

/// What is said of a line's allergens.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct AllergenReport {
    /// The line: site/machine/line.
    pub line: String,
    /// `change`: a product that was in the line before. `shared-part`: one that runs through a part beside it.
    pub about: String,
    /// What the product is called that brought the allergens.
    pub from: String,
    /// What the product is called that the line carries, or is to carry.
    pub to: String,
    /// When the product was changed, as the device wrote it; absent for a shared part, and where it is only planned.
    pub at: Option<String>,
    /// The allergens that the new product does not have.
    pub allergens: Vec<String>,
    /// The parts that both touch and that were not replaced since.
    pub parts: Vec<String>,
    /// Whether the line can be offered as free of them, as far as the parts on record go.
    pub shown_clean: bool,
    /// In a sentence.
    pub words: String,
}

impl fmt::Display for AllergenReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}: {}", self.line, self.words)
    }
}

/// The caution that goes with a change off an allergen.
#[must_use]
pub fn allergen_caution() -> String {
    let food = cautions(&[Hazard::Food]).find(|caution| caution.source == "HY-34");
    // HY-34: 1 % of the old product, a thousandth of it carried over, a portion of 39 g.
    let left = significant(carried_protein(0.01, 0.001, Grams(39.0)), 2);
    food.map_or_else(String::new, |caution| {
        format!(
            "{}: {} {} A portion of 39 g with a thousandth of an old product that was 1 % allergen protein still holds {left} mg of it (computed); doses that some guests react to are 0.1 to 3 mg (remembered: check it before you rely on it).",
            caution.printed_word(None),
            caution.what,
            caution.avoid
        )
    })
}

fn named(estate: &Estate, product: &str) -> String {
    estate.products.get(product).map_or_else(|| product.to_owned(), |known| known.name.clone())
}

fn allergens_of<'e>(estate: &'e Estate, product: &str) -> Vec<&'e str> {
    let known: Option<&Product> = estate.products.get(product);
    known.into_iter().flat_map(|known| known.allergens.iter().map(String::as_str)).collect()
}

/// The parts of a line that product runs through. Empty where its family names none: then nobody knows which.
fn wetted(
    estate: &Estate,
    at: &Address,
    old: &str,
    replaced: &dyn Fn(&str) -> bool,
) -> Vec<WettedPart> {
    let family = estate.family_of(&at.site, &at.machine);
    let Some(family) = family.filter(|family| !family.parts.is_empty()) else { return Vec::new() };
    let still = runs_beside(estate, at).any(|(_, product)| {
        let beside = allergens_of(estate, product);
        allergens_of(estate, old).iter().any(|left| beside.contains(left))
    });
    let tubes = WettedPart {
        name: TUBES.to_owned(),
        shared: true,
        replaced: replaced(TUBES),
        still_shared: false,
    };
    let own = family.parts.iter().filter(|(_, part)| part.touches != Touches::Nothing);
    let own = own.map(|(key, part)| WettedPart {
        name: part.name.clone(),
        shared: true,
        replaced: replaced(key),
        still_shared: still && part.touches == Touches::AllLines,
    });
    let named_itself = family.parts.contains_key(TUBES);
    (!named_itself).then_some(tubes).into_iter().chain(own).collect()
}

/// The other lines in use of a line's machine, and what they carry.
fn runs_beside<'e>(
    estate: &'e Estate,
    at: &'e Address,
) -> impl Iterator<Item = (&'e str, &'e str)> {
    let machine = estate.machine(&at.site, &at.machine);
    machine
        .into_iter()
        .flat_map(|machine| &machine.lines)
        .filter(|(key, line)| **key != at.line && !line.retired)
        .map(|(key, line)| (key.as_str(), line.product.as_str()))
}

/// What a change from one product to another leaves behind; nothing where the new one has all that the old one had.
fn of_change(
    estate: &Estate,
    at: &Address,
    (old, new): (&str, &str),
    when: Option<&str>,
    replaced: &dyn Fn(&str) -> bool,
) -> Option<AllergenReport> {
    let parts = wetted(estate, at, old, replaced);
    let judged =
        allergen_change(Some(&allergens_of(estate, old)), Some(&allergens_of(estate, new)), &parts);
    let (allergens, parts) = match &judged {
        AllergenChange::NothingToLeave | AllergenChange::NothingShared => return None,
        AllergenChange::CannotBeShownClean { allergens, parts, .. } => {
            (allergens.clone(), parts.clone())
        }
        AllergenChange::PartsReplaced { allergens } => (allergens.clone(), Vec::new()),
    };
    let (from, to) = (named(estate, old), named(estate, new));
    let list_is_whole = if judged.may_serve() {
        "; that its family's list names them all is for the machine's manual to say"
    } else {
        ""
    };
    Some(AllergenReport {
        line: at.to_string(),
        about: "change".to_owned(),
        words: format!("{from} to {to}: {}{list_is_whole}", judged.words()),
        from,
        to,
        at: when.map(str::to_owned),
        allergens,
        parts,
        shown_clean: judged.may_serve(),
    })
}

/// What other products bring into a line through a part that all lines of the machine share.
fn beside(estate: &Estate, at: &Address) -> Vec<AllergenReport> {
    let Some(line) = estate.line(at) else { return Vec::new() };
    let family = estate.family_of(&at.site, &at.machine);
    let shared: Vec<String> = family
        .into_iter()
        .flat_map(|family| family.parts.values())
        .filter(|part| part.touches == Touches::AllLines)
        .map(|part| part.name.clone())
        .collect();
    if shared.is_empty() {
        return Vec::new();
    }
    let own = allergens_of(estate, &line.product);
    let to = named(estate, &line.product);
    let of = |(key, product): (&str, &str)| {
        let brings: Vec<String> = allergens_of(estate, product)
            .into_iter()
            .filter(|allergen| !own.iter().any(|own| own.eq_ignore_ascii_case(allergen)))
            .map(str::to_owned)
            .collect();
        let from = named(estate, product);
        (!brings.is_empty()).then(|| AllergenReport {
            line: at.to_string(),
            about: "shared-part".to_owned(),
            words: format!(
                "{to} cannot be shown free of {}: line {key} ({from}) runs through the same {}; give it one of its own, or tell guests",
                brings.join(", "),
                shared.join(", "),
            ),
            from,
            to: to.clone(),
            at: None,
            allergens: brings,
            parts: shared.clone(),
            shown_clean: false,
        })
    };
    runs_beside(estate, at).filter_map(of).collect()
}

/// A product that was in a line, and when it was changed for another.
struct Left<'e> {
    product: &'e str,
    at: &'e str,
    instant: Timestamp,
}

/// What a line's records and its neighbours leave in what it pours: each earlier product with allergens that the present one
/// has not, until the parts are renewed; and each product that runs through a shared part.
#[must_use]
pub fn line_allergens(estate: &Estate, at: &Address, events: &[Event]) -> Vec<AllergenReport> {
    let mut all = Vec::new();
    if let Some(line) = estate.line(at) {
        let (left, replaced) = past(at, events);
        // Of two stays of one product, the parts must be newer than the later.
        let mut seen: Vec<&str> = vec![line.product.as_str()];
        for one in left.iter().rev() {
            if seen.contains(&one.product) {
                continue;
            }
            seen.push(one.product);
            let since = |part: &str| {
                replaced.iter().any(|(key, when)| *key == part && *when >= one.instant)
            };
            let pair = (one.product, line.product.as_str());
            all.extend(of_change(estate, at, pair, Some(one.at), &since));
        }
    }
    all.extend(beside(estate, at));
    all
}

/// The products that a line carried before, the earliest first, and the parts that were replaced.
fn past<'e>(at: &Address, events: &'e [Event]) -> (Vec<Left<'e>>, Vec<(&'e str, Timestamp)>) {
    let (line, machine): (&str, &str) = (&at.line, &at.machine);
    let mut carries: Option<&str> = None;
    let (mut left, mut replaced) = (Vec::new(), Vec::new());
    let mine = |record: &&(&Record, &Body)| record.0.subject.machine.as_deref() == Some(machine);
    let all: Vec<(&Record, &Body)> = effective(events).collect();
    for (record, body) in all.iter().filter(mine) {
        let Ok(instant) = record.instant() else { continue };
        let of_line = record.subject.line.as_deref();
        let product = match body {
            Body::ProductChanged { product } if of_line == Some(line) => product.as_str(),
            Body::Configured { thing: Thing::Line, key, definition } if key == line => {
                match definition.get("product").and_then(serde_json::Value::as_str) {
                    Some(product) => product,
                    None => continue,
                }
            }
            Body::PartReplaced { .. } if of_line.is_none_or(|of| of == line) => {
                replaced.extend(record.subject.part.as_deref().map(|part| (part, instant)));
                continue;
            }
            Body::MachineSwapped { .. } => {
                // Another machine: nothing of this one's past is in it.
                left.clear();
                continue;
            }
            _ => continue,
        };
        if let Some(old) = carries.replace(product)
            && old != product
        {
            left.push(Left { product: old, at: &record.at, instant });
        }
    }
    (left, replaced)
}

/// Of one line's change of product that is planned, or was just typed.
#[must_use]
pub fn planned_allergens(estate: &Estate, at: &Address, product: &str) -> Option<AllergenReport> {
    let old = estate.line(at)?.product.as_str();
    of_change(estate, at, (old, product), None, &|_| false)
}

/// Changes of product among the rows of a file, in their order: each leads from what the row before left in the line.
#[derive(Debug)]
pub struct ProductChanges<'e> {
    estate: &'e Estate,
    carry: BTreeMap<Address, String>,
    told: Vec<AllergenReport>,
}

impl<'e> ProductChanges<'e> {
    /// None yet.
    #[must_use]
    pub fn of(estate: &'e Estate) -> Self {
        Self { estate, carry: BTreeMap::new(), told: Vec::new() }
    }

    /// Notes a row, if it is a change of product.
    pub fn note(&mut self, row: &Row) {
        let Row::Draft { draft, .. } = row else { return };
        let record = &draft.record;
        let Body::ProductChanged { product } = &record.body else { return };
        let subject = &record.subject;
        let (Some(machine), Some(line)) = (&subject.machine, &subject.line) else { return };
        let Ok(at) = Address::new(record.scope.as_str(), machine, line) else { return };
        let Some(known) = self.estate.line(&at) else { return };
        let old = self.carry.get(&at).map_or(known.product.as_str(), String::as_str);
        let report = of_change(self.estate, &at, (old, product), Some(&record.at), &|_| false);
        self.told.extend(report);
        self.carry.insert(at, product.clone());
    }

    /// What flushing cannot show after them.
    #[must_use]
    pub fn told(self) -> Vec<AllergenReport> {
        self.told
    }
}

/// Of all changes of product in a plan. `wanted` is the estate as it is to be: its products and parts count.
#[must_use]
pub fn plan_allergens(before: &Estate, wanted: &Estate, plan: &Plan) -> Vec<AllergenReport> {
    let changed = plan.changes.iter().filter_map(|change| {
        let Body::ProductChanged { product } = &change.body else { return None };
        let (machine, line) = (change.subject.machine.as_deref()?, change.subject.line.as_deref()?);
        let at = Address::new(change.scope.as_str(), machine, line).ok()?;
        let old = before.line(&at)?.product.as_str();
        of_change(wanted, &at, (old, product), None, &|_| false)
    });
    changed.collect()
}

#[cfg(test)]
mod tests;
