//! Ids that follow from what a record says, and hashes that stand for what can be erased.

use uuid::Uuid;

use crate::merkle::{Hash, sha256};

/// The id of an imported record: UUIDv8 (RFC 9562 §5.8) of the SHA-256 of its natural key
/// (such as site, line, time, amount) and its occurrence, counted from 0. The same row read again
/// has the same id; a row that rightly occurs three times has three.
///
/// # Example
/// ```
/// use ouncewise_ledger::derive_id;
/// let key = ["fernhollow", "counter-1", "3", "2026-03-02", "30 mL"];
/// assert_eq!(derive_id(&key, 0), derive_id(&key, 0));
/// assert_ne!(derive_id(&key, 0), derive_id(&key, 1));
/// ```
#[must_use]
pub fn derive_id(natural_key: &[&str], occurrence: u64) -> Uuid {
    let mut bytes = Vec::new();
    framed(&mut bytes, b"record");
    for part in natural_key {
        framed(&mut bytes, part.as_bytes());
    }
    bytes.extend_from_slice(&occurrence.to_be_bytes());
    version_8(&sha256(&[&bytes]))
}

/// The id to use for a natural key whose earlier record, `id`, was withdrawn: the thing may
/// be brought in again, and the withdrawn record keeps its own id.
#[must_use]
pub fn again(id: Uuid) -> Uuid {
    let mut bytes = Vec::new();
    framed(&mut bytes, b"again");
    framed(&mut bytes, id.as_bytes());
    version_8(&sha256(&[&bytes]))
}

/// What a record's `note` holds: SHA-256 (hex) of the 16 bytes of salt and the text. With the salt
/// and the text erased, nobody can find the text from it.
#[must_use]
pub fn note_hash(salt: &[u8; 16], text: &str) -> String {
    sha256(&[salt, text.as_bytes()]).to_string()
}

/// Length in 8 bytes, then the part, so that no two lists of parts run together.
fn framed(bytes: &mut Vec<u8>, part: &[u8]) {
    bytes.extend_from_slice(&(part.len() as u64).to_be_bytes());
    bytes.extend_from_slice(part);
}

fn version_8(hash: &Hash) -> Uuid {
    let (half, _) = hash.0.split_first_chunk::<16>().expect("a hash has 32 bytes");
    Uuid::new_v8(*half)
}
