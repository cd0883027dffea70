//! Reads a family's text.

use std::collections::BTreeSet;

use ouncewise_estate::{Fault, Key, Misread};

use super::fields::{Fields, Reader};
use super::procedure::{mentions, steps};
use crate::family::{
    Caution, Cover, Family, Isolation, KitThing, Leave, Lubricant, Part, Passage, Signal,
};
use crate::field::{CAUTION, FAMILY, Field, KIT, LEAVE, PART, PASSAGE};
use crate::rule::Rule;
use ouncewise_estate::written::{Entry, Value};

const METERINGS: &[(&str, &str)] = &[("rate", "rate"), ("dose", "dose"), ("ratio", "ratio")];
const ADJUSTERS: &[(&str, &str)] = &[
    ("screw", "screw"),
    ("notches", "notches"),
    ("number", "number"),
    ("percent", "percent"),
    ("taught", "taught"),
    ("none", "none"),
];
/// As many as a set of parts holds.
const MOST_PARTS: usize = 16;

/// Reads a family's text: what could be read, unless something that it cannot do without is missing, and every fault.
#[must_use]
pub fn family(file: &str, text: &str) -> (Option<Family>, Vec<Fault>) {
    let reader = Reader::new(file, text);
    let family = super::tree(&reader, text).and_then(|table| {
        let fields = Fields::new(&reader, &table, FAMILY, 0..0, "the family");
        whole(&fields)
    });
    (family, reader.faults())
}

fn whole(f: &Fields<'_>) -> Option<Family> {
    let key = f.of::<Key>("family");
    let isolation = f.choice(
        "isolation",
        &[
            ("plug", Isolation::Plug),
            ("switch", Isolation::Switch),
            ("hard-wired", Isolation::HardWired),
            ("none", Isolation::None),
        ],
    );
    let pressure = f.choice("pressure", &[("stored", true), ("none", false)]);
    let cover = f.choice(
        "cover",
        &[("line", Cover::Line), ("machine", Cover::Machine), ("none", Cover::None)],
    );
    let metering = f.choice("metering", METERINGS);
    let adjuster = f.choice("adjuster", ADJUSTERS);
    let flush = f.of("flush");
    let leave = match f.entry("leave").map(|entry| (&entry.node.value, entry)) {
        Some((Value::Table(table), entry)) => {
            let inner = Fields::new(f.reader, table, LEAVE, entry.node.span.clone(), "`leave`");
            Leave { solution: inner.of("solution"), open: inner.of("open") }
        }
        _ => {
            f.named("leave");
            Leave::default()
        }
    };
    let kit = each(f, "kit", KIT, |key, f| {
        let per = f.choice("per", &[("machine", false), ("line", true)]);
        Some(KitThing { key, name: f.words("name"), per_line: per.unwrap_or(false) })
    });
    let parts: Vec<Part> = each(f, "parts", PART, part);
    if parts.len() > MOST_PARTS {
        let message = format!("there are {} parts", parts.len());
        let hint = format!("the checker takes at most {MOST_PARTS}");
        f.reader.refuse(Rule::TooMuch, f.whole.clone(), message, hint);
        return None;
    }
    let cautions = each(f, "caution", CAUTION, caution);
    let passages = each(f, "passage", PASSAGE, |key, f| {
        Some(Passage { key, steps: steps(f.reader, f, true) })
    });
    let family = Family {
        key: key?.to_string(),
        isolation: isolation?,
        pressure: pressure?,
        cover: cover?,
        metering: metering?,
        adjuster: adjuster?,
        flush,
        adjust_tool: f.text("adjust_tool"),
        leave,
        parts,
        kit,
        cautions,
        passages,
    };
    names(f, &family);
    for step in family.passages.iter().flat_map(|passage| &passage.steps) {
        mentions(f.reader, step, &family);
    }
    Some(family)
}

/// Named tables, each read by its fields.
fn each<T>(
    f: &Fields<'_>,
    name: &str,
    specs: &[Field],
    read: impl Fn(String, &Fields<'_>) -> Option<T>,
) -> Vec<T> {
    let mut things = Vec::new();
    for Entry { name: key, name_span, node } in f.named(name) {
        if let Err(Misread { message, hint }) = key.parse::<Key>() {
            f.reader.refuse(Rule::WrongSort, name_span.clone(), message, hint);
            continue;
        }
        let Value::Table(table) = &node.value else {
            let message = format!("`{name}.{key}` is {}", node.value.sort());
            let hint = format!("write a table: `[{name}.{key}]`");
            f.reader.refuse(Rule::WrongSort, node.span.clone(), message, hint);
            continue;
        };
        let thing = format!("`{name}.{key}`");
        let inner = Fields::new(f.reader, table, specs, name_span.clone(), thing);
        things.extend(read(key.clone(), &inner));
    }
    things
}

fn part(key: String, f: &Fields<'_>) -> Option<Part> {
    let lubricant = f.choice(
        "lubricant",
        &[("must", Lubricant::Must), ("may", Lubricant::May), ("never", Lubricant::Never)],
    );
    Some(Part {
        key,
        name: f.words("name"),
        lubricant: lubricant?,
        tool: f.text("tool"),
        wetted: f.flag("wetted"),
        shared: f.flag("shared"),
    })
}

fn caution(key: String, f: &Fields<'_>) -> Option<Caution> {
    let signal = f.choice(
        "signal",
        &[
            ("danger", Signal::Danger),
            ("warning", Signal::Warning),
            ("caution", Signal::Caution),
            ("notice", Signal::Notice),
        ],
    );
    Some(Caution {
        key,
        signal: signal?,
        hazard: f.words("hazard"),
        consequence: f.words("consequence"),
        avoid: f.words("avoid"),
        at: f.reader.at(f.whole.clone()),
    })
}

/// Names of things that the family itself does not declare.
fn names(f: &Fields<'_>, family: &Family) {
    let things: BTreeSet<&str> = family.kit.iter().map(|thing| thing.key.as_str()).collect();
    let tools = family.parts.iter().filter_map(|part| part.tool.as_deref());
    for tool in tools.chain(family.adjust_tool.as_deref()) {
        if !things.contains(tool) {
            let message = format!("the kit has no `{tool}`");
            let hint = format!("declare it under `[kit.{tool}]`");
            f.reader.refuse(Rule::UnknownName, f.whole.clone(), message, hint);
        }
    }
}
