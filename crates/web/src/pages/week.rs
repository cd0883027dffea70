//! *This week*: the lines that need a decision, worst first, each with its reason and one act.

use axum::Router;
use axum::extract::rejection::QueryRejection;
use axum::extract::{Query, State};
use axum::routing::get;
use maud::{Markup, html};
use ouncewise_estate::Group;
use ouncewise_estimate::{Basis, Standing};
use ouncewise_measure::print;
use ouncewise_report::{
    CannotDecide, Counts, MoneyReport, StandsReport, WeekReport, many, week, week_money,
};
use ouncewise_store::Week;
use serde::Deserialize;

use crate::App;
use crate::layout::{Place, page};
use crate::words;
use crate::wrong::{Wrong, sentence};

/// How many lines are listed at first, and with each "more".
const SHOWN: u32 = 10;

/// The most that one page lists.
const MOST: u32 = 200;

pub fn routes() -> Router<App> {
    Router::new().route("/", get(show))
}

#[derive(Debug, Deserialize)]
struct Asked {
    top: Option<u32>,
}

async fn show(
    State(app): State<App>,
    asked: Result<Query<Asked>, QueryRejection>,
) -> Result<Markup, Wrong> {
    let Query(Asked { top }) = asked?;
    let top = top.unwrap_or(SHOWN).clamp(1, MOST);
    let (mut report, week, group) = week(app.store(), None, top, None).await?;
    week_money(app.store(), (&mut report, &week), app.now(), None).await?;
    if report.counts.all() == 0 {
        return Ok(page("This week", Some(Place::Week), &nothing_yet(report.behind)));
    }
    let listed = week.rows.len();
    let body = html! {
        h1 { (report.group) ": this week" }
        (counts(&report.counts))
        (behind(report.behind))
        h2 { "Lines that need a decision, worst first" }
        (worst(&week, &report, &group))
        ul class="acts" {
            @if listed as u64 == u64::from(top) && report.counts.all() > u64::from(top) && top < MOST {
                li { a class="button plain" href={ "/?top=" ((top * 2).min(MOST)) } { "Show more lines" } }
            }
            li { a class="button plain" href="/sites" { "All sites" } }
            li data-print="Print this list" {}
        }
        (cannot_decide(&report.cannot_decide))
    };
    Ok(page("This week", Some(Place::Week), &body))
}

/// What to do while there is nothing in it.
fn nothing_yet(behind: u64) -> Markup {
    html! {
        h1 { "Nothing is in here yet" }
        (self::behind(behind))
        p { "Ouncewise turns what a crew reads off a cup and a stopwatch into a verdict with its doubt, and says which lines need a decision this week." }
        ul class="acts" {
            li { a class="button" href="/bring" { "Bring in a sheet" } }
            li { a class="button plain" href="/setup" { "Set up by hand" } }
            li { a class="button plain" href="/calculate" { "Calculate one catch" } }
        }
        h2 { "Which way in?" }
        dl class="facts" {
            dt { "You keep a spreadsheet" }
            dd { "Bring it in as it is, with your own headings. You see how it is read before anything is kept, and can take it back." }
            dt { "You have nothing written down" }
            dd { "Set up one site, one machine and its lines, print the machine’s sheet, and key in what the crew wrote." }
            dt { "You only want to look" }
            dd { "Close this program and start it as " code { "ouncewise demo" } ": a made-up group of 24 sites with a year of history." }
        }
    }
}

/// How the lines in use stand.
pub fn counts(counts: &Counts) -> Markup {
    let Counts { on_target, off_target, undecided, without_verdict } = *counts;
    html! {
        ul class="counts" aria-label={ "Of " (many(counts.all(), "line")) " in use" } {
            @for (n, words) in [(off_target, "off target"), (undecided, "undecided"), (on_target, "on target"), (without_verdict, "without a verdict")] {
                li { span class="number" { (n) } " " (words) }
            }
            li class="muted" { "of " (many(counts.all(), "line")) " in use" }
        }
    }
}

/// Says where figures are older than the records.
pub fn behind(machines: u64) -> Markup {
    html! {
        @if machines > 0 {
            p class="warn" role="status" {
                "Still being brought up to date: " (many(machines, "machine")) ". Look again in a moment."
            }
        }
    }
}

/// Lines as a list, worst first, each with where it is and what it costs.
pub fn worst(week: &Week, report: &WeekReport, group: &Group) -> Markup {
    html! {
        ol class="worst" {
            @for (standing, line) in week.rows.iter().map(|row| &row.standing).zip(&report.lines) {
                li {
                    h3 {
                        a href=(words::line_page(&standing.address)) {
                            (standing.line) " · " (standing.machine) ", " (standing.site)
                        }
                    }
                    div class="picture" { (words::picture(standing, group.units)) }
                    p { (shows(standing, group.risk.fraction())) }
                    p { (sentence(&standing.reason.words(group.units))) }
                    p class="act" { (sentence(&standing.advice.words(group.units))) }
                    (why(standing, group))
                    @if let Some(costs) = line.money.as_ref().and_then(MoneyReport::words) {
                        p class="muted" { (sentence(&costs)) }
                    } @else if let Some(cost) = &standing.over_per_100 {
                        p class="muted" { "Costs " (cost) " of product for each 100 portions." }
                    }
                }
            }
        }
    }
}

/// The verdict with how far off and how sure, and from when.
pub fn shows(standing: &Standing, risk: f64) -> Markup {
    let latest = standing.latest.as_ref();
    let verdict = standing.verdict;
    html! {
        (words::verdict(verdict))
        @if verdict.is_some() {
            @if let Some(off) = standing.deviation() { ", " (print::signed_percent(off)) }
            @if let Some(likely) = words::likely(standing.probability_on_target, risk) { " (" (likely) ")" }
            @if standing.basis == Basis::History { " by its history" }
        }
        @if let Some(latest) = latest {
            span class="muted" { ", caught " (words::day(&latest.at)) }
        }
    }
}

/// What an advice rests on, opened by whoever asks: the two statements with their numbers.
pub fn why(standing: &Standing, group: &Group) -> Markup {
    let Some(history) = &standing.history else { return html! {} };
    let unit = standing
        .latest
        .as_ref()
        .and_then(|latest| latest.shown.as_ref())
        .map_or("mL", |shown| &shown.unit);
    let (risk, units) = (group.risk.fraction(), group.units);
    let stands = StandsReport::new(&history.stands, unit);
    let catch = standing.catch_says();
    html! {
        details class="why" {
            summary { "Why?" }
            p {
                strong { "This catch shows" } ": " (words::verdict(catch.verdict))
                @if let Some(likely) = words::likely(catch.probability_on_target, risk) { " (" (likely) ")" }
                @if catch.reason != standing.reason { ". " (sentence(&catch.reason.words(units))) } @else { "." }
            }
            p { strong { "The line stands" } ": " (sentence(&stands.verdict_words(risk, units))) " " (stands.ahead_words(risk)) }
            @for guard in &history.stands.guards { p class="muted" { (sentence(guard)) } }
            p class="muted" {
                "As of its machine’s last visit. How its family behaves: " (history.parameters) ". "
                a href="/docs/estimate" { "How this is reckoned, and where it can be wrong" }
            }
        }
    }
}

/// Measures with which no number of catches can decide, said once.
pub fn cannot_decide(all: &[CannotDecide]) -> Markup {
    html! {
        @if !all.is_empty() {
            h2 { "Measures that cannot decide, however often one catches" }
            ul {
                @for cannot in all {
                    li {
                        a href=(words::site_page(&cannot.site)) { (cannot.site) }
                        ", measure " span class="key" { (cannot.measure) } ": "
                        (many(cannot.lines, "line")) ". " (sentence(&cannot.advice))
                    }
                }
            }
        }
    }
}
