//! Proof that advice is good: practices tried against each other in worlds whose truth is known.
//!
//! A [`Nature`] is a world as numbers: [`Nature::plain`], [`Nature::hard`] and [`Nature::unlike`]
//! (unlike what any model of it assumes). A [`Practice`] is a way of doing the weekly round on one
//! machine; it sees what a crew would see ([`Visit::catch`], [`Facts`]) and does what a crew can do
//! ([`Visit::adjust`], [`Visit::clean`] and others). [`compare`] lets each practice live through the
//! same machines, the same missed weeks and, as far as possible, the same luck, and counts what came
//! of it: portions off target, needless adjustments, minutes, product, money.
//!
//! # Equal luck
//!
//! What happens to a machine is drawn from streams of its own, and never depends on what a practice
//! does: its walks, its faults, who does the round, which weeks are missed. The noise of a line's n-th
//! catch in a week is the same for every practice, and so is what its n-th act brings.
//!
//! # What this is not
//!
//! The worlds share no code with the estimates and the advice that are tried in them: only the
//! practice that is tried ([`Estimated`]) uses those, and it sees no more than the others do.
//!
//! # Example
//!
//! ```
//! use ouncewise_simulate::proof::{Nature, Plan, common, compare};
//!
//! let plan = Plan { seeds: vec![1, 2], sites: 2, lines: 4, weeks: 8, threads: 1 };
//! let practices = common();
//! let practices: Vec<_> = practices.iter().collect();
//! let table = compare(&[Nature::plain()], &practices, &plan, &|| ());
//! for row in &table.rows {
//!     println!("{}: {:.1} % of line-weeks off target", row.practice, 100.0 * row.off_share.mean);
//! }
//! ```

mod ablate;
mod cost;
mod doubted;
mod facts;
mod forecasts;
mod machine;
mod nature;
mod ours;
mod people;
mod practices;
mod reading;
mod shape;
mod table;
#[cfg(test)]
mod tests;
mod tune;
mod visit;
mod worlds;

pub use ablate::{Ablated, Term, ablate};
pub use cost::{Money, Tally};
pub use doubted::{AskedOf, Kind, doubted};
pub use facts::{Adjuster, DrawFacts, Facts, LineFacts, Marks, MeasureFacts, Minutes, Prices};
pub use forecasts::{Class, Forecasts, HORIZONS, Ours, forecasts};
pub use machine::TrueLine;
pub use nature::Nature;
pub use ours::{Estimated, Learnt, Settings};
pub use practices::{EveryCatch, MeanOfThree, Oracle, Smoothed, Smoothing, UntilAtTheMark, common};
pub use reading::{Reading, Seen};
pub use shape::Shape;
pub use table::{Entry, Plan, Row, Spread, Table, compare, live};
pub use tune::{Tried, tune};
pub use visit::{Broken, Practice, Visit};
