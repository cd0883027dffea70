//! The ids of a form's records.

use ouncewise_ledger::derive_id;
use uuid::Uuid;

/// The most catches of one line in one state on one form.
pub const MOST: usize = 9;

/// What a record of a form says about a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    /// Caught as found.
    Found,
    /// Adjusted.
    Adjusted,
    /// Caught as left.
    Left,
    /// Not caught, and why.
    NotCaught,
}

impl What {
    fn word(self) -> &'static str {
        match self {
            Self::Found => "found",
            Self::Adjusted => "adjusted",
            Self::Left => "left",
            Self::NotCaught => "not-caught",
        }
    }
}

/// The id of one record.
pub fn id(form: Uuid, line: &str, what: What, nth: usize) -> Uuid {
    derive_id(&["form", &form.to_string(), line, what.word()], nth as u64)
}

/// All ids that records about a line can have on this form.
pub fn of_line(form: Uuid, line: &str) -> impl Iterator<Item = (What, Uuid)> {
    [What::Found, What::Adjusted, What::Left, What::NotCaught]
        .into_iter()
        .flat_map(move |what| (0..MOST).map(move |nth| (what, nth)))
        .map(move |(what, nth)| (what, id(form, line, what, nth)))
}
