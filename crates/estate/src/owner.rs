//! Who a site belongs to: the group itself, or a franchisee.

use crate::fields::{Define, Definition, Described, Field, Fields, RETIRED, Shape};

/// An owner of sites.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Owner {
    /// Its name.
    pub name: String,
    /// No longer in use.
    pub retired: bool,
}

impl Described for Owner {
    const NAME: &'static str = "owner";
    const FIELDS: &'static [Field] = &[
        Field::must("name", Shape::Text, "what the owner is called", "Millbrook Halts Ltd"),
        RETIRED,
    ];

    fn read(f: &mut Fields<'_>) -> Option<Self> {
        let name = f.text("name");
        let retired = f.flag("retired");
        Some(Self { name: name?, retired: retired.unwrap_or(false) })
    }

    fn define(&self) -> Definition {
        Define::default().text("name", &self.name).done()
    }
}
