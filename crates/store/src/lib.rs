//! The only crate that knows SQL: the ledgers, what lies beside them, and the projections folded from them, in
//! SQLite or PostgreSQL.
//!
//! A draft that [`Store::append`] has answered for is on disk. Every ledger is append-only and hash-linked; names
//! and notes lie beside it and can be erased. Where a line stands is a projection that can be thrown away and
//! comes out the same, byte for byte ([`Store::rebuild`]).
//!
//! # What this crate does not do
//!
//! It computes no verdict and describes no machine: it keeps records, hands them to the crates that do, and keeps
//! what they say. What a ledger shows is that records have not been altered since; not that the work was done.

mod answer;
mod backup;
mod clock;
mod db;
mod error;
mod estates;
mod followed;
mod head;
mod load;
mod open;
mod people;
mod published;
mod put;
mod read;
mod receipt;
mod standing;
mod store;
mod tables;
#[cfg(test)]
mod tests;
mod touch;
mod trust;
mod verify;
mod writer;

pub use answer::Answer;
pub use backup::{Restored, verify_file};
pub use clock::Clock;
pub use error::{Kind, StoreError};
pub use load::{Load, LoadOptions, Loaded, Loader, Undone};
#[doc(hidden)]
pub use open::Synchronous;
pub use open::{FILE, Location};
pub use people::{Note, Person};
pub use published::Published;
pub use read::{CannotDecide, Conflict, Event, History, Week, WeekRow};
pub use receipt::{Outcome, Receipt, Refusal};
pub use store::{Options, Store};
pub use verify::{Misfit, Verified};
