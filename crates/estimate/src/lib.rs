//! What a line's past tells.
//!
//! A fold over one machine's records, in the order of events, gives each
//! line's *story* (what was caught, adjusted, cleaned and replaced) and from
//! it the line's *standing*: the verdict of its latest catches, how urgent it
//! is, and the one act.
//!
//! # What this crate does not do
//!
//! It reads no ledger and keeps no state: the same records give the same
//! standings, to the byte. It does not pool history into an estimate yet:
//! every statement here is *this catch shows*, and says so in its `basis`.

pub mod ahead;
pub mod fit;
pub mod history;
pub mod joint;
pub mod past;
mod recent;
pub mod series;
pub mod shown;
mod simplex;
pub mod standing;
pub mod stands;
pub mod story;
mod turns;
pub mod visit;

pub use shown::{ActKind, Basis, Shown, Told};
pub use standing::{LineRow, Standing, stand};
pub use story::{Event, Happening, stories};
pub use visit::Visit;

#[cfg(test)]
mod tests;
