//! A ledger's head as text that can leave the building.
//!
//! The form is C2SP `tlog-checkpoint`: three lines that say whose ledger, how many entries, and the
//! root in base64. Signature lines, should there be any, must be well formed and are not verified.
//! Whoever holds an earlier checkpoint can show that history was rewritten; nobody else can.

use std::fmt;
use std::str::FromStr;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::canonical::{self, CanonicalError};
use crate::merkle::{self, Hash};
use crate::record::Scope;

#[cfg(test)]
mod tests;

/// The head of a ledger, or of a group's tree over its sites' heads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Checkpoint {
    origin: String,
    /// Number of leaves.
    pub size: u64,
    /// Root over them.
    pub root: Hash,
}

/// Text that is no checkpoint, or heads that make none.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum CheckpointError {
    /// The origin cannot stand in a line.
    #[error(
        "line 1: an origin is one line, not empty, without control characters, such as larkfield.example/fernhollow"
    )]
    Origin,
    /// Fewer than three lines, or no line break at the end.
    #[error(
        "line {line}: a checkpoint has three lines (origin, size, root in base64), each with a line break"
    )]
    Lines {
        /// The line that is missing or not ended.
        line: usize,
    },
    /// The size is no number.
    #[error("line 2: a size is a whole number without leading zeros, not {found:?}")]
    Size {
        /// What is there.
        found: String,
    },
    /// The root is no hash.
    #[error("line 3: a root is 32 bytes in base64 (44 characters), not {found:?}")]
    Root {
        /// What is there.
        found: String,
    },
    /// A fourth line before the blank one.
    #[error("line 4: nothing stands between the root and a blank line; take it out")]
    Extension,
    /// A line after the blank one is no signature.
    #[error("line {line}: after a blank line come signatures, each as `— name base64`")]
    Signature {
        /// The line.
        line: usize,
    },
    /// Two heads for one ledger.
    #[error("{site} has two heads; give the later one")]
    TwoHeads {
        /// The ledger.
        site: String,
    },
    /// A head has no canonical bytes.
    #[error(transparent)]
    Canonical(#[from] CanonicalError),
}

impl Checkpoint {
    /// A checkpoint for a ledger called `origin`: a name without scheme that nobody else uses,
    /// such as `larkfield.example/fernhollow`.
    ///
    /// # Errors
    /// Where the origin cannot stand in a line.
    pub fn new(origin: &str, size: u64, root: Hash) -> Result<Self, CheckpointError> {
        if origin.is_empty() || origin.chars().any(char::is_control) {
            return Err(CheckpointError::Origin);
        }
        Ok(Self { origin: origin.to_owned(), size, root })
    }

    /// Whose ledger.
    #[must_use]
    pub fn origin(&self) -> &str {
        &self.origin
    }
}

impl fmt::Display for Checkpoint {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        writeln!(f, "{}\n{}\n{}", self.origin, self.size, STANDARD.encode(self.root.0))
    }
}

impl FromStr for Checkpoint {
    type Err = CheckpointError;

    /// Reads a checkpoint, signed or not. Lines between the root and the blank line (extensions, which the
    /// form allows and advises against) are refused.
    fn from_str(text: &str) -> Result<Self, CheckpointError> {
        let (body, rest) = text.split_at(text.find("\n\n").map_or(text.len(), |i| i + 1));
        let body = body
            .strip_suffix('\n')
            .ok_or(CheckpointError::Lines { line: body.lines().count().max(1) })?;
        let mut lines = body.split('\n');
        let mut next = |line| lines.next().ok_or(CheckpointError::Lines { line });
        let (origin, size, root) = (next(1)?, next(2)?, next(3)?);
        if next(4).is_ok() {
            return Err(CheckpointError::Extension);
        }
        signatures(rest)?;
        Self::new(origin, whole(size)?, hash(root)?)
    }
}

fn whole(text: &str) -> Result<u64, CheckpointError> {
    let plain = text.bytes().all(|b| b.is_ascii_digit()) && (text == "0" || !text.starts_with('0'));
    let size = if plain { text.parse().ok() } else { None };
    size.ok_or_else(|| CheckpointError::Size { found: text.to_owned() })
}

fn hash(text: &str) -> Result<Hash, CheckpointError> {
    let bytes = STANDARD.decode(text).ok().and_then(|bytes| bytes.try_into().ok());
    bytes.map(Hash).ok_or_else(|| CheckpointError::Root { found: text.to_owned() })
}

/// Checks what follows the root: nothing, or a blank line and signature lines (C2SP `signed-note`).
fn signatures(rest: &str) -> Result<(), CheckpointError> {
    let Some(signatures) = rest.strip_prefix('\n') else { return Ok(()) };
    let signatures = signatures.strip_suffix('\n').ok_or(CheckpointError::Signature { line: 5 })?;
    for (i, line) in signatures.split('\n').enumerate() {
        let well_formed = line
            .strip_prefix("— ")
            .and_then(|line| line.split_once(' '))
            .is_some_and(|(name, bytes)| {
                let named = !name.is_empty()
                    && !name.contains('+')
                    && !name.contains(|c: char| c.is_whitespace() || c.is_control());
                // Four bytes say which key; the signature follows.
                named && STANDARD.decode(bytes).is_ok_and(|bytes| bytes.len() > 4)
            });
        if !well_formed {
            return Err(CheckpointError::Signature { line: 5 + i });
        }
    }
    Ok(())
}

/// The head of one ledger of a group.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SiteHead {
    /// Whose ledger.
    pub site: Scope,
    /// Number of its entries.
    pub size: u64,
    /// Root over them.
    pub root: Hash,
}

/// The leaf hashes of a group's tree: of each head's canonical bytes (`{"root":…,"site":…,"size":…}`),
/// by the ledgers' names in order of their bytes. With [`merkle::inclusion_proof`] they show that a site's
/// head is under the group's root.
///
/// # Errors
/// Two heads for one ledger, or a size beyond 2⁵³−1.
pub fn group_leaves(heads: &[SiteHead]) -> Result<Vec<Hash>, CheckpointError> {
    let mut sorted: Vec<&SiteHead> = heads.iter().collect();
    sorted.sort_by(|a, b| a.site.cmp(&b.site));
    if let Some(pair) = sorted.windows(2).find(|pair| pair[0].site == pair[1].site) {
        return Err(CheckpointError::TwoHeads { site: pair[0].site.to_string() });
    }
    sorted.iter().map(|head| Ok(merkle::leaf_hash(&canonical::to_bytes(head)?))).collect()
}

/// The checkpoint of a group: its size is the number of ledgers.
///
/// # Errors
/// As [`Checkpoint::new`] and [`group_leaves`].
pub fn group_checkpoint(origin: &str, heads: &[SiteHead]) -> Result<Checkpoint, CheckpointError> {
    let leaves = group_leaves(heads)?;
    Checkpoint::new(origin, leaves.len() as u64, merkle::root(&leaves))
}
