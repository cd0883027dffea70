//! Sentences by language.

use std::collections::BTreeMap;

use serde::Serialize;

/// A sentence in each language, by the language's short code.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct Words(pub BTreeMap<String, String>);

impl Words {
    /// The sentence of a language; where that lacks it, the one of any other; else nothing.
    #[must_use]
    pub fn of(&self, language: &str) -> &str {
        self.0.get(language).or_else(|| self.0.values().next()).map_or("", String::as_str)
    }

    /// Whether a language has a sentence.
    #[must_use]
    pub fn has(&self, language: &str) -> bool {
        self.0.contains_key(language)
    }

    /// Whether there is no sentence at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

/// Whether the words of a language have been read by somebody who may answer for them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Standing {
    /// The language in which it was written.
    Written,
    /// Translated, and nobody has signed it yet: printed as such.
    Unreviewed,
    /// Translated, and signed by somebody.
    Reviewed(String),
}

impl Standing {
    /// As it is written in a file.
    #[must_use]
    pub fn word(&self) -> String {
        match self {
            Self::Written => "written".to_owned(),
            Self::Unreviewed => "unreviewed".to_owned(),
            Self::Reviewed(who) => format!("reviewed by {who}"),
        }
    }
}
