//! What a record's types cannot say: bounded text, keys, times, whole numbers.

use thiserror::Error;

use crate::record::Record;

/// One thing that is wrong with a record.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{field}: {message}")]
pub struct RecordFault {
    /// The field, as `body.amount`.
    pub field: String,
    /// What is wrong, and how to mend it.
    pub message: String,
}

pub(crate) fn check(_record: &Record) -> Result<(), Vec<RecordFault>> {
    Ok(())
}
