//! Reads a procedure's text.

use std::collections::BTreeSet;

use ouncewise_estate::fault::nearest;
use ouncewise_estate::{Fault, Key, Misread};

use super::fields::{Fields, Reader};
use crate::family::Family;
use crate::field::{MANUAL, PROCEDURE, STAGE, STEP};
use crate::phrase::Phrase;
use crate::procedure::{Kind, Manual, Over, Procedure, Stage, Step, Target, UNDER};
use crate::rule::Rule;
use crate::words::Standing;
use ouncewise_estate::written::{Table, Value};

/// As many steps as a stage may have, and stages a procedure.
const MOST: usize = 200;

/// Reads a procedure's text: what could be read, unless something that it cannot do without is missing, and every fault.
#[must_use]
pub fn procedure(file: &str, text: &str, family: &Family) -> (Option<Procedure>, Vec<Fault>) {
    let reader = Reader::new(file, text);
    let procedure = super::tree(&reader, text).and_then(|table| {
        let fields = Fields::new(&reader, &table, PROCEDURE, 0..0, "the procedure");
        whole(&fields, family)
    });
    (procedure, reader.faults())
}

fn whole(f: &Fields<'_>, family: &Family) -> Option<Procedure> {
    let kind = f.choice("kind", Kind::WORDS);
    let key = f.text_at("family");
    if let Some((key, span)) = &key
        && *key != family.key
    {
        let message = format!("the family here is `{}`, not `{key}`", family.key);
        f.reader.refuse(Rule::UnknownName, span.clone(), message, "write the family's key");
    }
    let manual = match f.entry("manual").map(|entry| (&entry.node.value, entry)) {
        Some((Value::Table(table), entry)) => {
            let inner = Fields::new(f.reader, table, MANUAL, entry.name_span.clone(), "`manual`");
            inner
                .text("edition")
                .zip(inner.text("page"))
                .map(|(edition, page)| Manual { edition, page })
        }
        _ => {
            f.named("manual");
            None
        }
    };
    let kit = list_of(f, "kit", |thing| {
        let spare = thing.strip_prefix("spare ").map(|part| family.part(part).is_some());
        spare.unwrap_or_else(|| family.thing(thing).is_some())
    });
    let renews = list_of(f, "renews", |part| family.part(part).is_some());
    let stages = stages(f, family);
    Some(Procedure {
        title: f.words("title"),
        purpose: f.words("purpose"),
        kind: kind?,
        family: key?.0,
        languages: languages(f),
        frequency: f.of("frequency"),
        lines: f.number("lines", 1, 99).unwrap_or(1),
        window: f.of("window"),
        contact: f.of("contact"),
        manual,
        renews,
        kit,
        stages: stages?,
        at: f.reader.at(0..0),
    })
}

/// Names, each of which must be known and stand there once.
fn list_of(f: &Fields<'_>, name: &str, known: impl Fn(&str) -> bool) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for (text, span) in f.list(name) {
        if !known(&text) {
            let message = format!("`{name}` names `{text}`, which the family does not declare");
            f.reader.refuse(Rule::UnknownName, span, message, "declare it in the family's file");
        } else if names.contains(&text) {
            f.reader.refuse(
                Rule::Twice,
                span,
                format!("`{name}` names `{text}` twice"),
                "name it once",
            );
        } else {
            names.push(text);
        }
    }
    names
}

fn languages(f: &Fields<'_>) -> Vec<(String, Standing)> {
    let mut languages = Vec::new();
    for entry in f.named("languages") {
        let Value::Text(text) = &entry.node.value else {
            let message = format!("`languages.{}` is {}", entry.name, entry.node.value.sort());
            let hint = "write `written`, `unreviewed` or `reviewed by NAME`";
            f.reader.refuse(Rule::WrongSort, entry.node.span.clone(), message, hint);
            continue;
        };
        let standing = match text.as_str() {
            "written" => Standing::Written,
            "unreviewed" => Standing::Unreviewed,
            other => match other.strip_prefix("reviewed by ").map(str::trim) {
                Some(who) if !who.is_empty() => Standing::Reviewed(who.to_owned()),
                _ => {
                    let message = format!("`languages.{}` cannot be `{other}`", entry.name);
                    let hint = "write `written`, `unreviewed` or `reviewed by NAME`";
                    f.reader.refuse(Rule::WrongSort, entry.node.span.clone(), message, hint);
                    continue;
                }
            },
        };
        languages.push((entry.name.clone(), standing));
    }
    languages
}

fn stages(f: &Fields<'_>, family: &Family) -> Option<Vec<Stage>> {
    let tables = f.tables("stage");
    if tables.len() > MOST {
        let message = format!("there are {} stages", tables.len());
        let hint = format!("the checker takes at most {MOST}");
        f.reader.refuse(Rule::TooMuch, f.whole.clone(), message, hint);
        return None;
    }
    let mut stages: Vec<Stage> = Vec::new();
    for (table, span) in tables {
        stages.extend(stage(f.reader, table, span, family));
    }
    let mut seen = BTreeSet::new();
    for stage in &stages {
        if !seen.insert(stage.id.clone()) {
            let span = stage.at.0.span.clone().unwrap_or(0..0);
            let message = format!("there are two stages `{}`", stage.id);
            f.reader.refuse(Rule::Twice, span, message, "give each its own `id`");
        }
    }
    let names: Vec<String> = stages.iter().map(|stage| stage.id.clone()).collect();
    for (place, stage) in stages.iter().enumerate() {
        let own = names_of(&stage.steps);
        for step in &stage.steps {
            let later = &names[place + 1..];
            targets(f.reader, step, step, &own, later);
            let inner = step.passage.as_ref().and_then(|name| family.passage(name));
            // Which stages follow is the procedure's business: told where it takes the passage.
            let own = inner.map_or(Vec::new(), |passage| names_of(&passage.steps));
            for inner in inner.iter().flat_map(|passage| &passage.steps) {
                targets(f.reader, inner, step, &own, later);
            }
            mentions(f.reader, step, family);
        }
    }
    Some(stages)
}

fn names_of(steps: &[Step]) -> Vec<String> {
    steps.iter().filter_map(|step| step.id.clone()).collect()
}

fn stage(
    reader: &Reader<'_>,
    table: &Table,
    span: std::ops::Range<usize>,
    family: &Family,
) -> Option<Stage> {
    let f = Fields::new(reader, table, STAGE, span.clone(), "the stage");
    let id = f.of::<Key>("id");
    let over = f.choice("over", Over::WORDS);
    let steps = steps(reader, &f, false);
    let long: usize = steps
        .iter()
        .map(|step| match &step.passage {
            Some(name) => family.passage(name).map_or(0, |passage| passage.steps.len()),
            None => 1,
        })
        .sum();
    if long > MOST {
        let message = format!("the stage has {long} steps");
        let hint = format!("the checker takes at most {MOST}; part it in two");
        reader.refuse(Rule::TooMuch, span, message, hint);
        return None;
    }
    Some(Stage {
        id: id?.to_string(),
        over: over?,
        title: f.words("title"),
        sent: f.flag("sent"),
        steps,
        at: reader.at(f.whole.clone()),
    })
}

/// The steps of a stage or passage.
pub(super) fn steps(reader: &Reader<'_>, f: &Fields<'_>, in_passage: bool) -> Vec<Step> {
    let mut steps: Vec<Step> = Vec::new();
    for (table, span) in f.tables("step") {
        let read = step(reader, table, span.clone());
        if in_passage && read.passage.is_some() {
            let message = "a passage stands within a passage";
            reader.refuse(Rule::UnknownName, span, message, "write its steps here");
            continue;
        }
        if let Some(id) = &read.id
            && steps.iter().any(|step| step.id.as_ref() == Some(id))
        {
            let message = format!("there are two steps `{id}`");
            reader.refuse(Rule::Twice, span, message, "give each its own `id`");
            continue;
        }
        steps.push(read);
    }
    steps
}

fn step(reader: &Reader<'_>, table: &Table, span: std::ops::Range<usize>) -> Step {
    let f = Fields::new(reader, table, STEP, span.clone(), "the step");
    let texts = |name: &str| f.list(name).into_iter().map(|(text, _)| text).collect::<Vec<_>>();
    let target = |name: &str| f.text_at(name).and_then(|(text, span)| aim(reader, &text, span));
    let mut under = Vec::new();
    for (word, span) in f.list("under") {
        match UNDER.iter().find(|(own, _)| *own == word) {
            Some((_, rule)) => under.push(*rule),
            None => {
                let message = format!("`under` cannot be `{word}`");
                let hint = "write drain-no-rinse, drain or rinse";
                reader.refuse(Rule::WrongSort, span, message, hint);
            }
        }
    }
    let mut answers = Vec::new();
    for entry in f.named("answers") {
        match &entry.node.value {
            Value::Text(text) => {
                if let Some(target) = aim(reader, text, entry.node.span.clone()) {
                    answers.push((entry.name.clone(), target));
                }
            }
            other => {
                let message = format!("the answer `{}` leads to {}", entry.name, other.sort());
                let hint = "write where it leads: a step's id, a stage's, `next`, `leave` or `end`";
                reader.refuse(Rule::WrongSort, entry.node.span.clone(), message, hint);
            }
        }
    }
    let passage = f.text("use");
    if passage.is_some() && table.0.len() > 1 {
        let hint = "write the passage in a step of its own";
        reader.refuse(Rule::WrongSort, span.clone(), "beside `use` stands something else", hint);
    }
    Step {
        id: f.of::<Key>("id").map(String::from),
        passage,
        phrases: phrases(reader, &f),
        say: f.words("say"),
        look_for: f.words("look_for"),
        picture: f.text("picture"),
        reads: texts("reads"),
        uses: texts("uses"),
        with: texts("with"),
        cautions: texts("cautions"),
        time: f.of("time"),
        answers,
        then: target("then"),
        at_most: f.number("at_most", 1, 15),
        or_else: target("or_else"),
        under,
        stop: f.flag("stop"),
        at: reader.at(span),
    }
}

fn aim(reader: &Reader<'_>, text: &str, span: std::ops::Range<usize>) -> Option<Target> {
    match text {
        "next" => Some(Target::Next),
        "leave" => Some(Target::Leave),
        "end" => Some(Target::End),
        other => match other.parse::<Key>() {
            Ok(key) => Some(Target::To(key.into())),
            Err(Misread { message, hint }) => {
                reader.refuse(Rule::WrongSort, span, message, hint);
                None
            }
        },
    }
}

fn phrases(reader: &Reader<'_>, f: &Fields<'_>) -> Vec<Phrase> {
    let Some((text, span)) = f.text_at("do") else { return Vec::new() };
    let mut phrases = Vec::new();
    for (from, read) in Phrase::read_all(&text) {
        match read {
            Ok(phrase) => phrases.push(phrase),
            Err(Misread { message, hint }) => {
                // One for the quotation mark; a text with escapes is only marked nearly.
                let start = (span.start + 1 + from).min(span.end);
                reader.refuse(Rule::UnknownVerb, start..span.end, message, hint);
            }
        }
    }
    phrases
}

/// Refuses targets that are neither a step beside it nor a later stage.
fn targets(reader: &Reader<'_>, step: &Step, told: &Step, own: &[String], later: &[String]) {
    let named = step.answers.iter().map(|(_, target)| target);
    for target in named.chain(&step.then).chain(&step.or_else) {
        let Target::To(id) = target else { continue };
        if !own.contains(id) && !later.contains(id) {
            let all = own.iter().chain(later).map(String::as_str);
            let hint = match nearest(id, all) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "name a step of the same stage, a later stage, `next`, `leave` or `end`"
                    .to_owned(),
            };
            let span = told.at.0.span.clone().unwrap_or(0..0);
            reader.refuse(Rule::UnknownName, span, format!("nothing here is called `{id}`"), hint);
        }
    }
}

/// Refuses what a step names and the family does not have.
pub(super) fn mentions(reader: &Reader<'_>, step: &Step, family: &Family) {
    let refuse = |message: String| {
        let span = step.at.0.span.clone().unwrap_or(0..0);
        reader.refuse(Rule::UnknownName, span, message, "declare it in the family's file");
    };
    if let Some(name) = &step.passage
        && family.passage(name).is_none()
    {
        refuse(format!("the family has no passage `{name}`"));
    }
    for phrase in &step.phrases {
        let parts: &[String] = match phrase {
            Phrase::Parts(_, parts) => parts,
            Phrase::AskSpare(part) => std::slice::from_ref(part),
            _ => &[],
        };
        for part in parts.iter().filter(|part| family.part(part).is_none()) {
            refuse(format!("the family has no part `{part}`"));
        }
    }
    for thing in step.with.iter().filter(|thing| family.thing(thing).is_none()) {
        refuse(format!("the family's kit has no `{thing}`"));
    }
    for caution in step.cautions.iter().filter(|caution| family.caution(caution).is_none()) {
        refuse(format!("the family has no caution `{caution}`"));
    }
}
