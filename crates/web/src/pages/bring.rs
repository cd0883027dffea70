//! *Bring in a sheet*: a spreadsheet with headings of one's own goes in by pages alone. Chosen, its reading proposed and
//! corrected, tried, kept; and taken back.
//!
//! Until it is kept a sheet lies in a temporary file of this program, and its reading beside it.

mod begin;
mod follow;
mod form;
mod keep;
mod look;
mod show;
#[cfg(test)]
mod tests;
mod tried;
mod uploads;
mod words;

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::multipart::MultipartRejection;
use axum::extract::rejection::{FormRejection, PathRejection, QueryRejection};
use axum::extract::{DefaultBodyLimit, Form, Multipart, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use ouncewise_estate::sheets::Refusal;
use serde::Deserialize;
use tokio::sync::OwnedMutexGuard;
use uuid::Uuid;

use crate::App;
use crate::layout::Fault;
use crate::wrong::{Wrong, sentence};
use form::Fields;
use look::{Beside, Looked};
use show::Shown;
use uploads::{LARGEST, NotReceived, Reading, Sheet};

pub use uploads::Uploads;

/// How long a page waits for a sheet that is being kept.
const PATIENCE: Duration = Duration::from_millis(if cfg!(test) { 3_000 } else { 20_000 });

pub fn routes() -> Router<App> {
    // How much is taken is counted while it is received, so that too much is said on the page.
    let upload = post(chosen).layer(DefaultBodyLimit::disable());
    Router::new()
        .route("/bring", get(begin).merge(upload))
        .route("/bring/{sheet}", get(reading).post(corrected))
        .route("/bring/{sheet}/other", post(other))
        .route("/bring/{sheet}/refused.csv", get(refused))
        .route("/bring/{sheet}/kept", get(kept))
        .route("/bring/back/{load}", get(take_back).post(taken_back))
}

/// Why there is no page to show.
enum Stop {
    Wrong(Wrong),
    /// The sheet is held no longer; and whether its reading still is.
    Gone(bool),
    /// It is being kept.
    Busy(Uuid),
}

impl<E: Into<Wrong>> From<E> for Stop {
    fn from(error: E) -> Self {
        Self::Wrong(error.into())
    }
}

impl IntoResponse for Stop {
    fn into_response(self) -> Response {
        match self {
            Self::Wrong(wrong) => wrong.into_response(),
            Self::Gone(reading) => (StatusCode::GONE, begin::gone(reading)).into_response(),
            Self::Busy(id) => (StatusCode::ACCEPTED, begin::busy(id)).into_response(),
        }
    }
}

/// Work on a sheet keeps a thread busy: not one that answers others.
async fn aside<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Wrong> {
    tokio::task::spawn_blocking(work).await.map_err(|_| {
        Wrong::unusable(
            "this sheet cannot be read: it stopped the reader",
            "open it in your spreadsheet program, save it as CSV, and choose that",
        )
    })
}

#[derive(Debug, Default, Deserialize)]
struct Paged {
    from: Option<usize>,
}

async fn begin(
    State(app): State<App>,
    asked: Result<Query<Paged>, QueryRejection>,
) -> Result<Response, Stop> {
    let Query(Paged { from }) = asked?;
    let brought = keep::brought(&app).await?;
    Ok(begin::page(&brought, from.unwrap_or(0), &[]).into_response())
}

/// What is wrong with the file that was chosen, on the page where it is chosen.
async fn not_taken(app: &App, status: StatusCode, what: &str) -> Result<Response, Stop> {
    let brought = keep::brought(app).await?;
    Ok((status, begin::page(&brought, 0, &[Fault::new("sheet", what)])).into_response())
}

async fn chosen(
    State(app): State<App>,
    form: Result<Multipart, MultipartRejection>,
) -> Result<Response, Stop> {
    let unusable = StatusCode::UNPROCESSABLE_ENTITY;
    let Ok(form) = form else {
        return not_taken(&app, unusable, "choose a file: CSV or XLSX").await;
    };
    let file = match uploads::receive(form).await {
        Ok(file) => Arc::new(file),
        Err(NotReceived::None) => {
            return not_taken(&app, unusable, "choose a file: CSV or XLSX").await;
        }
        Err(NotReceived::Empty) => {
            return not_taken(
                &app,
                unusable,
                "this file is empty; choose the one with the readings",
            )
            .await;
        }
        Err(NotReceived::TooLarge) => {
            let what = format!(
                "this file is larger than {} MB; save the part with the readings as a file of its own, best as CSV, or load it all with `ouncewise load sheet`",
                LARGEST >> 20
            );
            return not_taken(&app, StatusCode::PAYLOAD_TOO_LARGE, &what).await;
        }
        Err(NotReceived::Broken(status, what)) => {
            let hint = Some("go back, and choose the file again".to_owned());
            return Err(Wrong { status, what, hint }.into());
        }
    };
    let beside = Beside::of(&app).await?;
    let received = file.clone();
    let looked = aside(move || look::look(&received, None, &beside)).await?;
    match looked {
        Ok(Looked { which, sheets, reading }) => {
            let id = app.uploads().put(Sheet {
                file,
                which,
                sheets,
                reading,
                kept: None,
                stopped: None,
            });
            Ok(Redirect::to(&format!("/bring/{id}")).into_response())
        }
        Err(refusal) => {
            let what = format!("the file {}: {}", file.name, said(&refusal));
            not_taken(&app, unusable, &what).await
        }
    }
}

/// A refusal and how to mend it, as sentences.
fn said(refusal: &Refusal) -> String {
    let reason = sentence(&words::short(&refusal.reason, 400));
    match &refusal.hint {
        Some(hint) => format!("{reason} {}", sentence(&words::short(hint, 400))),
        None => reason,
    }
}

type At = Result<Path<Uuid>, PathRejection>;

/// A sheet that is held, for this request alone. One whose records were taken back may be kept again.
async fn held(app: &App, at: At) -> Result<(Uuid, OwnedMutexGuard<Sheet>), Stop> {
    let Path(id) = at?;
    let Some(held) = app.uploads().get(id) else {
        return Err(Stop::Gone(app.uploads().has_reading(id)));
    };
    let locked = tokio::time::timeout(PATIENCE, held.lock_owned()).await;
    let mut sheet = locked.map_err(|_| Stop::Busy(id))?;
    if keep::was_taken_back(app, sheet.kept.as_ref()).await? {
        sheet.kept = None;
    }
    Ok((id, sheet))
}

fn to(id: Uuid, more: &str) -> Response {
    Redirect::to(&format!("/bring/{id}{more}")).into_response()
}

#[derive(Debug, Deserialize)]
struct Changed {
    changed: Option<String>,
}

async fn reading(
    State(app): State<App>,
    at: At,
    asked: Result<Query<Changed>, QueryRejection>,
) -> Result<Response, Stop> {
    let Query(Changed { changed }) = asked?;
    let (id, sheet) = held(&app, at).await?;
    if sheet.kept.is_some() {
        return Ok(to(id, "/kept"));
    }
    shown(&app, id, sheet.clone(), &[], changed.is_some()).await
}

/// The page of a reading, with what would become of the sheet; or with what is wrong.
async fn shown(
    app: &App,
    id: Uuid,
    sheet: Sheet,
    wrong: &[Fault],
    changed: bool,
) -> Result<Response, Stop> {
    let beside = Beside::of(app).await?;
    let estate = beside.estate.clone();
    let again = keep::same_file(app, &sheet).await?;
    let mut wrong = wrong.to_vec();
    // While a field is wrong, there is nothing to try.
    let tried = if wrong.is_empty() {
        let trial = sheet.clone();
        let tried = aside(move || tried::tried(&trial, &beside)).await?;
        tried.map_err(|all| wrong = unfit(&sheet.reading, &all)).ok()
    } else {
        None
    };
    let status = if wrong.is_empty() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    let shown = Shown { id, sheet: &sheet, estate: &estate, tried, again, changed, wrong: &wrong };
    Ok((status, show::reading(&shown)).into_response())
}

/// What keeps a reading from being used, each beside the question that it is about.
fn unfit(reading: &Reading, refusals: &[Refusal]) -> Vec<Fault> {
    let faults = refusals.iter().map(|refusal| {
        let about = |id: &str| refusal.reason.contains(&format!("{id:?}"));
        let question = reading.mapping.questions.iter().find(|question| about(&question.id));
        let field = question.map_or_else(|| "result".to_owned(), words::field);
        Fault::new(field, said(refusal))
    });
    faults.collect()
}

async fn corrected(
    State(app): State<App>,
    at: At,
    fields: Result<Form<Vec<(String, String)>>, FormRejection>,
) -> Result<Response, Stop> {
    let (id, mut sheet) = held(&app, at).await?;
    let Form(fields) = fields?;
    if sheet.kept.is_some() {
        return Ok(to(id, "/kept"));
    }
    let fields: Fields = fields.into_iter().collect();
    let keep = fields.get("act").is_some_and(|act| act == "keep");
    let before = follow::settled(&sheet.reading);
    let mut said = sheet.clone();
    let wrong = form::correct(&mut said.reading, &fields);
    if !wrong.is_empty() {
        return shown(&app, id, said, &wrong, false).await;
    }
    let asked_before: Vec<String> =
        said.reading.mapping.questions.iter().map(|question| question.id.clone()).collect();
    if follow::settled(&said.reading).columns != before.columns {
        said = asked_anew(&app, said).await?;
    }
    // What the sheet cannot be read by is not kept as its reading.
    let (beside, trial) = (Beside::of(&app).await?, said.clone());
    let fits = aside(move || tried::wanted(&trial, &trial.reading.decided(), &beside)).await?;
    if let Err(all) = fits {
        let wrong = unfit(&said.reading, &all);
        return shown(&app, id, said, &wrong, false).await;
    }
    let unchanged = follow::settled(&said.reading) == before;
    sheet.reading = said.reading;
    app.uploads().note(id, &sheet.reading.decided());
    if keep && unchanged {
        return kept_now(app, id, sheet).await;
    }
    let more = sheet.reading.mapping.open().any(|question| {
        !question.sets_up && asked_before.iter().all(|known| *known != question.id)
    });
    let place = if more { "#questions" } else { "#result" };
    // What nobody has seen yet is not kept.
    Ok(to(id, &format!("{}{place}", if keep { "?changed=yes" } else { "" })))
}

/// Asks what follows from corrected columns.
async fn asked_anew(app: &App, mut sheet: Sheet) -> Result<Sheet, Stop> {
    let beside = Beside::of(app).await?;
    let asked = aside(move || {
        let mut seen = look::seen(sheet.file.file.path(), sheet.which.as_deref())?;
        let Reading { mapping, proposed, .. } = &sheet.reading;
        let mapping = mapping.clone();
        sheet.reading.mapping =
            follow::asked_anew(mapping, proposed, &mut seen, &sheet.file.name, &beside);
        Ok(sheet)
    });
    asked.await?.map_err(|refusal: Refusal| unreadable(&[refusal]))
}

fn unreadable(refusals: &[Refusal]) -> Stop {
    let what: Vec<String> = refusals.iter().map(said).collect();
    Wrong::unusable(what.join(" "), "go back to how the sheet is read, or choose the file again")
        .into()
}

/// Keeps it on a thread of its own, which goes on where the browser goes away. Whoever sends the form again meanwhile
/// waits, and finds it kept.
async fn kept_now(app: App, id: Uuid, mut sheet: OwnedMutexGuard<Sheet>) -> Result<Response, Stop> {
    let on = tokio::runtime::Handle::current();
    let done = aside(move || {
        let kept = keep::keep(&app, &sheet, &on);
        sheet.stopped = kept.as_ref().err().map(|failure| failure.message.clone());
        sheet.kept = Some(Arc::new(kept?));
        Ok::<_, ouncewise_report::Failure>(())
    });
    // Nobody looks at a blank page for minutes: there it says that it is still being kept.
    if let Ok(done) = tokio::time::timeout(PATIENCE, done).await {
        done??;
    }
    Ok(to(id, "/kept"))
}

#[derive(Debug, Deserialize)]
struct Other {
    #[serde(default)]
    which: String,
}

/// Reads another sheet of the workbook.
async fn other(
    State(app): State<App>,
    at: At,
    form: Result<Form<Other>, FormRejection>,
) -> Result<Response, Stop> {
    let (id, mut sheet) = held(&app, at).await?;
    let Form(Other { which }) = form?;
    if sheet.kept.is_some() {
        return Ok(to(id, "/kept"));
    }
    if !sheet.sheets.contains(&which) {
        let wrong = [Fault::new("which", "choose one of the sheets")];
        return shown(&app, id, sheet.clone(), &wrong, false).await;
    }
    let (beside, file, name) = (Beside::of(&app).await?, sheet.file.clone(), which.clone());
    match aside(move || look::look(&file, Some(&name), &beside)).await? {
        Ok(looked) => {
            (sheet.which, sheet.reading) = (looked.which, looked.reading);
            Ok(to(id, ""))
        }
        Err(refusal) => {
            let what = format!("the sheet {}: {}", words::short(&which, 80), said(&refusal));
            shown(&app, id, sheet.clone(), &[Fault::new("which", what)], false).await
        }
    }
}

/// Every row that does not go in, with its reason, for a spreadsheet program.
async fn refused(State(app): State<App>, at: At) -> Result<Response, Stop> {
    let (_, sheet) = held(&app, at).await?;
    let (beside, sheet) = (Beside::of(&app).await?, sheet.clone());
    let rows = aside(move || tried::refused(&sheet, &beside)).await?;
    let rows = rows.map_err(|all| unreadable(&all))?;
    let headers = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8; header=present"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"refused.csv\""),
    ];
    Ok((headers, rows).into_response())
}

async fn kept(State(app): State<App>, at: At) -> Result<Response, Stop> {
    let (id, sheet) = held(&app, at).await?;
    match &sheet.kept {
        Some(kept) => Ok(show::kept(id, &sheet, kept).into_response()),
        None => Ok(to(id, "")),
    }
}

async fn take_back(State(app): State<App>, at: At) -> Result<Response, Stop> {
    let Path(id) = at?;
    let brought = keep::one(&app, id).await?;
    let sheet = brought.back.as_ref().and_then(|_| app.uploads().of_load(id));
    Ok(begin::back(&brought, sheet).into_response())
}

async fn taken_back(State(app): State<App>, at: At) -> Result<Response, Stop> {
    let Path(id) = at?;
    if keep::one(&app, id).await?.back.is_none() {
        app.store().undo(id, None).await?;
    }
    Ok(to_back(id))
}

fn to_back(id: Uuid) -> Response {
    Redirect::to(&format!("/bring/back/{id}")).into_response()
}
