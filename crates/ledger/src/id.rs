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

/// The version of a procedure, as its card prints it: SHA-256 (hex) of its text, then a zero byte and the text of its family's
/// model, where that is known. The same steps mean another thing in another model.
#[must_use]
pub fn procedure_version(text: &str, model: Option<&str>) -> String {
    match model {
        // No text has a zero byte in it, so that no two pairs run together.
        Some(model) => sha256(&[text.as_bytes(), &[0], model.as_bytes()]).to_string(),
        None => sha256(&[text.as_bytes()]).to_string(),
    }
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

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use super::*;

    #[test]
    fn ids_never_change() {
        // Recomputed with Python's hashlib from the framing described above. An id that changed would let
        // every sheet be brought in twice.
        let key = ["fernhollow", "counter-1", "3", "2026-03-02", "30 mL"];
        let id = derive_id(&key, 2);
        assert_eq!(id.to_string(), "d06632a8-e21a-8737-a5fa-6142b6d8a690");
        assert_eq!(again(id).to_string(), "0cfbb8f0-3e1f-80d9-b6f0-24d10a51696d");
        let salt: [u8; 16] = std::array::from_fn(|i| u8::try_from(i).unwrap());
        assert_eq!(
            note_hash(&salt, "cup chipped"),
            "a674a7053d4caba07ba7343db6a96152e639ca3cf4631bdf4b154bca6967ae41"
        );
    }

    #[test]
    fn different_keys_have_different_ids() {
        let keys: [&[&str]; 8] =
            [&[], &[""], &["", ""], &["ab", "c"], &["a", "bc"], &["abc"], &["again"], &["a\0bc"]];
        let mut ids = HashSet::new();
        for key in keys {
            for occurrence in 0..3 {
                let id = derive_id(key, occurrence);
                assert_eq!((id.get_version_num(), id.get_variant()), (8, uuid::Variant::RFC4122));
                assert!(ids.insert(id) && ids.insert(again(id)) && ids.insert(again(again(id))));
            }
        }
    }
}
