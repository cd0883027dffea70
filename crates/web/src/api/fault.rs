//! Finding a fault.

use ouncewise_report::{Answered, FaultFinding};
use schemars::JsonSchema;
use serde::Deserialize;

use super::call::{Call, Reply};
use super::problem::Problem;
use super::schemas::AnswerHere;
use super::standing::LineAt;

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FaultAsked {
    /// What was seen: the key of a sign, a colon, and `yes`, `no` or `unknown`; once for each sign. Of several answers to one
    /// sign the last counts. `unknown` takes out what the records say of it.
    #[serde(default)]
    #[schemars(length(max = 50))]
    sign: Vec<AnswerHere>,
}

pub async fn fault(call: Call<LineAt, FaultAsked>) -> Result<Reply<FaultFinding>, Problem> {
    let address = call.at.address()?;
    let answers: Vec<Answered> =
        call.asked.sign.iter().map(|text| text.parse()).collect::<Result<_, _>>()?;
    let report = ouncewise_report::fault(call.app.store(), &address, &answers, None, None).await?;
    Ok(report.into())
}
