//! What a procedure is held to beside its family: the food code of the place where it is followed.

pub use ouncewise_hygiene::profile::AfterRule;
use ouncewise_hygiene::profile::{Level, Profile, RecordKind};
use serde::Serialize;

use crate::time::Seconds;

/// The terms under which a procedure is checked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Terms {
    /// What the food code is called, with its edition; none, where nobody chose one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub code: Option<String>,
    /// What follows sanitising.
    pub after: AfterRule,
    /// Whether water must run between washing and sanitising.
    pub rinse_between: bool,
    /// Whether the contact time counts only from a strip that was right at the outlet; else it is noted where nobody read one.
    pub outlet: bool,
    /// The least contact time that the code asks; the procedure's own, from the label, may be longer.
    pub contact: Option<Seconds>,
    /// The most states that are looked at before the checker gives up.
    pub most: usize,
}

/// States that are looked at, if nobody says otherwise.
pub const MOST_STATES: usize = 400_000;

impl Default for Terms {
    /// Drain and do not rinse, a rinse between washing and sanitising, and the label's contact time from a strip at the outlet on.
    fn default() -> Self {
        Self {
            code: None,
            after: AfterRule::DrainNoRinse,
            rinse_between: true,
            outlet: true,
            contact: None,
            most: MOST_STATES,
        }
    }
}

impl Terms {
    /// The terms of a food code. Its contact times hang on the solution, so that the label's is taken from the procedure.
    #[must_use]
    pub fn of(profile: &Profile) -> Self {
        Self {
            code: Some(format!("{} ({})", profile.name, profile.edition)),
            after: profile.after.rule,
            rinse_between: profile.rinse_between.is_some(),
            outlet: profile.asks(RecordKind::StripOutlet) == Some(Level::Must),
            ..Self::default()
        }
    }
}
