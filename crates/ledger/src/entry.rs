//! A record on its way into a ledger, and in it.

use serde::{Deserialize, Serialize};

use crate::canonical::{CanonicalError, write_text};
use crate::merkle::{Hash, sha256};
use crate::record::Record;

/// A record before its person is known by an id and its note by a hash: whoever keeps the ledger does both.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft {
    /// The record, with `by` and `note` still empty where the next two are given.
    pub record: Record,
    /// Name or id of the person, as it came.
    pub person: Option<String>,
    /// Text of the note.
    pub note: Option<String>,
}

impl From<Record> for Draft {
    fn from(record: Record) -> Self {
        Self { record, person: None, note: None }
    }
}

/// A record in its ledger.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Its number in order of receipt, from 0.
    pub index: u64,
    /// When it was received, as [`crate::time::received`] spells it.
    pub received: String,
    /// The record.
    pub record: Record,
}

impl Entry {
    /// The hash of this entry's leaf, which is `{"received":…,"record":…}` in canonical bytes.
    /// The index is not in it: the leaf's place in the tree says it.
    ///
    /// # Errors
    /// Where the record has no canonical bytes.
    pub fn leaf_hash(&self) -> Result<Hash, CanonicalError> {
        Ok(leaf_hash(&self.received, &self.record.to_bytes()?))
    }
}

/// The bytes of the leaf for a record's canonical bytes.
#[must_use]
pub fn leaf_bytes(received: &str, record: &[u8]) -> Vec<u8> {
    let mut leaf = head(received);
    leaf.extend_from_slice(record);
    leaf.push(b'}');
    leaf
}

/// The hash of the leaf for a record's canonical bytes, without reading them.
#[must_use]
pub fn leaf_hash(received: &str, record: &[u8]) -> Hash {
    // The 0x00 is RFC 6962's mark of a leaf.
    sha256(&[&[0], &head(received), record, b"}"])
}

fn head(received: &str) -> Vec<u8> {
    let mut head = Vec::with_capacity(64);
    head.extend_from_slice(b"{\"received\":");
    write_text(&mut head, received);
    head.extend_from_slice(b",\"record\":");
    head
}
