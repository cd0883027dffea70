//! Published limits of measures, and what is assumed of a kitchen's own, as data.

use super::{Marks, Measure, Scale, Vessel};
use crate::quantity::{Grams, Millilitres, Seconds};

/// Standard deviation of start and stop by one thumb, 0.10 s (Am. J. Phys. 87(2) 110, 2019: 4304 timings).
/// The lags of the two presses cancel where one person does both.
pub const HAND_SPREAD: Seconds = Seconds(0.10);

/// Display step of a usual stopwatch.
pub const HAND_RESOLUTION: Seconds = Seconds(0.01);

/// Accuracy class of a glass cylinder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Class {
    /// Class A.
    A,
    /// Class B: twice the tolerance.
    B,
}

/// A graduated glass cylinder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cylinder {
    /// What it holds.
    pub capacity: Millilitres,
    /// Class A tolerance, plus or minus.
    pub class_a: Millilitres,
    /// Class B tolerance, plus or minus.
    pub class_b: Millilitres,
    /// Its divisions; where makers offer two, the finer first.
    pub divisions: &'static [Millilitres],
}

const fn row(
    capacity: f64,
    class_a: f64,
    class_b: f64,
    divisions: &'static [Millilitres],
) -> Cylinder {
    Cylinder {
        capacity: Millilitres(capacity),
        class_a: Millilitres(class_a),
        class_b: Millilitres(class_b),
        divisions,
    }
}

/// Graduated glass cylinders (ASTM E1272-02(2012), table 1).
pub const CYLINDERS: &[Cylinder] = &[
    row(10.0, 0.10, 0.20, &[Millilitres(0.1)]),
    row(25.0, 0.17, 0.34, &[Millilitres(0.2), Millilitres(0.5)]),
    row(50.0, 0.25, 0.50, &[Millilitres(1.0)]),
    row(100.0, 0.50, 1.00, &[Millilitres(1.0)]),
    row(250.0, 1.00, 2.00, &[Millilitres(2.0)]),
    row(500.0, 2.00, 4.00, &[Millilitres(5.0)]),
];

/// The glass cylinder of exactly this capacity, as a vessel with its coarser division; `None` if the table has none.
#[must_use]
pub fn cylinder(capacity: Millilitres, class: Class) -> Option<Vessel> {
    let row = CYLINDERS.iter().find(|row| row.capacity == capacity)?;
    let tolerance = match class {
        Class::A => row.class_a,
        Class::B => row.class_b,
    };
    Some(Vessel { marks: Marks::Every(*row.divisions.last()?), tolerance, film: Millilitres(0.0) })
}

/// How far from its nominal capacity a vessel may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// How far below; zero or less.
    pub below: Millilitres,
    /// How far above; zero or more.
    pub above: Millilitres,
}

impl Limits {
    fn both(limit: f64) -> Limits {
        Limits { below: Millilitres(-limit), above: Millilitres(limit) }
    }

    fn above(limit: f64) -> Limits {
        Limits { below: Millilitres(0.0), above: Millilitres(limit) }
    }
}

/// Limits of a transfer measure (OIML R 138:2007, 5.1.1): filled to a line, or to the brim.
#[must_use]
pub fn transfer_limits(capacity: Millilitres, to_brim: bool) -> Limits {
    match (to_brim, capacity.0 < 100.0) {
        (false, true) => Limits::both(2.0),
        (false, false) => Limits::both(0.03 * capacity.0),
        (true, true) => Limits::above(4.0),
        (true, false) => Limits::above(0.06 * capacity.0),
    }
}

/// Limits of a drinking vessel (OIML R 138:2007, 5.1.1): filled to a line, or to the brim.
#[must_use]
pub fn drinking_limits(capacity: Millilitres, to_brim: bool) -> Limits {
    match (to_brim, capacity.0 < 200.0) {
        (false, true) => Limits::both(5.0),
        (false, false) => Limits::both(5.0 + 0.025 * capacity.0),
        (true, true) => Limits::above(10.0),
        (true, false) => Limits::above(10.0 + 0.05 * capacity.0),
    }
}

/// Limit, plus or minus, of a measuring bottle of 50 mL to 1 L (OIML R 138:2007, 5.1.2); `None` outside.
#[must_use]
pub fn measuring_bottle_limit(capacity: Millilitres) -> Option<Millilitres> {
    let size = capacity.0;
    let limit = match size {
        50.0..100.0 => 3.0,
        100.0..200.0 => 0.03 * size,
        200.0..300.0 => 6.0,
        300.0..500.0 => 0.02 * size,
        500.0..=1000.0 => 10.0,
        _ => return None,
    };
    Some(Millilitres(limit))
}

/// A measure of which nothing is known but its kind, with what is assumed of it until somebody checks it.
#[derive(Debug, Clone, PartialEq)]
pub struct Assumed {
    /// A key that files may use.
    pub key: &'static str,
    /// What it is, in words.
    pub name: &'static str,
    /// The limits assumed.
    pub measure: Measure,
    /// Why these, said wherever they are used.
    pub why: &'static str,
}

const fn vessel(marks: Marks, tolerance: f64) -> Measure {
    Measure::Vessel(Vessel { marks, tolerance: Millilitres(tolerance), film: Millilitres(0.0) })
}

const fn scale(resolution: f64, tolerance: f64) -> Measure {
    Measure::Scale(Scale {
        resolution: Grams(resolution),
        tolerance: Grams(tolerance),
        tared: true,
    })
}

/// What is assumed of a kitchen's own measures. No standard limits kitchen scales, bar measures or
/// unmarked cups, so each says on what it rests.
pub const KITCHEN: &[Assumed] = &[
    Assumed {
        key: "kitchen-cup",
        name: "a small cup with one 30 mL mark, maker unknown",
        measure: vessel(Marks::One(Millilitres(30.0)), 2.0),
        why: "assumed: the limit of a transfer measure under 100 mL (OIML R 138:2007, 5.1.1), which nobody says this cup meets",
    },
    Assumed {
        key: "kitchen-cup-graduated",
        name: "a small cup with a division every 5 mL, maker unknown",
        measure: vessel(Marks::Every(Millilitres(5.0)), 2.0),
        why: "assumed: the limit of a transfer measure under 100 mL (OIML R 138:2007, 5.1.1), which nobody says this cup meets",
    },
    Assumed {
        key: "kitchen-jug",
        name: "a jug with a division every 25 mL, maker unknown",
        measure: vessel(Marks::Every(Millilitres(25.0)), 10.0),
        why: "assumed: the limit of a drinking vessel of 200 mL (OIML R 138:2007, 5.1.1), which nobody says this jug meets",
    },
    Assumed {
        key: "kitchen-scale",
        name: "a kitchen scale that reads 1 g, maker unknown",
        measure: scale(1.0, 2.0),
        why: "assumed: two steps of the display; common practice, no source",
    },
    Assumed {
        key: "pocket-scale",
        name: "a pocket scale that reads 0.1 g, maker unknown",
        measure: scale(0.1, 0.2),
        why: "assumed: two steps of the display; common practice, no source",
    },
];
