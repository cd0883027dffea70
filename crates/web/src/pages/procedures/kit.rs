//! What to bring along, for one procedure and for a whole machine or site.

use maud::{Markup, html};
use ouncewise_report::{KitFollows, KitReport, many};

use super::page_of;
use crate::layout::{Place, page as whole, trail};
use crate::words;

/// What to bring, and how long it takes.
pub fn bring(kit: &KitReport) -> Markup {
    html! {
        p { (kit.says()) }
        ul {
            @for thing in &kit.bring {
                li {
                    @if thing.count > 1 { (thing.count) " × " }
                    (thing.name)
                    @if thing.spare { " (spare: used where the old one is worn)" }
                }
            }
        }
    }
}

/// What to bring to a site, or to one of its machines.
pub fn page(kit: &KitReport, site: &str, machine: Option<&str>) -> Markup {
    let at = machine.map_or_else(|| site.to_owned(), |machine| format!("{site}/{machine}"));
    let title = format!("What to bring: {at}");
    let above = format!("/sites/{site}");
    let body = html! {
        (trail(&[("/sites", "Sites"), (&above, site)]))
        h1 { (title) }
        p { (kit.held_to.says) }
        (bring(kit))
        h2 { "For these procedures" }
        ul { @for one in &kit.follows { li { (follows(one, &at)) } } }
        @if !kit.without.is_empty() {
            h2 { "Nothing is listed for these" }
            p { "No procedure is written for their family." }
            ul { @for machine in &kit.without { li { a href=(words::machine_page(site, machine)) { (machine) } } } }
        }
    };
    whole(&title, Some(Place::Sites), &body)
}

fn follows(one: &KitFollows, at: &str) -> Markup {
    let lines = usize::try_from(one.takes.lines).unwrap_or(usize::MAX);
    html! {
        @match &one.name {
            Some(name) => a href={ (page_of(&one.family, name)) "?for=" (at) "#kit" } { (one.title) ": " (one.family) },
            None => (one.title),
        }
        ", " (many(one.machines, "machine")) " with " (many(lines, "line")) ": " (one.takes.says)
        @if !one.takes.untimed.is_empty() { ". Steps without a time of their own are not counted: " (numbers(&one.takes.untimed)) }
    }
}

/// Numbers of steps, in a row.
pub fn numbers(all: &[usize]) -> String {
    all.iter().map(usize::to_string).collect::<Vec<_>>().join(", ")
}
