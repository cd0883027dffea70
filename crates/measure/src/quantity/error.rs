//! What is wrong with a written quantity, where, and how to mend it.

use std::ops::Range;

/// The kind of fault, for programs; people read the message.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Fault {
    /// Nothing is written.
    Empty,
    /// It does not start with a number.
    NoNumber,
    /// A thousands separator, or a comma that might be one.
    Separator,
    /// An exponent, as spreadsheets write.
    Exponent,
    /// A fraction without an exact decimal.
    Fraction,
    /// More digits than can be kept exactly.
    TooLong,
    /// A number alone.
    NoUnit,
    /// A unit that is not known here.
    UnknownUnit,
    /// A name that several units share.
    WhichUnit,
    /// A unit of the wrong dimension, such as seconds for an amount.
    WrongDimension,
    /// Less than can be: a negative amount, a draw of no time or no dose, a mark at zero.
    TooSmall,
    /// Doses that are not a whole number.
    NotWhole,
    /// Words that say neither at, over nor under.
    Side,
}

impl Fault {
    /// A stable code for reports and machine-readable output.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Fault::Empty => "quantity-empty",
            Fault::NoNumber => "quantity-no-number",
            Fault::Separator => "quantity-separator",
            Fault::Exponent => "quantity-exponent",
            Fault::Fraction => "quantity-fraction",
            Fault::TooLong => "quantity-too-long",
            Fault::NoUnit => "quantity-no-unit",
            Fault::UnknownUnit => "quantity-unknown-unit",
            Fault::WhichUnit => "quantity-which-unit",
            Fault::WrongDimension => "quantity-wrong-dimension",
            Fault::TooSmall => "quantity-too-small",
            Fault::NotWhole => "quantity-not-whole",
            Fault::Side => "quantity-side",
        }
    }
}

/// A written quantity or reading that could not be understood.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what}: {mend}")]
pub struct QuantityError {
    /// The kind of fault.
    pub fault: Fault,
    /// The bytes of the text that are at fault; always on character boundaries of it.
    pub span: Range<usize>,
    /// What is wrong, in words.
    pub what: String,
    /// How to mend it, in words.
    pub mend: String,
}

impl QuantityError {
    pub(crate) fn new(
        fault: Fault,
        span: Range<usize>,
        what: String,
        mend: String,
    ) -> QuantityError {
        QuantityError { fault, span, what, mend }
    }

    /// The same error for a text in which the faulty one begins `bytes` further on.
    #[must_use]
    pub fn moved(mut self, bytes: usize) -> QuantityError {
        self.span = self.span.start + bytes..self.span.end + bytes;
        self
    }
}

/// A piece of somebody's text in back quotes: shortened, and without control characters.
pub(crate) fn quoted(text: &str) -> String {
    const MOST: usize = 40;
    let mut shown: String =
        text.chars().take(MOST).map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect();
    if text.chars().nth(MOST).is_some() {
        shown.push('…');
    }
    format!("`{shown}`")
}
