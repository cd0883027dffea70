//! *Set up*: what the group is made of, and a form for each thing in it. Whatever a file can do, these pages do.
//!
//! A form's texts are read by the code that reads files; what changes is shown before it is recorded.

mod all;
mod behaviour;
mod files;
mod form;
mod profiles;
mod thing;

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Router;
use axum::extract::rejection::{FormRejection, PathRejection, QueryRejection};
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use ouncewise_estate::{Estate, Key, files as estate_files, plan};
use ouncewise_ledger::Thing as Sort;
use serde::Deserialize;
use sha2::{Digest, Sha256};

use crate::App;
use crate::layout::Fault;
use crate::wrong::Wrong;
use form::Asked;
use thing::{Texts, Thing};

pub fn routes() -> Router<App> {
    Router::new()
        .route("/setup", get(everything).post(starter))
        .route("/setup/files", get(files::all).post(files::changed))
        .route("/setup/files/{*name}", get(files::one))
        .route("/setup/behaviour", get(behaviour::all).post(behaviour::sent))
        .route("/setup/profiles", get(profiles::all).post(profiles::copy))
        .route("/setup/profiles/{key}", get(profiles::one).post(profiles::sent))
        .route("/setup/{*path}", get(edit).post(sent))
}

async fn everything(State(app): State<App>) -> Result<Response, Wrong> {
    let estate = app.store().estate().await?;
    Ok(all::page(&estate).into_response())
}

/// Takes over the families and kinds of measure that ship with this program.
async fn starter(State(app): State<App>) -> Result<Response, Wrong> {
    let estate = app.store().estate().await?;
    let (shipped, _) = estate_files::read(&ouncewise_estate::starter::files());
    let mut wanted = Estate::clone(&estate);
    for (key, family) in shipped.families {
        wanted.families.entry(key).or_insert(family);
    }
    for (key, kind) in shipped.measures {
        wanted.measures.entry(key).or_insert(kind);
    }
    record(&app, &estate, &wanted).await?;
    Ok(Redirect::to("/setup").into_response())
}

/// Records what leads from one estate to the other.
async fn record(app: &App, estate: &Estate, wanted: &Estate) -> Result<(), Wrong> {
    let drafts = ouncewise_report::described(estate, wanted, &app.now_at());
    if !drafts.is_empty() {
        app.store().append(drafts).await?;
    }
    Ok(())
}

/// A mark of the estate as it is: a form that was made from another one may undo what somebody did meanwhile.
fn mark(estate: &Estate) -> String {
    let mut hash = Sha256::new();
    for (name, text) in estate_files::write(estate) {
        hash.update(name.as_bytes());
        hash.update(&text);
    }
    hash.finalize().iter().take(8).map(|byte| format!("{byte:02x}")).collect()
}

#[derive(Debug, Default, Deserialize)]
struct Said {
    done: Option<String>,
}

fn thing(path: &str) -> Result<Thing, Wrong> {
    Thing::from_path(path)
        .ok_or_else(|| Wrong::missing("there is no page at this address", "begin at Set up"))
}

async fn edit(
    State(app): State<App>,
    path: Result<Path<String>, PathRejection>,
    said: Result<Query<Said>, QueryRejection>,
) -> Result<Response, Wrong> {
    let (Path(path), Query(said)) = (path?, said?);
    let thing = thing(&path)?;
    let estate = app.store().estate().await?;
    let asked = asked(&estate, &thing)?;
    Ok(form::page(&asked, &[], said.done.is_some()).into_response())
}

/// A form filled with what the estate says.
fn asked(estate: &Arc<Estate>, thing: &Thing) -> Result<Asked, Wrong> {
    let above_is_there = match thing.sort {
        Sort::Machine => estate.sites.contains_key(thing.keys[0].as_str()),
        Sort::Line => estate.machine(&thing.keys[0], &thing.keys[1]).is_some(),
        _ => true,
    };
    if !above_is_there || !(thing.is_new() || thing.is_in(estate)) {
        let what = format!("there is no {} `{}`", thing.word(), thing.keys.join("/"));
        return Err(Wrong::missing(what, "the page “Set up” lists what there is"));
    }
    Ok(Asked {
        thing: thing.clone(),
        key: String::new(),
        texts: thing.texts(estate).unwrap_or_default(),
        mark: mark(estate),
        estate: estate.clone(),
    })
}

async fn sent(
    State(app): State<App>,
    path: Result<Path<String>, PathRejection>,
    fields: Result<Form<Vec<(String, String)>>, FormRejection>,
) -> Result<Response, Wrong> {
    let (Path(path), Form(fields)) = (path?, fields?);
    let fields: BTreeMap<String, String> = fields.into_iter().collect();
    let of = |name: &str| fields.get(name).map_or("", |text| text.trim());
    let thing = thing(&path)?;
    let estate = app.store().estate().await?;
    let mut asked = asked(&estate, &thing)?;
    let act = of("act");
    if act == "retire" || act == "bring-back" {
        asked
            .texts
            .insert("retired".to_owned(), if act == "retire" { "yes" } else { "" }.to_owned());
        if thing.sort == Sort::Machine {
            let state = if act == "retire" { "removed" } else { "open" };
            asked.texts = Texts::from([("state".to_owned(), state.to_owned())]);
            asked.texts.extend(
                thing
                    .texts(&estate)
                    .unwrap_or_default()
                    .into_iter()
                    .filter(|(name, _)| name != "state"),
            );
        }
    } else {
        let retired = asked.texts.remove("retired");
        asked.texts = thing
            .fields()
            .into_iter()
            .filter_map(|(name, _)| Some((name.clone(), fields.get(&name)?.trim().to_owned())))
            .collect();
        // What is retired stays so while it is changed; a form that was checked says so itself.
        let retired = fields.get("retired").cloned().or(retired);
        asked.texts.extend(retired.map(|retired| ("retired".to_owned(), retired)));
    }
    asked.key = of("key").to_owned();
    if act == "change" {
        return Ok(form::page(&asked, &[], false).into_response());
    }
    let refuse = |asked: &Asked, faults: &[Fault]| {
        (StatusCode::UNPROCESSABLE_ENTITY, form::page(asked, faults, false)).into_response()
    };
    let named = if thing.is_new() {
        let key = match of("key") {
            "" => Key::suggest(of("name")).map(|key| key.to_string()).unwrap_or_default(),
            key => key.to_owned(),
        };
        if let Err(why) = key.parse::<Key>() {
            return Ok(refuse(
                &asked,
                &[Fault::new("key", format!("{}; {}", why.message, why.hint))],
            ));
        }
        let named = thing.named(&key);
        if act != "keep" && named.is_in(&estate) {
            let what = format!(
                "there is a {} `{key}` already: choose another key, or change that one",
                thing.word()
            );
            return Ok(refuse(&asked, &[Fault::new("key", what)]));
        }
        named
    } else {
        thing.clone()
    };
    let wanted = match named.with(&estate, &asked.texts) {
        Ok(wanted) => wanted,
        Err(wrong) => {
            let faults: Vec<Fault> =
                wrong.into_iter().map(|(field, what)| Fault::new(field, what)).collect();
            return Ok(refuse(&asked, &faults));
        }
    };
    let changes = plan::changes(&estate, &wanted);
    if act != "keep" {
        let allergens = ouncewise_report::plan_allergens(&estate, &wanted, &changes);
        return Ok(form::check(&asked, &named, &changes, &allergens).into_response());
    }
    if changes.changes.is_empty() {
        // Sent twice: it is as it was asked to be.
        return Ok(Redirect::to(&format!("/setup/{}?done=yes", named.path())).into_response());
    }
    if of("seen") != asked.mark {
        let what = "the group was changed by somebody since this form was made: look at what it says now, and check again";
        let first = asked.thing.fields().first().map_or_else(String::new, |(name, _)| name.clone());
        return Ok((StatusCode::CONFLICT, form::page(&asked, &[Fault::new(first, what)], false))
            .into_response());
    }
    record(&app, &estate, &wanted).await?;
    Ok(Redirect::to(&format!("/setup/{}?done=yes", named.path())).into_response())
}

#[cfg(test)]
mod tests;
