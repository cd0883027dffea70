//! Fault finding: causes and signs of machines that are built alike, what answers make of them, and what to do next.
//!
//! ```
//! use ouncewise_advice::fault::{Catalogue, Seen, next};
//! let catalogue = Catalogue::shipped("roller-pump").expect("it ships");
//! let mut seen = catalogue.nothing_seen();
//! seen[catalogue.sign("drifts-down").expect("a sign of pumps")] = Seen::Yes;
//! seen[catalogue.sign("scatters").expect("a sign of pumps")] = Seen::No;
//! let next = next(&catalogue, &seen)?;
//! assert_eq!(catalogue.causes[next.causes[0].0].key, "tired-tube");
//! # Ok::<(), ouncewise_advice::fault::PosteriorError>(())
//! ```

mod catalogue;
mod known;
mod next;
mod noisy_or;
mod order;
pub mod schema;
#[cfg(test)]
mod tests;
mod value;
mod which;

pub use catalogue::{Access, Act, Catalogue, CatalogueFault, Cause, Sign};
pub use known::{Failed, Known, Records, Why, keys, known};
pub use next::{Next, Question, next};
pub use noisy_or::{
    NoisyOr, OrSign, Posterior, PosteriorError, Seen, strength_alone, strength_with_leak,
};
pub use order::{Faults, Plan, Step, Task};
pub use value::{Test, TestValue, value_of_test};
pub use which::{Built, Chosen, for_line};
