//! Files that were brought in, and taking them back.

use ouncewise_report::{LoadReport, UndoReport};
use ouncewise_store::{Load, Undone};
use schemars::JsonSchema;
use serde::Deserialize;

use super::call::{Call, Nothing, Reply};
use super::list::{Listed, PageAsked, listed};
use super::problem::Problem;
use super::schemas::UuidHere;

/// Loads with their numbers, newest first: counted from 1 in order of time.
fn numbered(mut loads: Vec<Load>) -> Vec<(usize, Load)> {
    loads.sort_by_key(|load| (load.at_ms, load.id));
    loads.into_iter().enumerate().map(|(i, load)| (i + 1, load)).rev().collect()
}

pub async fn loads(call: Call<Nothing, PageAsked>) -> Result<Reply<Listed<LoadReport>>, Problem> {
    let page = call.asked.page("loads")?;
    let before = page.after.as_deref().and_then(|number| number.parse::<usize>().ok());
    let loads = numbered(call.app.store().loads().await?);
    let all = loads.iter().filter(|(number, _)| before.is_none_or(|before| *number < before));
    let items = all
        .take(page.limit + 1)
        .map(|(number, load)| (number.to_string(), LoadReport::new(*number, load)));
    Ok(listed(&call.uri, &page, items.collect()))
}

#[derive(Debug, Deserialize, JsonSchema)]
pub struct LoadAt {
    /// Id of the load.
    id: UuidHere,
}

pub async fn undo(call: Call<LoadAt>) -> Result<Reply<UndoReport>, Problem> {
    let id = call.at.id.0;
    let loads = call.app.store().loads().await?;
    if !loads.iter().any(|load| load.id == id) {
        return Err(Problem::missing(
            format!("there is no load {id}"),
            "GET /api/v1/loads lists them",
        ));
    }
    let Undone { withdrawn, set_up, kept } = call.app.store().undo(id, None).await?;
    Ok(UndoReport { withdrawn, set_up, kept }.into())
}
