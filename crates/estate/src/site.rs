//! One restaurant.

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
