//! The whole estate as its files: to read, to download, and to change as text.

use axum::extract::rejection::{FormRejection, PathRejection};
use axum::extract::{Form, Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use ouncewise_estate::fault::passes;
use ouncewise_estate::plan::{self, Plan};
use ouncewise_estate::{Estate, Fault as FileFault, Severity, files};
use ouncewise_report::AllergenReport;
use serde::Deserialize;

use super::{mark, record};
use crate::App;
use crate::layout::{self, Fault, Place, beside, described, faults, invalid, titled, trail};
use crate::wrong::Wrong;

/// A file that was changed.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Changed {
    name: String,
    text: String,
    /// The estate that it was made from.
    seen: String,
    act: String,
}

/// All files.
pub async fn all(State(app): State<App>) -> Result<Response, Wrong> {
    let estate = app.store().estate().await?;
    Ok(page(&estate, &Changed::default(), &[], None).into_response())
}

/// One file, as it would lie in a folder.
pub async fn one(
    State(app): State<App>,
    name: Result<Path<String>, PathRejection>,
) -> Result<Response, Wrong> {
    let Path(name) = name?;
    let estate = app.store().estate().await?;
    let Some(text) = files::write(&estate).remove(&name) else {
        return Err(Wrong::missing(
            format!("there is no file `{name}`"),
            "the page of files lists them",
        ));
    };
    let kind = if name.ends_with(".csv") {
        "text/csv; charset=utf-8"
    } else {
        "text/plain; charset=utf-8"
    };
    let plain = name.replace('/', "-").replace(['"', '\\'], "");
    let headers = [
        (header::CONTENT_TYPE, kind.to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{plain}\"")),
    ];
    Ok((headers, text).into_response())
}

/// A file changed as text: checked as a folder of files would be, shown, and recorded.
pub async fn changed(
    State(app): State<App>,
    form: Result<Form<Changed>, FormRejection>,
) -> Result<Response, Wrong> {
    let Form(changed) = form?;
    let estate = app.store().estate().await?;
    let mut all = files::write(&estate);
    if !files::is_known(&changed.name) {
        let wrong = [Fault::new(
            "name",
            "choose one of the files, or name a new one in families/, such as families/screw-trim.toml",
        )];
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page(&estate, &changed, &wrong, None))
            .into_response());
    }
    all.insert(changed.name.clone(), changed.text.replace("\r\n", "\n").into_bytes());
    let (wanted, found) = files::read(&all);
    if !passes(&found) {
        let wrong: Vec<Fault> = found
            .iter()
            .filter(|fault| fault.severity == Severity::Error)
            .map(|fault| Fault::new("text", words(fault)))
            .collect();
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page(&estate, &changed, &wrong, None))
            .into_response());
    }
    let changes = plan::changes(&estate, &wanted);
    if changed.act != "keep" {
        let allergens = ouncewise_report::plan_allergens(&estate, &wanted, &changes);
        let what = Some((&changes, allergens.as_slice()));
        return Ok(page(&estate, &changed, &[], what).into_response());
    }
    if !changes.changes.is_empty() && changed.seen != mark(&estate) {
        let wrong = [Fault::new(
            "text",
            "the group was changed by somebody since this page was made: look at the file again, and change it anew",
        )];
        return Ok((StatusCode::CONFLICT, page(&estate, &changed, &wrong, None)).into_response());
    }
    record(&app, &estate, &wanted).await?;
    Ok(Redirect::to("/setup/files").into_response())
}

fn words(fault: &FileFault) -> String {
    let place = &fault.place;
    let hint = fault.hint.as_ref().map_or_else(String::new, |hint| format!("; {hint}"));
    format!("{}, line {}: {}{hint} ({})", place.file, place.line, fault.message, fault.code)
}

fn page(
    estate: &Estate,
    changed: &Changed,
    wrong: &[Fault],
    changes: Option<(&Plan, &[AllergenReport])>,
) -> Markup {
    let all = files::write(estate);
    let title = "All of it as files";
    let body = html! {
        (trail(&[("/setup", "Set up")]))
        (faults(wrong))
        h1 { (title) }
        @if let Some(changes) = changes { (check(estate, changed, changes)) }
        p { "The same files as " code { "ouncewise export" } " writes and " code { "ouncewise load estate" } " reads. " a href="/docs/files" { "What may stand in each" } }
        h2 { "Change one" }
        form method="post" action="/setup/files" novalidate {
            input type="hidden" name="seen" value=(mark(estate));
            div class="field" {
                label for="name" { "Which file" }
                p class="hint" id="name-hint" { "One of those below, or a new one in families/" }
                (beside(wrong, "name"))
                input type="text" id="name" name="name" value=(changed.name) list="names" autocomplete="off" aria-describedby=[described(wrong, "name", true)] aria-invalid=[invalid(wrong, "name")];
                datalist id="names" { @for name in all.keys() { option value=(name) {} } }
            }
            div class="field" {
                label for="text" { "Its whole text" }
                p class="hint" id="text-hint" { "Copy it from below, change it, and paste it here. What it no longer names is taken out of use; nothing is deleted." }
                (beside(wrong, "text"))
                textarea id="text" name="text" rows="12" cols="80" spellcheck="false" aria-describedby=[described(wrong, "text", true)] aria-invalid=[invalid(wrong, "text")] { (changed.text) }
            }
            p { button name="act" value="check" { "Check what changes" } }
        }
        h2 { "The files" }
        @for (name, text) in &all {
            details {
                summary { (name) }
                p { a href={ "/setup/files/" (name) } { "Download " (name) } }
                div class="scroll" tabindex="0" role="region" aria-label=(name) { pre { code { (String::from_utf8_lossy(text)) } } }
            }
        }
    };
    layout::page(&titled(title, wrong), Some(Place::SetUp), &body)
}

fn check(
    estate: &Estate,
    changed: &Changed,
    (changes, allergens): (&Plan, &[AllergenReport]),
) -> Markup {
    html! {
        section class="warn" role="status" aria-labelledby="changes" {
            h2 id="changes" { "What would change" }
            @if changes.changes.is_empty() { p { "Nothing: it is as the file says." } }
            @else {
                ul { @for change in &changes.changes { li { (change) } } }
                (super::form::allergens(allergens))
                form method="post" action="/setup/files" {
                    input type="hidden" name="seen" value=(mark(estate));
                    input type="hidden" name="name" value=(changed.name);
                    textarea name="text" hidden aria-label="The file" { (changed.text) }
                    button name="act" value="keep" { "Record it" }
                }
            }
        }
    }
}
