//! All sites, those with the most lines off target first.

use std::collections::BTreeMap;

use axum::Router;
use axum::extract::rejection::QueryRejection;
use axum::extract::{Query, State};
use axum::routing::get;
use maud::{Markup, html};
use ouncewise_estimate::Told;
use ouncewise_report::many;
use serde::Deserialize;

use crate::App;
use crate::layout::{Place, page};
use crate::words;
use crate::wrong::Wrong;

/// Sites on one page.
const SHOWN: usize = 100;

pub fn routes() -> Router<App> {
    Router::new().route("/sites", get(show))
}

#[derive(Debug, Deserialize)]
struct Asked {
    #[serde(default)]
    find: String,
    #[serde(default)]
    from: usize,
}

/// How a site's lines in use stand.
#[derive(Default, Clone, Copy)]
struct Row {
    on: u64,
    off: u64,
    open: u64,
    none: u64,
}

async fn show(
    State(app): State<App>,
    asked: Result<Query<Asked>, QueryRejection>,
) -> Result<Markup, Wrong> {
    let Query(Asked { find, from }) = asked?;
    let estate = app.store().estate().await?;
    let mut rows: BTreeMap<String, Row> = BTreeMap::new();
    for (site, verdict, lines) in app.store().by_site().await? {
        let row = rows.entry(site).or_default();
        let on = |told: Told| verdict.as_deref() == Some(told.key());
        if on(Told::OnTarget) {
            row.on += lines;
        } else if on(Told::OffTarget) {
            row.off += lines;
        } else if on(Told::Undecided) {
            row.open += lines;
        } else {
            row.none += lines;
        }
    }
    let wanted = find.trim().to_lowercase();
    let mut sites: Vec<(&str, &str, Row)> = estate
        .sites
        .iter()
        .filter(|(_, site)| !site.retired)
        .map(|(key, site)| (key.as_str(), site.name.as_str(), rows.get(key.as_str()).copied()))
        .map(|(key, name, row)| {
            (key, if name.is_empty() { key } else { name }, row.unwrap_or_default())
        })
        .filter(|(key, name, _)| {
            wanted.is_empty() || name.to_lowercase().contains(&wanted) || key.contains(&wanted)
        })
        .collect();
    sites.sort_by(|a, b| (b.2.off, b.2.open, a.1).cmp(&(a.2.off, a.2.open, b.1)));
    let all = sites.len();
    let from = from.min(all);
    let shown = &sites[from..(from + SHOWN).min(all)];
    let body = html! {
        h1 { "Sites" }
        @if estate.sites.is_empty() {
            p { "There are no sites yet. Bring in a spreadsheet, or set one up by hand." }
            ul class="acts" {
                li { a class="button" href="/bring" { "Bring in a sheet" } }
                li { a class="button plain" href="/setup" { "Set up by hand" } }
            }
        } @else {
            form method="get" action="/sites" role="search" {
                div class="row" {
                    div class="field" {
                        label for="find" { "Find a site by its name" }
                        input type="search" id="find" name="find" value=(find) autocomplete="off";
                    }
                    div class="field" { button { "Find" } }
                }
            }
            p { (many(all, "site")) @if !wanted.is_empty() { " with “" (find.trim()) "” in the name" } ", those with the most lines off target first." }
            @if all > 0 { (table(shown)) }
            (pages(&find, from, all))
        }
    };
    Ok(page("Sites", Some(Place::Sites), &body))
}

fn table(sites: &[(&str, &str, Row)]) -> Markup {
    html! {
        div class="scroll" tabindex="0" role="region" aria-label="Sites and how their lines stand" {
            table {
                thead {
                    tr {
                        th scope="col" { "Site" }
                        @for words in ["Off target", "Undecided", "On target", "No verdict"] {
                            th scope="col" class="number" { (words) }
                        }
                    }
                }
                tbody {
                    @for (key, name, row) in sites {
                        tr {
                            th scope="row" { a href=(words::site_page(key)) { (name) } }
                            @for n in [row.off, row.open, row.on, row.none] { td class="number" { (n) } }
                        }
                    }
                }
            }
        }
    }
}

fn pages(find: &str, from: usize, all: usize) -> Markup {
    let find: String =
        percent_encoding::utf8_percent_encode(find, percent_encoding::NON_ALPHANUMERIC).to_string();
    html! {
        ul class="acts" {
            @if from > 0 {
                li { a class="button plain" href={ "/sites?find=" (find) "&from=" (from.saturating_sub(SHOWN)) } { "The sites before" } }
            }
            @if from + SHOWN < all {
                li { a class="button plain" href={ "/sites?find=" (find) "&from=" (from + SHOWN) } { "The sites after" } }
            }
        }
    }
}
