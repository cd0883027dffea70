//! Quantities and units, measures, catches, uncertainty and verdicts.
//!
//! A *catch* is one draw from a line into a *measure* (a graduated vessel or a
//! scale). This crate turns what a person read into a portion with its
//! standard uncertainty (JCGM 100), into a verdict with a probability
//! (JCGM 106), and into one act in terms of the line's own adjuster.
//!
//! # What this crate does not do
//!
//! It keeps nothing, reads no clock, draws no random number that it was not
//! given a seed for, and knows of no line's past: one visit's catches in, one
//! statement out.

pub mod adjust;
pub mod catch;
pub mod conformity;
pub mod density;
pub mod instrument;
pub mod monte_carlo;
pub mod print;
mod quadrature;
pub mod quantity;
pub mod reading;
pub mod showing;
pub mod special;
pub mod uncertainty;

pub use adjust::{Adjuster, Adjustment, Direction};
pub use catch::{Aim, Amount, Catch, Draw, Metering, Target};
pub use instrument::{Marks, Measure, Scale, Timer, Vessel};
pub use quantity::{Celsius, Grams, Millilitres, Quantity, Seconds, Unit};
pub use reading::{AmountRead, DrawRead, MarkSide};
pub use showing::{Act, Capability, Caveat, Decide, Setup, ShowError, Showing, Subject, Verdict};
