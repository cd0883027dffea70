//! Virtual estates whose truth is known: for the demo, for benchmarks, and for
//! proof that advice is good.
//!
//! Every line has a true level (a random walk, wear, crust now and then, and
//! what its machine's lines share), every measure a persistent error, every
//! person a way of timing and adjusting. Out come the records that such a
//! place would write, week by week and site by site ([`SiteWeek`]), and beside
//! them what really held ([`Truth`]). [`World`] names every number with its
//! source, or says that it is assumed.
//!
//! # Example
//!
//! ```
//! use jiff::civil::date;
//! use ouncewise_simulate::fleet::{Config, generate};
//!
//! let fleet = generate(Config { sites: 2, weeks: 4, ..Config::new(7, date(2026, 1, 5)) });
//! for week in fleet.weeks() {
//!     let off = week.truth.iter().filter(|truth| truth.off_target()).count();
//!     println!("{} week {}: {} records, {off} lines off", week.site, week.week, week.drafts.len());
//! }
//! ```
//!
//! # What this crate does not do
//!
//! It shares no physics with `estimate`, so that the two can contradict each
//! other. It reads no clock: the days are arguments. The same seed gives the
//! same records on every run.

mod catch;
mod chance;
mod crew;
mod diary;
pub mod fleet;
mod flow;
mod incident;
mod kitchen;
pub mod larkfield;
mod plant;
pub mod proof;
mod round;
mod sanitise;
mod site;
mod state;
#[cfg(test)]
mod tests;
mod truth;
mod world;

pub use truth::{PieceTruth, SiteWeek, Truth};
pub use world::World;
