//! The machine sheet, to be printed from the browser, or as a PDF.

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
    let routes = Router::new()
        .route("/sites/{site}/{machine}/sheet", get(show))
        .route("/sites/{site}/{machine}/sheet.css", get(style));
    #[cfg(feature = "pdf")]
    let routes = routes.route("/sites/{site}/{machine}/sheet.pdf", get(pdf));
    routes
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

/// It takes a good part of a second, in which other pages are not kept waiting.
#[cfg(feature = "pdf")]
async fn pdf(State(app): State<App>, at: At, asked: Query_) -> Result<Response, Wrong> {
    let (Path((site, machine)), Query(asked)) = (at?, asked?);
    let sheet = sheet(&app, &site, &machine, &asked).await?;
    let defect = |what: String| Wrong {
        status: axum::http::StatusCode::INTERNAL_SERVER_ERROR,
        what,
        hint: Some("print the sheet’s page instead; it holds the same".to_owned()),
    };
    let pdf = tokio::task::spawn_blocking(move || sheet.to_pdf())
        .await
        .map_err(|_| defect("a defect of this program stopped this sheet".to_owned()))?
        .map_err(|e| defect(e.to_string()))?;
    // Both are keys that were found: letters, digits and hyphens.
    let named = format!("inline; filename=\"{site}-{machine}.pdf\"");
    let headers = [
        (header::CONTENT_TYPE, "application/pdf".to_owned()),
        (header::CONTENT_DISPOSITION, named),
    ];
    Ok((headers, pdf).into_response())
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

#[cfg(all(test, feature = "pdf"))]
mod tests {
    use axum::body::{Body, to_bytes};
    use axum::http::{Request, StatusCode, header};

    use crate::testing;

    #[tokio::test]
    async fn a_sheet_is_served_as_a_pdf() {
        let here = testing::demo().await;
        let path = "/sites/fernhollow/counter-1/sheet.pdf";
        let mut sheets = Vec::new();
        for paper in ["", "?paper=letter"] {
            let request = Request::get(format!("{path}{paper}"));
            let response = testing::send(&here.app, request, Body::empty()).await;
            assert_eq!(response.status(), StatusCode::OK);
            assert_eq!(response.headers()[header::CONTENT_TYPE], "application/pdf");
            assert_eq!(
                response.headers()[header::CONTENT_DISPOSITION],
                "inline; filename=\"fernhollow-counter-1.pdf\""
            );
            let pdf = to_bytes(response.into_body(), 1 << 24).await.unwrap();
            assert!(pdf.starts_with(b"%PDF-1.7"));
            sheets.push(pdf);
        }
        assert_ne!(sheets[0], sheets[1]);
        let nowhere = testing::get(&here.app, "/sites/fernhollow/counter-9/sheet.pdf").await;
        assert_eq!(nowhere.0, StatusCode::NOT_FOUND);
    }
}
