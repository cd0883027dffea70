//! Machines that are built alike: how a line is metered and adjusted, and which wear parts it has.

use std::collections::BTreeMap;

use ouncewise_measure::{Adjuster, Metering, Quantity};

use crate::key::Key;
use crate::life::Life;
use crate::timing::Timing;

/// A family of machines.
#[derive(Debug, Clone, PartialEq)]
pub struct Family {
    /// Its name.
    pub name: String,
    /// What is measured on its lines.
    pub metering: Metering,
    /// How its lines are set.
    pub adjuster: Adjuster,
    /// Seconds of a draw that pour nothing (negative: that pour beyond it), where known.
    pub opening_offset: Option<Quantity>,
    /// How the seconds of a catch are taken.
    pub timing: Timing,
    /// Its wear parts, each on every line.
    pub parts: BTreeMap<Key, Part>,
    /// Anything else that a lead should know, such as which values are assumed.
    pub notes: Option<String>,
    /// No longer in use.
    pub retired: bool,
}

/// A wear part.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Part {
    /// What it is called.
    pub name: String,
    /// The maker's part number.
    pub number: Option<String>,
    /// How long it lasts, where known.
    pub life: Option<Life>,
}
