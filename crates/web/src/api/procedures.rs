//! Procedures: the list, one with its check and versions, what follows from a mistake, the kit, checking a text, publishing one.

use axum::http::StatusCode;
use ouncewise_estate::Estate;
use ouncewise_ledger::{Body, Scope, procedure_version};
use ouncewise_report::{
    Exit, FaultReport, KitReport, Library, ProcedureHere, ProcedureReport, ProceduresReport,
    PublishReport, SkipReport, Terms, ToPublish, checked, judge, may_be_published, procedure_here,
    procedure_kit, procedure_text, procedures, terms_at,
};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::call::{Call, Json, Nothing, Reply};
use super::problem::{Code, ErrorAt, Problem};
use super::schemas::{IdHere, KeyHere};

/// The longest body: two texts of a record's length, each of whose characters may be escaped.
pub const MOST_BYTES: usize = 1 << 20;

/// Work that takes a processor for long, beside other requests.
async fn aside<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Problem> {
    tokio::task::spawn_blocking(work).await.map_err(|_| Problem::of_code(Code::Bug))
}

pub async fn all(call: Call) -> Result<Reply<ProceduresReport>, Problem> {
    let library = Library::of(call.app.store()).await?;
    let estate = call.app.store().estate().await?;
    Ok(aside(move || procedures(&library, &estate)).await?.into())
}

/// The terms of the food code at a site; the group's without one.
fn terms(estate: &Estate, site: Option<&KeyHere>) -> Result<Terms, Problem> {
    let site = site.map(|site| site.as_str());
    match site.filter(|site| !estate.sites.contains_key(*site)) {
        Some(site) => {
            Err(Problem::missing(format!("there is no site `{site}`"), "GET /sites lists them"))
        }
        None => Ok(terms_at(estate, site)),
    }
}

#[derive(Debug, Deserialize, JsonSchema)]
pub struct ProcedureAt {
    /// Key of the family of machines.
    family: KeyHere,
    /// Key of the procedure within its family.
    name: KeyHere,
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct VersionAsked {
    /// A version: SHA-256 of its text and its model; the one in force without it.
    #[schemars(length(max = 64))]
    version: Option<String>,
    /// Key of a site, by whose food code it is checked; without it, by the group's.
    site: Option<KeyHere>,
}

pub async fn one(call: Call<ProcedureAt, VersionAsked>) -> Result<Reply<ProcedureHere>, Problem> {
    let ProcedureAt { family, name } = call.at;
    let library = Library::of(call.app.store()).await?;
    let estate = call.app.store().estate().await?;
    let VersionAsked { version, site } = call.asked;
    let terms = terms(&estate, site.as_ref())?;
    let here = aside(move || {
        let one = procedure_text(&library, (&family, &name), version.as_deref())?;
        Ok::<_, ouncewise_report::Failure>(procedure_here(&library, one, &estate, &terms))
    });
    Ok(here.await??.into())
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LanguageAsked {
    /// Short code of one of its languages: `en`, unless said otherwise.
    #[schemars(length(max = 20))]
    language: Option<String>,
    /// Key of a site, by whose food code it is looked at; without it, by the group's.
    site: Option<KeyHere>,
}

pub async fn skip(call: Call<ProcedureAt, LanguageAsked>) -> Result<Reply<SkipReport>, Problem> {
    let ProcedureAt { family, name } = call.at;
    let library = Library::of(call.app.store()).await?;
    let one = procedure_text(&library, (&family, &name), None)?.clone();
    let LanguageAsked { language, site } = call.asked;
    let language = language.unwrap_or_else(|| "en".to_owned());
    let terms = terms(&*call.app.store().estate().await?, site.as_ref())?;
    let known = match &one.read_under(&terms).judged {
        Ok(judged) => judged.procedure.languages.iter().any(|(own, _)| *own == language),
        Err(_) => true,
    };
    if !known {
        let hint = "GET the procedure: it lists its languages";
        return Err(Problem::missing(format!("{} is not written in `{language}`", one.at()), hint));
    }
    let report = aside(move || one.read_under(&terms).skips(&language)).await?;
    match report {
        Some(report) => Ok(SkipReport::clone(&report).into()),
        None => Err(Problem::new(Code::Data, "the text of this procedure cannot be read")
            .hint("GET the procedure: it lists what to mend")),
    }
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KitAsked {
    /// Key of a site: for all its machines of the family. Without it, for one machine of as many lines as the text says.
    site: Option<KeyHere>,
    /// Key of a machine within that site.
    machine: Option<KeyHere>,
}

pub async fn kit(call: Call<ProcedureAt, KitAsked>) -> Result<Reply<KitReport>, Problem> {
    let ProcedureAt { family, name } = call.at;
    let KitAsked { site, machine } = call.asked;
    if site.is_none() && machine.is_some() {
        return Err(Problem::new(Code::NotThere, "a machine is not to be found without its site")
            .hint("name both: a machine is named by its key within its site"));
    }
    let library = Library::of(call.app.store()).await?;
    let estate = call.app.store().estate().await?;
    let report = aside(move || {
        let one = procedure_text(&library, (&family, &name), None)?;
        let machine = machine.as_deref().map(String::as_str);
        let site = site.as_deref().map(String::as_str);
        procedure_kit(one, &estate, site, machine, &terms_at(&estate, site))
    });
    Ok(report.await??.into())
}

/// A text to check.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ToCheck {
    /// The procedure, as its file has it (TOML).
    text: String,
    /// The model of its family, as `family.toml` has it; without it, the one that the group has.
    model: Option<String>,
}

/// What the check says of a text. Of a machine it says nothing.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TextChecked {
    /// SHA-256 of the text and the model: the version that it would be.
    version: String,
    /// Whether it may be published.
    may_be_published: bool,
    /// The verdict, with the shortest way to each broken rule.
    check: ProcedureReport,
    /// Every fault and every finding at its place.
    faults: Vec<FaultReport>,
}

pub async fn check(
    call: Call<Nothing, Nothing, Json<ToCheck>>,
) -> Result<Reply<TextChecked>, Problem> {
    let Json(ToCheck { text, model }) = call.body;
    let library = Library::of(call.app.store()).await?;
    let told = aside(move || {
        let family =
            text.lines().filter_map(|line| line.split_once('=')).find_map(|(key, rest)| {
                (key.trim() == "family").then(|| rest.split('"').nth(1).unwrap_or_default())
            });
        let model = model.as_deref().or_else(|| library.model(family?));
        let judged = judge("procedure.toml", &text, model, library.terms());
        let holds = |judged: &ouncewise_report::Judged| may_be_published(judged.report.verdict);
        let (check, faults) = checked("procedure.toml", &judged);
        let may_be_published = judged.as_ref().is_ok_and(holds);
        let version = procedure_version(&text, Some(model.unwrap_or_default()));
        TextChecked { version, may_be_published, check, faults }
    });
    Ok(told.await?.into())
}

/// A text to publish.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Publishing {
    /// Id of the record that publishes it: a UUID of version 7, made by whoever sends it.
    id: IdHere,
    /// The procedure, as its file has it (TOML).
    text: String,
    /// The model of its family; without it, the one that the group has.
    model: Option<String>,
}

pub async fn publish(
    call: Call<ProcedureAt, Nothing, Json<Publishing>>,
) -> Result<Reply<PublishReport>, Problem> {
    let ProcedureAt { family, name } = call.at;
    let Json(Publishing { id, text, model }) = call.body;
    let (store, now) = (call.app.store(), call.app.now_at());
    let (library, estate) = (Library::of(store).await?, store.estate().await?);
    let would = {
        let (library, estate) = (library.clone(), estate.clone());
        let (text, model) = (text.clone(), model.clone());
        let (family, name) = (family.to_string(), name.to_string());
        let would = move || {
            let (family, name, model) = (family.as_str(), name.as_str(), model.as_deref());
            ToPublish { family, name, text: &text, model }.would(&library, &estate)
        };
        aside(would).await??
    };
    if would.outcome == "refused" {
        let errors = would.faults.iter().map(|fault| {
            let at = if fault.file == "family.toml" { "/model" } else { "/text" };
            let hint = fault.hint.as_ref().map_or_else(String::new, |hint| format!("; {hint}"));
            let what = format!("line {}: {} ({}){hint}", fault.line, fault.message, fault.code);
            ErrorAt::new(at, Code::Value, what)
        });
        return Err(Problem::data(errors.collect()));
    }
    if let Some(entry) = store.record(&Scope::group(), id.0).await? {
        let same = matches!(&entry.record.body, Body::ProcedurePublished { key, hash, family: Some(own), .. }
            if *key == *name && *hash == would.version && *own == *family);
        if !same {
            let what = "another record stands under this id, and goes on standing";
            return Err(Problem::data(vec![ErrorAt::new("/id", Code::Value, what)]));
        }
        // Sent again: it is as it was asked to be.
        let (outcome, record) = ("published".to_owned(), Some(id.0.to_string()));
        return Ok(PublishReport { outcome, record, ..would }.into());
    }
    if would.outcome == "in-force" {
        return Ok(would.into());
    }
    let (family, name, model) = (family.as_str(), name.as_str(), model.as_deref());
    let asked = ToPublish { family, name, text: &text, model };
    let report = asked.publish(store, (&library, &estate), Some(id.0), &now).await.map_err(
        |why| match why.exit {
            // What was sent, and not what is stored.
            Exit::Data => Problem::new(Code::Data, why.message),
            _ => why.into(),
        },
    )?;
    Ok(Reply::new(StatusCode::CREATED, report))
}
