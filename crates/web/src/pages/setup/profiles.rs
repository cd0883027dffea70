//! Food codes: those that ship, and a lead's own, which begins as a copy of one that ships and is changed row by row.

mod show;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use axum::extract::rejection::{FormRejection, PathRejection, QueryRejection};
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use ouncewise_estate::{Estate, Key, OwnProfile, Severity, files, plan};
use ouncewise_hygiene::profile::Profile;
use ouncewise_hygiene::profile::form::{self, Texts};

use super::{Said, mark, record};
use crate::App;
use crate::layout::Fault;
use crate::wrong::Wrong;

/// What is sent of a form.
type Sent = Result<Form<Vec<(String, String)>>, FormRejection>;

/// A profile's form: its key, the texts in it, and what they were copied from.
pub struct Asked {
    pub key: String,
    /// The profile that it is a copy of, while it is new.
    pub base: String,
    pub texts: Texts,
    pub mark: String,
    /// Whether it is already one of ours.
    pub known: bool,
}

/// All of them, and the form of a copy.
pub async fn all(State(app): State<App>) -> Result<Response, Wrong> {
    let estate = app.store().estate().await?;
    Ok(show::all(&estate, &BTreeMap::new(), &[]).into_response())
}

/// Begins a profile of one's own: nothing is recorded yet.
pub async fn copy(State(app): State<App>, fields: Sent) -> Result<Response, Wrong> {
    let Form(fields) = fields?;
    let fields: BTreeMap<String, String> = fields.into_iter().collect();
    let of = |name: &str| fields.get(name).map_or("", |text| text.trim());
    let estate = app.store().estate().await?;
    let mut wrong = Vec::new();
    let base = text(&estate, of("base"));
    if base.is_none() {
        wrong.push(Fault::new("base", "choose the food code that is nearest to yours"));
    }
    if of("name").is_empty() {
        wrong.push(Fault::new("name", "write what people call it, such as Our county"));
    }
    let key = match of("key") {
        "" => Key::suggest(of("name")).map(|key| key.to_string()).unwrap_or_default(),
        key => key.to_owned(),
    };
    match key.parse::<Key>() {
        Ok(_) if text(&estate, &key).is_some() => {
            wrong.push(Fault::new(
                "key",
                format!("there is a food code `{key}` already: choose another key"),
            ));
        }
        Err(why) if !of("name").is_empty() => {
            wrong.push(Fault::new("key", format!("{}; {}", why.message, why.hint)));
        }
        _ => {}
    }
    let (Some(base), true) = (base, wrong.is_empty()) else {
        let page = show::all(&estate, &fields, &wrong);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    };
    let mut texts = form::texts(&base);
    texts.insert("id".to_owned(), key.clone());
    texts.insert("name".to_owned(), of("name").to_owned());
    let base = of("base").to_owned();
    let asked = Asked { key, base, texts, mark: mark(&estate), known: false };
    Ok(show::form(&asked, &[], false).into_response())
}

/// The text of a profile, ours or shipped.
fn text(estate: &Estate, key: &str) -> Option<String> {
    let own = estate.profiles.get(key).map(|own| own.text.clone());
    let shipped = || Profile::all_shipped().iter().find(|(id, _)| *id == key);
    own.or_else(|| shipped().map(|(_, text)| (*text).to_owned()))
}

/// One of ours, as a form.
pub async fn one(
    State(app): State<App>,
    key: Result<Path<String>, PathRejection>,
    said: Result<Query<Said>, QueryRejection>,
) -> Result<Response, Wrong> {
    let (Path(key), Query(said)) = (key?, said?);
    let estate = app.store().estate().await?;
    let Some(own) = estate.profiles.get(key.as_str()) else { return Err(missing(&key)) };
    let texts = form::texts(&own.text);
    let asked = Asked { key, base: String::new(), texts, mark: mark(&estate), known: true };
    Ok(show::form(&asked, &[], said.done.is_some()).into_response())
}

fn missing(key: &str) -> Wrong {
    Wrong::missing(
        format!("there is no food code `{key}` of your own"),
        "the page “Food codes” lists them, and copies one that ships",
    )
}

/// Checks one of ours as it is typed, shows what changes, and records it.
pub async fn sent(
    State(app): State<App>,
    key: Result<Path<String>, PathRejection>,
    fields: Sent,
) -> Result<Response, Wrong> {
    let (Path(key), Form(fields)) = (key?, fields?);
    let estate = app.store().estate().await?;
    let plain: BTreeMap<&str, &str> =
        fields.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
    let of = |name: &str| plain.get(name).map_or("", |text| text.trim());
    let known = estate.profiles.contains_key(key.as_str());
    let base = of("base").to_owned();
    let Some(before) = text(&estate, if known { &key } else { &base }) else {
        return Err(missing(&key));
    };
    let Ok(own_key) = key.parse::<Key>() else { return Err(missing(&key)) };
    let mut texts: Texts = fields
        .iter()
        .filter_map(|(name, text)| Some((path(name)?, text.replace("\r\n", "\n"))))
        .collect();
    texts.insert("id".to_owned(), key.clone());
    let seen = of("seen").to_owned();
    let mut asked =
        Asked { key: key.clone(), base, texts: form::numbered(&texts), mark: mark(&estate), known };
    let act = of("act");
    if act == "remove" && known {
        return remove(&app, &estate, &own_key, asked, &seen).await;
    }
    if act == "change" {
        return Ok(show::form(&asked, &[], false).into_response());
    }
    let refuse = |asked: &Asked, status, faults: &[Fault]| {
        Ok((status, show::form(asked, faults, false)).into_response())
    };
    let file = form::written(&asked.texts);
    let profile = match Profile::read(&file) {
        Ok(profile) => profile,
        Err(found) => {
            let fault = |fault: &ouncewise_hygiene::profile::FieldFault| {
                Fault::new(show::field_of(&fault.key), format!("{}; {}", fault.what, fault.mend))
            };
            let faults: Vec<Fault> = found.iter().map(fault).collect();
            return refuse(&asked, StatusCode::UNPROCESSABLE_ENTITY, &faults);
        }
    };
    let mut wanted = Estate::clone(&estate);
    wanted.profiles.insert(own_key, OwnProfile { text: file, profile });
    if let Some(fault) = beyond(&wanted) {
        return refuse(&asked, StatusCode::UNPROCESSABLE_ENTITY, &[fault]);
    }
    let differences = show::differences(&form::texts(&before), &asked.texts);
    if act != "keep" {
        return Ok(show::check(&asked, &differences).into_response());
    }
    if plan::changes(&estate, &wanted).changes.is_empty() {
        // Sent twice: it is as it was asked to be.
        return Ok(Redirect::to(&format!("/setup/profiles/{key}?done=yes")).into_response());
    }
    if seen != asked.mark {
        asked.mark = mark(&estate);
        let fault = Fault::new("name", CHANGED);
        return refuse(&asked, StatusCode::CONFLICT, &[fault]);
    }
    record(&app, &estate, &wanted).await?;
    Ok(Redirect::to(&format!("/setup/profiles/{key}?done=yes")).into_response())
}

const CHANGED: &str = "the group was changed by somebody since this form was made: look at what it says now, and check again";

/// Takes one of ours away; what was done under it says so in its records.
async fn remove(
    app: &App,
    estate: &Estate,
    key: &Key,
    asked: Asked,
    seen: &str,
) -> Result<Response, Wrong> {
    let mut wanted = estate.clone();
    wanted.profiles.remove(key);
    let fault =
        if seen == asked.mark { beyond(&wanted) } else { Some(Fault::new("name", CHANGED)) };
    if let Some(fault) = fault {
        let own = estate.profiles.get(key).map(|own| form::texts(&own.text));
        let asked = Asked { texts: own.unwrap_or_default(), ..asked };
        return Ok((StatusCode::CONFLICT, show::form(&asked, &[fault], false)).into_response());
    }
    record(app, estate, &wanted).await?;
    Ok(Redirect::to("/setup/profiles").into_response())
}

/// What the files of such an estate would be refused for.
fn beyond(wanted: &Estate) -> Option<Fault> {
    let (_, found) = files::read(&files::write(wanted));
    let fault = found.into_iter().find(|fault| fault.severity == Severity::Error)?;
    let hint = fault.hint.map_or_else(String::new, |hint| format!("; {hint}"));
    Some(Fault::new(
        "name",
        format!("{}: {}{hint} ({})", fault.place.file, fault.message, fault.code),
    ))
}

/// The key of a profile that a field of the form stands for: `limit.2.from` for `limit[2].from`.
fn path(field: &str) -> Option<String> {
    let mut path = String::new();
    for step in field.split('.') {
        if step.is_empty() || step.len() > 40 {
            return None;
        }
        if step.bytes().all(|byte| byte.is_ascii_digit()) {
            path.push_str(&format!("[{step}]"));
        } else {
            if !path.is_empty() {
                path.push('.');
            }
            path.push_str(step);
        }
    }
    Some(path)
}
