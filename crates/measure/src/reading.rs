//! What a person read: an amount or a mark, and the seconds or doses it took.
//! These are the strings that a ledger keeps.

use crate::quantity::Quantity;

/// On which side of a mark the liquid stood.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MarkSide {
    /// At the mark.
    At,
    /// Over the mark.
    Over,
    /// Under the mark.
    Under,
}

/// An amount as read: `29.6 mL`, `31 g`, or `over the 30 mL mark`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AmountRead {
    /// A number was read.
    Number(Quantity),
    /// Only a mark was read.
    Mark {
        /// Where the liquid stood.
        side: MarkSide,
        /// The mark.
        mark: Quantity,
    },
}

/// How long a catch ran, or how many doses it was: `7.1 s`, `2 doses`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DrawRead {
    /// A duration.
    Time(Quantity),
    /// A whole number of doses, one or more.
    Doses(u32),
}
