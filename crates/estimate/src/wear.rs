//! How long wear parts last: lives of which many are not over yet, what they say of the part, and at which age to replace it.
//!
//! ```
//! use ouncewise_estimate::wear::{Life, Weibull, replacement_age};
//! // Weeks until valve seals failed; four are still in use.
//! let mut lives: Vec<Life> = [21.0, 30.0, 34.0, 41.0, 44.0, 52.0].map(Life::failed).to_vec();
//! lives.extend([26.0, 26.0, 40.0, 52.0].map(Life::in_use));
//! let fit = Weibull::fit(&lives)?;
//! assert!(fit.shape > 1.0, "they wear: older ones fail more often");
//! // Planned, a seal costs 6; when it fails, 60 with what it spoils.
//! let best = replacement_age(fit.shape, fit.scale, 6.0, 60.0).expect("worth planning");
//! assert!(best.age < fit.scale && best.cost < best.run_to_failure);
//! # Ok::<(), ouncewise_estimate::wear::WearError>(())
//! ```

mod recurrence;
mod replace;
mod survival;
#[cfg(test)]
mod tests;
mod weibull;

use std::collections::BTreeMap;
use std::fmt;

pub use recurrence::{MeanCumulative, Unit, mean_cumulative};
pub use replace::{Replacement, replacement_age};
pub use survival::{Step, survival};
pub use weibull::Weibull;

/// A part's life, in whatever unit of time; weeks for a line's parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Life {
    /// Its age when it was first watched: 0 unless it was in use before. What failed before that age was never seen, and a
    /// life that says so does not make parts look better than they are.
    pub from: f64,
    /// Its age at the end, or now.
    pub to: f64,
    /// Whether it failed; otherwise it is still in use, or was taken out for another reason.
    pub failed: bool,
}

impl Life {
    /// A part that was watched from new and failed at an age.
    #[must_use]
    pub fn failed(age: f64) -> Self {
        Self { from: 0.0, to: age, failed: true }
    }

    /// A part that was watched from new and has not failed up to an age.
    #[must_use]
    pub fn in_use(age: f64) -> Self {
        Self { from: 0.0, to: age, failed: false }
    }

    /// The same, watched only from an age on.
    #[must_use]
    pub fn since(self, from: f64) -> Self {
        Self { from, ..self }
    }

    fn is_sane(&self) -> bool {
        self.from >= 0.0 && self.from < self.to && self.to.is_finite()
    }
}

/// Why lives say nothing of a distribution.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WearError {
    /// A life does not end after it was first watched: its place in the list, from 0.
    Life(usize),
    /// None failed.
    NoFailure,
    /// They do not say how failures spread over ages: two failures at different ages are the least.
    NoSpread,
}

impl fmt::Display for WearError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Life(place) => write!(
                out,
                "life number {} does not end after it was first watched: give an age at the end \
                 that is greater than the age at the start",
                place + 1
            ),
            Self::NoFailure => out.write_str("no part has failed yet, so its life is not known"),
            Self::NoSpread => {
                out.write_str("parts that failed at two different ages are needed at least")
            }
        }
    }
}

impl std::error::Error for WearError {}

fn checked(lives: &[Life]) -> Result<(), WearError> {
    lives
        .iter()
        .position(|life| !life.is_sane())
        .map_or(Ok(()), |place| Err(WearError::Life(place)))
}

/// Lives pooled by what they have in common: a family and a part, a part number, a lot.
#[must_use]
pub fn pooled<K: Ord>(lives: impl IntoIterator<Item = (K, Life)>) -> BTreeMap<K, Vec<Life>> {
    let mut pools: BTreeMap<K, Vec<Life>> = BTreeMap::new();
    for (key, life) in lives {
        pools.entry(key).or_default().push(life);
    }
    pools
}
