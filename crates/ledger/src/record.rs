//! One fact: whose ledger, about what, when, who, how it came in, and what happened.

use serde::{Deserialize, Serialize};
use serde_json::Value;
use uuid::Uuid;

pub use crate::body::{Body, Thing};
use crate::canonical::{self, CanonicalError};
use crate::check::{RecordFault, check};
use crate::key::{KeyError, check_key};
use crate::time::{self, TimeError};

#[cfg(test)]
mod tests;

/// Version of the record format that this crate writes.
pub const VERSION: u32 = 1;

/// The longest record, in canonical bytes.
pub const MAX_BYTES: usize = 64 * 1024;

/// Whose ledger a record belongs to: a site's, or the group's own.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Scope(String);

impl Scope {
    /// The scope of what concerns the whole group: families, products, owners, settings.
    pub const GROUP: &str = "@group";

    /// The group's own ledger.
    #[must_use]
    pub fn group() -> Self {
        Self(Self::GROUP.to_owned())
    }

    /// The ledger of a site.
    ///
    /// # Errors
    /// Where `key` is no key: see [`check_key`].
    pub fn site(key: &str) -> Result<Self, KeyError> {
        check_key(key)?;
        Ok(Self(key.to_owned()))
    }

    /// Whether this is the group's own ledger.
    #[must_use]
    pub fn is_group(&self) -> bool {
        self.0 == Self::GROUP
    }

    /// The site's key; nothing for the group's own ledger.
    #[must_use]
    pub fn site_key(&self) -> Option<&str> {
        if self.is_group() { None } else { Some(&self.0) }
    }

    /// As a record spells it.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl std::fmt::Display for Scope {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::str::FromStr for Scope {
    type Err = KeyError;

    fn from_str(text: &str) -> Result<Self, KeyError> {
        if text == Self::GROUP { Ok(Self::group()) } else { Self::site(text) }
    }
}

impl TryFrom<String> for Scope {
    type Error = KeyError;

    fn try_from(text: String) -> Result<Self, KeyError> {
        text.parse()
    }
}

impl From<Scope> for String {
    fn from(scope: Scope) -> Self {
        scope.0
    }
}

/// Who did it. A person is an id in the ledger; the name lives beside it and can be erased.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PersonId(pub Uuid);

/// What a record is about. Keys are those of the estate files.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Subject {
    /// Machine key within the site.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub machine: Option<String>,
    /// Line key within the machine.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<String>,
    /// Part key of the machine's family.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
}

impl Subject {
    /// A machine of the site.
    #[must_use]
    pub fn machine(machine: &str) -> Self {
        Self { machine: Some(machine.to_owned()), ..Self::default() }
    }

    /// A line of a machine.
    #[must_use]
    pub fn line(machine: &str, line: &str) -> Self {
        Self { line: Some(line.to_owned()), ..Self::machine(machine) }
    }

    /// A part of what is described so far.
    #[must_use]
    pub fn with_part(self, part: &str) -> Self {
        Self { part: Some(part.to_owned()), ..self }
    }
}

/// How a record came in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Entered {
    /// At the machine, as it happened.
    AtMachine,
    /// Copied from paper later.
    FromPaper,
    /// Brought in from a file.
    Imported,
    /// At a desk: set-up, corrections, decisions.
    AtDesk,
}

/// The state of a line when it was caught.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LineState {
    /// Before anything was touched.
    AsFound,
    /// After the last thing that was done to it.
    AsLeft,
}

/// One fact.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// Version of the record format: [`VERSION`].
    pub v: u32,
    /// UUIDv7 made where it happened, or UUIDv8 derived for an import.
    pub id: Uuid,
    /// Whose ledger it belongs to.
    pub scope: Scope,
    /// What it is about.
    pub subject: Subject,
    /// Device clock with offset, RFC 3339 with milliseconds: `2026-03-02T06:41:07.250+01:00`.
    pub at: String,
    /// The device, and its own running number, by which its records keep their order.
    pub device: String,
    /// Running number on the device.
    pub sequence: u64,
    /// Who.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by: Option<PersonId>,
    /// How it came in.
    pub entered: Entered,
    /// SHA-256 (hex) of salt and text of a note that lives beside the ledger and can be erased.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// What happened.
    pub body: Body,
}

impl Record {
    /// The record's canonical bytes.
    ///
    /// # Errors
    /// Where a number in it has no canonical form; [`Record::check`] names the field.
    pub fn to_bytes(&self) -> Result<Vec<u8>, CanonicalError> {
        canonical::to_bytes(self)
    }

    /// Reads a record in any spelling of JSON. Its fields are then still to be [checked](Record::check).
    /// Quickest for canonical bytes.
    ///
    /// # Errors
    /// What is longer than [`MAX_BYTES`], is no JSON with canonical bytes (see [`canonical::parse`]),
    /// lacks a field, has one that no record has, or says in two ways what records say in one (a `null`
    /// for a field left out, an id in capitals): whoever made it would find another hash.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, CanonicalError> {
        if bytes.len() > MAX_BYTES {
            return Err(CanonicalError::TooLong { length: bytes.len(), longest: MAX_BYTES });
        }
        let record: Result<Self, _> = serde_json::from_slice(bytes);
        let ours = record.as_ref().ok().and_then(|record| record.to_bytes().ok());
        if ours.as_deref() != Some(bytes) {
            // Not canonical bytes, of which there is nothing more to check: they have one reading.
            let theirs = canonical::parse(bytes)?;
            if let Some(ours) = ours {
                same_spelling(&canonical::parse(&ours)?, &theirs)?;
            }
        }
        record.map_err(|error| canonical::malformed(&error))
    }

    /// Reads bytes that [`Record::from_bytes`] or [`Record::to_bytes`] has vouched for, and that were kept since:
    /// without looking at their spelling again, in half the time.
    ///
    /// # Errors
    /// What is no JSON, lacks a field, or has one that no record has.
    pub fn from_kept(bytes: &[u8]) -> Result<Self, CanonicalError> {
        serde_json::from_slice(bytes).map_err(|error| canonical::malformed(&error))
    }

    /// Checks what a type cannot: bounded text without control characters, keys, times, whole numbers.
    ///
    /// # Errors
    /// Every fault, not only the first.
    pub fn check(&self) -> Result<(), Vec<RecordFault>> {
        check(self)
    }

    /// The moment on the device's clock.
    ///
    /// # Errors
    /// Where `at` is no time; a [checked](Record::check) record's is.
    pub fn instant(&self) -> Result<jiff::Timestamp, TimeError> {
        time::parse(&self.at)
    }
}

/// Finds where two values differ.
fn same_spelling(ours: &Value, theirs: &Value) -> Result<(), CanonicalError> {
    if let (Value::Object(ours), Value::Object(theirs)) = (ours, theirs) {
        for key in ours.keys().chain(theirs.keys().filter(|&key| !ours.contains_key(key))) {
            let result = match (ours.get(key), theirs.get(key)) {
                (Some(ours), Some(theirs)) => same_spelling(ours, theirs),
                (ours, theirs) => Err(spelling(ours, theirs)),
            };
            result.map_err(|error| error.under(key))?;
        }
        return Ok(());
    }
    if ours == theirs { Ok(()) } else { Err(spelling(Some(ours), Some(theirs))) }
}

fn spelling(ours: Option<&Value>, theirs: Option<&Value>) -> CanonicalError {
    let text = |value: Option<&Value>| {
        let text = value.map_or_else(|| "nothing".to_owned(), Value::to_string);
        match text.char_indices().nth(80) {
            Some((end, _)) => format!("{}…", &text[..end]),
            None => text,
        }
    };
    CanonicalError::Spelling { path: String::new(), expected: text(ours), found: text(theirs) }
}
