//! The tree over a ledger: RFC 6962 §2.1 with SHA-256 (unchanged in RFC 9162 §2.1).
//!
//! A root vouches for every leaf below it. An *inclusion proof* shows that one
//! leaf is in the tree of a root; a *consistency proof* shows that a later tree only
//! added leaves to an earlier one.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use thiserror::Error;

mod frontier;
mod proof;
#[cfg(test)]
mod tests;

pub use frontier::{Frontier, FrontierError};
pub use proof::{
    ProofError, consistency_proof, inclusion_proof, verify_consistency, verify_inclusion,
};

/// A SHA-256 hash. Prints and reads as 64 lower-case hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Hash(pub [u8; 32]);

impl fmt::Display for Hash {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for Hash {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        write!(f, "Hash({self})")
    }
}

/// Text that is no hash.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("a hash is 64 hexadecimal digits, 0-9 and a-f")]
pub struct HashError;

impl FromStr for Hash {
    type Err = HashError;

    fn from_str(text: &str) -> Result<Self, HashError> {
        let digits = text.as_bytes();
        if digits.len() != 64 {
            return Err(HashError);
        }
        let value = |digit: u8| match digit {
            b'0'..=b'9' => Ok(digit - b'0'),
            b'a'..=b'f' => Ok(digit - b'a' + 10),
            _ => Err(HashError),
        };
        let mut hash = [0; 32];
        for (byte, pair) in hash.iter_mut().zip(digits.chunks_exact(2)) {
            *byte = value(pair[0])? << 4 | value(pair[1])?;
        }
        Ok(Self(hash))
    }
}

impl TryFrom<String> for Hash {
    type Error = HashError;

    fn try_from(text: String) -> Result<Self, HashError> {
        text.parse()
    }
}

impl From<Hash> for String {
    fn from(hash: Hash) -> Self {
        hash.to_string()
    }
}

/// SHA-256 of the parts, one after the other.
pub(crate) fn sha256(parts: &[&[u8]]) -> Hash {
    let mut hasher = Sha256::new();
    for part in parts {
        hasher.update(part);
    }
    Hash(hasher.finalize().into())
}

/// The hash of a leaf: SHA-256 of 0x00 and the leaf's bytes.
#[must_use]
pub fn leaf_hash(leaf: &[u8]) -> Hash {
    sha256(&[&[0], leaf])
}

/// The hash of a node: SHA-256 of 0x01, the left and the right hash.
#[must_use]
pub fn node_hash(left: &Hash, right: &Hash) -> Hash {
    sha256(&[&[1], &left.0, &right.0])
}

/// The root over no leaves: SHA-256 of nothing.
#[must_use]
pub fn empty_root() -> Hash {
    sha256(&[])
}

/// The root over leaf hashes in their order.
#[must_use]
pub fn root(leaves: &[Hash]) -> Hash {
    match leaves {
        [] => empty_root(),
        [leaf] => *leaf,
        _ => {
            let (left, right) = leaves.split_at(split(leaves.len()));
            node_hash(&root(left), &root(right))
        }
    }
}

/// The largest power of two less than `n`, for `n` of 2 and more (RFC 6962 §2.1's *k*).
fn split(n: usize) -> usize {
    1 << (n - 1).ilog2()
}
