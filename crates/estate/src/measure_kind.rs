//! A kind of measure, described once: many sites may keep pieces of it.

use ouncewise_measure::Quantity;

/// A kind of measure.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct MeasureKind {
    /// Its name.
    pub name: String,
    /// What it reads, and its limits, as written.
    pub reads: Reads,
    /// The most it holds, by volume or weight, where known.
    pub capacity: Option<Quantity>,
    /// No longer in use.
    pub retired: bool,
}

/// What a measure reads.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Reads {
    /// A volume by eye.
    Vessel {
        /// Its marks.
        marks: MarksRead,
        /// The maker's tolerance, plus or minus.
        tolerance: Quantity,
        /// What stays behind when it is emptied, if it is used wetted and drained.
        film: Option<Quantity>,
    },
    /// A weight.
    Scale {
        /// The step of its display.
        resolution: Quantity,
        /// The maker's or verifier's tolerance, plus or minus.
        tolerance: Quantity,
        /// Whether the empty vessel is read as well.
        tared: bool,
    },
}

/// The marks of a vessel, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MarksRead {
    /// One division every so much.
    Every(Quantity),
    /// One mark only.
    One(Quantity),
}
