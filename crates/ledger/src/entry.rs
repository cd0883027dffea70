//! A record on its way into a ledger, and in it.

use serde::{Deserialize, Serialize};

use crate::canonical::{CanonicalError, write_text};
use crate::merkle::{Hash, sha256};
use crate::record::Record;

/// A record before its person is known by an id and its note by a hash: whoever keeps the ledger does both.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Draft {
    /// The record, with `by` and `note` still empty where the next two are given.
    pub record: Record,
    /// Name or id of the person, as it came.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub person: Option<String>,
    /// Text of the note.
    #[serde(default, skip_serializing_if = "Option::is_none")]
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checkpoint::Checkpoint;
    use crate::merkle::Frontier;
    use crate::samples::{bodies, catch, record};
    use crate::{Body, Thing, canonical, merkle};

    #[test]
    fn a_leaf_is_the_canonical_bytes_of_receipt_and_record() {
        #[derive(Serialize)]
        struct Leaf<'a> {
            record: &'a Record,
            received: &'a str,
        }
        for received in ["2026-03-02T05:41:09.004Z", "odd \" \\ \n text"] {
            for body in bodies() {
                let entry =
                    Entry { index: 3, received: received.to_owned(), record: record(7, body) };
                let record = entry.record.to_bytes().unwrap();
                let leaf = canonical::to_bytes(&Leaf { record: &entry.record, received }).unwrap();
                assert_eq!(leaf_bytes(received, &record), leaf);
                assert_eq!(leaf_hash(received, &record), merkle::leaf_hash(&leaf));
                assert_eq!(entry.leaf_hash(), Ok(merkle::leaf_hash(&leaf)));
            }
        }
    }

    #[test]
    fn the_hash_of_a_leaf_does_not_change() {
        // Recomputed with Python's hashlib from the bytes that `record::tests` fixes.
        let received = "2026-03-02T05:41:09.004Z".to_owned();
        let entry = Entry { index: 0, received, record: record(7, catch(29)) };
        let expected = "64b981caabc292da47641ce46d1c1a61f58135f77e6da8bcc7d914eb06b1285f";
        assert_eq!(entry.leaf_hash().unwrap().to_string(), expected);
    }

    #[test]
    fn an_entry_is_one_line_of_an_export() {
        let entry = Entry {
            index: 5,
            received: "2026-03-02T05:41:09.004Z".to_owned(),
            record: record(7, catch(29)),
        };
        let line = canonical::to_bytes(&entry).unwrap();
        assert!(line.starts_with(b"{\"index\":5,\"received\":\"2026-"));
        assert_eq!(serde_json::from_slice::<Entry>(&line).unwrap(), entry);
    }

    /// A ledger with one record of each kind, and one with text that is hard to sort and to escape.
    fn exported() -> Vec<Entry> {
        let odd = [("\u{1f600}", "😀 before דּ"), ("\u{fb33}", "é \" \\ \n\t/"), ("", "€\u{7f}")];
        let odd = Body::Configured {
            thing: Thing::Group,
            key: "@group".to_owned(),
            definition: odd.map(|(key, text)| (key.to_owned(), text.into())).into(),
        };
        let entry = |(i, body)| Entry {
            index: i,
            received: format!("2026-03-02T05:41:{i:02}.004Z"),
            record: record(i + 1000, body),
        };
        (0..).zip(bodies().into_iter().chain([odd])).map(entry).collect()
    }

    #[test]
    fn another_program_reads_what_we_write() {
        // `checks/verify` holds these files, and checks them with a program that has no line of ours.
        let (mut lines, mut frontier, mut heads) = (String::new(), Frontier::new(), Vec::new());
        for entry in exported() {
            lines.push_str(std::str::from_utf8(&canonical::to_bytes(&entry).unwrap()).unwrap());
            lines.push('\n');
            frontier.push(entry.leaf_hash().unwrap());
            let head =
                Checkpoint::new("larkfield.example/fernhollow", frontier.size(), frontier.root());
            heads.push(head.unwrap().to_string());
        }
        let files = [
            ("good.jsonl", &lines),
            ("good.checkpoint", heads.last().unwrap()),
            ("earlier.checkpoint", &heads[9]),
        ];
        for (name, text) in files {
            let at = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
                .join("../../checks/verify")
                .join(name);
            if std::env::var_os("UPDATE_DOCS").is_some() {
                std::fs::write(&at, text).unwrap();
            }
            assert_eq!(*text, std::fs::read_to_string(&at).unwrap());
        }
    }
}
