//! How a sheet is read, what would become of it, and what became of it.

mod columns;
mod questions;
mod result;

use std::fmt::Write as _;

use maud::{Markup, html};
use ouncewise_estate::Estate;
use ouncewise_report::many;
use uuid::Uuid;

use super::keep::Brought;
use super::tried::Tried;
use super::uploads::{Kept, Sheet};
use super::words::short;
use crate::layout::{Fault, Place, beside, described, faults, invalid, page, titled, trail};
use crate::words;
use crate::wrong::sentence;

/// How many of its sites a kept sheet lists.
const SITES: usize = 24;

/// All that the page of a reading shows.
pub struct Shown<'s> {
    pub id: Uuid,
    pub sheet: &'s Sheet,
    pub estate: &'s Estate,
    /// Nothing, while something is wrong with the reading.
    pub tried: Option<Tried>,
    /// The same file, where it was brought in before.
    pub again: Option<Brought>,
    /// Whether it was to be kept, and the reading was changed at once.
    pub changed: bool,
    pub wrong: &'s [Fault],
}

/// How a sheet is read, and what would become of it.
pub fn reading(shown: &Shown<'_>) -> Markup {
    let Shown { id, sheet, wrong, .. } = shown;
    let title = format!("How {} is read", sheet.file.name);
    let body = html! {
        (trail(&[("/bring", "Bring in a sheet")]))
        (faults(wrong))
        h1 { (title) }
        (notices(shown))
        @if sheet.sheets.len() > 1 { (sheets(*id, sheet, wrong)) }
        form method="post" action={ "/bring/" (id) } novalidate data-keep {
            h2 { "What each column holds" }
            p {
                "The heading is in row " (sheet.reading.mapping.heading_row)
                @if sheet.reading.mapping.heading_rows > 1 { " and the one under it" }
                ". Change what is wrong."
            }
            (columns::all(sheet, wrong))
            (questions::all(shown))
            p { button class="plain" name="act" value="look" { "Read it so" } }
            (result::all(shown))
        }
    };
    page(&titled(&title, wrong), Some(Place::Bring), &body)
}

fn notices(shown: &Shown<'_>) -> Markup {
    html! {
        @if shown.changed {
            p class="warn" role="status" { "You changed how it is read. What becomes of it now stands " a href="#result" { "at the end" } ". Nothing was kept yet." }
        }
        @if let Some(why) = &shown.sheet.stopped {
            p class="warn" role="status" { "Keeping it stopped: " (sentence(why)) " What came in before that is listed under what was brought in. Kept once more, it goes on where it stopped." }
        }
        @if let Some(again) = &shown.again {
            p class="warn" {
                "This very file was brought in on " (again.at) ". Brought in again, it adds nothing that is there already. To read it in another way, "
                a href={ "/bring/back/" (again.id) } { "take that back first" } "."
            }
        }
        @if shown.sheet.reading.known {
            p class="said" { "A sheet with the same headings was brought in before, so this one is read the same way." }
        }
        p { "Nothing is kept yet. What would become of each row stands " a href="#result" { "at the end" } "." }
    }
}

/// Which sheet of the workbook is read.
fn sheets(id: Uuid, sheet: &Sheet, wrong: &[Fault]) -> Markup {
    let which = sheet.which.as_deref();
    html! {
        form method="post" action={ "/bring/" (id) "/other" } novalidate {
            fieldset {
                legend { "Which sheet of the workbook is read?" }
                p class="hint" { "One at a time. To bring in several, choose the file again for each." }
                (beside(wrong, "which"))
                @for (nth, name) in sheet.sheets.iter().enumerate() {
                    // A fault leads to the first.
                    @let own = if nth == 0 { "which".to_owned() } else { format!("which-{nth}") };
                    label class="choice" for=(own) {
                        input type="radio" id=(own) name="which" value=(name) checked[which == Some(name.as_str())] aria-describedby=[described(wrong, "which", false)] aria-invalid=[invalid(wrong, "which")];
                        (short(name, 80))
                    }
                }
                button class="plain" { "Read that sheet" }
            }
        }
    }
}

/// What became of a sheet that was kept.
pub fn kept(id: Uuid, sheet: &Sheet, kept: &Kept) -> Markup {
    let report = &kept.report;
    let title = match report.added {
        0 => format!("Nothing new in {}", sheet.file.name),
        _ => format!("{} is in", sheet.file.name),
    };
    let mut summary = format!("{} read: {} added", many(report.records, "record"), report.added);
    if report.already_there > 0 {
        let _ = write!(summary, ", {} there already", report.already_there);
    }
    let body = html! {
        (trail(&[("/bring", "Bring in a sheet")]))
        h1 { (title) }
        div class="said" role="status" {
            p { strong { (summary) "." } @if kept.set_up > 0 { " " (many(kept.set_up, "thing")) " set up for them: sites, machines, lines and what belongs to them." } }
            @if report.refused > 0 { p { (many(report.refused, "row")) " refused. " a href={ "/bring/" (id) "/refused.csv" } { "All that did not go in, with the reasons (CSV)" } } }
        }
        @if report.conflicts > 0 {
            p class="warn" { (many(report.conflicts, "record")) " say otherwise than what is kept of the same line and day. What came first stands, and these are kept aside. If these are right, take the earlier file back, and bring this one in again." }
        }
        @if let Some(why) = &kept.not_remembered {
            p class="warn" { "The reading could not be remembered for the next sheet: " (why) "." }
        }
        ul class="acts" {
            li { a class="button" href="/" { "See this week" } }
            li { a class="button plain" href="/setup" { "Look at what was set up" } }
            @if let Some(load) = kept.load {
                li { a class="button plain" href={ "/bring/back/" (load) } { "Take it back" } }
            }
        }
        @if !kept.sites.is_empty() {
            h2 { "The sites that it tells of" }
            ul {
                @for (key, name, count) in kept.sites.iter().take(SITES) {
                    li { a href=(words::site_page(key)) { (name) } ", " (many(*count, "record")) }
                }
                @if kept.sites.len() > SITES { li { a href="/sites" { "and " (many(kept.sites.len() - SITES, "more site")) } } }
            }
        }
        p { "What a sheet rarely tells is what the crew reads with, and how far off still serves. Look at both under Set up: without them no catch is judged rightly." }
    };
    page(&title, Some(Place::Bring), &body)
}
