//! One machine: its lines side by side, so that a move they share is seen.

use axum::Router;
use axum::extract::rejection::PathRejection;
use axum::extract::{Path, State};
use axum::routing::get;
use maud::{Markup, html};
use ouncewise_chart::{self as chart, MachineChart, Theme, machine_chart, responsive};
use ouncewise_estate::Group;
use ouncewise_estimate::{Standing, Told as Verdict};
use ouncewise_report::{Library, many};

use super::history::{history, latest};
use super::procedures;
use super::round::latest as latest_rounds;
use super::week::{shows, why};
use crate::App;
use crate::layout::{Place, page, trail};
use crate::words;
use crate::wrong::{Wrong, sentence};

/// As many of its rounds are listed.
const ROUNDS: usize = 5;

/// As many lines that lean one way are taken for a hint at a cause that they share.
const SHARED: usize = 3;

pub fn routes() -> Router<App> {
    Router::new().route("/sites/{site}/{machine}", get(show))
}

async fn show(
    State(app): State<App>,
    at: Result<Path<(String, String)>, PathRejection>,
) -> Result<Markup, Wrong> {
    let Path((site, machine)) = at?;
    let (estate, lines) = ouncewise_report::machine(app.store(), &site, &machine).await?;
    let Some(known) = estate.machine(&site, &machine) else {
        return Err(Wrong::missing(
            format!("there is no machine `{site}/{machine}`"),
            "the site’s page lists its machines",
        ));
    };
    let place = &estate.sites[site.as_str()];
    let site_name = if place.name.is_empty() { &site } else { &place.name };
    let name = if known.name.is_empty() { &machine } else { &known.name };
    let family = estate.families.get(&known.family);
    let zone = place.time_zone.as_ref().unwrap_or(&estate.group.time_zone);
    let histories: Vec<chart::History> = lines
        .iter()
        .map(|(address, _, story)| {
            let line: &str = &address.line;
            let called = estate.line_name(address);
            let short = if called.eq_ignore_ascii_case(line) {
                line.to_owned()
            } else {
                format!("{line} {called}")
            };
            history(&estate, address, &short, story)
        })
        .collect();
    let standings: Vec<&Standing> =
        lines.iter().filter_map(|(_, known, _)| known.standing.as_ref()).collect();
    let leaning = leaning(&histories);
    let picture = MachineChart {
        finding: finding(&standings),
        name: format!("{site_name}, {name}"),
        events: shared_events(&histories),
        lines: histories,
        until: Some(app.now().to_zoned_datetime(zone.rules()).datetime()),
    };
    let rounds =
        ouncewise_report::rounds_of(app.store(), Some(&site), Some(&machine), ROUNDS).await?;
    let library = Library::of(app.store()).await?;
    let at = words::machine_page(&site, &machine);
    let body = html! {
        (trail(&[("/sites", "Sites"), (&words::site_page(&site), site_name)]))
        h1 { (name) ", " (site_name) }
        p {
            (family.map_or(known.family.as_str(), |family| family.name.as_str()))
            @if let Some(serial) = &known.serial { ", serial number " (serial) }
            @if known.state.word() != "open" { ", " (known.state.word()) }
        }
        ul class="acts" {
            li { a class="button" href={ (at) "/record" } { "Record catches" } }
            li { a class="button" href={ (at) "/round" } { "Record a round" } }
            li { a class="button plain" href={ (at) "/sheet" } { "Print its sheet (A4)" } }
            li { a class="button plain" href={ (at) "/sheet?paper=letter" } { "Print its sheet (US Letter)" } }
            @if cfg!(feature = "pdf") { li { a class="button plain" href={ (at) "/sheet.pdf" } { "Its sheet as PDF" } } }
        }
        @if let Some(words) = leaning { p class="warn" { (words) } }
        @if lines.is_empty() { p { "It has no lines yet: add them under Set up." } }
        @else {
            figure {
                (responsive(|size| machine_chart(&picture, Theme::Css, size)))
                figcaption class="muted" { "Each line against its own target and tolerance, on one clock. Marks at one time on several lines hint at a cause that they share." }
            }
            (numbers(&picture.lines))
            h2 { "Its lines" }
            (table(&standings, &estate.group))
        }
        (procedures::of_family(&library, &known.family, &format!("{site}/{machine}")))
        (latest_rounds(&rounds.rounds, rounds.earlier))
    };
    Ok(page(&format!("{name}, {site_name}"), Some(Place::Sites), &body))
}

/// The chart's latest points as numbers; the earlier ones are on each line's own page.
fn numbers(histories: &[chart::History]) -> Markup {
    let latest = histories.iter().map(|history| {
        let row = chart::table(history).into_iter().rfind(|row| !row.read_as.is_empty());
        (&history.name, row)
    });
    html! {
        details {
            summary { "The latest catch of each line, in numbers" }
            div class="scroll" tabindex="0" role="region" aria-label="The latest catch of each line" {
                table {
                    caption { "All earlier ones are on each line’s own page" }
                    thead { tr { th scope="col" { "Line" } @for words in chart::Row::HEADINGS { th scope="col" { (words) } } } }
                    tbody {
                        @for (name, row) in latest {
                            tr {
                                th scope="row" { (name) }
                                @match row {
                                    Some(row) => { @for cell in row.cells() { td { (cell) } } },
                                    None => { td colspan=(chart::Row::HEADINGS.len()) { "not yet caught" } },
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn table(standings: &[&Standing], group: &Group) -> Markup {
    html! {
        ol class="worst" {
            @for standing in standings {
                li {
                    h3 { a href=(words::line_page(&standing.address)) { (standing.address.line) " · " (words::beside_number(standing)) } }
                    div class="picture" { (words::picture(standing, group.units)) }
                    p { (shows(standing, group.risk.fraction())) }
                    p class="act" { (sentence(&standing.advice.words(group.units))) }
                    (why(standing, group))
                }
            }
        }
    }
}

fn finding(standings: &[&Standing]) -> String {
    let off = standings.iter().filter(|s| s.verdict == Some(Verdict::OffTarget)).count();
    let on = standings.iter().filter(|s| s.verdict == Some(Verdict::OnTarget)).count();
    let all = many(standings.len(), "line");
    match (off, on) {
        (0, on) if on == standings.len() && on > 0 => format!("All {all} on target"),
        (0, 0) => format!("Of {all}, none is shown to be on target"),
        (0, on) => format!("Of {all}, {on} on target, none off"),
        (off, on) => format!("Of {all}, {off} off target, {on} on"),
    }
}

/// Whether all lines lean one way at their latest catch: each by more than a third of its tolerance.
fn leaning(histories: &[chart::History]) -> Option<String> {
    let lean: Vec<f64> = histories
        .iter()
        .filter_map(|history| {
            let recipe = history.recipes.last()?;
            Some((latest(history)?.1 / recipe.target - 1.0) / recipe.tolerance)
        })
        .collect();
    if lean.len() < SHARED || lean.len() < histories.len() {
        return None;
    }
    let way = if lean.iter().all(|l| *l > 1.0 / 3.0) {
        "more"
    } else if lean.iter().all(|l| *l < -1.0 / 3.0) {
        "less"
    } else {
        return None;
    };
    Some(format!(
        "All {} poured {way} than asked when they were last caught. Look for what they share (the measure, the person, pressure, temperature, a delivery) before any one is adjusted.",
        many(lean.len(), "line")
    ))
}

/// What stands in every line's history happened to the machine: said once.
fn shared_events(histories: &[chart::History]) -> Vec<chart::Event> {
    let Some((first, rest)) = histories.split_first() else { return Vec::new() };
    if rest.is_empty() {
        return Vec::new();
    }
    let everywhere =
        |event: &&chart::Event| rest.iter().all(|history| history.events.contains(event));
    first.events.iter().filter(everywhere).cloned().collect()
}
