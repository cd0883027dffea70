//! What the steps use, and what is to be brought along for so many lines.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::family::Family;
use crate::phrase::{Phrase, Supply};
use crate::procedure::{Procedure, Step};
use crate::verb::Verb;
use crate::words::Words;

/// One thing to bring along.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Bring {
    /// Its key: of the family's kit, or `spare` and a part.
    pub key: String,
    /// What it is called.
    pub name: Words,
    /// Whether it is a spare part, only needed where the old one is worn or due.
    pub spare: bool,
    /// How many.
    pub count: u32,
}

/// What is to be brought along for so many machines of so many lines each.
#[must_use]
pub fn kit(family: &Family, procedure: &Procedure, machines: u32, lines: u32) -> Vec<Bring> {
    let bring = |key: &String| {
        if let Some(part) = key.strip_prefix("spare ").and_then(|part| family.part(part)) {
            let each = if part.shared { 1 } else { lines };
            let count = each.saturating_mul(machines);
            return Bring { key: key.clone(), name: part.name.clone(), spare: true, count };
        }
        let thing = family.thing(key);
        // What the machines share is carried from one to the next; what is a line's own is not.
        let own = thing.is_some_and(|thing| thing.per_line);
        Bring {
            key: key.clone(),
            name: thing.map(|thing| thing.name.clone()).unwrap_or_default(),
            spare: false,
            count: if own { lines.saturating_mul(machines) } else { 1 },
        }
    };
    procedure.kit.iter().map(bring).collect()
}

/// Every step of a procedure, passages in their places, whatever the food code.
pub(crate) fn steps<'a>(
    family: &'a Family,
    procedure: &'a Procedure,
) -> impl Iterator<Item = &'a Step> {
    procedure.stages.iter().flat_map(|stage| &stage.steps).flat_map(|step| {
        let inner = step.passage.as_ref().and_then(|name| family.passage(name));
        match inner {
            Some(passage) => passage.steps.as_slice(),
            None => std::slice::from_ref(step),
        }
    })
}

/// What the steps use, each with the first step that does.
pub(crate) fn used<'a>(family: &'a Family, procedure: &'a Procedure) -> BTreeMap<String, &'a Step> {
    let mut used = BTreeMap::new();
    for stage in &procedure.stages {
        let over_machine = stage.over == crate::procedure::Over::Machine;
        for step in &stage.steps {
            let inner = step.passage.as_ref().and_then(|name| family.passage(name));
            let steps = inner.map_or(std::slice::from_ref(step), |passage| &passage.steps);
            for step in steps {
                for thing in step.with.iter().cloned() {
                    used.entry(thing).or_insert(step);
                }
                for thing in step.phrases.iter().flat_map(|p| things(family, p, over_machine)) {
                    used.entry(thing).or_insert(step);
                }
            }
        }
    }
    used
}

/// What a phrase uses.
fn things(family: &Family, phrase: &Phrase, over_machine: bool) -> Vec<String> {
    let named = |keys: &[String]| -> Vec<&crate::family::Part> {
        let mine = |part: &&crate::family::Part| {
            if keys.is_empty() { part.shared == over_machine } else { keys.contains(&part.key) }
        };
        family.parts.iter().filter(mine).collect()
    };
    let texts = |keys: &[&str]| keys.iter().map(|key| (*key).to_owned()).collect();
    match phrase {
        Phrase::Solution(Verb::Mix, Supply::Sanitiser) => texts(&["sanitiser", "bucket"]),
        Phrase::Solution(Verb::Mix, _) => texts(&["detergent", "bucket"]),
        Phrase::Solution(..) | Phrase::TestOutlet => texts(&["strips"]),
        Phrase::Parts(Verb::Wash, _) => texts(&["brush", "basin"]),
        Phrase::WashBrush => texts(&["brush"]),
        Phrase::Parts(Verb::Lubricate, _) => texts(&["lubricant"]),
        Phrase::Parts(Verb::Renew, keys) => {
            named(keys).iter().map(|part| format!("spare {}", part.key)).collect()
        }
        Phrase::Parts(Verb::Remove, keys) => {
            named(keys).iter().filter_map(|part| part.tool.clone()).collect()
        }
        Phrase::Bare(Verb::Catch) if family.metering == "rate" => texts(&["cup", "stopwatch"]),
        Phrase::Bare(Verb::Catch) => texts(&["cup"]),
        Phrase::Bare(Verb::Adjust) => family.adjust_tool.iter().cloned().collect(),
        Phrase::Bare(Verb::Tag) => texts(&["tag"]),
        _ => Vec::new(),
    }
}
