//! Records, canonical bytes, hashes and proofs.
//!
//! A [`Record`] is one fact; it is never changed, only corrected by a later
//! record. A *ledger* is all records of one [`Scope`] in order of receipt,
//! hash-linked by RFC 6962.
//!
//! The bytes of all this are written down in `docs/records.md`, and are checked by
//! a program that shares no line with this crate (`checks/verify`).
//!
//! # What this crate does not do
//!
//! It knows records only: no estate, no estimate, no SQL, no clock, no keys to sign with.
//! It does not bring text to one Unicode form. It does not look into what was read
//! (`"29.6 mL"`): whoever computes with it does. What a ledger shows is that records have not
//! been altered since a checkpoint was handed out; not that the work was done.
//!
//! # Example
//!
//! From a record to a checkpoint:
//!
//! ```
//! use ouncewise_ledger::checkpoint::Checkpoint;
//! use ouncewise_ledger::merkle::Frontier;
//! use ouncewise_ledger::{Entry, Record};
//!
//! let record = Record::from_bytes(
//!     br#"{"v":1, "id":"0195540a-c212-7000-8000-000000000007", "scope":"fernhollow",
//!          "subject":{"machine":"counter-1", "line":"3"},
//!          "at":"2026-03-02T06:41:07.250+01:00", "device":"tablet-2", "sequence":41,
//!          "entered":"at-machine", "body":{"kind":"line-cleaned"}}"#,
//! )?;
//! record.check().map_err(|faults| faults[0].to_string())?;
//! let received = "2026-03-02T05:41:09.004Z".to_owned();
//! let entry = Entry { index: 0, received, record };
//!
//! let mut ledger = Frontier::new();
//! ledger.push(entry.leaf_hash()?);
//! let head = Checkpoint::new("larkfield.example/fernhollow", ledger.size(), ledger.root())?;
//! assert_eq!(head.to_string().lines().count(), 3);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod body;
pub mod canonical;
mod check;
pub mod checkpoint;
pub mod entry;
mod id;
pub mod key;
pub mod merkle;
pub mod order;
pub mod record;
#[cfg(test)]
mod samples;
pub mod time;

pub use body::{Body, Holds, Stage, Thing};
pub use check::{MAX_TEXT, RecordFault};
pub use entry::{Draft, Entry, leaf_hash};
pub use id::{again, derive_id, note_hash, procedure_version};
pub use record::{Entered, LineState, PersonId, Record, Scope, Subject};
