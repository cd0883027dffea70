//! Proofs that a leaf is in a tree, and that a tree grew only at its end.

use thiserror::Error;

use super::{Hash, empty_root, node_hash, root, split};

/// Why a proof does not hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum ProofError {
    /// The leaf's index is not in a tree of that size.
    #[error("there is no leaf {index} in a tree of {size}; the first is 0")]
    NoSuchLeaf {
        /// Index asked for.
        index: u64,
        /// Size of the tree.
        size: u64,
    },
    /// The earlier tree is larger than the later one.
    #[error("a tree of {new} leaves cannot have grown from one of {old}; it lost some")]
    Shrunk {
        /// Size of the earlier tree.
        old: u64,
        /// Size of the later tree.
        new: u64,
    },
    /// Too few or too many hashes.
    #[error("the proof has {found} hashes, where trees of these sizes need another number")]
    Length {
        /// Hashes found.
        found: usize,
    },
    /// The proof leads to another root.
    #[error("the proof leads to the root {found}, not {expected}")]
    Root {
        /// Root it should lead to.
        expected: Hash,
        /// Root it leads to.
        found: Hash,
    },
}

/// The audit path of leaf `index` in the tree over `leaves`, leaf's sibling first
/// (RFC 6962 §2.1.1); `None` where there is no such leaf.
#[must_use]
pub fn inclusion_proof(leaves: &[Hash], index: u64) -> Option<Vec<Hash>> {
    let mut index = usize::try_from(index).ok().filter(|&i| i < leaves.len())?;
    let mut rest = leaves;
    let mut path = Vec::new();
    while rest.len() > 1 {
        let (left, right) = rest.split_at(split(rest.len()));
        if index < left.len() {
            path.push(root(right));
            rest = left;
        } else {
            index -= left.len();
            path.push(root(left));
            rest = right;
        }
    }
    path.reverse();
    Some(path)
}

/// The proof that the tree over `leaves` grew from the tree over the first `old_size` of
/// them (RFC 6962 §2.1.2); `None` where `old_size` is beyond them. Empty for the empty
/// and for the same tree.
#[must_use]
pub fn consistency_proof(leaves: &[Hash], old_size: u64) -> Option<Vec<Hash>> {
    let mut old = usize::try_from(old_size).ok().filter(|&n| n <= leaves.len())?;
    let mut rest = leaves;
    let mut path = Vec::new();
    if old == 0 || old == rest.len() {
        return Some(path);
    }
    // Whether the old tree is a subtree of what is left, whose root the verifier knows.
    let mut known = true;
    while old < rest.len() {
        let (left, right) = rest.split_at(split(rest.len()));
        if old <= left.len() {
            path.push(root(right));
            rest = left;
        } else {
            path.push(root(left));
            old -= left.len();
            rest = right;
            known = false;
        }
    }
    if !known {
        path.push(root(rest));
    }
    path.reverse();
    Some(path)
}

fn same(expected: &Hash, found: Hash) -> Result<(), ProofError> {
    if *expected == found { Ok(()) } else { Err(ProofError::Root { expected: *expected, found }) }
}

/// Checks that `leaf` is number `index` (from 0) of the `size` leaves under `root` (RFC 9162 §2.1.3.2).
///
/// # Errors
/// Where the index is not in the tree, the proof has too few or too many hashes, or leads to another root.
pub fn verify_inclusion(
    leaf: &Hash,
    index: u64,
    size: u64,
    proof: &[Hash],
    root: &Hash,
) -> Result<(), ProofError> {
    if index >= size {
        return Err(ProofError::NoSuchLeaf { index, size });
    }
    let length = ProofError::Length { found: proof.len() };
    let (mut node, mut last, mut hash) = (index, size - 1, *leaf);
    for sibling in proof {
        if last == 0 {
            return Err(length);
        }
        if node & 1 == 1 || node == last {
            hash = node_hash(sibling, &hash);
            while node & 1 == 0 && node != 0 {
                node >>= 1;
                last >>= 1;
            }
        } else {
            hash = node_hash(&hash, sibling);
        }
        node >>= 1;
        last >>= 1;
    }
    if last != 0 {
        return Err(length);
    }
    same(root, hash)
}

/// Checks that the tree of `new_size` leaves under `new_root` only added leaves to that of
/// `old_size` under `old_root` (RFC 9162 §2.1.4.2). Every tree grew from the empty one.
///
/// # Errors
/// Where the tree shrank, the proof has too few or too many hashes, or leads to another root.
pub fn verify_consistency(
    old_size: u64,
    new_size: u64,
    proof: &[Hash],
    old_root: &Hash,
    new_root: &Hash,
) -> Result<(), ProofError> {
    if old_size > new_size {
        return Err(ProofError::Shrunk { old: old_size, new: new_size });
    }
    let length = ProofError::Length { found: proof.len() };
    if old_size == 0 || old_size == new_size {
        if !proof.is_empty() {
            return Err(length);
        }
        return same(old_root, if old_size == 0 { empty_root() } else { *new_root });
    }
    // The old root itself starts the path where the old tree is a full subtree.
    let (first, path) = if old_size.is_power_of_two() {
        (old_root, proof)
    } else {
        proof.split_first().ok_or(length)?
    };
    let level = (old_size - 1).trailing_ones();
    let (mut node, mut last) = ((old_size - 1) >> level, (new_size - 1) >> level);
    let (mut old, mut new) = (*first, *first);
    for sibling in path {
        if last == 0 {
            return Err(length);
        }
        if node & 1 == 1 || node == last {
            old = node_hash(sibling, &old);
            new = node_hash(sibling, &new);
            while node & 1 == 0 && node != 0 {
                node >>= 1;
                last >>= 1;
            }
        } else {
            new = node_hash(&new, sibling);
        }
        node >>= 1;
        last >>= 1;
    }
    if last != 0 {
        return Err(length);
    }
    same(old_root, old)?;
    same(new_root, new)
}
