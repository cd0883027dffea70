//! One byte string for each value: RFC 8785, restricted to what has only one spelling.
//!
//! Strings, booleans, null, integers within ±(2⁵³−1), arrays and objects. A
//! fraction is refused: measured values are kept as text, as they were read.
//! Text is taken as it comes; bringing it to Unicode form NFC is the business of
//! whoever makes the record, because two spellings of one word are two records here.

use std::fmt;

use serde::Serialize;
use serde_json::Value;
use thiserror::Error;

mod read;
#[cfg(test)]
mod tests;
mod write;

pub(crate) use read::malformed;
pub(crate) use write::write_text;

/// The largest whole number that every JSON reader keeps exactly: 2⁵³−1 (RFC 8785 §3.2.2.3, RFC 7493 §2.2).
pub const MAX_INTEGER: u64 = (1 << 53) - 1;

/// How deep arrays and objects may be nested.
pub const MAX_DEPTH: usize = 32;

/// Why a value has no canonical bytes, or bytes are no such value.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum CanonicalError {
    /// A number with a fraction or an exponent.
    #[error("{path}: the number {value} is not whole; keep it as text, as it was read")]
    Fraction {
        /// Where, as `/body/definition/target`.
        path: String,
        /// The number.
        value: String,
    },
    /// A whole number beyond [`MAX_INTEGER`].
    #[error("{path}: the number {value} is beyond 9007199254740991; keep it as text")]
    TooBig {
        /// Where.
        path: String,
        /// The number.
        value: String,
    },
    /// One object has the same key twice.
    #[error("{path}: this key is there twice; keep one of them")]
    DuplicateKey {
        /// Where, with the key.
        path: String,
    },
    /// Nested more than [`MAX_DEPTH`] deep.
    #[error("{path}: nested more than {MAX_DEPTH} deep; make it flatter")]
    TooDeep {
        /// Where.
        path: String,
    },
    /// A sort of value that JSON does not have.
    #[error(
        "{path}: {what} cannot be written; use text, a whole number, true, false, null, a list or an object"
    )]
    NoSuchValue {
        /// Where.
        path: String,
        /// What it is.
        what: String,
    },
    /// More bytes than a record may have.
    #[error("{length} bytes; the longest record has {longest}")]
    TooLong {
        /// Bytes there are.
        length: usize,
        /// Bytes there may be.
        longest: usize,
    },
    /// A record that says something in another way than records do.
    #[error("{path}: write {expected}, not {found}")]
    Spelling {
        /// Where.
        path: String,
        /// How records write it.
        expected: String,
        /// How it is written.
        found: String,
    },
    /// The bytes are not such JSON.
    #[error("line {line}, column {column}: {message}")]
    Malformed {
        /// Line, from 1.
        line: usize,
        /// Column in bytes, from 1.
        column: usize,
        /// What is wrong there.
        message: String,
    },
}

impl CanonicalError {
    /// The same error, seen from the value that holds it under `step`.
    pub(crate) fn under(mut self, step: impl fmt::Display) -> Self {
        match &mut self {
            Self::Fraction { path, .. }
            | Self::TooBig { path, .. }
            | Self::DuplicateKey { path }
            | Self::TooDeep { path }
            | Self::NoSuchValue { path, .. }
            | Self::Spelling { path, .. } => path.insert_str(0, &format!("/{step}")),
            Self::Malformed { .. } | Self::TooLong { .. } => {}
        }
        self
    }
}

/// The canonical bytes of a value.
///
/// # Errors
/// Where the value has a fraction, an integer beyond ±[`MAX_INTEGER`], an object
/// with the same key twice, or is nested too deep. The error names the place.
///
/// # Example
/// ```
/// let bytes = ouncewise_ledger::canonical::to_bytes(&serde_json::json!({"b": [1, true], "a": "é"}))?;
/// assert_eq!(String::from_utf8_lossy(&bytes), r#"{"a":"é","b":[1,true]}"#);
/// # Ok::<(), ouncewise_ledger::canonical::CanonicalError>(())
/// ```
pub fn to_bytes<T: Serialize + ?Sized>(value: &T) -> Result<Vec<u8>, CanonicalError> {
    write::to_bytes(value)
}

/// Reads JSON in any spelling (white space, key order, escapes), as long as its value has canonical bytes.
///
/// # Errors
/// What is not JSON in UTF-8, a fraction, an integer beyond ±[`MAX_INTEGER`], the
/// same key twice in one object, nesting deeper than [`MAX_DEPTH`], or anything after
/// the value; with line and column.
pub fn parse(bytes: &[u8]) -> Result<Value, CanonicalError> {
    read::parse(bytes)
}
