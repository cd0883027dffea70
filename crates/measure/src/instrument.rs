//! Measures (vessels and scales) and timers, each with its own limits.

mod tables;
#[cfg(test)]
mod tests;

use crate::quantity::{Grams, Millilitres, Seconds};

pub use tables::{
    Assumed, CYLINDERS, Class, Cylinder, HAND_RESOLUTION, HAND_SPREAD, KITCHEN, Limits, cylinder,
    drinking_limits, measuring_bottle_limit, transfer_limits,
};

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

/// A limit of a measure or a timer that cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{what} is {value}{unit}: {mend}")]
pub struct InstrumentError {
    /// Which limit: `the division`.
    pub what: &'static str,
    /// What was given.
    pub value: f64,
    /// Its unit, with a space before it.
    pub unit: &'static str,
    /// How to mend it, in words.
    pub mend: &'static str,
}

/// What a limit must be.
#[derive(Clone, Copy)]
enum Must {
    /// More than zero.
    Positive,
    /// Zero or more.
    NotNegative,
}

fn check(
    faults: &mut Vec<InstrumentError>,
    must: Must,
    what: &'static str,
    value: f64,
    unit: &'static str,
    mend: &'static str,
) {
    let fits = match must {
        Must::Positive => value > 0.0,
        Must::NotNegative => value >= 0.0,
    };
    // A comparison with NaN is false, so it is caught with the rest.
    if !(fits && value.is_finite()) {
        faults.push(InstrumentError { what, value, unit, mend });
    }
}

/// The first of the faults, or the thing itself.
fn sound<T>(thing: T, faults: Vec<InstrumentError>) -> Result<T, InstrumentError> {
    faults.into_iter().next().map_or(Ok(thing), Err)
}

impl Vessel {
    /// A vessel with one division every so many millilitres, read dry.
    ///
    /// # Errors
    /// A division that is not above zero, or a tolerance below zero.
    pub fn graduated(
        division: Millilitres,
        tolerance: Millilitres,
    ) -> Result<Vessel, InstrumentError> {
        Vessel::sound(Marks::Every(division), tolerance)
    }

    /// A cup with one mark, read dry.
    ///
    /// # Errors
    /// A mark that is not above zero, or a tolerance below zero or not below the mark.
    pub fn one_mark(mark: Millilitres, tolerance: Millilitres) -> Result<Vessel, InstrumentError> {
        Vessel::sound(Marks::One(mark), tolerance)
    }

    fn sound(marks: Marks, tolerance: Millilitres) -> Result<Vessel, InstrumentError> {
        let vessel = Vessel { marks, tolerance, film: Millilitres(0.0) };
        let faults = vessel.faults();
        sound(vessel, faults)
    }

    /// The same vessel, used wetted and drained, with the film that stays behind.
    ///
    /// # Errors
    /// A film below zero.
    pub fn with_film(self, film: Millilitres) -> Result<Vessel, InstrumentError> {
        let vessel = Vessel { film, ..self };
        let faults = vessel.faults();
        sound(vessel, faults)
    }

    /// Everything about it that cannot be.
    #[must_use]
    pub fn faults(&self) -> Vec<InstrumentError> {
        let mut faults = Vec::new();
        match self.marks {
            Marks::Every(division) => {
                let mend = "give the step between two marks, above zero";
                check(&mut faults, Must::Positive, "the division", division.0, " mL", mend);
            }
            Marks::One(mark) => {
                check(
                    &mut faults,
                    Must::Positive,
                    "the mark",
                    mark.0,
                    " mL",
                    "give the mark's own volume, above zero",
                );
                if self.tolerance.0 >= mark.0 && mark.0 > 0.0 {
                    let mend = "give how far off the mark may be, less than the mark itself";
                    faults.push(InstrumentError {
                        what: "the tolerance",
                        value: self.tolerance.0,
                        unit: " mL",
                        mend,
                    });
                }
            }
        }
        let mend = "give the maker's plus-or-minus, zero or more";
        check(&mut faults, Must::NotNegative, "the tolerance", self.tolerance.0, " mL", mend);
        let mend = "give what stays behind after draining, zero if the vessel is read dry";
        check(&mut faults, Must::NotNegative, "the film", self.film.0, " mL", mend);
        faults
    }
}

impl Scale {
    /// A scale; not tared unless [`Scale::tared`] says so.
    ///
    /// # Errors
    /// A resolution that is not above zero, or a tolerance below zero.
    pub fn new(resolution: Grams, tolerance: Grams) -> Result<Scale, InstrumentError> {
        let scale = Scale { resolution, tolerance, tared: false };
        let faults = scale.faults();
        sound(scale, faults)
    }

    /// The same scale, where the empty vessel is read as well.
    #[must_use]
    pub fn tared(self) -> Scale {
        Scale { tared: true, ..self }
    }

    /// Everything about it that cannot be.
    #[must_use]
    pub fn faults(&self) -> Vec<InstrumentError> {
        let mut faults = Vec::new();
        let mend = "give the smallest step that the display shows, above zero";
        check(&mut faults, Must::Positive, "the resolution", self.resolution.0, " g", mend);
        let mend = "give the maker's plus-or-minus, zero or more";
        check(&mut faults, Must::NotNegative, "the tolerance", self.tolerance.0, " g", mend);
        faults
    }
}

impl Measure {
    /// Everything about it that cannot be.
    #[must_use]
    pub fn faults(&self) -> Vec<InstrumentError> {
        match self {
            Measure::Vessel(vessel) => vessel.faults(),
            Measure::Scale(scale) => scale.faults(),
        }
    }
}

impl From<Vessel> for Measure {
    fn from(vessel: Vessel) -> Measure {
        Measure::Vessel(vessel)
    }
}

impl From<Scale> for Measure {
    fn from(scale: Scale) -> Measure {
        Measure::Scale(scale)
    }
}

impl Timer {
    /// A thumb on a stopwatch, with the published spread and a display of hundredths.
    #[must_use]
    pub fn by_hand() -> Timer {
        Timer::Hand { spread: HAND_SPREAD, resolution: HAND_RESOLUTION }
    }

    /// A thumb on a stopwatch, with this crew's own spread.
    ///
    /// # Errors
    /// A spread or a resolution that is not above zero: a thumb is never perfect.
    pub fn hand(spread: Seconds, resolution: Seconds) -> Result<Timer, InstrumentError> {
        let timer = Timer::Hand { spread, resolution };
        sound(timer, timer.faults())
    }

    /// A machine that ends its draw itself.
    ///
    /// # Errors
    /// A tolerance below zero.
    pub fn machine(tolerance: Seconds) -> Result<Timer, InstrumentError> {
        let timer = Timer::Machine { tolerance };
        sound(timer, timer.faults())
    }

    /// Everything about it that cannot be.
    #[must_use]
    pub fn faults(&self) -> Vec<InstrumentError> {
        let mut faults = Vec::new();
        match *self {
            Timer::Hand { spread, resolution } => {
                let mend = "give the standard deviation of start and stop together, above zero; 0.10 s is usual";
                check(&mut faults, Must::Positive, "the spread of the thumb", spread.0, " s", mend);
                let mend = "give the smallest step that the display shows, above zero";
                check(&mut faults, Must::Positive, "the resolution", resolution.0, " s", mend);
            }
            Timer::Machine { tolerance } => {
                let mend = "give how far off the machine's own timing may be, zero or more";
                check(&mut faults, Must::NotNegative, "the tolerance", tolerance.0, " s", mend);
            }
        }
        faults
    }
}
