//! A procedure as its text says it.

use ouncewise_hygiene::profile::AfterRule;
use serde::Serialize;

use crate::phrase::Phrase;
use crate::read::At;
use crate::time::{Seconds, Takes};
use crate::words::{Standing, Words};

/// What a procedure is for: how it finds the lines, and what must be so at its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Lines in service, due to be washed and sanitised.
    Clean,
    /// Lines in service, due to be caught.
    Calibrate,
    /// Lines in service, with parts that are due.
    Renew,
    /// Lines that never served.
    StartUp,
    /// Lines in service that are to serve no more.
    TakeOut,
    /// Lines in service that are to carry another product.
    Change,
}

impl Kind {
    /// Each with its word.
    pub const WORDS: &'static [(&'static str, Self)] = &[
        ("clean", Self::Clean),
        ("calibrate", Self::Calibrate),
        ("renew", Self::Renew),
        ("start-up", Self::StartUp),
        ("take-out", Self::TakeOut),
        ("change", Self::Change),
    ];

    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, own)| *own == self).map_or("", |(word, _)| word)
    }
}

/// What a stage goes over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Over {
    /// The machine: its steps are done once.
    Machine,
    /// Each line in turn: all steps on one, then all on the next.
    EachLine,
    /// All lines together: each step on every line before the next step; who is furthest behind goes first.
    AllLines,
}

impl Over {
    /// Each with its word.
    pub const WORDS: &'static [(&'static str, Self)] =
        &[("machine", Self::Machine), ("each-line", Self::EachLine), ("all-lines", Self::AllLines)];

    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, own)| *own == self).map_or("", |(word, _)| word)
    }
}

/// Where a step or an answer leads.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Target {
    /// To the next step.
    Next,
    /// Out of the stage, to the one that follows.
    Leave,
    /// To the end of the procedure, for this line.
    End,
    /// To a step of the same stage or passage, or to a later stage.
    To(String),
}

impl Target {
    /// As it is written.
    #[must_use]
    pub fn word(&self) -> &str {
        match self {
            Self::Next => "next",
            Self::Leave => "leave",
            Self::End => "end",
            Self::To(id) => id,
        }
    }
}

/// The words for what follows sanitising.
pub const UNDER: &[(&str, AfterRule)] = &[
    ("drain-no-rinse", AfterRule::DrainNoRinse),
    ("drain", AfterRule::Drain),
    ("rinse", AfterRule::Rinse),
];

/// A step, or a passage in its place.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Step {
    /// Its key.
    pub id: Option<String>,
    /// A passage of the family that stands here; then there is nothing else.
    pub passage: Option<String>,
    /// What it does.
    pub phrases: Vec<Phrase>,
    /// What the person does.
    pub say: Words,
    /// What to look for.
    pub look_for: Words,
    /// A picture's file name.
    pub picture: Option<String>,
    /// Readings that are written down.
    pub reads: Vec<String>,
    /// Readings that it goes by.
    pub uses: Vec<String>,
    /// What of the kit it uses beside what its verbs do.
    pub with: Vec<String>,
    /// Cautions that stand before it, by key.
    pub cautions: Vec<String>,
    /// How long it takes.
    pub time: Option<Takes>,
    /// Where each answer leads.
    pub answers: Vec<(String, Target)>,
    /// Where it leads; to the next, if nowhere else.
    pub then: Option<Target>,
    /// How often it may lead back.
    pub at_most: Option<u8>,
    /// Where it leads after that.
    pub or_else: Option<Target>,
    /// Food codes under which it is there; all, if none.
    pub under: Vec<AfterRule>,
    /// Whether the work may stop for the day after it.
    pub stop: bool,
    /// Where it was written.
    pub at: At,
}

/// Steps over the machine, over each line, or over all lines.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Stage {
    /// Its key.
    pub id: String,
    /// What it goes over.
    pub over: Over,
    /// Its heading.
    pub title: Words,
    /// Whether only those come here that an answer sends.
    pub sent: bool,
    /// Its steps.
    pub steps: Vec<Step>,
    /// Where it was written.
    pub at: At,
}

/// Which manual a procedure follows.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Manual {
    /// Its edition.
    pub edition: String,
    /// The page.
    pub page: String,
}

/// A procedure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Procedure {
    /// What it is called.
    pub title: Words,
    /// What it is for, in words.
    pub purpose: Words,
    /// What it is for, as the checker takes it.
    pub kind: Kind,
    /// The family's key.
    pub family: String,
    /// Its languages, and who answers for each.
    pub languages: Vec<(String, Standing)>,
    /// How often it is done.
    pub frequency: Option<Seconds>,
    /// How many lines its times and its kit are for.
    pub lines: u8,
    /// How long it may take.
    pub window: Option<Seconds>,
    /// The contact time of the sanitiser's label.
    pub contact: Option<Seconds>,
    /// The manual that it follows.
    pub manual: Option<Manual>,
    /// The parts that are due.
    pub renews: Vec<String>,
    /// What is brought along.
    pub kit: Vec<String>,
    /// Its stages, in order.
    pub stages: Vec<Stage>,
    /// Where its text begins.
    pub at: At,
}
