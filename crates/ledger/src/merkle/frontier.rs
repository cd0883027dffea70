//! What is enough to go on adding leaves: the roots of the full subtrees at the right edge.

use thiserror::Error;

use super::{Hash, empty_root, node_hash};
use crate::canonical::MAX_INTEGER;

/// An append-only tree, kept as the roots of its full subtrees, largest first: one for
/// each binary one of its size, so never more than 53.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Frontier {
    size: u64,
    roots: Vec<Hash>,
}

/// Bytes that are no frontier.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum FrontierError {
    /// Shorter than the size it starts with.
    #[error("a frontier starts with its size in 8 bytes; this has {found}")]
    NoSize {
        /// Bytes found.
        found: usize,
    },
    /// A size that no ledger can have.
    #[error("a frontier of {size} leaves is beyond 9007199254740991")]
    TooBig {
        /// Size found.
        size: u64,
    },
    /// Size and number of hashes do not agree.
    #[error("a frontier of {size} leaves has {expected} bytes; this has {found}")]
    Length {
        /// Size found.
        size: u64,
        /// Bytes that such a frontier has.
        expected: usize,
        /// Bytes found.
        found: usize,
    },
}

impl Frontier {
    /// The tree without leaves.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Number of leaves.
    #[must_use]
    pub fn size(&self) -> u64 {
        self.size
    }

    /// Adds a leaf hash at the end.
    pub fn push(&mut self, leaf: Hash) {
        let mut hash = leaf;
        // As many full subtrees of equal size meet as the old size ends in binary ones.
        for _ in 0..self.size.trailing_ones() {
            let left = self.roots.pop().expect("one root for each binary one of the size");
            hash = node_hash(&left, &hash);
        }
        self.roots.push(hash);
        self.size += 1;
    }

    /// The root over all leaves.
    #[must_use]
    pub fn root(&self) -> Hash {
        self.roots
            .iter()
            .rev()
            .copied()
            .reduce(|right, left| node_hash(&left, &right))
            .unwrap_or_else(empty_root)
    }

    /// Size in 8 bytes, most significant first, then the subtrees' roots, largest first.
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut bytes = self.size.to_be_bytes().to_vec();
        for root in &self.roots {
            bytes.extend_from_slice(&root.0);
        }
        bytes
    }

    /// Reads what [`Frontier::to_bytes`] wrote.
    ///
    /// # Errors
    /// Where the number of bytes does not fit the size, or the size is beyond 2⁵³−1.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, FrontierError> {
        let (size, hashes) =
            bytes.split_first_chunk::<8>().ok_or(FrontierError::NoSize { found: bytes.len() })?;
        let size = u64::from_be_bytes(*size);
        if size > MAX_INTEGER {
            return Err(FrontierError::TooBig { size });
        }
        let expected = 8 + 32 * size.count_ones() as usize;
        if bytes.len() != expected {
            return Err(FrontierError::Length { size, expected, found: bytes.len() });
        }
        let (hashes, _) = hashes.as_chunks::<32>();
        Ok(Self { size, roots: hashes.iter().copied().map(Hash).collect() })
    }
}

impl Extend<Hash> for Frontier {
    fn extend<I: IntoIterator<Item = Hash>>(&mut self, leaves: I) {
        leaves.into_iter().for_each(|leaf| self.push(leaf));
    }
}

impl FromIterator<Hash> for Frontier {
    fn from_iter<I: IntoIterator<Item = Hash>>(leaves: I) -> Self {
        let mut frontier = Self::new();
        frontier.extend(leaves);
        frontier
    }
}
