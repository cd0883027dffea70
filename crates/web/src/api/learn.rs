//! How a family behaves by the group's records, and adopting that.

use ouncewise_report::LearnReport;
use schemars::JsonSchema;
use serde::Deserialize;

use super::call::{Call, Json, Nothing, Reply};
use super::problem::{Code, Problem};
use super::schemas::KeyHere;
use crate::learning::learnt;

#[derive(Debug, Deserialize, JsonSchema)]
pub struct FamilyAt {
    /// Key of the family of machines.
    family: KeyHere,
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LearnSent {
    /// Whether what is learnt is adopted, by a record in the group's ledger.
    adopt: bool,
}

pub async fn learn(
    call: Call<FamilyAt, Nothing, Json<LearnSent>>,
) -> Result<Reply<LearnReport>, Problem> {
    let learnt = learnt(&call.app, &call.at.family, call.body.0.adopt).await;
    let report = learnt.ok_or_else(|| Problem::of_code(Code::Bug))??;
    Ok(report.into())
}
