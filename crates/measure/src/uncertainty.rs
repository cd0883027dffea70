//! Uncertainty by JCGM 100:2008: budgets, and the ways in which their parts come about.
//!
//! * [`Budget`]: the parts of one result's uncertainty, largest first.
//! * [`type_a`]: from repeated readings. [`type_b`]: from limits and other knowledge.
//! * [`propagation`]: from the inputs of a model to its results, with correlation, and whether first order is enough.
//! * [`straight_line`] and [`day_effect`]: two worked analyses that the estimates also use.

mod budget;
pub mod day_effect;
pub mod propagation;
pub mod straight_line;
#[cfg(test)]
mod tests;
pub mod type_a;
pub mod type_b;

pub use budget::{Budget, Expanded, Part, effective_degrees_of_freedom};
