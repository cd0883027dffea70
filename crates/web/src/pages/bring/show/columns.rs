//! The columns of a sheet, each with some of its cells and what it is taken for.

use maud::{Markup, html};
use ouncewise_estate::sheets::mapping::{Column, Means, Question};

use crate::layout::{Fault, beside, described, invalid};
use crate::pages::bring::look::COLUMNS;
use crate::pages::bring::uploads::{Reading, Sheet};
use crate::pages::bring::words::{MEANS, called, from_key, key, short};

/// Columns in a row that are alike: more of them are folded away.
const ALIKE: usize = 4;

/// All columns; of many that are alike, such as one for each week, the first two stand open.
pub fn all(sheet: &Sheet, wrong: &[Fault]) -> Markup {
    let reading = &sheet.reading;
    let columns: Vec<&Column> = reading.mapping.columns.iter().take(COLUMNS).collect();
    let runs: Vec<&[&Column]> = columns.chunk_by(|a, b| alike(a, b)).collect();
    html! {
        @for run in runs {
            @let open = if run.len() < ALIKE { run.len() } else { 2 };
            @for column in run.iter().take(open) { (one(reading, column, wrong)) }
            @if let (Some(first), Some(last)) = (run.get(open), run.last()) {
                @let faulty = run.iter().skip(open).any(|column| is_faulty(column, wrong));
                details open[faulty] {
                    summary { "Columns " (first.letter) " to " (last.letter) " are read in the same way" }
                    @for column in run.iter().skip(open) { (one(reading, column, wrong)) }
                }
            }
        }
        @if reading.mapping.columns.len() > COLUMNS {
            p { "Of the columns after these, each is read as the sheet suggests." }
        }
    }
}

fn is_faulty(column: &Column, wrong: &[Fault]) -> bool {
    wrong.iter().any(|fault| fault.field.ends_with(&format!("-{}", column.letter)))
}

/// Whether two columns differ only in the place or the day of their readings.
fn alike(a: &Column, b: &Column) -> bool {
    (a.means, &a.unit, &a.state) == (b.means, &b.unit, &b.state) && placed(a) && placed(b)
}

/// Whether all readings of a column are of one place or day.
fn placed(c: &Column) -> bool {
    [&c.site, &c.machine, &c.line, &c.called, &c.date].into_iter().any(Option::is_some)
}

/// The question what a column holds, where its heading does not tell.
fn question<'r>(reading: &'r Reading, column: &Column) -> Option<&'r Question> {
    reading.mapping.question(&format!("column {}", column.letter))
}

fn one(reading: &Reading, column: &Column, wrong: &[Fault]) -> Markup {
    let letter = column.letter.as_str();
    let open = question(reading, column);
    let means = open
        .and_then(|q| from_key(q.answer.as_deref().unwrap_or(&q.default)))
        .unwrap_or(column.means);
    // Seconds and doses belong to the readings beside them; only what their own heading says is worth a field.
    let runs = matches!(means, Means::Seconds | Means::Doses);
    let cells = reading.cells.get(letter).map(Vec::as_slice).unwrap_or_default();
    html! {
        fieldset class="line-form" {
            legend { (called(column)) }
            p class="hint" {
                @if cells.is_empty() { "No cell is filled" } @else { "Such as " (cells.join(" · ")) }
                @if open.is_none() && !column.because.is_empty() { ". Taken so: " (short(&column.because, 200)) }
            }
            @if open.is_some() { p class="warn" { "Neither the heading nor the cells tell what this is. Say what it holds, or leave it as it is." } }
            div class="row" {
                (choose(&format!("means-{letter}"), &format!("What column {letter} holds"), wrong, |selected| html! {
                    @for (group, list) in MEANS {
                        optgroup label=(group) {
                            @for (one, words) in list { option value=(key(*one)) selected[selected(*one == means)] { (words) } }
                        }
                    }
                }))
                @if matches!(means, Means::Amount | Means::Water | Means::Target | Means::Temperature) {
                    (text(&format!("unit-{letter}"), &format!("Unit of column {letter}"), column.unit.as_deref(), wrong))
                }
                @if means == Means::Amount || (runs && column.state.is_some()) {
                    (choose(&format!("state-{letter}"), &format!("Column {letter}, before or after"), wrong, |selected| html! {
                        option value="" selected[selected(column.state.is_none())] { "The row says, or nothing does" }
                        option value="as-found" selected[selected(column.state.as_deref() == Some("as-found"))] { "Before (as found)" }
                        option value="as-left" selected[selected(column.state.as_deref() == Some("as-left"))] { "After (as left)" }
                    }))
                }
                @if matches!(means, Means::Site | Means::SiteNumber | Means::Machine | Means::Serial | Means::Line | Means::Date) {
                    (choose(&format!("fill-{letter}"), &format!("An empty cell of column {letter}"), wrong, |selected| html! {
                        option value="no" selected[selected(!column.fill_down)] { "is empty" }
                        option value="yes" selected[selected(column.fill_down)] { "repeats the one above" }
                    }))
                }
            }
            @if matches!(means, Means::Amount | Means::Done | Means::Adjusted) || (runs && placed(column)) { (places(column, wrong)) }
        }
    }
}

/// What all readings of a column share.
fn places(column: &Column, wrong: &[Fault]) -> Markup {
    let shared = [
        ("site", "Site", &column.site),
        ("machine", "Machine", &column.machine),
        ("line", "Line", &column.line),
        ("date", "Day", &column.date),
    ];
    let told: Vec<String> = shared
        .iter()
        .filter_map(|(_, words, text)| {
            Some(format!("{} {}", words.to_lowercase(), short(text.as_deref()?, 60)))
        })
        .collect();
    html! {
        details open[is_faulty(column, wrong)] {
            summary {
                @if told.is_empty() { "All of one site, machine, line or day?" } @else { "All of " (told.join(", ")) }
            }
            @if let Some(called) = &column.called {
                p class="hint" { "“" (short(called, 80)) "” in its heading may be a site, a machine or a line: say so below for all such columns, or write it here." }
            }
            div class="row" {
                @for (what, words, value) in shared {
                    (text(&format!("{what}-{}", column.letter), &format!("{words} of column {}", column.letter), value.as_deref(), wrong))
                }
            }
        }
    }
}

fn choose(
    id: &str,
    label: &str,
    wrong: &[Fault],
    options: impl Fn(fn(bool) -> bool) -> Markup,
) -> Markup {
    html! {
        div class="field" {
            label for=(id) { (label) }
            (beside(wrong, id))
            select id=(id) name=(id) aria-describedby=[described(wrong, id, false)] aria-invalid=[invalid(wrong, id)] {
                (options(|is| is))
            }
        }
    }
}

fn text(id: &str, label: &str, value: Option<&str>, wrong: &[Fault]) -> Markup {
    html! {
        div class="field" {
            label for=(id) { (label) }
            (beside(wrong, id))
            input type="text" class="short" id=(id) name=(id) value=(value.unwrap_or_default()) autocomplete="off" aria-describedby=[described(wrong, id, false)] aria-invalid=[invalid(wrong, id)];
        }
    }
}
