//! The whole estate as its files: read, and replaced by whoever has seen what is there.

use std::collections::BTreeMap;

use axum::http::{StatusCode, header};
use ouncewise_estate::fault::passes;
use ouncewise_estate::files::{self, is_known};
use ouncewise_estate::plan::{self, Sort};
use ouncewise_estate::{Estate, Severity};
use ouncewise_report::{EstateReport, FaultReport, plan_allergens};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use tokio::sync::Mutex;

use super::call::{Call, Json, Nothing, Reply};
use super::problem::{Code, ErrorAt, Problem};
use crate::App;

/// The longest estate, in bytes: far more than ten thousand sites need.
pub const MOST_BYTES: usize = 64 << 20;

/// The estate as its files.
#[derive(Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Files {
    /// The text of each file by its name: `estate.toml`, `families/screw-trim.toml`, `lines.csv`.
    files: BTreeMap<String, String>,
}

/// What is there now, and how it is called.
async fn current(app: &App) -> Result<(std::sync::Arc<Estate>, Files, String), Problem> {
    let estate = app.store().estate().await?;
    let files: BTreeMap<String, String> = files::write(&estate)
        .into_iter()
        .map(|(name, bytes)| (name, String::from_utf8_lossy(&bytes).into_owned()))
        .collect();
    let mut digest = Sha256::new();
    for (name, text) in &files {
        for part in [name, text] {
            digest.update((part.len() as u64).to_be_bytes());
            digest.update(part.as_bytes());
        }
    }
    let mark: String =
        digest.finalize().iter().take(16).map(|byte| format!("{byte:02x}")).collect();
    Ok((estate, Files { files }, format!("\"{mark}\"")))
}

pub async fn get(call: Call) -> Result<Reply<Files>, Problem> {
    let (_, files, etag) = current(&call.app).await?;
    let known = call.header(&header::IF_NONE_MATCH).is_some_and(|tags| {
        // The weak comparison (RFC 9110 §13.1.2): whether it is weak does not count.
        listed(tags).any(|tag| tag == "*" || tag.trim_start_matches("W/") == etag)
    });
    let reply = match known {
        true => Reply::empty(StatusCode::NOT_MODIFIED),
        false => Reply::from(files),
    };
    Ok(reply.header(header::ETAG, &etag))
}

/// The tags of a header. None of ours has a comma in it.
fn listed(tags: &str) -> impl Iterator<Item = &str> {
    tags.split(',').map(str::trim)
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PutAsked {
    /// Whether only to tell what would change.
    #[serde(default)]
    dry_run: bool,
}

/// What changes, or has changed.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Changed {
    /// The changes.
    #[serde(flatten)]
    plan: EstateReport,
    /// What was taken, but is probably not what was meant.
    warnings: Vec<FaultReport>,
}

/// Only one at a time compares and changes: what If-Match names is then still there when it is replaced.
static CHANGING: Mutex<()> = Mutex::const_new(());

pub async fn put(call: Call<Nothing, PutAsked, Json<Files>>) -> Result<Reply<Changed>, Problem> {
    let Json(Files { files: texts }) = &call.body;
    let Some(wanted_tags) = call.header(&header::IF_MATCH) else {
        return Err(Problem::new(Code::Condition, "the header If-Match is missing")
            .hint("GET /api/v1/estate, and send its ETag as If-Match"));
    };
    let unknown: Vec<ErrorAt> = texts
        .keys()
        .filter(|name| !is_known(name))
        .map(|name| {
            ErrorAt::new(pointer(name), Code::UnknownField, "no file of an estate is called so")
        })
        .collect();
    if !unknown.is_empty() {
        return Err(Problem::data(unknown));
    }
    let bytes =
        texts.iter().map(|(name, text)| (name.clone(), text.clone().into_bytes())).collect();
    let (wanted, faults) = files::read(&bytes);
    if !passes(&faults) {
        let errors: Vec<_> = faults.into_iter().filter(|f| f.severity == Severity::Error).collect();
        return Err(Problem::faults(&errors, pointer));
    }
    let warnings = faults.iter().map(FaultReport::from).collect();

    let _alone = CHANGING.lock().await;
    let (estate, _, etag) = current(&call.app).await?;
    // The strong comparison (RFC 9110 §13.1.1): a weak tag never matches.
    if !listed(wanted_tags).any(|tag| tag == "*" || tag == etag) {
        return Err(Problem::new(
            Code::Changed,
            "the estate is no longer the one that If-Match names",
        )
        .hint("GET it again, make the change in what is there now, and PUT that"));
    }
    let changes = plan::changes(&estate, &wanted);
    let mut plan = EstateReport {
        added: changes.count(Sort::Add),
        changed: changes.count(Sort::Change),
        retired: changes.count(Sort::Retire),
        unchanged: changes.unchanged,
        changes: changes.changes.iter().map(ToString::to_string).collect(),
        allergens: plan_allergens(&estate, &wanted, &changes),
        loaded: false,
    };
    if call.asked.dry_run || changes.changes.is_empty() {
        return Ok(Reply::from(Changed { plan, warnings }).header(header::ETAG, &etag));
    }
    let described = ouncewise_report::described(&estate, &wanted, &call.app.now_at());
    call.app.store().append(described).await.map_err(as_file_faults)?;
    plan.loaded = true;
    let (_, _, etag) = current(&call.app).await?;
    Ok(Reply::from(Changed { plan, warnings }).header(header::ETAG, &etag))
}

/// A thing that is good as a file and no record: its text is longer than a record may be.
fn as_file_faults(error: ouncewise_store::StoreError) -> Problem {
    match error {
        ouncewise_store::StoreError::Drafts(refusals) => Problem::data(
            refusals
                .iter()
                .flat_map(|refusal| &refusal.what)
                .map(|what| ErrorAt::new("/files", Code::Value, what))
                .collect(),
        ),
        error => error.into(),
    }
}

fn pointer(name: &str) -> String {
    format!("/files/{}", name.replace('~', "~0").replace('/', "~1"))
}
