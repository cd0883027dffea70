//! The machine sheet, to be printed from the browser.

use axum::Router;
use axum::extract::rejection::{PathRejection, QueryRejection};
use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{Html, IntoResponse, Response};
use axum::routing::get;
use ouncewise_paper::sheet::{MachineSheet, Paper, Print};
use serde::Deserialize;

use crate::App;
use crate::words;
use crate::wrong::Wrong;

pub fn routes() -> Router<App> {
    Router::new()
        .route("/sites/{site}/{machine}/sheet", get(show))
        .route("/sites/{site}/{machine}/sheet.css", get(style))
}

#[derive(Debug, Deserialize)]
struct Asked {
    paper: Option<PaperAsked>,
    measure: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum PaperAsked {
    A4,
    Letter,
}

type At = Result<Path<(String, String)>, PathRejection>;
type Query_ = Result<Query<Asked>, QueryRejection>;

async fn show(State(app): State<App>, at: At, asked: Query_) -> Result<Response, Wrong> {
    let (Path((site, machine)), Query(asked)) = (at?, asked?);
    let sheet = sheet(&app, &site, &machine, &asked).await?;
    let mut style = format!("{}/sheet.css", words::machine_page(&site, &machine));
    if asked.paper == Some(PaperAsked::Letter) {
        style.push_str("?paper=letter");
    }
    Ok(Html(sheet.to_page(&style)).into_response())
}

async fn style(State(app): State<App>, at: At, asked: Query_) -> Result<Response, Wrong> {
    let (Path((site, machine)), Query(asked)) = (at?, asked?);
    let sheet = sheet(&app, &site, &machine, &asked).await?;
    Ok(([(header::CONTENT_TYPE, "text/css; charset=utf-8")], sheet.style()).into_response())
}

async fn sheet(app: &App, site: &str, machine: &str, asked: &Asked) -> Result<MachineSheet, Wrong> {
    let (estate, lines) = ouncewise_report::machine(app.store(), site, machine).await?;
    let standings: Vec<_> = lines.into_iter().filter_map(|(_, known, _)| known.standing).collect();
    let zone = estate
        .sites
        .get(site)
        .and_then(|site| site.time_zone.as_ref())
        .unwrap_or(&estate.group.time_zone);
    let today = app.now().to_zoned_datetime(zone.rules()).date().to_string();
    let print = Print {
        paper: match asked.paper {
            Some(PaperAsked::Letter) => Paper::Letter,
            _ => Paper::A4,
        },
        units: estate.group.units,
        printed_on: &today,
        measure: asked.measure.as_deref(),
    };
    MachineSheet::new(&estate, site, machine, &standings, &print).map_err(|e| {
        Wrong::missing(e.to_string(), "the site’s page lists its machines and measures")
    })
}
