//! Where a figure comes from: the row of our notes, the clause, and whether it was read, computed or only remembered.

use std::fmt;

use serde::Serialize;

/// How a figure is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub enum Status {
    /// The text was seen.
    #[serde(rename = "READ")]
    Read,
    /// Seen only in a second source that states it.
    #[serde(rename = "READ-2")]
    Read2,
    /// Remembered, and to be checked before anybody relies on it.
    #[serde(rename = "MEMORY")]
    Memory,
    /// Computed by a public package.
    #[serde(rename = "PKG")]
    Package,
    /// Plain arithmetic from stated inputs.
    #[serde(rename = "CALC")]
    Calculated,
    /// Our own numerical solution.
    #[serde(rename = "SIM")]
    Simulated,
    /// Our judgement; no source.
    #[serde(rename = "JUDGE")]
    Judged,
    /// Common practice of the trade, without a source.
    #[serde(rename = "NO-SOURCE")]
    NoSource,
}

impl Status {
    /// Every status by its word, as profiles write it.
    pub const WORDS: &[(&str, Self)] = &[
        ("READ", Self::Read),
        ("READ-2", Self::Read2),
        ("MEMORY", Self::Memory),
        ("PKG", Self::Package),
        ("CALC", Self::Calculated),
        ("SIM", Self::Simulated),
        ("JUDGE", Self::Judged),
        ("NO-SOURCE", Self::NoSource),
    ];

    /// In words for people.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Read => "read in the text itself",
            Self::Read2 => "read in another source that states it",
            Self::Memory => "only remembered: check it before you rely on it",
            Self::Package => "computed by a public package",
            Self::Calculated => "computed from stated figures",
            Self::Simulated => "from our own numerical solution",
            Self::Judged => "our judgement, without a source",
            Self::NoSource => "common practice, without a source",
        }
    }

    /// Whether nobody checked it against a text or a computation.
    #[must_use]
    pub fn unchecked(self) -> bool {
        self == Self::Memory
    }
}

impl fmt::Display for Status {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word =
            Self::WORDS.iter().find(|(_, status)| status == self).map_or("", |(word, _)| word);
        out.pad(word)
    }
}

/// What stands behind a figure.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize)]
pub struct Basis {
    /// The row of the project's notes, such as `HY-02`, if it has one.
    pub row: Option<String>,
    /// The clause of the code.
    pub clause: String,
    /// How the figure is known.
    pub status: Status,
    /// The document in which it was seen, or why there is none.
    pub source: String,
}

impl fmt::Display for Basis {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{} ({})", self.clause, self.status)
    }
}

/// Something that cannot be as it is written: which field or key, what is wrong with it, and how to mend it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, thiserror::Error)]
#[error("{key}: {what}: {mend}")]
pub struct FieldFault {
    /// The field of a form, or the key of a file with its way there: `limit[2].from`.
    pub key: String,
    /// What is wrong.
    pub what: String,
    /// How to mend it.
    pub mend: String,
}

impl FieldFault {
    pub(crate) fn new(
        key: impl Into<String>,
        what: impl Into<String>,
        mend: impl Into<String>,
    ) -> Self {
        Self { key: key.into(), what: what.into(), mend: mend.into() }
    }
}
