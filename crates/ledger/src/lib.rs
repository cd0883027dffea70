//! Records, canonical bytes, hashes and proofs.
//!
//! A [`Record`] is one fact; it is never changed, only corrected by a later
//! record. A *ledger* is all records of one [`Scope`] in order of receipt,
//! hash-linked by RFC 6962.
//!
//! # What this crate does not do
//!
//! It knows records only: no estate, no estimate, no SQL, no clock. What a
//! ledger shows is that records have not been altered since; not that the work
//! was done.

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

pub use body::{Body, Thing};
pub use check::{MAX_TEXT, RecordFault};
pub use entry::{Draft, Entry, leaf_hash};
pub use id::{again, derive_id, note_hash};
pub use record::{Entered, LineState, PersonId, Record, Scope, Subject};
