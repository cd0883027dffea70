//! Ledgers and records: read in order of receipt, appended once however often they are sent, and verified.

use axum::http::{StatusCode, header};
use ouncewise_ledger::{Draft, Scope};
use ouncewise_report::{HeadReport, VerifyReport};
use ouncewise_store::Outcome;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::call::{Call, Json, Nothing, Reply};
use super::list::{Listed, PageAsked, listed};
use super::problem::{Code, ErrorAt, Problem, ROOT};
use super::schemas::{DraftHere, EntryHere, IdHere, ScopeHere};

/// The longest body of records, in bytes.
pub const MOST_BYTES: usize = 8 << 20;

pub async fn ledgers(call: Call<Nothing, PageAsked>) -> Result<Reply<Listed<HeadReport>>, Problem> {
    let page = call.asked.page("ledgers")?;
    let heads = call.app.store().heads().await?;
    let heads = heads.iter().map(|head| HeadReport {
        ledger: head.site.to_string(),
        records: head.size,
        root: head.root.to_string(),
    });
    let after = page.after.as_deref();
    let all = heads.filter(|head| after.is_none_or(|after| head.ledger.as_str() > after));
    let items = all.take(page.limit + 1).map(|head| (head.ledger.clone(), head));
    Ok(listed(&call.uri, &page, items.collect()))
}

#[derive(Debug, Deserialize, JsonSchema)]
pub struct LedgerAt {
    /// Key of a site, or `@group`.
    scope: ScopeHere,
}

pub async fn records(call: Call<LedgerAt, PageAsked>) -> Result<Reply<Listed<EntryHere>>, Problem> {
    let scope = &call.at.scope;
    let page = call.asked.page(&format!("records {}", scope.as_str()))?;
    let from = match &page.after {
        None => 0,
        Some(last) => last.parse::<u64>().map_or(0, |last| last.saturating_add(1)),
    };
    let limit = u32::try_from(page.limit + 1).unwrap_or(u32::MAX);
    let entries = call.app.store().entries(scope, from, limit).await?;
    if entries.is_empty() && from == 0 && !scope.is_group() {
        return Err(no_ledger(scope));
    }
    let items = entries.into_iter().map(|entry| (entry.index.to_string(), EntryHere(entry)));
    Ok(listed(&call.uri, &page, items.collect()))
}

fn no_ledger(scope: &Scope) -> Problem {
    Problem::missing(format!("there is no ledger `{scope}`"), "GET /api/v1/ledgers lists them")
}

#[derive(Debug, Deserialize, JsonSchema)]
pub struct RecordAt {
    /// Key of a site, or `@group`.
    scope: ScopeHere,
    /// Id of the record.
    id: IdHere,
}

pub async fn record(call: Call<RecordAt>) -> Result<Reply<EntryHere>, Problem> {
    let RecordAt { scope, id } = &call.at;
    match call.app.store().record(scope, id.0).await? {
        Some(entry) => Ok(EntryHere(entry).into()),
        None => Err(Problem::missing(
            format!("there is no record {} in the ledger `{}`", id.0, scope.0),
            format!("GET /api/v1/ledgers/{}/records lists them", scope.0),
        )),
    }
}

/// Records to append: all of them, or none.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sending {
    /// The records.
    #[schemars(length(min = 1, max = 500))]
    records: Vec<DraftHere>,
}

/// What became of one record. All of these mean that it is on disk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Became {
    /// It is in its ledger now.
    Added,
    /// The very same record was there before.
    AlreadyThere,
    /// Another record stands under its id, and goes on standing. This one is kept beside the ledger for somebody to look at.
    Conflict,
}

/// What became of one record, and where the record is that stands under its id.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Sent {
    /// What became of it.
    outcome: Became,
    /// The ledger.
    scope: String,
    /// The id.
    id: String,
    /// The place in its ledger of the record that stands under this id, from 0.
    index: u64,
}

/// What became of the records, in their order.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SentReport {
    /// How many were added.
    added: u64,
    /// How many were there before.
    already_there: u64,
    /// How many say otherwise than the record under their id.
    conflicts: u64,
    /// One for each record.
    records: Vec<Sent>,
}

pub async fn append(
    call: Call<Nothing, Nothing, Json<Sending>>,
) -> Result<Reply<SentReport>, Problem> {
    let Json(Sending { records }) = call.body;
    let drafts: Vec<Draft> = records.into_iter().map(|DraftHere(draft)| draft).collect();
    let faults: Vec<ErrorAt> =
        drafts.iter().enumerate().flat_map(|(i, draft)| faults(i, draft)).collect();
    if !faults.is_empty() {
        return Err(Problem::data(faults));
    }
    let scopes: Vec<Scope> = drafts.iter().map(|draft| draft.record.scope.clone()).collect();
    let receipt = call.app.store().append(drafts).await?;
    let became = |outcome: &Outcome| match outcome {
        Outcome::Added { .. } => Became::Added,
        Outcome::AlreadyThere { .. } => Became::AlreadyThere,
        Outcome::Conflict { .. } => Became::Conflict,
    };
    let records: Vec<Sent> = receipt
        .outcomes
        .iter()
        .zip(&scopes)
        .map(|(outcome, scope)| Sent {
            outcome: became(outcome),
            scope: scope.to_string(),
            id: outcome.id().to_string(),
            index: outcome.index(),
        })
        .collect();
    let count = |what: Became| records.iter().filter(|sent| sent.outcome == what).count() as u64;
    let report = SentReport {
        added: count(Became::Added),
        already_there: count(Became::AlreadyThere),
        conflicts: count(Became::Conflict),
        records,
    };
    let status = if report.added > 0 { StatusCode::CREATED } else { StatusCode::OK };
    let place = match report.records.as_slice() {
        [Sent { scope, id, .. }] => Some(format!("{ROOT}/ledgers/{scope}/records/{id}")),
        _ => None,
    };
    let reply = Reply::new(status, report);
    Ok(match place {
        Some(place) => reply.header(header::LOCATION, &place),
        None => reply,
    })
}

/// What a schema cannot say about a draft.
fn faults(position: usize, draft: &Draft) -> Vec<ErrorAt> {
    let checked = draft.record.check();
    checked
        .err()
        .unwrap_or_default()
        .into_iter()
        .map(|fault| {
            let field = fault.field.replace('.', "/");
            ErrorAt::new(format!("/records/{position}/record/{field}"), Code::Value, fault.message)
        })
        .collect()
}

pub async fn verify(call: Call) -> Result<Reply<VerifyReport>, Problem> {
    let verified = call.app.store().verify().await?;
    Ok(VerifyReport::from(&verified).into())
}
