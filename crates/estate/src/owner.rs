//! Who a site belongs to: the group itself, or a franchisee.

use crate::fields::{Define, Definition, Described, Field, Fields, RETIRED, Shape};

/// An owner of sites.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Owner {
    /// Its name.
    pub name: String,
    /// Whether doubtful records of its sites are asked about: only where the owner agreed.
    pub ask_about_doubtful: bool,
    /// No longer in use.
    pub retired: bool,
}

impl Described for Owner {
    const NAME: &'static str = "owner";
    const FIELDS: &'static [Field] = &[
        Field::must("name", Shape::Text, "what the owner is called", "Millbrook Halts Ltd"),
        Field::may(
            "ask_about_doubtful",
            Shape::Flag,
            "the owner agreed that doubtful records of its sites are asked about; not if left out",
            "true",
        ),
        RETIRED,
    ];

    fn read(f: &mut Fields<'_>) -> Option<Self> {
        let name = f.text("name");
        let ask_about_doubtful = f.flag("ask_about_doubtful").unwrap_or(false);
        let retired = f.flag("retired");
        Some(Self { name: name?, ask_about_doubtful, retired: retired.unwrap_or(false) })
    }

    fn define(&self) -> Definition {
        let define = Define::default().text("name", &self.name);
        if self.ask_about_doubtful {
            define.value("ask_about_doubtful", true).done()
        } else {
            define.done()
        }
    }
}
