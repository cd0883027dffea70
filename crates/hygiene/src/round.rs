//! Rounds: one machine's records in the order of events, held to what a profile asks to be on record.
//!
//! A round has no number. What is recorded of a machine between the record that opens it and the one that closes it belongs
//! to it; a second person's look counts also after it was closed. What a round lacks makes it incomplete and is told;
//! nothing that was recorded is lost or refused for it. What looks odd is asked, and never said to be wrong.

mod boxes;
mod cold;
mod held;
mod present;
mod question;
#[cfg(test)]
mod tests;

pub use boxes::{OpenedBox, is_day_or_month, opened_boxes};
pub use held::strip_class;
pub use present::{Presence, What};
pub use question::{About, Question};

use std::collections::BTreeMap;

use ouncewise_ledger::{Body, Record};
use ouncewise_measure::Quantity;
use serde::Serialize;
use uuid::Uuid;

use crate::flush::Least;
use crate::profile::{Entry, Level, Profile, RecordKind};

/// One round of one machine, as its records tell it.
#[derive(Debug, Clone)]
pub struct Round<'a> {
    /// The record that opened it.
    pub opened: &'a Record,
    /// The version of the procedure that it follows, where it says so.
    pub procedure: Option<&'a str>,
    /// Key of the profile under which it was opened, where it says so.
    pub profile: Option<&'a str>,
    /// Edition of that profile.
    pub edition: Option<&'a str>,
    /// The record that closed it; nothing while it is open, or where another was opened before it was closed.
    pub closed: Option<&'a Record>,
    /// Why it was closed as it was, where that was said.
    pub reason: Option<&'a str>,
    /// What was recorded of it, each with the body that holds after corrections.
    pub records: Vec<(&'a Record, &'a Body)>,
}

/// The rounds of one machine. `records` are that machine's in the order of events, each with the body that holds after
/// corrections; those of other machines are to be left out before.
#[must_use]
pub fn rounds<'a>(records: impl IntoIterator<Item = (&'a Record, &'a Body)>) -> Vec<Round<'a>> {
    let mut rounds: Vec<Round<'a>> = Vec::new();
    let mut open = false;
    for (record, body) in records {
        match body {
            Body::RoundOpened { procedure, profile, edition, .. } => {
                rounds.push(Round {
                    opened: record,
                    procedure: procedure.as_deref(),
                    profile: profile.as_deref(),
                    edition: edition.as_deref(),
                    closed: None,
                    reason: None,
                    records: Vec::new(),
                });
                open = true;
            }
            Body::RoundClosed { reason, .. } => {
                if let Some(round) = rounds.last_mut().filter(|_| open) {
                    (round.closed, round.reason) = (Some(record), reason.as_deref());
                }
                open = false;
            }
            // Who looks it over comes last.
            _ if open || matches!(body, Body::Verified {}) => {
                if let Some(round) = rounds.last_mut() {
                    round.records.push((record, body));
                }
            }
            _ => {}
        }
    }
    rounds
}

/// A step of a procedure that must not be skipped.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MustStep {
    /// Its key in records.
    pub key: String,
    /// Whether it comes up after some answers only: then a record that it was skipped, with its reason, is an answer too.
    pub may_not_come_up: bool,
}

/// What is known beside the records of a round.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// The profile it is held to; nothing where none is in force.
    pub profile: Option<&'a Profile>,
    /// Keys of the machine's lines in use.
    pub lines: &'a [&'a str],
    /// The boxes that were opened at the site.
    pub boxes: &'a BTreeMap<Uuid, OpenedBox>,
    /// The least time that physics allows a flush of a line, where its length, bore and flow are known: one that is not
    /// known has none, and nothing is asked of it.
    pub least_flush: &'a BTreeMap<String, Least>,
    /// How cold the product of a line is drawn, where it is described.
    pub drawn_at: &'a BTreeMap<String, Quantity>,
    /// The steps that must not be skipped, by the version of the procedure that a round follows.
    pub must_steps: &'a BTreeMap<String, Vec<MustStep>>,
}

/// What a round lacks of one record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Missing {
    /// Which.
    pub kind: RecordKind,
    /// On which lines; on all, or not of a line, where none are named.
    pub lines: Vec<String>,
    /// Who asks for it.
    pub clause: String,
}

impl Missing {
    /// In words: `the strip at the outlet of lines 2 and 3`.
    #[must_use]
    pub fn words(&self) -> String {
        let what = self.kind.words();
        match self.lines.as_slice() {
            [] => what.to_owned(),
            [line] => format!("{what} (line {line})"),
            [lines @ .., last] => format!("{what} (lines {} and {last})", lines.join(", ")),
        }
    }
}

/// How a round stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    /// It was not closed.
    Open,
    /// All that must be there is, and the strips and the contact time hold.
    Complete,
    /// Something that must be there is not, or does not hold.
    Incomplete,
    /// No profile is in force, so that nothing is asked for.
    NotJudged,
}

impl State {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Open => "not closed",
            Self::Complete => "complete",
            Self::Incomplete => "incomplete",
            Self::NotJudged => "closed; no profile is in force",
        }
    }
}

/// A round, held to a profile.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// How it stands.
    pub state: State,
    /// What is there.
    pub present: Vec<RecordKind>,
    /// What it must have and has not.
    pub musts: Vec<Missing>,
    /// What would be good to have.
    pub shoulds: Vec<Missing>,
    /// The keys of the steps that must not be skipped and were not confirmed: left out, they could hurt a guest or the crew
    /// unseen.
    pub unconfirmed: Vec<String>,
    /// What it must have and has, and what does not hold: a strip, the solution, the contact time.
    pub failed: Vec<RecordKind>,
    /// What is asked about it.
    pub questions: Vec<Question>,
}

impl Round<'_> {
    /// Holds the round to what is asked of it.
    #[must_use]
    pub fn judge(&self, known: &Known<'_>) -> Judged {
        let presence = Presence::new(self, known);
        let (questions, failed) = question::questions(self, known, &presence);
        let present = presence.whole();
        let unconfirmed = self.unconfirmed(known);
        let Some(profile) = known.profile else {
            let state = match (self.closed.is_some(), unconfirmed.is_empty()) {
                (false, _) => State::Open,
                (true, true) => State::NotJudged,
                (true, false) => State::Incomplete,
            };
            let (musts, shoulds) = (Vec::new(), Vec::new());
            let failed = Vec::new();
            return Judged { state, present, musts, shoulds, unconfirmed, failed, questions };
        };
        let lacks = profile.missing_records(presence.sanitiser(), &present);
        let missing = |needs: Vec<&crate::profile::RecordNeed>| -> Vec<Missing> {
            needs
                .into_iter()
                .map(|need| Missing {
                    kind: need.kind,
                    lines: presence.lines_without(need.kind),
                    clause: need.basis.clause.clone(),
                })
                .collect()
        };
        let (musts, shoulds) = (missing(lacks.musts), missing(lacks.shoulds));
        // What the code asks for and is there must also hold.
        let asked = |kind: &RecordKind| profile.asks(*kind) == Some(Level::Must);
        let failed: Vec<RecordKind> = failed.into_iter().filter(asked).collect();
        let whole = musts.is_empty() && unconfirmed.is_empty() && failed.is_empty();
        let state = match (self.closed.is_some(), whole) {
            (false, _) => State::Open,
            (true, true) => State::Complete,
            (true, false) => State::Incomplete,
        };
        Judged { state, present, musts, shoulds, unconfirmed, failed, questions }
    }

    /// The steps of its procedure that must not be skipped, and that nobody says were done.
    fn unconfirmed(&self, known: &Known<'_>) -> Vec<String> {
        let must = self.procedure.and_then(|version| known.must_steps.get(version));
        let answered = |must: &&MustStep| {
            let says = |(_, body): &(&Record, &Body)| match body {
                Body::StepDone { step } => *step == must.key,
                Body::StepSkipped { step, .. } => must.may_not_come_up && *step == must.key,
                _ => false,
            };
            self.records.iter().any(says)
        };
        let open = must.into_iter().flatten().filter(|must| !answered(must));
        open.map(|must| must.key.clone()).collect()
    }
}

impl Profile {
    /// Whether it asks for any record of an entry, and how strongly.
    #[must_use]
    pub fn asks_entry(&self, entry: Entry) -> Option<Level> {
        let of = |level| self.records.iter().any(|n| n.level == level && n.kind.entry() == entry);
        if of(Level::Must) { Some(Level::Must) } else { of(Level::Should).then_some(Level::Should) }
    }

    /// Whether it asks for a record, and how strongly.
    #[must_use]
    pub fn asks(&self, kind: RecordKind) -> Option<Level> {
        let mut levels = self.records.iter().filter(|n| n.kind == kind).map(|n| n.level);
        let first = levels.next()?;
        Some(if levels.any(|level| level == Level::Must) { Level::Must } else { first })
    }
}

impl RecordKind {
    /// What it is called for people.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Machine => "the machine",
            Self::Times => "when it began and ended",
            Self::Person => "who did it",
            Self::Profile => "the profile it was done under",
            Self::SanitiserBox => "the sanitiser’s box, with its lot and expiry",
            Self::StripBox => "the strips’ box, with its lot and expiry",
            Self::SolutionMixed => "the solution: product, dose and water",
            Self::SolutionTemperature => "the temperature of the solution",
            Self::SolutionPh => "the pH of the solution",
            Self::WaterHardness => "the hardness of the water",
            Self::StripBucket => "the strip in the bucket",
            Self::StripOutlet => "the strip at the outlet",
            Self::ContactStart => "when the contact time began",
            Self::ContactEnd => "when the contact time ended",
            Self::Flushed => "how much was flushed",
            Self::Drained => "that it was drained",
            Self::Purged => "that sanitiser was purged, with the strip afterwards",
            Self::Discarded => "that the first volume was thrown away",
            Self::PartsInspected => "the look at the parts",
            Self::Lubricated => "the lubricant",
            Self::ProductTemperature => "the temperature of the product",
            Self::ProductOpened => "the product’s lot, and the day it was opened",
            Self::Verified => "a second person’s look",
            Self::Deviation => "what went wrong",
        }
    }
}
