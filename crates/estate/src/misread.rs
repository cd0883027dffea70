//! What could not be read, and how to mend it: the error of everything here that a person types.

/// A text that could not be read as what it should be.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct Misread {
    /// What is wrong, in lower case and without a full stop.
    pub message: String,
    /// How to mend it.
    pub hint: String,
}

impl Misread {
    /// A misreading with its hint.
    pub fn new(message: impl Into<String>, hint: impl Into<String>) -> Self {
        Self { message: message.into(), hint: hint.into() }
    }
}
