//! The pages of bringing in a sheet.

use std::collections::BTreeMap;

use maud::{Markup, html};
use ouncewise_estate::sheets::mapping::{Column, Means, Question};
use ouncewise_report::{LoadReport, RefusalReport, RowsReport, many};
use uuid::Uuid;

use super::keep::Tried;
use super::uploads::{LARGEST, Sheet};
use super::words::{MEANS, key};
use crate::layout::{Fault, Place, beside, described, faults, invalid, page, titled, trail};
use crate::words;

/// Cells of a column that are shown.
const CELLS: usize = 3;

/// Rows that are shown for each reason.
const ROWS: usize = 5;

/// Where a file is chosen, and what was brought in before.
pub fn begin(loads: &[LoadReport], wrong: &[Fault]) -> Markup {
    let body = html! {
        (faults(wrong))
        h1 { "Bring in a sheet" }
        p { "Your own spreadsheet, with your own headings. You see how it is read, and what would become of each row, before anything is kept; and you can take it back." }
        form method="post" action="/bring" enctype="multipart/form-data" {
            div class="field" {
                label for="sheet" { "The file" }
                p class="hint" id="sheet-hint" { "CSV or XLSX, up to " (LARGEST >> 20) " MB" }
                (beside(wrong, "sheet"))
                input type="file" id="sheet" name="sheet" accept=".csv,.tsv,.txt,.xlsx" aria-describedby=[described(wrong, "sheet", true)] aria-invalid=[invalid(wrong, "sheet")];
            }
            button { "Look at it" }
        }
        h2 { "Two shapes that it knows" }
        (example("A catch a row", &["Site", "Line", "Date", "Before (ml)", "Seconds"], &[&["Fern Hollow", "Gooseberry", "2 Mar", "31", "7"], &["Fern Hollow", "Gooseberry", "9 Mar", "OK", ""]]))
        (example("A line a row, and a column for each week", &["Flavour", "2 Mar", "9 Mar", "16 Mar"], &[&["Gooseberry", "31", "30.5", "30"], &["Smoked honey", "29", "33", "OK"]]))
        p { "Other shapes work too; what cannot be read is listed with its reason. A cell that says only “OK” becomes a claim: it counts for the calendar, and not as evidence." }
        h2 id="loads" { "What was brought in" }
        (brought(loads))
    };
    page(&titled("Bring in a sheet", wrong), Some(Place::Bring), &body)
}

fn example(caption: &str, head: &[&str], rows: &[&[&str]]) -> Markup {
    html! {
        div class="scroll" tabindex="0" role="region" aria-label=(caption) {
            table {
                caption { (caption) }
                thead { tr { @for cell in head { th scope="col" { (cell) } } } }
                tbody { @for row in rows { tr { @for cell in *row { td { (cell) } } } } }
            }
        }
    }
}

fn brought(loads: &[LoadReport]) -> Markup {
    html! {
        @if loads.is_empty() { p { "Nothing yet." } }
        @else {
            div class="scroll" tabindex="0" role="region" aria-label="What was brought in" {
                table {
                    thead { tr { th scope="col" { "File" } th scope="col" { "When" } th scope="col" class="number" { "Records" } th scope="col" { "Take back" } } }
                    tbody {
                        @for load in loads {
                            tr {
                                th scope="row" { (load.name) }
                                td { (words::when(&load.at)) }
                                td class="number" { (load.added) }
                                td {
                                    @match &load.withdrawn_at {
                                        Some(at) => { "withdrawn " (words::when(at)) }
                                        None => a href={ "/bring/back/" (load.id) } { "Take back" span class="unseen" { " " (load.name) } },
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// How a sheet is read, and what would become of it.
pub fn reading(id: Uuid, sheet: &Sheet, tried: &Tried, wrong: &[Fault]) -> Markup {
    let title = format!("How {} is read", sheet.name);
    let body = html! {
        (trail(&[("/bring", "Bring in a sheet")]))
        (faults(wrong))
        h1 { (title) }
        p {
            "Nothing is kept yet. "
            @if sheet.known { "A sheet with the same headings was brought in before: this one is read the same way. " }
            a href="#result" { "What would become of it" } " stands at the end."
        }
        @if !sheet.others.is_empty() { (other_sheets(id, sheet)) }
        form method="post" action={ "/bring/" (id) } novalidate data-keep {
            h2 { "Its columns" }
            (columns(sheet, wrong))
            @if !sheet.mapping.questions.is_empty() {
                h2 { "What the sheet does not tell" }
                p { "The likeliest answer is chosen. Look at each." }
                @for (nth, question) in sheet.mapping.questions.iter().enumerate() { (ask(nth, question, wrong)) }
            }
            p { button class="plain" name="act" value="look" { "Read it so" } }
            (result(id, sheet, tried))
        }
    };
    page(&titled(&title, wrong), Some(Place::Bring), &body)
}

fn other_sheets(id: Uuid, sheet: &Sheet) -> Markup {
    html! {
        form method="post" action={ "/bring/" (id) } {
            div class="row" {
                div class="field" {
                    label for="other-sheet" { "This workbook has other sheets" }
                    p class="hint" id="other-sheet-hint" { "One is read at a time; now " (sheet.which.as_deref().unwrap_or("the first")) }
                    select id="other-sheet" name="other-sheet" aria-describedby="other-sheet-hint" {
                        @for other in &sheet.others { option value=(other) { (other) } }
                    }
                }
            }
            p { button class="plain" name="act" value="other" { "Read that sheet instead" } }
        }
    }
}

fn columns(sheet: &Sheet, wrong: &[Fault]) -> Markup {
    html! {
        div class="scroll" tabindex="0" role="region" aria-label="Columns of the sheet" {
            table {
                thead { tr { @for words in ["Column", "For example", "Is read as", "Unit", "Because"] { th scope="col" { (words) } } } }
                tbody {
                    @for column in &sheet.mapping.columns {
                        tr {
                            th scope="row" { (column.letter) ": " (column.heading) }
                            td { (cells(sheet, column).join(" · ")) }
                            td { (meaning(column, wrong)) }
                            td {
                                @if matches!(column.means, Means::Amount | Means::Water | Means::Target) {
                                    label class="unseen" for={ "unit-" (column.letter) } { "Unit of column " (column.letter) }
                                    input type="text" class="short" id={ "unit-" (column.letter) } name={ "unit-" (column.letter) } value=(column.unit.as_deref().unwrap_or_default()) autocomplete="off";
                                }
                            }
                            td { (because(column)) }
                        }
                    }
                }
            }
        }
    }
}

fn meaning(column: &Column, wrong: &[Fault]) -> Markup {
    let id = format!("means-{}", column.letter);
    html! {
        label class="unseen" for=(id) { "What column " (column.letter) " holds" }
        (beside(wrong, &id))
        select id=(id) name=(id) aria-invalid=[invalid(wrong, &id)] aria-describedby=[described(wrong, &id, false)] {
            @for (means, words) in MEANS {
                option value=(key(means)) selected[means == column.means] { (words) }
            }
        }
    }
}

/// Why a column is taken for what it is, and what all its readings share.
fn because(column: &Column) -> String {
    let shared = [&column.site, &column.machine, &column.line, &column.date, &column.state];
    let shared: Vec<&str> = shared.into_iter().flatten().map(String::as_str).collect();
    match (shared.is_empty(), column.because.as_str()) {
        (true, because) => because.to_owned(),
        (false, "") => format!("all of it: {}", shared.join(", ")),
        (false, because) => format!("{because}; all of it: {}", shared.join(", ")),
    }
}

fn cells<'s>(sheet: &'s Sheet, column: &Column) -> Vec<&'s str> {
    let number = column.letter.bytes().fold(0usize, |sum, b| {
        sum.saturating_mul(26).saturating_add(usize::from(b.saturating_sub(b'A')) + 1)
    });
    let below = sheet.mapping.heading_row + sheet.mapping.heading_rows;
    let mut cells: Vec<&str> = Vec::new();
    for row in sheet.seen.iter().filter(|row| row.number >= below) {
        let cell = row.get(number.saturating_sub(1)).trim();
        if !cell.is_empty() && !cells.contains(&cell) {
            cells.push(cell);
        }
        if cells.len() == CELLS {
            break;
        }
    }
    cells
}

fn ask(nth: usize, question: &Question, wrong: &[Fault]) -> Markup {
    let id = format!("answer-{nth}");
    let chosen = question.answer.as_deref().unwrap_or(&question.default);
    let details = html! {
        @if let Some(because) = &question.because { p class="hint" { "Taken so because " (because) } }
        @if !question.sample.is_empty() { p class="hint" { (question.sample.join(" · ")) } }
        (beside(wrong, &id))
    };
    html! {
        @if question.choices.is_empty() {
            div class="field" {
                label for=(id) { (question.asks) }
                (details)
                input type="text" id=(id) name=(id) value=(chosen) autocomplete="off" aria-invalid=[invalid(wrong, &id)] aria-describedby=[described(wrong, &id, false)];
            }
        } @else if question.choices.len() <= 5 {
            fieldset id=(id) {
                legend { (question.asks) }
                (details)
                @for (at, choice) in question.choices.iter().enumerate() {
                    label class="choice" for={ (id) "-" (at) } {
                        input type="radio" id={ (id) "-" (at) } name=(id) value=(choice) checked[choice == chosen];
                        (choice)
                    }
                }
            }
        } @else {
            div class="field" {
                label for=(id) { (question.asks) }
                (details)
                select id=(id) name=(id) aria-invalid=[invalid(wrong, &id)] aria-describedby=[described(wrong, &id, false)] {
                    @for choice in &question.choices { option value=(choice) selected[choice == chosen] { (choice) } }
                }
            }
        }
    }
}

fn result(id: Uuid, sheet: &Sheet, tried: &Tried) -> Markup {
    html! {
        section id="result" aria-labelledby="result-words" {
            h2 id="result-words" { "What would become of it" }
            p { (tried.rows.summary()) "." }
            @if !tried.sets_up.is_empty() { (sets_up(&tried.sets_up)) }
            @if !tried.samples.is_empty() {
                h3 { "Read like this" }
                ul { @for sample in &tried.samples { li { (sample) } } }
            }
            (reasons("Refused", &tried.rows.refusals, tried.rows.refused))
            (reasons("With nothing to load", &tried.rows.listings, tried.rows.listed))
            @if tried.rows.refused + tried.rows.listed > 0 {
                p { a href={ "/bring/" (id) "/left-out.csv" } { "All rows that do not go in, as a file" } }
            }
            @if sheet.kept.is_some() {
                p { "This sheet was kept. " a href={ "/bring/" (id) "/kept" } { "What became of it" } }
            } @else if tried.rows.records > 0 {
                p { button name="act" value="keep" { "Keep these " (many(tried.rows.records, "record")) } }
            } @else {
                p class="warn" { "Nothing here can be read as a record yet. Say above what each column holds." }
            }
        }
    }
}

/// What is set up from the sheet: how many of each sort, and each by name.
fn sets_up(changes: &[String]) -> Markup {
    let mut sorts: BTreeMap<&str, usize> = BTreeMap::new();
    for change in changes {
        let sort = change.split_whitespace().nth(1).unwrap_or("thing").trim_end_matches(':');
        *sorts.entry(sort).or_default() += 1;
    }
    let list: Vec<String> = sorts.iter().map(|(sort, n)| many(*n, sort)).collect();
    html! {
        p { "Set up from this sheet, as the group does not have it yet: " (list.join(", ")) "." }
        details {
            summary { "Each of them" }
            ul { @for change in changes { li { (change) } } }
        }
    }
}

/// Rows that do not go in, by reason.
fn reasons(heading: &str, rows: &[RefusalReport], count: u64) -> Markup {
    let mut by_code: BTreeMap<&str, Vec<&RefusalReport>> = BTreeMap::new();
    for row in rows {
        by_code.entry(&row.code).or_default().push(row);
    }
    let mut by_code: Vec<_> = by_code.into_iter().collect();
    by_code.sort_by_key(|(_, rows)| std::cmp::Reverse(rows.len()));
    html! {
        @if count > 0 {
            h3 { (heading) ": " (count) }
            @for (code, rows) in by_code {
                details {
                    summary { (code.replace('-', " ")) ": " (rows.len()) }
                    ul { @for row in rows.iter().take(ROWS) { li { (row) } } }
                    @if rows.len() > ROWS { p { "… and " (rows.len() - ROWS) " more." } }
                }
            }
        }
    }
}

/// What became of a sheet that was kept.
pub fn kept(sheet: &Sheet, report: &RowsReport, load: Option<&LoadReport>) -> Markup {
    let body = html! {
        (trail(&[("/bring", "Bring in a sheet")]))
        h1 { (sheet.name) " is in" }
        div class="said" role="status" { p { (report.summary()) "." } }
        ul class="acts" {
            li { a class="button" href="/" { "This week" } }
            li { a class="button plain" href="/sites" { "All sites" } }
            li { a class="button plain" href="/setup" { "Look at what was set up" } }
            @if let Some(load) = load.filter(|load| load.withdrawn_at.is_none() && load.name == sheet.name) {
                li { a class="button plain" href={ "/bring/back/" (load.id) } { "Take it back" } }
            }
        }
        p { "What a sheet rarely tells is what the crew reads with and how far off still serves: look at these under Set up, for without them no catch can be judged rightly." }
    };
    page(&format!("{} is in", sheet.name), Some(Place::Bring), &body)
}

/// Before a load is taken back.
pub fn take_back(load: &LoadReport) -> Markup {
    let title = format!("Take back {}?", load.name);
    let body = html! {
        (trail(&[("/bring", "Bring in a sheet")]))
        h1 { (title) }
        @match &load.withdrawn_at {
            Some(at) => p { "It was taken back " (words::when(at)) "." },
            None => {
                p { (many(load.added, "record")) " will be marked as withdrawn, and count no more. They stay in the ledger, and the file can be brought in again. What was set up from it stays: change it under Set up." }
                form method="post" action={ "/bring/back/" (load.id) } {
                    ul class="acts" {
                        li { button class="away" { "Withdraw " (many(load.added, "record")) } }
                        li { a class="button plain" href="/bring" { "Leave it" } }
                    }
                }
            }
        }
    };
    page(&title, Some(Place::Bring), &body)
}
