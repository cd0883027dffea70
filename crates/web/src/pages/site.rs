//! One site: its machines, what it catches with, and its worst lines.

use axum::Router;
use axum::extract::rejection::PathRejection;
use axum::extract::{Path, State};
use axum::routing::get;
use maud::{Markup, html};
use ouncewise_estate::{Estate, Site};
use ouncewise_report::{many, week, week_money};

use super::week::{behind, cannot_decide, counts, worst};
use crate::App;
use crate::layout::{Place, page, trail};
use crate::words;
use crate::wrong::Wrong;

/// How many lines are listed.
const SHOWN: u32 = 200;

pub fn routes() -> Router<App> {
    Router::new().route("/sites/{site}", get(show))
}

async fn show(
    State(app): State<App>,
    key: Result<Path<String>, PathRejection>,
) -> Result<Markup, Wrong> {
    let Path(key) = key?;
    let (mut report, week, group) = week(app.store(), Some(&key), SHOWN, None).await?;
    week_money(app.store(), (&mut report, &week), app.now(), None).await?;
    let estate = app.store().estate_at(&key).await?;
    let Some(site) = estate.sites.get(key.as_str()) else {
        return Err(Wrong::missing(
            format!("there is no site `{key}`"),
            "the page of sites lists them all",
        ));
    };
    let name = if site.name.is_empty() { key.as_str() } else { &site.name };
    let body = html! {
        (trail(&[("/sites", "Sites")]))
        h1 { (name) }
        @if site.retired { p class="warn" { "This site is no longer in use. Its history stays." } }
        (counts(&report.counts))
        (behind(report.behind))
        h2 { "Machines" }
        (machines(&estate, &key, site))
        @if !site.machines.is_empty() { p { a href={ "/procedures/kit?for=" (key) } { "What to bring for the usual round of all its machines" } } }
        h2 { "Measures kept here" }
        (measures(&estate, site))
        p { a href={ "/setup/sites/" (key) } { "Change what is here" } }
        @if !week.rows.is_empty() {
            h2 { "Its lines, worst first" }
            (worst(&week, &report, &group))
        }
        (cannot_decide(&report.cannot_decide))
    };
    Ok(page(name, Some(Place::Sites), &body))
}

fn machines(estate: &Estate, site: &str, at: &Site) -> Markup {
    html! {
        @if at.machines.is_empty() { p { "There is no machine here yet." } }
        @else {
            ul {
                @for (key, machine) in &at.machines {
                    @let family = estate.families.get(&machine.family);
                    li {
                        a href=(words::machine_page(site, key)) {
                            @if machine.name.is_empty() { (key) } @else { (machine.name) }
                        }
                        ", " (family.map_or(machine.family.as_str(), |f| f.name.as_str()))
                        ", " (many(machine.lines.values().filter(|line| !line.retired).count(), "line"))
                        @if machine.state.word() != "open" { " (" (machine.state.word()) ")" }
                    }
                }
            }
        }
    }
}

fn measures(estate: &Estate, at: &Site) -> Markup {
    html! {
        @if at.measures.is_empty() { p { "None is known: no catch here can be judged." } }
        @else {
            ul {
                @for (key, piece) in at.measures.iter().filter(|(_, piece)| !piece.retired) {
                    li { span class="key" { (key) } ": " (estate.measures.get(&piece.kind).map_or(piece.kind.as_str(), |kind| kind.name.as_str())) }
                }
            }
        }
    }
}
