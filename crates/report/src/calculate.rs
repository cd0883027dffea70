//! Verdicts without a store: one line described in phrases, and what was caught.

use ouncewise_measure::print::{self, Units};
use ouncewise_measure::showing::{Capability, can_show, decide, show};
use ouncewise_measure::{Act, Setup, Showing};
use schemars::JsonSchema;
use serde::Deserialize;

use crate::failure::Failure;
use crate::lines::{CatchReport, MeasureReport};
use crate::phrase::{self, Misphrased, SetupWords};
use crate::plural::many;

/// A line, and the catches of one visit.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
pub struct CatchWords {
    /// The line and its measure.
    pub setup: SetupWords,
    /// The catches: `31 mL in 7.1 s`, `over the 30 mL mark in 7 s`.
    pub catches: Vec<String>,
    /// On a ratio line: the water of each, in the same order.
    #[serde(default)]
    pub water: Vec<String>,
}

/// Why nothing was calculated.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CannotCalculate {
    /// A phrase cannot be read.
    Misphrased(Misphrased),
    /// What they describe cannot be judged: what, and how to mend it.
    Unfit(String, Option<String>),
}

impl From<Misphrased> for CannotCalculate {
    fn from(misphrased: Misphrased) -> Self {
        Self::Misphrased(misphrased)
    }
}

impl CannotCalculate {
    fn unfit(error: &impl ToString) -> Self {
        Self::Unfit(error.to_string(), None)
    }

    /// As a failure; `dashes` stand before the names of options on a command line.
    #[must_use]
    pub fn failure(self, dashes: &str) -> Failure {
        match self {
            Self::Misphrased(misphrased) => misphrased.failure(dashes),
            Self::Unfit(what, None) => Failure::usage(what),
            Self::Unfit(what, Some(hint)) => Failure::usage(what).hint(hint),
        }
    }
}

/// What the catches of a visit show.
#[derive(Debug, Clone)]
pub struct CatchShown {
    /// The line.
    pub setup: Setup,
    /// All of it.
    pub showing: Showing,
    /// As it is reported.
    pub report: CatchReport,
}

/// What the catches of a visit show, told in these units.
///
/// # Errors
///
/// If a phrase cannot be read, or what they describe cannot be judged.
pub fn calculate_catch(words: &CatchWords, units: Units) -> Result<CatchShown, CannotCalculate> {
    let setup = phrase::setup(&words.setup)?;
    if !words.water.is_empty() && words.water.len() != words.catches.len() {
        let what =
            format!("{}, but {} of water", many(words.catches.len(), "catch"), words.water.len());
        let hint = "give the water of each catch, in the same order";
        return Err(CannotCalculate::Unfit(what, Some(hint.to_owned())));
    }
    let catches = words
        .catches
        .iter()
        .enumerate()
        .map(|(i, text)| phrase::catch(text, words.water.get(i).map(String::as_str)))
        .collect::<Result<Vec<_>, _>>()?;
    let mut showing = show(&setup, &catches).map_err(|e| CannotCalculate::unfit(&e))?;
    if let (None, Act::Adjust(adjustment)) = (&words.setup.adjuster, &mut showing.act) {
        adjustment.instruction = format!(
            "change it by {} (say how it is set, and it tells in which terms)",
            print::signed_percent(adjustment.change)
        )
        .into();
    }
    let decide = decide(&setup, &catches).map_err(|e| CannotCalculate::unfit(&e))?;
    let report = CatchReport::new(&setup, &showing, decide.as_ref(), units);
    Ok(CatchShown { setup, showing, report })
}

/// What a measure and a timer can show of a line, before any reading, told in these units.
///
/// # Errors
///
/// As [`calculate_catch`].
pub fn calculate_measure(
    words: &SetupWords,
    units: Units,
) -> Result<(Setup, Capability, MeasureReport), CannotCalculate> {
    let setup = phrase::setup(words)?;
    let capability = can_show(&setup).map_err(|e| CannotCalculate::unfit(&e))?;
    let report = MeasureReport::new(&setup, &capability, units);
    Ok((setup, capability, report))
}
