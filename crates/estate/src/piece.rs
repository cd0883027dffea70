//! One measure at a site: a piece of a kind.

use crate::key::Key;

/// A measure that is kept at a site. Its own error stays with it, catch after catch.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Piece {
    /// Key of its kind, described once for the group.
    pub kind: Key,
    /// No longer in use.
    pub retired: bool,
}
