//! One line: what its latest catch shows, its chart, its numbers, and where the doubt comes from.

use axum::Router;
use axum::extract::rejection::PathRejection;
use axum::extract::{Path, State};
use axum::routing::get;
use maud::{Markup, html};
use ouncewise_chart::{self as chart, LineChart, Theme, line_chart, responsive};
use ouncewise_estate::{Address, Estate};
use ouncewise_measure::print;
use ouncewise_measure::showing::{decide, show as judge};
use ouncewise_report::{CatchReport, Told};

use super::history::{history, latest};
use super::week::shows;
use crate::App;
use crate::layout::{Place, page, trail};
use crate::words;
use crate::wrong::{Wrong, sentence};

pub fn routes() -> Router<App> {
    Router::new().route("/sites/{site}/{machine}/{line}", get(show))
}

async fn show(
    State(app): State<App>,
    at: Result<Path<(String, String, String)>, PathRejection>,
) -> Result<Markup, Wrong> {
    let Path((site, machine, line)) = at?;
    let address = Address::new(&site, &machine, &line)?;
    let (estate, known, story) = ouncewise_report::line(app.store(), &address).await?;
    let Some(standing) = &known.standing else {
        return Err(Wrong::missing(
            format!("there is no line `{address}`"),
            "this week lists lines",
        ));
    };
    let history = history(&estate, &address, &standing.line, &story);
    let zone = estate
        .sites
        .get(site.as_str())
        .and_then(|site| site.time_zone.as_ref())
        .unwrap_or(&estate.group.time_zone);
    let picture = LineChart {
        finding: finding(&history),
        until: Some(app.now().to_zoned_datetime(zone.rules()).datetime()),
        history,
    };
    let risk = estate.group.risk.fraction();
    let machine_at = words::machine_page(&site, &machine);
    let title = format!("{} · {}, {}", standing.line, standing.machine, standing.site);
    let body = html! {
        (trail(&[("/sites", "Sites"), (&words::site_page(&site), &standing.site), (&machine_at, &standing.machine)]))
        h1 { (standing.line) }
        @if !standing.in_use { p class="warn" { "This line is not in use." } }
        section aria-labelledby="shows" {
            h2 id="shows" { "This catch shows" }
            p { (shows(standing, risk)) }
            p { (sentence(&standing.reason)) }
            p class="act" { strong { (sentence(&standing.advice)) } }
            @if let Some(touched) = &standing.touched {
                p class="muted" { "Since then: " (touched.words) ", " (words::day(&touched.at)) "." }
            }
            @if let Some(cost) = &standing.over_per_100 {
                p class="muted" { "Costs " (cost) " of product for each 100 portions." }
            }
        }
        ul class="acts" {
            li { a class="button" href={ (machine_at) "/record" } { "Record catches" } }
            li { a class="button plain" href={ (machine_at) "/sheet" } { "Print this machine’s sheet" } }
            li { a class="button plain" href={ "/setup/sites/" (site) } { "Change its recipe or measure" } }
        }
        figure {
            (responsive(|size| line_chart(&picture, Theme::Css, size)))
            figcaption class="muted" {
                "The bars are two standard uncertainties each way: the true portion is within them 19 times in 20. A bar that reaches well into the band is no reason to adjust."
            }
        }
        (doubt(&estate, &address, &story))
        h2 { "The numbers" }
        (numbers(&picture.history))
        (corrected(&story))
    };
    Ok(page(&title, Some(Place::Sites), &body))
}

/// What the chart shows, as a sentence.
fn finding(history: &chart::History) -> String {
    let Some((at, portion)) = latest(history) else {
        return "Not yet caught with a number".to_owned();
    };
    let Some(recipe) = history.recipes.last() else {
        return "No recipe to hold it against".to_owned();
    };
    let (off, target, unit) = (portion / recipe.target - 1.0, recipe.target, &history.unit);
    let said = match print::percent(off.abs()) {
        none if none.starts_with("0 ") => "at".to_owned(),
        some => format!("{some} {}", if off < 0.0 { "under" } else { "over" }),
    };
    format!(
        "{} {unit} on {}: {said} the {target} {unit} asked",
        print::significant(portion, 3),
        at.strftime("%-d %b %Y"),
    )
}

/// The budget of the latest catch, largest doubt first, and what it would take to decide.
fn doubt(estate: &Estate, address: &Address, story: &[Told]) -> Markup {
    let Some(visit) = story.iter().rev().find_map(Told::caught) else { return html! {} };
    let report = estate.setup(address, Some(&visit.measure)).ok().and_then(|setup| {
        let catches = visit.plain();
        let showing = judge(&setup, &catches).ok()?;
        let decide = decide(&setup, &catches).ok().flatten();
        Some(CatchReport::new(&setup, &showing, decide.as_ref()))
    });
    let Some(report) = report else { return html! {} };
    html! {
        h2 { "Where the doubt of the last catch comes from" }
        p { (words::day(&visit.at)) ", measure " span class="key" { (visit.measure) } ": " (visit.read.join("; ")) "." }
        (budget(&report))
    }
}

/// A budget, largest part first, with what it would take to decide.
pub fn budget(report: &CatchReport) -> Markup {
    html! {
        @if !report.budget.is_empty() {
            ol class="budget" {
                @for part in &report.budget {
                    @let share = format!("{:.0} %", 100.0 * part.share);
                    li {
                        meter min="0" max="1" value=(format!("{:.3}", part.share)) aria-label={ "share of " (part.source) } { (share) }
                        " " strong { (share) } " " (part.source)
                        @if part.persistent { " " span class="muted" { "(the same in every catch with this measure: it does not average away)" } }
                    }
                }
            }
        }
        @for caveat in &report.caveats { p class="muted" { (sentence(caveat)) } }
        @if let Some(ways) = &report.to_decide {
            h3 { "What it would take to decide" }
            ul { @for words in &ways.words { li { (sentence(words)) } } }
        }
    }
}

/// The table that says what the chart shows.
pub fn numbers(history: &chart::History) -> Markup {
    let mut rows = chart::table(history);
    rows.reverse();
    html! {
        @if rows.is_empty() { p { "Nothing was recorded yet. Print the machine’s sheet, catch the line, and key in what was read." } }
        @else {
            div class="scroll" tabindex="0" role="region" aria-label="Everything that was recorded about this line" {
                table {
                    caption { "Newest first" }
                    thead { tr { @for words in chart::Row::HEADINGS { th scope="col" { (words) } } } }
                    tbody {
                        @for row in &rows { tr { @for cell in row.cells() { td { (cell) } } } }
                    }
                }
            }
        }
    }
}

/// Records that no longer count as they were made.
fn corrected(story: &[Told]) -> Markup {
    let all: Vec<&Told> = story.iter().filter(|told| told.happening.is_none()).collect();
    html! {
        @if !all.is_empty() {
            h2 { "Corrected or withdrawn" }
            ul { @for told in all { li { (words::when(&told.event.at)) ": " (told.event.what) } } }
        }
    }
}
