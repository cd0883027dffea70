//! Sanitiser strength, code limits by jurisdiction, contact, and the physics of flushing, draining and priming lines.
//!
//! Figures carry where they come from: read, computed, or only remembered. One that was only remembered or assumed is an
//! input with a stated default, never a hidden constant.
//!
//! # What this crate does not do
//!
//! No I/O: a profile is text. It replaces no label, manual or code, and it never says that a line is clean: it says what a
//! mix is likely to be, what the rows of a code ask, and what the least is that physics allows.

pub mod contact;
pub mod drain;
pub mod fluid;
pub mod flush;
pub mod label;
pub mod line;
pub mod prime;
pub mod profile;
pub mod round;
pub mod strength;
pub mod strip;
