//! What to do about a line: the one act, which cause is behind what is seen, and what drift costs.
//!
//! Where a line stands is for `estimate` to say; [`decide`] makes of it one act: leave it alone, catch it again, adjust it by so
//! much, clean it, replace its part, see to what all lines share, or call a technician; [`lines`] does so for a machine's records. [`fault`] takes a family's causes and
//! signs as data, and what was answered so far, and gives each cause its probability, the order of acts of least expected
//! minutes, and the question that saves most. [`money`] turns prices that somebody stated into what a line costs, each kind a
//! number by itself.
//!
//! # What this crate does not do
//!
//! It reads no file, and invents no price: what is not stated is left out, and said to be. It advises on portions:
//! whether a line is safe to serve from is for people to say, and stopping is always theirs.

pub mod decide;
pub mod fault;
pub mod lines;
pub mod money;
pub mod shared;
