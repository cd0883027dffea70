//! One dispenser at a site: a position, and the machine that stands there now.

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
