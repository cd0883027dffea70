//! A fault in something that a person wrote: what, where, and how to mend it.
//! Plain data; the terminal, a page or JSON show it their own way.

use std::ops::Range;

use serde::Serialize;

/// How bad a fault is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The thing is refused.
    Error,
    /// The thing is taken, but is probably not what was meant.
    Warning,
}

/// A place in a file.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize)]
pub struct Place {
    /// Name of the file as it was given.
    pub file: String,
    /// Line (or row of a sheet), from 1.
    pub line: usize,
    /// Column in characters (or column of a sheet), from 1.
    pub column: usize,
    /// Bytes of the file, where it is text.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub span: Option<Range<usize>>,
}

/// A fault at its place. Its code is documented in `docs/faults.md`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize)]
pub struct Fault {
    /// `E012`; never reused for another meaning.
    pub code: &'static str,
    /// Error or warning.
    pub severity: Severity,
    /// Where.
    pub place: Place,
    /// What is wrong, in lower case and without a full stop.
    pub message: String,
    /// How to mend it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hint: Option<String>,
}

impl std::fmt::Display for Fault {
    /// One line: `lines.csv:4:12: E012: message (hint)`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Place { file, line, column, .. } = &self.place;
        write!(f, "{file}:{line}:{column}: {}: {}", self.code, self.message)?;
        match &self.hint {
            Some(hint) => write!(f, " ({hint})"),
            None => Ok(()),
        }
    }
}

/// Whether nothing here refuses the input: warnings only.
#[must_use]
pub fn passes(faults: &[Fault]) -> bool {
    faults.iter().all(|f| f.severity == Severity::Warning)
}

/// The candidate that was probably meant, if one is near enough to `written`.
#[must_use]
pub fn nearest<'a>(
    written: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let wanted = written.to_lowercase();
    let length = wanted.chars().count();
    let near = |candidate: &'a str| {
        let long = candidate.chars().count();
        let most = 1.max(long / 3);
        // The distance is at least the difference of the lengths.
        if long.abs_diff(length) > most {
            return None;
        }
        let distance = strsim::damerau_levenshtein(&wanted, &candidate.to_lowercase());
        (distance <= most).then_some((distance, candidate))
    };
    candidates.into_iter().filter_map(near).min_by_key(|(distance, _)| *distance).map(|(_, c)| c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_near_miss_is_named_and_a_far_one_is_not() {
        let names = ["tolerance", "target", "draw"];
        assert_eq!(nearest("tolerence", names), Some("tolerance"));
        assert_eq!(nearest("Traget", names), Some("target"));
        assert_eq!(nearest("colour", names), None);
    }
}
