//! What would become of a sheet: records, what is set up, and every row that does not go in.

use std::collections::BTreeMap;

use maud::{Markup, html};
use ouncewise_report::{RowsReport, many};
use uuid::Uuid;

use super::Shown;
use crate::layout::{beside, described};
use crate::pages::bring::look::holds_readings;
use crate::pages::bring::tried::{Group, Tried};
use crate::wrong::sentence;

/// The most things that are listed by name.
const LISTED: usize = 200;

/// What would become of it, and the button that keeps it.
pub fn all(shown: &Shown<'_>) -> Markup {
    html! {
        section id="result" tabindex="-1" aria-labelledby="result-words" aria-describedby=[described(shown.wrong, "result", false)] {
            h2 id="result-words" { "What would become of it" }
            (beside(shown.wrong, "result"))
            @match &shown.tried {
                None => p { "Mend what is wrong above, and read it again: then it stands here." },
                Some(tried) => (outcome(shown, tried)),
            }
        }
    }
}

fn outcome(shown: &Shown<'_>, tried: &Tried) -> Markup {
    let rows = &tried.rows;
    let id = shown.id;
    html! {
        ul class="counts" aria-label={ "Of " (many(rows.rows, "row")) } {
            @for (count, words) in [
                (rows.records, if rows.records == 1 { "record" } else { "records" }),
                (rows.refused, "refused"),
                (rows.listed, "with nothing to load"),
            ] {
                li { span class="number" { (count) } " " (words) }
            }
            li class="muted" { "from " (many(rows.rows, "row")) }
        }
        @if !tried.samples.is_empty() {
            h3 { "Understood like this" }
            ul { @for sample in &tried.samples { li { (sample) } } }
        }
        (sets_up(&tried.sets_up))
        (groups("Refused", &tried.refused))
        (far(rows))
        (groups("Nothing to load", &tried.nothing))
        @if rows.refused + rows.listed > 0 { (download(id)) }
        @if rows.records > 0 {
            p { "Nothing is kept until you press this. It can be taken back." }
            p { button name="act" value="keep" { "Keep " (these(rows.records)) } }
        } @else if shown.sheet.reading.mapping.columns.iter().any(holds_readings) {
            p class="warn" { "No row can be read as a record in this way. The reasons stand above." }
        } @else {
            p class="warn" { "No column is taken for readings. Say above which one holds the amounts caught, or the ticks." }
        }
    }
}

fn these(records: u64) -> String {
    let which = if records == 1 { "this" } else { "these" };
    format!("{which} {}", many(records, "record"))
}

fn download(id: Uuid) -> Markup {
    html! {
        p { a href={ "/bring/" (id) "/refused.csv" } download="refused.csv" { "All rows that do not go in, with the reasons (CSV)" } }
    }
}

/// What is set up for it: how many of each sort, and each by name.
fn sets_up(all: &[(String, String)]) -> Markup {
    let mut sorts: BTreeMap<&str, usize> = BTreeMap::new();
    for (sort, _) in all {
        *sorts.entry(sort).or_default() += 1;
    }
    let counts: Vec<String> = sorts
        .iter()
        .map(|(sort, count)| match *sort {
            "group" => "the group".to_owned(),
            "family" if *count > 1 => format!("{count} families"),
            "kind of measure" if *count > 1 => format!("{count} kinds of measure"),
            sort => many(*count, sort),
        })
        .collect();
    html! {
        @if !all.is_empty() {
            h3 { "Set up for it" }
            p { (counts.join(", ")) "." }
            details {
                summary { "Each by its name" }
                ul { @for (sort, which) in all.iter().take(LISTED) { li { (sort) " " span class="key" { (which) } } } }
                @if all.len() > LISTED { p { "and " (all.len() - LISTED) " more" } }
            }
        }
    }
}

/// Readings that go in, and should be looked at.
fn far(rows: &RowsReport) -> Markup {
    const SHOWN: usize = 20;
    html! {
        @if rows.far_off > 0 {
            h3 { "Far off the target: " (rows.far_off) }
            p { "They go in as they were read. Mend what is a slip in the sheet, and bring it in again." }
            ul { @for one in rows.far.iter().take(SHOWN) { li { "row " (one.row) ", line " span class="key" { (one.line) } ": " (one.words) } } }
            @if rows.far_off > SHOWN as u64 { p { "and " (rows.far_off - SHOWN as u64) " more" } }
        }
    }
}

fn groups(heading: &str, groups: &[Group]) -> Markup {
    html! {
        @if !groups.is_empty() {
            h3 { (heading) }
            @for group in groups {
                details {
                    summary { (sentence(&group.why)) " " (group.count) }
                    ul {
                        @for refusal in &group.first {
                            li {
                                @if refusal.row > 0 { "row " (refusal.row) @if let Some(column) = &refusal.column { ", column " (column) } ": " }
                                (refusal.reason)
                            }
                        }
                        @if group.count > group.first.len() as u64 { li { "and " (group.count - group.first.len() as u64) " more" } }
                    }
                    @if let Some(hint) = group.first.first().and_then(|refusal| refusal.hint.as_deref()) { p { (sentence(hint)) } }
                }
            }
        }
    }
}
