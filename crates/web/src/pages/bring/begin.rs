//! The page where a file is chosen, what was brought in before, and taking it back.

use maud::{Markup, html};
use ouncewise_report::many;
use uuid::Uuid;

use super::keep::Brought;
use super::uploads::{HELD, LARGEST};
use crate::layout::{
    Fault, Place, beside, described, faults, invalid, page as whole, titled, trail,
};

/// How many are listed at once.
const LISTED: usize = 50;

/// Where a file is chosen, and what was brought in before, from the `from`th on.
pub fn page(brought: &[Brought], from: usize, wrong: &[Fault]) -> Markup {
    let body = html! {
        (faults(wrong))
        h1 { "Bring in a sheet" }
        p { "Your own spreadsheet, with your own headings. You see how it is read, and what becomes of each row, before anything is kept; and you can take it back." }
        form method="post" action="/bring" enctype="multipart/form-data" novalidate {
            div class="field" {
                label for="sheet" { "The file" }
                p class="hint" id="sheet-hint" { "CSV or XLSX, up to " (LARGEST >> 20) " MB, without a password" }
                (beside(wrong, "sheet"))
                input type="file" id="sheet" name="sheet" accept=".csv,.tsv,.txt,.xlsx,.xlsm" aria-describedby=[described(wrong, "sheet", true)] aria-invalid=[invalid(wrong, "sheet")];
            }
            button { "Look at it" }
        }
        h2 { "What kinds of sheet work" }
        p { "One with a row of headings, in any order and in your own words. These are the two usual shapes:" }
        (example(
            "A catch a row",
            &["Date", "Store", "Flavour", "Before (ml)", "After (ml)", "Secs", "Who"],
            &[
                &["02/03/2026", "Fern Hollow", "Gooseberry", "28.1", "30.2", "7.1", "AB"],
                &["02/03/2026", "Fern Hollow", "Smoked honey", "OK", "", "", "AB"],
                &["03/03/2026", "Moss Gate", "Gooseberry", "> 30", "", "7", "CD"],
            ],
        ))
        (example(
            "A line a row, with weeks as columns",
            &["Fern Hollow", "2 Mar", "9 Mar", "16 Mar", "23 Mar"],
            &[
                &["Gooseberry", "29.6 ml", "30.1 ml", "30 ml", "28.9 ml"],
                &["Smoked honey", "33", "31.5", "OK", "n/a"],
            ],
        ))
        p { "Titles, blank rows, totals and notes may stand among them. A cell that says only “OK” counts for the calendar, and is no evidence of a portion. What cannot be read is listed with its reason; nothing is dropped unsaid." }
        h2 id="brought" { "What was brought in" }
        (list(brought, from))
    };
    whole(&titled("Bring in a sheet", wrong), Some(Place::Bring), &body)
}

fn example(caption: &str, head: &[&str], rows: &[&[&str]]) -> Markup {
    html! {
        div class="scroll" tabindex="0" role="region" aria-label=(caption) {
            table {
                caption { (caption) }
                thead { tr { @for cell in head { th scope="col" { (cell) } } } }
                tbody {
                    @for row in rows { tr { @for cell in *row { td { (cell) } } } }
                }
            }
        }
    }
}

fn list(brought: &[Brought], from: usize) -> Markup {
    let shown = brought.iter().skip(from).take(LISTED);
    html! {
        @if brought.is_empty() { p { "Nothing yet." } }
        @else {
            div class="scroll" tabindex="0" role="region" aria-label="What was brought in" {
                table {
                    thead { tr {
                        th scope="col" { "File" }
                        th scope="col" { "When" }
                        th scope="col" class="number" { "Records" }
                        th scope="col" { "Taking it back" }
                    } }
                    tbody {
                        @for one in shown {
                            tr {
                                th scope="row" { (one.name) }
                                td { (one.at) }
                                td class="number" { (one.added) }
                                td {
                                    @match &one.back {
                                        Some(at) => { "taken back " (at) },
                                        None => a href={ "/bring/back/" (one.id) } { "Take back" span class="unseen" { " " (one.name) ", " (one.at) } },
                                    }
                                }
                            }
                        }
                    }
                }
            }
            ul class="acts" {
                @if from > 0 { li { a class="button plain" href={ "/bring?from=" (from.saturating_sub(LISTED)) "#brought" } { "Newer" } } }
                @if brought.len() > from.saturating_add(LISTED) { li { a class="button plain" href={ "/bring?from=" (from + LISTED) "#brought" } { "Older" } } }
            }
        }
    }
}

/// Before a load is taken back, and after. `sheet` is the one that it came from, where that is still held.
pub fn back(brought: &Brought, sheet: Option<Uuid>) -> Markup {
    let records = many(brought.added, "record");
    let title = match brought.back {
        None => format!("Take back {}?", brought.name),
        Some(_) => format!("{} was taken back", brought.name),
    };
    let body = html! {
        (trail(&[("/bring", "Bring in a sheet")]))
        h1 { (title) }
        @match &brought.back {
            None => {
                p { (records) " that came in with it on " (brought.at) " will be marked as withdrawn: " strong { "no verdict and no list counts them any more" } ". They stay in the ledger, for nothing is ever deleted from it." }
                p { "The sites, machines and lines that were set up for it go with it, unless other records are about them: those stay, and are changed under Set up. Records that came in another way stay as they are." }
                form method="post" action={ "/bring/back/" (brought.id) } {
                    ul class="acts" {
                        li { button class="away" { "Take back " (records) } }
                        li { a class="button plain" href="/bring" { "Leave everything as it is" } }
                    }
                }
            }
            Some(at) => {
                div class="said" role="status" { p { (records) " of " (brought.name) " were withdrawn on " (at) ". They stay in the ledger, marked." } }
                p { "The same file can be brought in again, read in another way or mended." }
                ul class="acts" {
                    @if let Some(id) = sheet { li { a class="button" href={ "/bring/" (id) } { "Read this file in another way" } } }
                    li { a class="button plain" href="/bring" { "Bring in a sheet" } }
                    li { a class="button plain" href="/" { "This week" } }
                    li { a class="button plain" href="/records" { "Records" } }
                }
            }
        }
    };
    whole(&title, Some(Place::Bring), &body)
}

/// A sheet is being kept, and that takes a while.
pub fn busy(id: Uuid) -> Markup {
    let title = "Still being brought in";
    let body = html! {
        (trail(&[("/bring", "Bring in a sheet")]))
        h1 { (title) }
        p role="status" { "A long sheet takes some minutes. It goes on, whether you wait here or close this page, and nothing comes in twice." }
        ul class="acts" {
            li { a class="button" href={ "/bring/" (id) "/kept" } { "Look again" } }
            li { a class="button plain" href="/bring" { "What was brought in so far" } }
        }
    };
    whole(title, Some(Place::Bring), &body)
}

/// A sheet is held no longer.
pub fn gone(reading: bool) -> Markup {
    let title = "That file is no longer here";
    let body = html! {
        (trail(&[("/bring", "Bring in a sheet")]))
        h1 { (title) }
        p { "This program holds the last " (HELD) " files that were chosen, and none once it was stopped." }
        @if reading {
            p { strong { "Choose the file again; the reading was kept." } " What you said of its columns is filled in." }
        } @else {
            p { strong { "Choose the file again." } " A reading under which records were kept is remembered, and filled in." }
        }
        ul class="acts" { li { a class="button" href="/bring" { "Choose the file again" } } }
    };
    whole(title, Some(Place::Bring), &body)
}
