//! Recording a whole machine on one form: as found, what was done, as left, keyed in the order of its sheet.
//!
//! Nothing is recorded before the answers were seen with what they mean. The ids of the records follow from the form's
//! own id, so that a form sent twice is recorded once.

mod answers;
mod form;
mod ids;
mod show;
#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::rejection::{FormRejection, PathRejection};
use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use uuid::Uuid;

use crate::App;
use crate::layout::Fault;
use crate::words;
use crate::wrong::Wrong;
use form::Typed;

pub fn routes() -> Router<App> {
    Router::new()
        .route("/sites/{site}/{machine}/record", get(blank).post(sent))
        .route("/sites/{site}/{machine}/recorded/{form}", get(recorded))
}

type At = Result<Path<(String, String)>, PathRejection>;

async fn blank(State(app): State<App>, at: At) -> Result<Response, Wrong> {
    let Path((site, machine)) = at?;
    let here = answers::Here::read(&app, &site, &machine).await?;
    let typed = Typed::blank(&here, Uuid::now_v7());
    Ok(show::form(&here, &typed, &[]).into_response())
}

async fn sent(
    State(app): State<App>,
    at: At,
    fields: Result<Form<Vec<(String, String)>>, FormRejection>,
) -> Result<Response, Wrong> {
    let (Path((site, machine)), Form(fields)) = (at?, fields?);
    let here = answers::Here::read(&app, &site, &machine).await?;
    let typed = Typed::from_fields(&here, fields);
    let act = typed.act.clone();
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
        return Ok(show::check(&here, &typed, &answers, &[]).into_response());
    }
    if answers.odd() && typed.sure != "yes" {
        let wrong = [Fault::new(
            "sure",
            "something on this form is odd: change it, or say here that it is as it was read and done",
        )];
        let page = show::check(&here, &typed, &answers, &wrong);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    let receipt = app.store().append(answers.drafts()).await?;
    Wrong::unless_recorded_otherwise(&receipt)?;
    let at = format!("{}/recorded/{}", words::machine_page(&site, &machine), typed.form);
    Ok(Redirect::to(&at).into_response())
}

async fn recorded(
    State(app): State<App>,
    at: Result<Path<(String, String, Uuid)>, PathRejection>,
) -> Result<Response, Wrong> {
    let Path((site, machine, form)) = at?;
    let here = answers::Here::read(&app, &site, &machine).await?;
    let (_, lines) = ouncewise_report::machine(app.store(), &site, &machine).await?;
    Ok(show::recorded(&here, form, &lines).into_response())
}
