//! Verdicts without a store, and what is understood of a typed quantity.

use ouncewise_measure::print::Units;
use ouncewise_measure::quantity::Fault;
use ouncewise_measure::{AmountRead, DrawRead, Quantity};
use ouncewise_report::{
    CannotCalculate, CatchReport, CatchWords, FlushReport, FlushWords, MeasureReport, SetupWords,
    StrengthReport, StrengthWords, calculate_catch, calculate_flush, calculate_measure,
    calculate_strength,
};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::App;

use super::call::{Call, Json, Nothing, Reply};
use super::problem::{Code, ErrorAt, Problem};

/// A line, and the catches of one visit.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CatchAsked {
    /// The line and its measure.
    setup: SetupWords,
    /// The catches: `31 mL in 7.1 s`, `over the 30 mL mark in 7 s`.
    #[schemars(length(min = 1, max = 50))]
    catches: Vec<String>,
    /// On a ratio line: the water of each, in the same order.
    #[serde(default)]
    #[schemars(length(max = 50))]
    water: Vec<String>,
}

/// A line and its measure.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasureAsked {
    /// The line and its measure.
    setup: SetupWords,
}

pub async fn catch(
    call: Call<Nothing, Nothing, Json<CatchAsked>>,
) -> Result<Reply<CatchReport>, Problem> {
    let Json(CatchAsked { setup, catches, water }) = call.body;
    let units = units(&call.app).await?;
    let shown = calculate_catch(&CatchWords { setup, catches, water }, units);
    let shown = shown.map_err(|cannot| refused(cannot, of_a_catch))?;
    Ok(shown.report.into())
}

pub async fn measure(
    call: Call<Nothing, Nothing, Json<MeasureAsked>>,
) -> Result<Reply<MeasureReport>, Problem> {
    let Json(MeasureAsked { setup }) = call.body;
    let units = units(&call.app).await?;
    let told = calculate_measure(&setup, units);
    let (_, _, report) = told.map_err(|cannot| refused(cannot, of_a_catch))?;
    Ok(report.into())
}

pub async fn flush(
    call: Call<Nothing, Nothing, Json<FlushWords>>,
) -> Result<Reply<FlushReport>, Problem> {
    let Json(mut words) = call.body;
    let estate = call.app.store().estate_at("").await?;
    let units = estate.group.units;
    words.profile = words.profile.map(|named| estate.profile_words(&named).to_owned());
    let shown = calculate_flush(&words, units).map_err(|cannot| refused(cannot, of_a_phrase))?;
    Ok(shown.report.into())
}

pub async fn strength(
    call: Call<Nothing, Nothing, Json<StrengthWords>>,
) -> Result<Reply<StrengthReport>, Problem> {
    let Json(mut words) = call.body;
    let estate = call.app.store().estate_at("").await?;
    let units = estate.group.units;
    words.profile = estate.profile_words(&words.profile).to_owned();
    let report =
        calculate_strength(&words, units).map_err(|wrong| refused(wrong.into(), of_a_phrase))?;
    Ok(report.into())
}

/// The units that the group reads.
async fn units(app: &App) -> Result<Units, Problem> {
    Ok(app.store().estate_at("").await?.group.units)
}

/// Where a phrase stands in a body that has one field for each.
fn of_a_phrase(field: &str) -> String {
    format!("/{}", field.replace('-', "_"))
}

/// Where a phrase about a catch or a measure stands.
fn of_a_catch(field: &str) -> String {
    match field {
        "catch" => "/catches".to_owned(),
        "water" => "/water".to_owned(),
        option => format!("/setup/{}", option.replace('-', "_")),
    }
}

/// Why nothing was calculated; `pointer` tells where in the body a phrase stands.
fn refused(cannot: CannotCalculate, pointer: fn(&str) -> String) -> Problem {
    match cannot {
        CannotCalculate::Misphrased(misphrased) => {
            let pointer = pointer(misphrased.field);
            Problem::data(vec![ErrorAt::new(pointer, Code::Value, misphrased.to_string())])
        }
        CannotCalculate::Unfit(what, hint) => {
            let problem = Problem::new(Code::Data, what);
            match hint {
                Some(hint) => problem.hint(hint),
                None => problem,
            }
        }
    }
}

/// What a typed text is.
#[derive(Debug, Clone, Copy, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum As {
    Amount,
    Draw,
    Quantity,
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReadAsked {
    /// What was typed: `29,6`, `over the 30 mL mark`, `7.1 s`.
    #[schemars(length(max = 200))]
    text: String,
    /// What it is: an amount or a mark, the seconds or doses of a draw, or any quantity.
    r#as: As,
    /// Unit of a number that has none of its own: `mL`, `g`, `s`, `doses`.
    #[schemars(length(max = 20))]
    unit: Option<String>,
}

/// What was understood.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Understood {
    /// As a record keeps it.
    read: String,
}

pub async fn read(call: Call<Nothing, ReadAsked>) -> Result<Reply<Understood>, Problem> {
    let ReadAsked { text, r#as, unit } = &call.asked;
    let once = |text: &str| match r#as {
        As::Amount => text.parse::<AmountRead>().map(|read| read.to_string()),
        As::Draw => text.parse::<DrawRead>().map(|read| read.to_string()),
        As::Quantity => text.parse::<Quantity>().map(|read| read.to_string()),
    };
    let read = match (once(text), unit) {
        (Err(error), Some(unit)) if error.fault == Fault::NoUnit => once(&format!("{text} {unit}")),
        (read, _) => read,
    };
    let read = read
        .map_err(|error| Problem::new(Code::Value, error.what.clone()).hint(error.mend.clone()))?;
    Ok(Understood { read }.into())
}
