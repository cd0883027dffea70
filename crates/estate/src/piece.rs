//! One measure at a site: a piece of a kind.

use crate::fields::{Define, Definition, Described, Field, Fields, RETIRED, Shape};
use crate::key::Key;

/// A measure that is kept at a site. Its own error stays with it, catch after catch.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Piece {
    /// Key of its kind, described once for the group.
    pub kind: Key,
    /// No longer in use.
    pub retired: bool,
}

impl Described for Piece {
    const NAME: &'static str = "measure";
    const FIELDS: &'static [Field] =
        &[Field::must("kind", Shape::Key, "what kind of measure it is", "cup-30"), RETIRED];

    fn read(f: &mut Fields<'_>) -> Option<Self> {
        let kind = f.of("kind");
        let retired = f.flag("retired");
        Some(Self { kind: kind?, retired: retired.unwrap_or(false) })
    }

    fn define(&self) -> Definition {
        Define::default().text("kind", &self.kind).done()
    }
}
