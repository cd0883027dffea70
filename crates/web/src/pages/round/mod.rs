//! Recording the sanitising part of a machine's round on one form, at a desk: at most six entries beside catches.
//!
//! Before anything is recorded it is said whether the round is complete, or exactly what it lacks of what the food code in
//! force asks for. It is kept all the same. The ids of the records follow from the form's own id, so that a form sent twice
//! is recorded once.

mod answers;
mod here;
mod show;
#[cfg(test)]
mod tests;
mod typed;

use axum::Router;
use axum::extract::rejection::{FormRejection, PathRejection};
use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use uuid::Uuid;

use crate::App;
use crate::words;
use crate::wrong::Wrong;
use here::Here;
use typed::Typed;

pub use show::latest;

pub fn routes() -> Router<App> {
    Router::new()
        .route("/sites/{site}/{machine}/round", get(blank).post(sent))
        .route("/sites/{site}/{machine}/round/{form}", get(kept))
}

type At = Result<Path<(String, String)>, PathRejection>;

async fn blank(State(app): State<App>, at: At) -> Result<Response, Wrong> {
    let Path((site, machine)) = at?;
    let here = Here::read(&app, &site, &machine).await?;
    let typed = Typed::blank(&here, Uuid::now_v7());
    Ok(show::form(&here, &typed, &[]).into_response())
}

async fn sent(
    State(app): State<App>,
    at: At,
    fields: Result<Form<Vec<(String, String)>>, FormRejection>,
) -> Result<Response, Wrong> {
    let (Path((site, machine)), Form(fields)) = (at?, fields?);
    let here = Here::read(&app, &site, &machine).await?;
    let typed = Typed::from_fields(fields);
    let act = typed.of("act");
    if act == "change" {
        return Ok(show::form(&here, &typed, &[]).into_response());
    }
    let answers = match answers::read(&here, &typed) {
        Ok(answers) => answers,
        Err(faults) => {
            let page = show::form(&here, &typed, &faults);
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    if act != "keep" {
        return Ok(show::check(&here, &typed, &answers).into_response());
    }
    let receipt = app.store().append(answers.drafts()).await?;
    Wrong::unless_recorded_otherwise(&receipt)?;
    let at = format!("{}/round/{}", words::machine_page(&site, &machine), typed.form);
    Ok(Redirect::to(&at).into_response())
}

async fn kept(
    State(app): State<App>,
    at: Result<Path<(String, String, Uuid)>, PathRejection>,
) -> Result<Response, Wrong> {
    let Path((site, machine, form)) = at?;
    let here = Here::read(&app, &site, &machine).await?;
    let report = ouncewise_report::rounds_of(
        app.store(),
        Some(site.as_str()),
        Some(machine.as_str()),
        usize::MAX,
    )
    .await?;
    let opened = answers::id(form, "opened").to_string();
    let round = report.rounds.iter().find(|round| round.record == opened);
    Ok(show::kept(&here, round).into_response())
}
