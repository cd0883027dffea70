//! The verbs: a closed list. What each needs, and what it makes true, stands in `model/acts.rs` and in `docs/procedures.md`.

use std::fmt;

use serde::Serialize;

/// What a phrase does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verb {
    /// Takes the line out of service.
    Withhold,
    /// Hangs the out-of-service tag.
    Tag,
    /// Cuts the power, in one's own control.
    Isolate,
    /// Gives the power back.
    Restore,
    /// Lets the stored pressure out.
    Relieve,
    /// Opens the cover.
    Open,
    /// Closes the cover.
    Close,
    /// Makes a fresh solution.
    Mix,
    /// Reads a strip in the sanitiser: in its bucket, or at the outlet of a line.
    Test,
    /// Connects the inlet to something, or to nothing.
    Feed,
    /// Drives the line: what is fed goes through.
    Run,
    /// Waits while the line holds what it holds.
    Soak,
    /// Empties the line.
    Drain,
    /// Takes a part off.
    Remove,
    /// Looks at a part for wear.
    Look,
    /// Washes a part, or the brush.
    Wash,
    /// Lays a new part in the place of the old one.
    Renew,
    /// Puts the lubricant on a part.
    Lubricate,
    /// Puts a part back.
    Refit,
    /// Draws into the measure.
    Catch,
    /// Turns the adjuster.
    Adjust,
    /// Asks the person something.
    Ask,
    /// Gives the line back to service.
    Release,
}

/// What may follow a verb.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Takes {
    /// Nothing.
    Nothing,
    /// What the inlet is connected to.
    Supply,
    /// Detergent or sanitiser.
    Solution,
    /// Sanitiser in its bucket, or the outlet.
    Tested,
    /// Parts.
    Parts,
    /// Parts, or the brush.
    PartsOrBrush,
    /// Seconds, if any, or `until air-free`.
    MaybeTime,
    /// Seconds.
    Time,
    /// A word of the lead's, or `spare` and a part.
    Question,
}

/// What a verb acts on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Subject {
    /// A line: not in a stage over the machine.
    Line,
    /// Whatever the machine shares: anywhere.
    Machine,
    /// Either, as its object says.
    Either,
}

impl Verb {
    /// Every verb with its word, what may follow it, and what it acts on.
    pub const ALL: &'static [(Self, &'static str, Takes, Subject)] = &[
        (Self::Withhold, "withhold", Takes::Nothing, Subject::Line),
        (Self::Tag, "tag", Takes::Nothing, Subject::Line),
        (Self::Isolate, "isolate", Takes::Nothing, Subject::Machine),
        (Self::Restore, "restore", Takes::Nothing, Subject::Machine),
        (Self::Relieve, "relieve", Takes::Nothing, Subject::Line),
        (Self::Open, "open", Takes::Nothing, Subject::Either),
        (Self::Close, "close", Takes::Nothing, Subject::Either),
        (Self::Mix, "mix", Takes::Solution, Subject::Machine),
        (Self::Test, "test", Takes::Tested, Subject::Either),
        (Self::Feed, "feed", Takes::Supply, Subject::Line),
        (Self::Run, "run", Takes::MaybeTime, Subject::Line),
        (Self::Soak, "soak", Takes::Time, Subject::Line),
        (Self::Drain, "drain", Takes::Nothing, Subject::Line),
        (Self::Remove, "remove", Takes::Parts, Subject::Either),
        (Self::Look, "look", Takes::Parts, Subject::Either),
        (Self::Wash, "wash", Takes::PartsOrBrush, Subject::Either),
        (Self::Renew, "renew", Takes::Parts, Subject::Either),
        (Self::Lubricate, "lubricate", Takes::Parts, Subject::Either),
        (Self::Refit, "refit", Takes::Parts, Subject::Either),
        (Self::Catch, "catch", Takes::Nothing, Subject::Line),
        (Self::Adjust, "adjust", Takes::Nothing, Subject::Line),
        (Self::Ask, "ask", Takes::Question, Subject::Machine),
        (Self::Release, "release", Takes::Nothing, Subject::Line),
    ];

    fn row(self) -> &'static (Self, &'static str, Takes, Subject) {
        // The list stands in the order of the verbs; a test holds it to that.
        &Self::ALL[self as usize]
    }

    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        self.row().1
    }

    /// What may follow it.
    #[must_use]
    pub fn takes(self) -> Takes {
        self.row().2
    }

    /// What it acts on.
    #[must_use]
    pub fn subject(self) -> Subject {
        self.row().3
    }

    /// The answers that it gives, the one that a hurried person would give first. `ask` has the answers that its step names.
    #[must_use]
    pub fn answers(self) -> &'static [&'static str] {
        match self {
            Self::Test => &["right", "wrong"],
            Self::Look => &["good", "worn"],
            Self::Catch => &["on", "off", "undecided"],
            _ => &[],
        }
    }

    /// Whether it gives an answer.
    #[must_use]
    pub fn asks(self) -> bool {
        self == Self::Ask || !self.answers().is_empty()
    }
}

impl fmt::Display for Verb {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_stands_in_the_order_of_the_verbs() {
        for (place, (verb, ..)) in Verb::ALL.iter().enumerate() {
            assert_eq!(*verb as usize, place);
        }
    }
}
