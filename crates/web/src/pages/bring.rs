//! *Bring in a sheet*: a spreadsheet with headings of one's own goes in by pages alone. Chosen, its reading proposed and
//! corrected, tried, kept; and taken back.
//!
//! Until it is kept a sheet lies in a temporary file of this program, and its reading beside it.

mod keep;
mod show;
mod uploads;
mod words;

use std::collections::BTreeMap;

use axum::Router;
use axum::extract::multipart::MultipartRejection;
use axum::extract::rejection::{FormRejection, PathRejection};
use axum::extract::{DefaultBodyLimit, Form, Multipart, Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use ouncewise_report::Failure;
use uuid::Uuid;

use crate::App;
use crate::layout::Fault;
use crate::wrong::Wrong;
use uploads::{LARGEST, Sheet};

pub use uploads::Uploads;

pub fn routes() -> Router<App> {
    // Room for the form around the file.
    let upload = post(chosen).layer(DefaultBodyLimit::max(LARGEST + (1 << 16)));
    Router::new()
        .route("/bring", get(begin).merge(upload))
        .route("/bring/{sheet}", get(reading).post(corrected))
        .route("/bring/{sheet}/left-out.csv", get(left_out))
        .route("/bring/{sheet}/kept", get(kept))
        .route("/bring/back/{load}", get(take_back).post(taken_back))
}

async fn begin(State(app): State<App>) -> Result<Response, Wrong> {
    let loads = keep::loads(app.store()).await?;
    Ok(show::begin(&loads, &[]).into_response())
}

/// What is wrong with the file that was chosen, on the page where it is chosen.
async fn refused(app: &App, status: StatusCode, what: String) -> Result<Response, Wrong> {
    let loads = keep::loads(app.store()).await?;
    Ok((status, show::begin(&loads, &[Fault::new("sheet", what)])).into_response())
}

async fn chosen(
    State(app): State<App>,
    form: Result<Multipart, MultipartRejection>,
) -> Result<Response, Wrong> {
    let too_large = format!(
        "that file is larger than {} MB; save the part that you need as a file of its own",
        LARGEST >> 20
    );
    let received = match form {
        Ok(form) => uploads::receive(form).await,
        Err(e) => Err((e.status(), e.body_text())),
    };
    let (name, file) = match received {
        Ok(Some(received)) => received,
        Ok(None) => {
            let what = "choose a file: CSV or XLSX".to_owned();
            return refused(&app, StatusCode::UNPROCESSABLE_ENTITY, what).await;
        }
        Err((StatusCode::PAYLOAD_TOO_LARGE, _)) => {
            return refused(&app, StatusCode::PAYLOAD_TOO_LARGE, too_large).await;
        }
        Err((status, what)) => {
            return Err(Wrong {
                status,
                what,
                hint: Some("go back and choose the file again".to_owned()),
            });
        }
    };
    match keep::look(&app, name, file, None).await {
        Ok(sheet) => {
            let id = app.uploads().put(sheet);
            Ok(Redirect::to(&format!("/bring/{id}")).into_response())
        }
        Err(failure) => refused(&app, StatusCode::UNPROCESSABLE_ENTITY, said(&failure)).await,
    }
}

fn said(failure: &Failure) -> String {
    match &failure.hint {
        Some(hint) => format!("{}; {hint}", failure.message),
        None => failure.message.clone(),
    }
}

type At = Result<Path<Uuid>, PathRejection>;

fn sheet(app: &App, at: At) -> Result<(Uuid, Sheet), Wrong> {
    let Path(id) = at?;
    let gone = || {
        Wrong::missing(
            "that sheet is no longer here",
            "choose the file again; how it is read is remembered once it was kept",
        )
    };
    Ok((id, app.uploads().get(id).ok_or_else(gone)?))
}

async fn reading(State(app): State<App>, at: At) -> Result<Response, Wrong> {
    let (id, sheet) = sheet(&app, at)?;
    let tried = keep::try_out(&app, &sheet).await?;
    Ok(show::reading(id, &sheet, &tried, &[]).into_response())
}

async fn corrected(
    State(app): State<App>,
    at: At,
    fields: Result<Form<Vec<(String, String)>>, FormRejection>,
) -> Result<Response, Wrong> {
    let (id, mut sheet) = sheet(&app, at)?;
    let Form(fields) = fields?;
    let fields: BTreeMap<String, String> = fields.into_iter().collect();
    let act = fields.get("act").map_or("", String::as_str);
    if let Some(other) =
        fields.get("other-sheet").filter(|other| act == "other" && !other.is_empty())
    {
        let looked =
            keep::look(&app, sheet.name.clone(), sheet.file.clone(), Some(other.clone())).await?;
        app.uploads().set(id, looked);
        return Ok(Redirect::to(&format!("/bring/{id}")).into_response());
    }
    let wrong = keep::correct(&mut sheet.mapping, &fields);
    app.uploads().set(id, sheet.clone());
    if !wrong.is_empty() {
        let tried = keep::try_out(&app, &sheet).await?;
        let page = show::reading(id, &sheet, &tried, &wrong);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    if act != "keep" {
        return Ok(Redirect::to(&format!("/bring/{id}#result")).into_response());
    }
    if sheet.kept.is_none() {
        sheet.kept = Some(keep::keep(&app, &sheet).await?);
        app.uploads().set(id, sheet);
    }
    Ok(Redirect::to(&format!("/bring/{id}/kept")).into_response())
}

/// Every row that does not go in, with its reason, for a spreadsheet program.
async fn left_out(State(app): State<App>, at: At) -> Result<Response, Wrong> {
    let (_, sheet) = sheet(&app, at)?;
    let tried = keep::try_out(&app, &sheet).await?;
    let headers = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8; header=present"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"left-out.csv\""),
    ];
    Ok((headers, words::csv(&tried.rows)).into_response())
}

async fn kept(State(app): State<App>, at: At) -> Result<Response, Wrong> {
    let (id, sheet) = sheet(&app, at)?;
    let Some(report) = &sheet.kept else {
        return Ok(Redirect::to(&format!("/bring/{id}")).into_response());
    };
    let loads = keep::loads(app.store()).await?;
    Ok(show::kept(&sheet, report, loads.first()).into_response())
}

async fn take_back(State(app): State<App>, at: At) -> Result<Response, Wrong> {
    let Path(id) = at?;
    let load = keep::load(app.store(), id).await?;
    Ok(show::take_back(&load).into_response())
}

async fn taken_back(State(app): State<App>, at: At) -> Result<Response, Wrong> {
    let Path(id) = at?;
    let load = keep::load(app.store(), id).await?;
    if load.withdrawn_at.is_none() {
        app.store().undo(id, None).await?;
    }
    Ok(Redirect::to("/bring#loads").into_response())
}

#[cfg(test)]
mod tests;
