//! Finding a fault: what a line's records and a person's answers make of its causes, what to ask next, and in which order to act.

mod make;
mod records;
#[cfg(test)]
mod tests;
mod words;

use std::fmt;
use std::str::FromStr;

use schemars::JsonSchema;
use serde::Serialize;

use crate::failure::Failure;
use crate::lines::OneAct;

pub use make::{Causes, fault};
pub use words::chance;

/// `fault`: what may be wrong with a line, what to ask next, and in which order to act.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FaultFinding {
    /// Address of the line: site/machine/line.
    pub address: String,
    /// Name of the site.
    pub site: String,
    /// Name of the machine.
    pub machine: String,
    /// Name of the line.
    pub line: String,
    /// The one act that its latest catch calls for.
    pub act: OneAct,
    /// Why, in a sentence.
    pub reason: String,
    /// Where the causes come from.
    pub catalogue: CatalogueNamed,
    /// What holds whatever is found here.
    pub cautions: Vec<String>,
    /// Signs that its records answer; they count.
    pub known: Vec<KnownSign>,
    /// Signs that its records would answer, and that a person has answered or taken out.
    pub left_out: Vec<KnownSign>,
    /// What a person answered.
    pub answers: Vec<AnswerGiven>,
    /// The five likeliest causes. Chances need not add up to 1: several may be there at once, or none of these.
    pub causes: Vec<LikelyCause>,
    /// The question that saves most minutes; absent where none saves more than it takes.
    pub next: Option<OpenSign>,
    /// All questions that are open, those that save most first.
    pub open: Vec<OpenSign>,
    /// The acts, in the order of least expected minutes.
    pub acts: Vec<ActInOrder>,
    /// Minutes until the line works, on average, if the acts are done in this order and exactly one of the causes is there.
    pub minutes: f64,
    /// What to tell the technician, a sentence a line; the last names the part.
    pub before_you_call: Vec<String>,
}

/// Where causes come from.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CatalogueNamed {
    /// Its id: `pressure`.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Where its numbers come from.
    pub basis: String,
    /// Why this one, in a sentence.
    pub why: String,
}

/// A sign that records answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct KnownSign {
    /// Its key.
    pub sign: String,
    /// The question.
    pub ask: String,
    /// `yes` or `no`.
    pub answer: String,
    /// What in the records says so.
    pub why: String,
}

/// A sign that a person answered.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct AnswerGiven {
    /// Its key.
    pub sign: String,
    /// The question.
    pub ask: String,
    /// `yes`, `no`, or `unknown`: it cannot be told, and is not asked again.
    pub answer: String,
}

/// A cause with its chance.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LikelyCause {
    /// Its key.
    pub cause: String,
    /// What it is called.
    pub name: String,
    /// Probability that it is there, whatever else is.
    pub probability: f64,
    /// The parts of this machine that it may be.
    pub parts: Vec<PartNamed>,
}

/// A part of a machine.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PartNamed {
    /// Its key.
    pub part: String,
    /// What it is called.
    pub name: String,
    /// The maker's part number, where it is on record.
    pub number: Option<String>,
}

/// A question that is open.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OpenSign {
    /// Key of the sign.
    pub sign: String,
    /// The question.
    pub ask: String,
    /// Minutes that it takes to find out.
    pub minutes: f64,
    /// How likely the answer is yes.
    pub probability_yes: f64,
    /// Minutes that the answer saves on average, those of looking taken off.
    pub saves_minutes: f64,
    /// Key of the act to begin with if the answer is yes.
    pub first_if_yes: Option<String>,
    /// Key of the act to begin with if the answer is no.
    pub first_if_no: Option<String>,
    /// Which answer would change the first step, in a sentence.
    pub changes: String,
}

/// An act in its place.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ActInOrder {
    /// Its key.
    pub act: String,
    /// What to do.
    pub does: String,
    /// Minutes that it takes, without opening.
    pub minutes: f64,
    /// What must be opened for it first, where no act before it opened that.
    pub opens: Option<Opening>,
    /// Whether only a technician may do it.
    pub technician: bool,
    /// What it mends.
    pub mends: Vec<String>,
    /// Probability that the line works after it and not before, if exactly one of the causes is there.
    pub probability: f64,
}

/// Something that is opened once for several acts.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Opening {
    /// What it is called.
    pub name: String,
    /// Minutes that it takes to open and to shut.
    pub minutes: f64,
}

/// An answer to a sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answer {
    /// It is there.
    Yes,
    /// It is not there.
    No,
    /// It cannot be told. What the records say of it is taken out, and it is not asked again.
    Unknown,
}

impl Answer {
    /// As the key that addresses, JSON and the command line use.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::Unknown => "unknown",
        }
    }
}

/// An answer with the key of its sign: `drips-centre=yes`; in addresses, where `=` stands before it, `drips-centre:yes`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answered {
    /// Key of the sign.
    pub sign: String,
    /// The answer.
    pub answer: Answer,
}

impl FromStr for Answered {
    type Err = Failure;

    fn from_str(text: &str) -> Result<Self, Failure> {
        let short: String = text.chars().take(80).collect();
        let hint = "write the sign's key, `=`, and yes, no or unknown: `drips-centre=yes`";
        let wrong = || Failure::usage(format!("`{short}` is no answer to a sign")).hint(hint);
        let (sign, answer) = text.split_once([':', '=']).ok_or_else(wrong)?;
        let answer = match answer.trim() {
            "yes" => Answer::Yes,
            "no" => Answer::No,
            "unknown" => Answer::Unknown,
            other => {
                let other: String = other.chars().take(40).collect();
                let what = format!("`{other}` is no answer: it is yes, no or unknown");
                return Err(Failure::usage(what).hint(hint));
            }
        };
        let sign = sign.trim().to_owned();
        if sign.is_empty() { Err(wrong()) } else { Ok(Self { sign, answer }) }
    }
}

impl fmt::Display for Answered {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}:{}", self.sign, self.answer.key())
    }
}
