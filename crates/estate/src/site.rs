//! One restaurant.

use crate::fields::{Define, Definition, Described, Field, Fields, RETIRED, Shape, code};
use crate::files::pieces;
use crate::misread::Misread;
use std::collections::BTreeMap;

use crate::key::Key;
use crate::machine::Machine;
use crate::piece::Piece;
use crate::zone::Zone;

/// One restaurant, its measures and its machines.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// Its name.
    pub name: String,
    /// Who it belongs to; the group itself where none is stated.
    pub owner: Option<Key>,
    /// Its time zone, where it is not the group's.
    pub time_zone: Option<Zone>,
    /// Its jurisdiction profile, where it is not the group's.
    pub jurisdiction: Option<Key>,
    /// The measures that are kept here.
    pub measures: BTreeMap<Key, Piece>,
    /// Its machines by position.
    pub machines: BTreeMap<Key, Machine>,
    /// No longer in use.
    pub retired: bool,
}

impl Described for Site {
    const NAME: &'static str = "site";
    const FIELDS: &'static [Field] = &[
        Field::must("site", Shape::Key, "the site's key", "fernhollow"),
        Field::may(
            "name",
            Shape::Text,
            "what it is called; its key if left out",
            "Fern Hollow Halt",
        ),
        Field::may("owner", Shape::Key, "whose it is; the group's own if left out", "millbrook"),
        Field::may(
            "time_zone",
            Shape::Zone,
            "its time zone, where it is not the group's",
            "Europe/Vienna",
        ),
        Field::may(
            "jurisdiction",
            Shape::Key,
            "whose food code holds, where it is not the group's",
            "california",
        ),
        Field::may(
            "measures",
            Shape::Pieces,
            "the measures kept there: `key = kind`, parted by `;`, with ` retired` after what is no longer used",
            "cup-a = cup-30; scale = scale-01",
        ),
        RETIRED,
    ];

    /// Its machines are described apart; in records its measures are, too.
    fn read(f: &mut Fields<'_>) -> Option<Self> {
        let name = f.text("name");
        let owner = f.of("owner");
        let time_zone = f.of("time_zone");
        let jurisdiction = f.of("jurisdiction");
        let (measures, faults) =
            f.text("measures").map(|list| pieces::read(&list)).unwrap_or_default();
        for Misread { message, hint } in faults {
            f.refuse_field("measures", code::PIECES, message, hint);
        }
        let retired = f.flag("retired");
        Some(Self {
            name: name.unwrap_or_default(),
            owner,
            time_zone,
            jurisdiction,
            measures,
            machines: BTreeMap::new(),
            retired: retired.unwrap_or(false),
        })
    }

    fn define(&self) -> Definition {
        Define::default()
            .text("name", &self.name)
            .maybe("owner", self.owner.as_ref())
            .maybe("time_zone", self.time_zone.as_ref())
            .maybe("jurisdiction", self.jurisdiction.as_ref())
            .done()
    }
}
