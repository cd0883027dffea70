//! The list of procedures, family by family, and the form with which a new one is begun.

use std::collections::BTreeSet;

use maud::{Markup, html};
use ouncewise_estate::Estate;
use ouncewise_report::{Library, ProcedureInList, many, procedures};

use super::page_of;
use super::written::Written;
use crate::layout::{Fault, Place, beside, described, faults, invalid, page as whole, titled};
use crate::words;

/// What "checked" means, wherever it is said.
pub const OF_THE_TEXT: &str = "“Checked” is said of the text, never of a machine: the text holds against the model of its family. It says nothing of how clean a machine is, and not that anybody followed it.";

/// The page.
pub fn page(library: &Library, estate: &Estate, written: &Written, wrong: &[Fault]) -> Markup {
    let all = procedures(library, estate).procedures;
    let written_for: BTreeSet<&str> = all.iter().map(|one| one.family.as_str()).collect();
    let in_use: BTreeSet<&str> = estate
        .sites
        .values()
        .flat_map(|site| site.machines.values().map(|machine| machine.family.as_str()))
        .collect();
    let without: Vec<&str> =
        in_use.iter().filter(|family| !written_for.contains(*family)).copied().collect();
    // What the group's own machines need comes first.
    let mut families: Vec<&str> = written_for.into_iter().collect();
    families.sort_by_key(|family| (!in_use.contains(family), *family));
    let body = html! {
        (faults(wrong))
        h1 { "Procedures" }
        p { "How each family of machines is cleaned, calibrated and mended. A round follows the version in force: what was published last, else what ships with this program." }
        p class="warn" { (OF_THE_TEXT) }
        @for family in families {
            h2 { (called(estate, family)) }
            @if !in_use.contains(family) { p class="muted" { "The group has no machine of this family. These ship as examples to begin with." } }
            @for one in all.iter().filter(|one| one.family == family) { (row(one)) }
        }
        @if !without.is_empty() {
            h2 { "Families without a procedure" }
            p { "A round of their machines follows no written procedure. Begin one below as a copy of what is nearest, and say in the family’s model what differs." }
            ul { @for family in &without { li { (called(estate, family)) } } }
        }
        (begin(&all, estate, written, wrong))
    };
    whole(&titled("Procedures", wrong), Some(Place::Procedures), &body)
}

fn called(estate: &Estate, family: &str) -> String {
    match estate.families.get(family) {
        Some(known) if !known.name.is_empty() => known.name.clone(),
        _ => family.to_owned(),
    }
}

/// What the check says, as a sign and a word.
pub fn verdict(word: &str) -> Markup {
    let (class, sign, words) = match word {
        "checked" => ("on", "✓", "checked"),
        "cannot-be-shown-clean" => ("open", "?", "cannot be shown clean"),
        "not-covered" => ("open", "?", "not all covered"),
        "broken" => ("off", "✗", "does not hold"),
        _ => ("off", "✗", "cannot be read"),
    };
    html! { strong class={ "verdict " (class) } { span class="sign" aria-hidden="true" { (sign) } (words) } }
}

/// Its languages, with what nobody has read over.
pub fn languages(one: &ProcedureInList) -> String {
    let of = one.languages.iter().map(|language| {
        if language.unreviewed {
            format!("{} (safety text unreviewed)", language.language)
        } else {
            language.language.clone()
        }
    });
    of.collect::<Vec<_>>().join(", ")
}

/// What it is called in its other languages.
pub fn titles(one: &ProcedureInList) -> Markup {
    html! {
        @for own in one.languages.iter().filter(|own| own.title != one.title) { p lang=(own.language) { (own.title) } }
    }
}

fn row(one: &ProcedureInList) -> Markup {
    html! {
        section class="line-form" {
            h3 { a href=(page_of(&one.family, &one.name)) { (one.title) } }
            (titles(one))
            p { (one.purpose) }
            p {
                (verdict(&one.verdict))
                " · version " code { (one.short()) }
                @match &one.published {
                    Some(at) => { ", published " (words::day(at)) }
                    None => ", as it ships",
                }
                @if let Some(takes) = &one.takes { " · " (many(usize::try_from(takes.lines).unwrap_or(usize::MAX), "line")) ": " (takes.says) }
                " · " (languages(one))
                " · serves " (many(one.machines, "machine"))
            }
        }
    }
}

fn begin(all: &[ProcedureInList], estate: &Estate, written: &Written, wrong: &[Fault]) -> Markup {
    let text = |id: &str, label: &str, hint: &str, value: &str| {
        html! {
            div class="field" {
                label for=(id) { (label) }
                p class="hint" id={ (id) "-hint" } { (hint) }
                (beside(wrong, id))
                input type="text" id=(id) name=(id) value=(value) autocomplete="off" aria-describedby=[described(wrong, id, true)] aria-invalid=[invalid(wrong, id)];
            }
        }
    };
    let known: Vec<&str> = estate.families.keys().map(ouncewise_estate::Key::as_str).collect();
    let hint = match known.as_slice() {
        [] => "Its key, such as screw-trim".to_owned(),
        [..] if known.len() > 12 => "Its key, as Set up lists it".to_owned(),
        [..] => format!("Its key: {}", known.join(", ")),
    };
    html! {
        h2 { "Write another" }
        form method="post" action="/procedures" novalidate {
            p { "It begins as a copy. Nothing is recorded before you publish it." }
            div class="row" {
                (text("family", "For the family", &hint, &written.family))
                (text("name", "Its key", "Small letters, digits and hyphens, such as monthly-descale", &written.name))
            }
            div class="field" {
                label for="like" { "As a copy of" }
                (beside(wrong, "like"))
                select id="like" name="like" aria-describedby=[described(wrong, "like", false)] aria-invalid=[invalid(wrong, "like")] {
                    @for one in all {
                        @let key = format!("{}/{}", one.family, one.name);
                        option value=(key) selected[written.like == key] { (called(estate, &one.family)) ": " (one.title) }
                    }
                }
            }
            button class="plain" { "Begin" }
        }
    }
}

/// The procedures of a machine's family, for its page.
pub fn of_family(library: &Library, family: &str, machine: &str) -> Markup {
    let all = library.of_family(family);
    html! {
        h2 { "Its procedures" }
        @if all.is_empty() {
            p { "None is written for its family yet. " a href="/procedures" { "Begin one under Procedures" } }
        } @else {
            ul {
                @for one in all {
                    li { a href={ (page_of(&one.family, &one.name)) "?for=" (machine) "#kit" } { (one.title()) } }
                }
            }
        }
    }
}
