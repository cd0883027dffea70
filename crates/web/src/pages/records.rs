//! Records: the ledgers, their heads, and what stands in them in order of receipt.

mod sanitised;

use axum::Router;
use axum::extract::rejection::{FormRejection, PathRejection, QueryRejection};
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use maud::{Markup, html};
use ouncewise_ledger::{Body, Entered, Record, Scope, Subject, derive_id};
use ouncewise_report::many;
use serde::Deserialize;
use uuid::Uuid;

use crate::App;
use crate::layout::{Fault, Place, beside, described, faults, invalid, page, titled, trail};
use crate::words;
use crate::wrong::{Wrong, sentence};

/// Records on one page.
const SHOWN: u64 = 50;

pub fn routes() -> Router<App> {
    Router::new()
        .route("/records", get(all))
        .route("/records/{scope}", get(ledger))
        .route("/records/{scope}/{id}", get(one).post(withdraw))
}

async fn all(State(app): State<App>) -> Result<Markup, Wrong> {
    let heads = app.store().heads().await?;
    let estate = app.store().estate().await?;
    let records: u64 = heads.iter().map(|head| head.size).sum();
    let body = html! {
        h1 { "Records" }
        p {
            "Everything that happened is a record, and none is ever changed: what was wrong is corrected by a later one. "
            "Each site’s records are linked by hashes, so that it shows if one is altered. That shows that records were not altered since; not that the work was done."
        }
        @if heads.is_empty() { p { "There are none yet." } }
        @else {
            p { (many(records, "record")) " in " (many(heads.len(), "ledger")) ". Check them all with " code { "ouncewise verify" } ", and copy them with " code { "ouncewise backup" } "." }
            div class="scroll" tabindex="0" role="region" aria-label="Ledgers" {
                table {
                    thead { tr { th scope="col" { "Ledger" } th scope="col" class="number" { "Records" } th scope="col" { "Root" } } }
                    tbody {
                        @for head in &heads {
                            tr {
                                th scope="row" { a href={ "/records/" (head.site) } { (ledger_name(&estate, &head.site)) } }
                                td class="number" { (head.size) }
                                td { code { (head.root.to_string().chars().take(16).collect::<String>()) "…" } }
                            }
                        }
                    }
                }
            }
        }
    };
    Ok(page("Records", Some(Place::Records), &body))
}

fn ledger_name(estate: &ouncewise_estate::Estate, scope: &Scope) -> String {
    match scope.site_key() {
        None => "The group itself".to_owned(),
        Some(key) => match estate.sites.get(key) {
            Some(site) if !site.name.is_empty() => site.name.clone(),
            _ => key.to_owned(),
        },
    }
}

#[derive(Debug, Deserialize)]
struct Asked {
    before: Option<u64>,
}

async fn ledger(
    State(app): State<App>,
    scope: Result<Path<Scope>, PathRejection>,
    asked: Result<Query<Asked>, QueryRejection>,
) -> Result<Markup, Wrong> {
    let (Path(scope), Query(Asked { before })) = (scope?, asked?);
    let heads = app.store().heads().await?;
    let Some(head) = heads.into_iter().find(|head| head.site == scope) else {
        return Err(Wrong::missing(
            format!("there is no ledger `{scope}`"),
            "the page of records lists them",
        ));
    };
    let before = before.unwrap_or(head.size).min(head.size);
    let from = before.saturating_sub(SHOWN);
    let count = u32::try_from(before - from).unwrap_or(0);
    let mut entries = app.store().entries(&scope, from, count).await?;
    entries.reverse();
    let estate = app.store().estate_at(scope.as_str()).await?;
    let name = ledger_name(&estate, &scope);
    let body = html! {
        (trail(&[("/records", "Records")]))
        h1 { "Records: " (name) }
        p { (many(head.size, "record")) ", in the order in which they were received, newest first. Root " code { (head.root) } "." }
        div class="scroll" tabindex="0" role="region" aria-label="Records" {
            table {
                thead { tr { th scope="col" class="number" { "Nr" } th scope="col" { "When" } th scope="col" { "About" } th scope="col" { "What" } th scope="col" { "Came in" } } }
                tbody {
                    @for entry in &entries {
                        tr {
                            td class="number" { a href={ "/records/" (scope) "/" (entry.record.id) } { (entry.index) } }
                            td { (words::when(&entry.record.at)) }
                            td { (about(&entry.record)) }
                            td { (what(&entry.record.body)) }
                            td { (came_in(entry.record.entered)) }
                        }
                    }
                }
            }
        }
        ul class="acts" {
            @if before < head.size { li { a class="button plain" href={ "/records/" (scope) "?before=" (before + SHOWN) } { "Newer" } } }
            @if from > 0 { li { a class="button plain" href={ "/records/" (scope) "?before=" (from) } { "Older" } } }
        }
    };
    Ok(page(&format!("Records: {name}"), Some(Place::Records), &body))
}

type At = Result<Path<(Scope, Uuid)>, PathRejection>;

async fn one(State(app): State<App>, at: At) -> Result<Markup, Wrong> {
    let Path((scope, id)) = at?;
    show(&app, &scope, id, &[]).await
}

/// What was caught, claimed, adjusted or cleaned can be withdrawn here; what describes the estate is changed under Set up.
fn may_be_withdrawn(body: &Body) -> bool {
    !matches!(
        body,
        Body::Configured { .. }
            | Body::Retired { .. }
            | Body::Correction { .. }
            | Body::Verification { .. }
            | Body::ProcedurePublished { .. }
            | Body::ParametersPublished { .. }
    )
}

fn withdrawal(at: &str, wrong: &[Fault]) -> Markup {
    html! {
        h2 { "Is it wrong?" }
        form method="post" action=(at) novalidate {
            div class="field" {
                label for="reason" { "Why it does not count" }
                p class="hint" id="reason-hint" { "Such as: typed into the wrong line. It stays in the ledger, marked as withdrawn." }
                (beside(wrong, "reason"))
                input type="text" id="reason" name="reason" autocomplete="off" aria-describedby=[described(wrong, "reason", true)] aria-invalid=[invalid(wrong, "reason")];
            }
            button class="away" { "Withdraw this record" }
        }
    }
}

#[derive(Debug, Deserialize)]
struct Withdrawn {
    #[serde(default)]
    reason: String,
}

async fn withdraw(
    State(app): State<App>,
    at: At,
    form: Result<Form<Withdrawn>, FormRejection>,
) -> Result<Response, Wrong> {
    let (Path((scope, id)), Form(Withdrawn { reason })) = (at?, form?);
    let Some(entry) = app.store().record(&scope, id).await? else {
        return Err(Wrong::missing(
            format!("there is no record {id} in the ledger `{scope}`"),
            "the ledger’s page lists its records",
        ));
    };
    let record = entry.record;
    if !may_be_withdrawn(&record.body) {
        return Err(Wrong::unusable(
            "that record describes the estate or corrects another",
            "change the estate under Set up",
        ));
    }
    let reason = reason.trim().to_owned();
    let correction = Record {
        v: ouncewise_ledger::record::VERSION,
        // The same for each press of the button: a record is withdrawn once.
        id: derive_id(&["withdraw", &id.to_string()], 0),
        scope: scope.clone(),
        subject: Subject { part: None, ..record.subject.clone() },
        at: app.now_at(),
        device: "desk".to_owned(),
        sequence: 0,
        by: None,
        entered: Entered::AtDesk,
        note: None,
        body: Body::Correction { of: id, reason: reason.clone(), instead: None },
    };
    if reason.is_empty() || correction.check().is_err() {
        let wrong = [Fault::new("reason", "say in a few words why it does not count")];
        let page = show(&app, &scope, id, &wrong).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    let withdrawn = app.store().record(&scope, correction.id).await?.is_some();
    if !withdrawn {
        app.store().append(vec![correction.into()]).await?;
    }
    Ok(Redirect::to(&format!("/records/{scope}/{id}")).into_response())
}

async fn show(app: &App, scope: &Scope, id: Uuid, wrong: &[Fault]) -> Result<Markup, Wrong> {
    let correction = derive_id(&["withdraw", &id.to_string()], 0);
    let withdrawn = app.store().record(scope, correction).await?;
    let entry_at = format!("/records/{scope}/{id}");
    let Some(entry) = app.store().record(scope, id).await? else {
        return Err(Wrong::missing(
            format!("there is no record {id} in the ledger `{scope}`"),
            "the ledger’s page lists its records",
        ));
    };
    let estate = app.store().estate_at(scope.as_str()).await?;
    let name = ledger_name(&estate, scope);
    let record = &entry.record;
    let by = match record.by {
        None => None,
        Some(by) => app.store().people().await?.into_iter().find(|person| person.id == by),
    };
    let text = serde_json::to_string_pretty(record).unwrap_or_default();
    let title = format!("Record {} of {name}", entry.index);
    let body = html! {
        (faults(wrong))
        (trail(&[("/records", "Records"), (&format!("/records/{scope}"), &name)]))
        h1 { (title) }
        dl class="facts" {
            dt { "What" } dd { (what(&record.body)) }
            dt { "About" } dd { (about(record)) }
            dt { "When" } dd { (words::when(&record.at)) " by the clock of " (record.device) }
            dt { "Received" } dd { (entry.received) }
            dt { "Came in" } dd { (came_in(record.entered)) }
            dt { "Who" } dd {
                @match by.map(|person| person.name) {
                    None => "not recorded",
                    Some(None) => "somebody whose name was erased",
                    Some(Some(name)) => (name),
                }
            }
        }
        @if let Some(Body::Correction { reason, .. }) = withdrawn.as_ref().map(|entry| &entry.record.body) {
            p class="warn" { "Withdrawn: " (sentence(reason)) }
        } @else if may_be_withdrawn(&record.body) {
            (withdrawal(&entry_at, wrong))
        }
        h2 { "As it stands in the ledger" }
        div class="scroll" tabindex="0" role="region" aria-label="The record as JSON" { pre { code { (text) } } }
    };
    Ok(page(&titled(&title, wrong), Some(Place::Records), &body))
}

fn about(record: &Record) -> String {
    let subject = &record.subject;
    match (&subject.machine, &subject.line) {
        (Some(machine), Some(line)) => format!("{machine}, line {line}"),
        (Some(machine), None) => machine.clone(),
        _ => "all of it".to_owned(),
    }
}

/// What a record says, in words.
pub fn what(body: &Body) -> String {
    match body {
        Body::CatchTaken { state, amount, draw, measure, .. } => {
            let state = match state {
                ouncewise_ledger::LineState::AsFound => "as found",
                ouncewise_ledger::LineState::AsLeft => "as left",
            };
            format!("caught {amount} in {draw}, {state}, with {measure}")
        }
        Body::ClaimMade { said } => format!("log says “{said}”"),
        Body::LineAdjusted { done, .. } => format!("adjusted: {done}"),
        Body::PartInspected { found } => format!("part looked at: {found}"),
        Body::Configured { thing, key, .. } => format!("{} {key} described", thing_word(*thing)),
        Body::Retired { thing, key } => format!("{} {key} retired", thing_word(*thing)),
        Body::StepSkipped { step, reason } => {
            format!("{} skipped: {reason}", step.replace('-', " "))
        }
        Body::StepDone { step } => format!("{} done", step.replace('-', " ")),
        Body::ProcedurePublished { key, hash, family, .. } => {
            let family = family.as_ref().map_or_else(String::new, |family| format!("{family}/"));
            let short = hash.get(..12).unwrap_or(hash);
            format!("procedure {family}{key} published, version {short}")
        }
        Body::Correction { of, reason, .. } => format!("correction of {of}: {reason}"),
        other => sanitised::what(other).unwrap_or_else(|| other.kind().replace('-', " ")),
    }
}

fn thing_word(thing: ouncewise_ledger::Thing) -> String {
    match serde_json::to_value(thing) {
        Ok(serde_json::Value::String(word)) => word,
        _ => "thing".to_owned(),
    }
}

fn came_in(entered: Entered) -> &'static str {
    match entered {
        Entered::AtMachine => "at the machine",
        Entered::FromPaper => "copied from paper",
        Entered::Imported => "from a file",
        Entered::AtDesk => "at a desk",
    }
}
