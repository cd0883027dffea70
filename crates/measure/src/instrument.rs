//! Measures (vessels and scales) and timers, each with its own limits.

use crate::quantity::{Grams, Millilitres, Seconds};

/// What a catch is read with.
#[derive(Debug, Clone, PartialEq)]
pub enum Measure {
    /// A graduated vessel, or a cup with one mark.
    Vessel(Vessel),
    /// A scale.
    Scale(Scale),
}

/// The marks of a vessel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Marks {
    /// Graduated, one division every so many millilitres.
    Every(Millilitres),
    /// One mark only.
    One(Millilitres),
}

/// A graduated vessel. A cup with one mark is a vessel.
#[derive(Debug, Clone, PartialEq)]
pub struct Vessel {
    /// Its marks.
    pub marks: Marks,
    /// The maker's tolerance, plus or minus; rectangular (JCGM 100, 4.3.7).
    pub tolerance: Millilitres,
    /// What stays behind as a film when it is emptied, if it is used wetted and drained; zero if read dry "to contain".
    pub film: Millilitres,
}

/// A scale.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    /// The step of its display.
    pub resolution: Grams,
    /// The maker's or verifier's tolerance, plus or minus; rectangular.
    pub tolerance: Grams,
    /// Whether the empty vessel is read as well (tare and gross are two readings).
    pub tared: bool,
}

/// How the seconds were taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Timer {
    /// A thumb on a stopwatch: standard deviation of start and stop together.
    Hand {
        /// Standard deviation; 0.10 s by default (Am. J. Phys. 87(2) 110, 2019).
        spread: Seconds,
        /// Step of the display.
        resolution: Seconds,
    },
    /// The machine ends the draw itself.
    Machine {
        /// Plus or minus, rectangular.
        tolerance: Seconds,
    },
}
