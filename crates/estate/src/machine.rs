//! One dispenser at a site: a position, and the machine that stands there now.

use crate::fields::{Define, Definition, Described, Field, Fields, Shape};
use std::collections::BTreeMap;

use crate::key::Key;
use crate::line::Line;

/// Whether a machine is in use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum State {
    /// In use.
    Open,
    /// In place, but not in use this season.
    Idle,
    /// Taken out of use for a while.
    Paused,
    /// No longer at this site. Kept for its history.
    Removed,
}

/// A position at a site, and the machine that stands in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Machine {
    /// Its name.
    pub name: String,
    /// Key of its family.
    pub family: Key,
    /// Serial number of the machine that stands here now.
    pub serial: Option<String>,
    /// Whether it is in use.
    pub state: State,
    /// Its lines.
    pub lines: BTreeMap<Key, Line>,
}

impl Machine {
    /// Whether it is retired: a machine is so when it is removed.
    #[must_use]
    pub fn retired(&self) -> bool {
        self.state == State::Removed
    }
}

const STATES: &[(&str, State)] = &[
    ("open", State::Open),
    ("idle", State::Idle),
    ("paused", State::Paused),
    ("removed", State::Removed),
];

impl State {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        STATES.iter().find(|(_, s)| *s == self).map_or("open", |(word, _)| word)
    }
}

impl Described for Machine {
    const NAME: &'static str = "machine";
    const FIELDS: &'static [Field] = &[
        Field::must("site", Shape::Key, "the site where it stands", "fernhollow"),
        Field::must("machine", Shape::Key, "the key of its position at the site", "counter-1"),
        Field::may("name", Shape::Text, "what it is called; its key if left out", "Front counter"),
        Field::must("family", Shape::Key, "which family it belongs to", "screw-trim"),
        Field::may(
            "serial",
            Shape::Text,
            "the serial number of the machine that stands there now",
            "ST-20417",
        ),
        Field::may(
            "state",
            Shape::Choice(&["open", "idle", "paused", "removed"]),
            "whether it is in use; open if left out",
            "open",
        ),
    ];

    fn read(f: &mut Fields<'_>) -> Option<Self> {
        let name = f.text("name");
        let family = f.of("family");
        let serial = f.text("serial");
        let state = f.choice("state", STATES);
        Some(Self {
            name: name.unwrap_or_default(),
            family: family?,
            serial,
            state: state.unwrap_or(State::Open),
            lines: BTreeMap::new(),
        })
    }

    fn define(&self) -> Definition {
        Define::default()
            .text("name", &self.name)
            .text("family", &self.family)
            .maybe("serial", self.serial.as_ref())
            .text("state", self.state.word())
            .done()
    }
}
