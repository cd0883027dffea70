//! Quantities and units, measures, catches, uncertainty and verdicts.
//!
//! A *catch* is one draw from a line into a *measure* (a graduated vessel or a
//! scale). This crate turns what a person read into a portion with its
//! standard uncertainty (JCGM 100), into a verdict with a probability
//! (JCGM 106), and into one act in terms of the line's own adjuster.
//!
//! ```
//! use ouncewise_measure::{print::Units, showing::show, *};
//!
//! let setup = Setup {
//!     aim: Aim {
//!         metering: Metering::Rate,
//!         target: Target::Volume(Millilitres(30.0)),
//!         tolerance: 0.05,
//!         draw: Draw::Time(Seconds(7.0)),
//!         water: None,
//!     },
//!     measure: Vessel::graduated(Millilitres(1.0), Millilitres(0.5))?.into(),
//!     marked_in: Unit::Millilitre,
//!     timer: Timer::by_hand(),
//!     density: None,
//!     temperature: None,
//!     opening_offset: None,
//!     adjuster: Adjuster::Taught,
//!     setting: None,
//!     last_adjusted: None,
//!     risk: 0.05,
//! };
//! let caught = Catch {
//!     amount: "27 mL".parse::<AmountRead>()?.amount()?,
//!     draw: "7.0 s".parse::<DrawRead>()?.draw()?,
//!     temperature: None,
//!     water: None,
//! };
//! let shown = show(&setup, &[caught])?;
//! assert_eq!(shown.verdict, Verdict::OffTarget);
//! let advice = shown.act.words().words(Units::Metric);
//! assert_eq!(advice, "teach it again: stop at 30 mL; the old setting is lost");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
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
