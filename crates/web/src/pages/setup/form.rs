//! The form of one thing, made from its fields; and what would change, before it is recorded.

use std::sync::Arc;

use maud::{Markup, html};
use ouncewise_estate::Estate;
use ouncewise_estate::fields::{Field, Shape};
use ouncewise_estate::plan::{Plan, Sort as Change};
use ouncewise_ledger::Thing as Sort;
use ouncewise_report::{AllergenReport, allergen_caution};

use super::thing::{Texts, Thing};
use crate::layout::{self, Fault, Place, beside, described, faults, invalid, titled, trail};
use crate::words;
use crate::wrong::sentence;

/// A form: which thing, what stands in it, and from which state of the estate it was made.
pub struct Asked {
    pub thing: Thing,
    pub key: String,
    pub texts: Texts,
    pub mark: String,
    pub estate: Arc<Estate>,
}

impl Asked {
    fn title(&self) -> String {
        let thing = &self.thing;
        match (thing.is_new(), thing.sort) {
            (_, Sort::Group) => "The group".to_owned(),
            (true, _) => {
                let add = format!("Add a {}", thing.word()).replace("Add a owner", "Add an owner");
                // The nearest first, as it is said.
                let to: Vec<String> =
                    self.within().into_iter().rev().map(|(_, name)| name).collect();
                if to.is_empty() { add } else { format!("{add} to {}", to.join(", ")) }
            }
            (false, _) => {
                let name = self.texts.get("name").filter(|name| !name.is_empty());
                let key = thing.keys.last().cloned().unwrap_or_default();
                let name = name.cloned().unwrap_or(key);
                let mut word = thing.word().to_owned();
                word[..1].make_ascii_uppercase();
                format!("{word}: {name}")
            }
        }
    }

    fn retired(&self) -> bool {
        self.texts.get("retired").is_some_and(|text| matches!(text.as_str(), "yes" | "true"))
            || (self.thing.sort == Sort::Machine
                && self.texts.get("state").is_some_and(|s| s == "removed"))
    }

    /// The site, and the machine, that it stands in: the address of their forms, and what they are called.
    fn within(&self) -> Vec<(String, String)> {
        let keys = &self.thing.keys;
        let mut within = Vec::new();
        if matches!(self.thing.sort, Sort::Machine | Sort::Line) {
            let site = self.estate.sites.get(keys[0].as_str());
            let name = site.map_or(keys[0].clone(), |site| site.name.clone());
            within.push((format!("/setup/sites/{}", keys[0]), name));
        }
        if self.thing.sort == Sort::Line {
            let name =
                self.estate.machine(&keys[0], &keys[1]).map_or(keys[1].clone(), |m| m.name.clone());
            within.push((format!("/setup/sites/{}/machines/{}", keys[0], keys[1]), name));
        }
        within
    }

    fn above(&self) -> Markup {
        let within = self.within();
        let within = within.iter().map(|(at, name)| (at.as_str(), name.as_str()));
        let above: Vec<(&str, &str)> = [("/setup", "Set up")].into_iter().chain(within).collect();
        trail(&above)
    }
}

/// The form.
pub fn page(asked: &Asked, wrong: &[Fault], done: bool) -> Markup {
    let thing = &asked.thing;
    let title = asked.title();
    let at = format!("/setup/{}", thing.path());
    let body = html! {
        (asked.above())
        (faults(wrong))
        h1 { (title) }
        @if done { div class="said" role="status" { p { "Recorded." } } }
        @if asked.retired() { p class="warn" { "This is no longer in use. Its history stays." } }
        form method="post" action=(at) novalidate data-keep {
            input type="hidden" name="seen" value=(asked.mark);
            @if thing.is_new() && thing.sort != Sort::Group {
                div class="field" {
                    label for="key" { "Key" @if thing.sort != Sort::Line { " (optional)" } }
                    p class="hint" id="key-hint" {
                        @if thing.sort == Sort::Line { "What the crew calls it on the machine, such as 3" }
                        @else { "Its short name in addresses and files, such as fern-hollow; made from the name if left out" }
                    }
                    (beside(wrong, "key"))
                    input type="text" class="short" id="key" name="key" value=(asked.key) autocomplete="off" aria-describedby=[described(wrong, "key", true)] aria-invalid=[invalid(wrong, "key")];
                }
            }
            @for (name, field) in thing.fields() { (one(asked, &name, field, wrong)) }
            p { button name="act" value="check" { "Check what changes" } }
        }
        @if thing.sort == Sort::Family {
            p { "Its wear parts are written in its file: see " a href="/setup/files" { "all of it as files" } "." }
        }
        @if !thing.is_new() && thing.sort != Sort::Group { (in_use(asked, &at)) }
        (below(asked))
    };
    layout::page(&titled(&title, wrong), Some(Place::SetUp), &body)
}

fn in_use(asked: &Asked, at: &str) -> Markup {
    html! {
        form method="post" action=(at) {
            input type="hidden" name="seen" value=(asked.mark);
            @if asked.retired() {
                button class="plain" name="act" value="bring-back" { "Bring it back into use" }
            } @else {
                button class="away" name="act" value="retire" { "Take it out of use" }
            }
        }
    }
}

/// What stands below a thing.
fn below(asked: &Asked) -> Markup {
    let thing = &asked.thing;
    let site = thing.keys.first().and_then(|key| asked.estate.sites.get(key.as_str()));
    html! {
        @match (thing.sort, site) {
            (Sort::Site, Some(site)) => {
                h2 { "Its machines" }
                ul {
                    @for (key, machine) in &site.machines {
                        li { a href={ "/setup/sites/" (thing.keys[0]) "/machines/" (key) } { (machine.name) } @if machine.retired() { " (removed)" } }
                    }
                    li { a href={ "/setup/sites/" (thing.keys[0]) "/machines" } { "Add a machine" } }
                }
                p { a href=(words::site_page(&thing.keys[0])) { "How its lines stand" } }
            }
            (Sort::Machine, Some(site)) if !thing.is_new() => {
                @if let Some(machine) = site.machines.get(thing.keys[1].as_str()) {
                    @let at = format!("/setup/sites/{}/machines/{}", thing.keys[0], thing.keys[1]);
                    h2 { "Its lines" }
                    ul {
                        @for (key, line) in &machine.lines {
                            li { a href={ (at) "/lines/" (key) } { (key) ": " (line.product) ", " (line.target) } @if line.retired { " (out of use)" } }
                        }
                        li { a href={ (at) "/lines" } { "Add a line" } }
                    }
                    p { a href=(words::machine_page(&thing.keys[0], &thing.keys[1])) { "How its lines stand" } }
                }
            }
            _ => {}
        }
    }
}

fn one(asked: &Asked, name: &str, field: &Field, wrong: &[Fault]) -> Markup {
    let value = asked.texts.get(name).map_or("", String::as_str);
    let choices = choices(asked, name, field);
    // Without a choice a list would be empty: a text can at least be typed.
    let choices = choices.filter(|choices| !choices.is_empty());
    html! {
        div class="field" {
            label for=(name) { (label(name)) @if !field.must { " (optional)" } }
            p class="hint" id={ (name) "-hint" } {
                (sentence(&field.says.replace('`', ""))) @if !matches!(field.shape, Shape::Choice(_) | Shape::Flag) { " Such as " (field.example) }
            }
            (beside(wrong, name))
            @match (choices, field.shape) {
                (Some(choices), _) => select id=(name) name=(name) aria-describedby=[described(wrong, name, true)] aria-invalid=[invalid(wrong, name)] {
                    option value="" selected[value.is_empty()] { @if field.must { "Choose" } @else { "Left out" } }
                    @for (key, words) in &choices { option value=(key) selected[key == value] { (words) } }
                    @if !value.is_empty() && !choices.iter().any(|(key, _)| key == value) { option value=(value) selected { (value) } }
                },
                (None, Shape::Note) => textarea id=(name) name=(name) rows="4" aria-describedby=[described(wrong, name, true)] aria-invalid=[invalid(wrong, name)] { (value) },
                _ => input type="text" id=(name) name=(name) value=(value) autocomplete="off" aria-describedby=[described(wrong, name, true)] aria-invalid=[invalid(wrong, name)];
            }
        }
    }
}

/// `time_zone` as people say it.
fn label(name: &str) -> String {
    let words = name.replace(['_', '.'], " ");
    sentence(&words).trim_end_matches('.').to_owned()
}

/// What can be chosen, where there is a list.
fn choices(asked: &Asked, name: &str, field: &Field) -> Option<Vec<(String, String)>> {
    let estate = &asked.estate;
    let named = |key: &str, name: &str| {
        (
            key.to_owned(),
            if name.is_empty() || name == key { key.to_owned() } else { format!("{name} ({key})") },
        )
    };
    match (field.shape, name) {
        (Shape::Choice(words), _) => {
            Some(words.iter().map(|word| ((*word).to_owned(), (*word).to_owned())).collect())
        }
        (Shape::Flag, _) => {
            Some(["yes", "no"].map(|word| (word.to_owned(), word.to_owned())).to_vec())
        }
        (Shape::Key, "family") => Some(
            estate
                .families
                .iter()
                .filter(|(_, f)| !f.retired)
                .map(|(key, f)| named(key, &f.name))
                .collect(),
        ),
        (Shape::Key, "product") => Some(
            estate
                .products
                .iter()
                .filter(|(_, p)| !p.retired)
                .map(|(key, p)| named(key, &p.name))
                .collect(),
        ),
        (Shape::Key, "owner") => Some(
            estate
                .owners
                .iter()
                .filter(|(_, o)| !o.retired)
                .map(|(key, o)| named(key, &o.name))
                .collect(),
        ),
        (Shape::Key, "jurisdiction") => {
            let named = |key: &str| {
                let name = estate.profile(key).map(|profile| profile.name.clone());
                named(key, name.as_deref().unwrap_or_default())
            };
            Some(estate.profile_keys().into_iter().map(named).collect())
        }
        (Shape::Key, "measure") => {
            let site = estate.sites.get(asked.thing.keys.first()?.as_str())?;
            let pieces = site.measures.iter().filter(|(_, piece)| !piece.retired);
            Some(
                pieces
                    .map(|(key, piece)| {
                        named(
                            key,
                            estate.measures.get(&piece.kind).map_or(&piece.kind, |kind| &kind.name),
                        )
                    })
                    .collect(),
            )
        }
        _ => None,
    }
}

/// What flushing cannot show after changes of product.
pub fn allergens(all: &[AllergenReport]) -> Markup {
    html! {
        @if !all.is_empty() {
            section class="warn" aria-labelledby="allergens" {
                h2 id="allergens" { "What flushing cannot show" }
                ul { @for one in all { li { "Line " (one.line) ": " (sentence(&one.words)) } } }
                p { (allergen_caution()) }
            }
        }
    }
}

/// What would change.
pub fn check(
    asked: &Asked,
    named: &Thing,
    changes: &Plan,
    allergens_after: &[AllergenReport],
) -> Markup {
    let at = format!("/setup/{}", asked.thing.path());
    let retires = changes.count(Change::Retire) > 0;
    let body = html! {
        (asked.above())
        h1 { "Check before it is recorded" }
        @if changes.changes.is_empty() {
            p { "Nothing changes: it is as the form says." }
        } @else {
            ul { @for change in &changes.changes { li { (change) } } }
            (allergens(allergens_after))
            @if retires { p class="warn" { "Nothing is deleted: what is out of use keeps its history, and can be brought back." } }
        }
        form method="post" action=(at) {
            input type="hidden" name="seen" value=(asked.mark);
            @if asked.thing.is_new() { input type="hidden" name="key" value=(named.keys.last().map_or("", String::as_str)); }
            @for (name, text) in &asked.texts { input type="hidden" name=(name) value=(text); }
            ul class="acts" {
                @if !changes.changes.is_empty() { li { button name="act" value="keep" { "Record it" } } }
                li { button class="plain" name="act" value="change" { "Change something" } }
            }
        }
    };
    layout::page("Check before it is recorded", Some(Place::SetUp), &body)
}
