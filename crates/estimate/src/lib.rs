//! What a line's past tells.
//!
//! A fold over one machine's records, in the order of events, gives each
//! line's *story* (what was caught, adjusted, cleaned and replaced) and from
//! it the line's *standing*: the verdict of its latest catches, how urgent it
//! is, and the one act.
//!
//! The same records, read as a [`history`], run through the [`joint`] filter
//! of all lines of the machine and give the other statement, how the line
//! [`stands`], what lies [`ahead`], and the [`course`] that it came; how a family behaves is [`fit`] from
//! many machines at once.
//!
//! # What this crate does not do
//!
//! It reads no ledger and keeps no state: the same records give the same
//! standings, to the byte.
//!
//! Beside the fold stand computations on plain numbers, which know of no
//! record: [`control`] charts, [`adjusting`] from noisy readings, first
//! [`passage`] of a drifting level, the [`score`] of forecasts, and [`wear`].

pub mod adjusting;
pub mod ahead;
pub mod backtest;
pub mod control;
pub mod course;
pub mod doubt;
pub mod fit;
pub mod history;
pub mod joint;
mod lanes;
pub mod lives;
mod numeric;
pub mod parameters;
pub mod passage;
pub mod past;
mod recent;
pub mod score;
pub mod series;
pub mod shown;
mod simplex;
pub mod standing;
pub mod stands;
pub mod story;
mod turns;
pub mod visit;
pub mod wear;

pub use ouncewise_measure::print::Sentence;
pub use shown::{ActKind, Basis, Shown, Told};
pub use standing::{ByHistory, LineRow, Says, Standing, stand};
pub use story::{Event, Happening, stories};
pub use visit::Visit;

#[cfg(test)]
mod tests;
