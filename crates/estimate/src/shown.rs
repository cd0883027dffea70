//! What catches show, as plain data that a projection keeps and a program reads.

use ouncewise_measure::print::Sentence;
use ouncewise_measure::{Act, Setup, Showing, Target, Verdict, showing};
use serde::{Deserialize, Serialize};

/// What a statement rests on. The two are never merged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// *This catch shows*: the catches of one visit, and nothing else.
    Catch,
    /// *The line stands*: its history as well.
    History,
}

/// A verdict, told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Told {
    /// On target.
    OnTarget,
    /// Off target.
    OffTarget,
    /// Undecided.
    Undecided,
}

impl Told {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::OnTarget => "on target",
            Self::OffTarget => "off target",
            Self::Undecided => "undecided",
        }
    }

    /// As the key that files and JSON use.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::OnTarget => "on-target",
            Self::OffTarget => "off-target",
            Self::Undecided => "undecided",
        }
    }
}

impl From<Verdict> for Told {
    fn from(verdict: Verdict) -> Self {
        match verdict {
            Verdict::OnTarget => Self::OnTarget,
            Verdict::OffTarget => Self::OffTarget,
            Verdict::Undecided => Self::Undecided,
        }
    }
}

/// The kinds of act.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ActKind {
    /// Leave it alone.
    LeaveAlone,
    /// Catch once more.
    CatchAgain,
    /// Catch more at once.
    CatchMore,
    /// Read it with a better measure.
    Weigh,
    /// Adjust.
    Adjust,
    /// See to the water first.
    SeeToWater,
    /// See to what all lines of the machine share; adjust none of them.
    SeeToShared,
    /// Clean it first.
    Clean,
    /// Replace its wear part.
    Replace,
    /// Find the fault.
    FindFault,
    /// Call the technician.
    Call,
    /// Mend the description of the line in the estate: it cannot be judged as it is.
    Describe,
}

impl ActKind {
    /// As the key that files and JSON use.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::LeaveAlone => "leave-alone",
            Self::CatchAgain => "catch-again",
            Self::CatchMore => "catch-more",
            Self::Weigh => "weigh",
            Self::Adjust => "adjust",
            Self::SeeToWater => "see-to-water",
            Self::SeeToShared => "see-to-shared",
            Self::Clean => "clean",
            Self::Replace => "replace",
            Self::FindFault => "find-fault",
            Self::Call => "call",
            Self::Describe => "describe",
        }
    }
}

impl From<&Act> for ActKind {
    fn from(act: &Act) -> Self {
        match act {
            Act::LeaveAlone => Self::LeaveAlone,
            Act::CatchAgain => Self::CatchAgain,
            Act::CatchMore { .. } => Self::CatchMore,
            Act::Weigh { .. } => Self::Weigh,
            Act::Adjust(_) => Self::Adjust,
            Act::SeeToWater => Self::SeeToWater,
            Act::FindFault => Self::FindFault,
            Act::Call => Self::Call,
        }
    }
}

/// What the catches of one visit show.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shown {
    /// `mL` or `g`: the unit of the portion, its uncertainty and the target.
    pub unit: String,
    /// What the recipe asks: of its water, where the verdict is about that.
    pub target: f64,
    /// How far off still serves, as a fraction of the target.
    pub tolerance: f64,
    /// The portion (or the water) at the recipe's own draw; absent when only marks were read.
    pub portion: Option<f64>,
    /// Its standard uncertainty.
    pub standard_uncertainty: f64,
    /// Whether the verdict is about the water of a ratio line, not yet about its syrup.
    pub water: bool,
    /// The verdict.
    pub verdict: Told,
    /// Probability that the true portion lies in tolerance.
    pub probability_on_target: f64,
    /// The kind of the one act.
    pub act: ActKind,
    /// The one act, in a sentence.
    pub advice: Sentence,
    /// The wanted change of the flow as a fraction, if the act is to adjust.
    pub change: Option<f64>,
    /// Why, in a sentence.
    pub reason: Sentence,
    /// The largest part of the doubt and its share of the variance.
    pub largest_doubt: Option<(String, f64)>,
    /// What the reader must know besides.
    pub caveats: Vec<String>,
}

impl Shown {
    /// Tells what a showing says for a setup.
    #[must_use]
    pub fn tell(setup: &Setup, showing: &Showing) -> Self {
        let (unit, target) = match setup.aim.target {
            Target::Volume(v) => ("mL", v.0),
            Target::Mass(m) => ("g", m.0),
        };
        let water = showing.subject == showing::Subject::Water;
        let (unit, target, tolerance) = match (water, setup.aim.water) {
            (true, Some((volume, tolerance))) => ("mL", volume.0, tolerance),
            _ => (unit, target, setup.aim.tolerance),
        };
        let (portion, standard_uncertainty) = match (water, showing.water) {
            (true, Some(read)) => (Some(read.amount), read.standard_uncertainty),
            (true, None) => (None, 0.0),
            (false, _) => (showing.portion, showing.standard_uncertainty),
        };
        Self {
            unit: unit.to_owned(),
            target,
            tolerance,
            portion,
            standard_uncertainty,
            water,
            verdict: showing.verdict.into(),
            probability_on_target: showing.probability_on_target,
            act: (&showing.act).into(),
            advice: showing.act.words(),
            change: match &showing.act {
                Act::Adjust(adjustment) => Some(adjustment.change),
                _ => None,
            },
            reason: showing.reason.clone(),
            largest_doubt: showing
                .budget
                .shares()
                .next()
                .map(|(part, percent)| (part.source.to_owned(), percent / 100.0)),
            caveats: showing.caveats.iter().map(ToString::to_string).collect(),
        }
    }

    /// How far the portion is off, as a fraction of the target; absent when only marks were read.
    #[must_use]
    pub fn deviation(&self) -> Option<f64> {
        self.portion.map(|portion| portion / self.target - 1.0)
    }
}
