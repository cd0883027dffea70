//! What to do about a line.
//!
//! Where a line stands is for `estimate` to say; here that becomes one act:
//! leave it alone, catch it again, adjust it by so much, clean it, replace
//! its part, see to what all lines share, or call a technician. Each act
//! comes with what it is expected to change.
//!
//! # What this crate does not do
//!
//! It reads no ledger and keeps nothing. It advises on portions: whether a
//! line is safe to serve from is for people to say, and stopping is always
//! theirs.

pub mod decide;
