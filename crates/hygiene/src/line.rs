//! A line as it is built: bores, lengths, fittings, whether its top opens and whether it holds pressure; and what follows from
//! that: its volume, how fast and in which manner a liquid moves in it, and the pressure that this takes.

mod cold;
mod error;
mod geometry;
mod pressure;
#[cfg(test)]
mod tests;
pub mod written;

pub use cold::{Cold, Feed, Portion, cold};
pub use error::FlowError;
pub(crate) use error::Span;
pub use geometry::Geometry;
pub use pressure::{
    AVAILABLE_SUCTION, KiloPascals, darcy_friction, narrowed, pressure_drop, suction_ceiling,
};
pub(crate) use pressure::{LAMINAR_BELOW, TURBULENT_FROM};

use ouncewise_measure::Millilitres;

/// A bore in mm.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Millimetres(pub f64);

/// A length in m.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Metres(pub f64);

/// A speed in m/s.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct MetresPerSecond(pub f64);

/// A flow in mL/s.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct MlPerSecond(pub f64);

/// One tube, or one piece of a line that has one bore.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tube {
    /// Its inner diameter, if it is known.
    pub bore: Option<Millimetres>,
    /// Its length, if it is known.
    pub length: Option<Metres>,
}

/// Valves, joints and elbows of one kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fitting {
    /// How many there are.
    pub count: u32,
    /// What each holds, if it is known.
    pub holds: Option<Millilitres>,
    /// Whether the flow passes it by: a branch that is closed, a pocket.
    pub dead_end: bool,
}

/// Whether air can be let in at the highest point of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Top {
    /// It opens.
    Opens,
    /// It does not.
    Closed,
    /// Nobody said.
    #[default]
    Unknown,
}

/// Whether the line holds pressure when it is opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Pressure {
    /// None.
    None,
    /// It does.
    Held,
    /// Nobody said.
    #[default]
    Unknown,
}

/// A line from its inlet to its outlet.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Line {
    /// Its tubes, in the order of the flow.
    pub tubes: Vec<Tube>,
    /// What is fitted to them.
    pub fittings: Vec<Fitting>,
    /// Whether air can be let in.
    pub top: Top,
    /// Whether it holds pressure.
    pub pressure: Pressure,
}

impl Line {
    /// One tube without fittings, of which nothing more is known.
    ///
    /// ```
    /// use ouncewise_hygiene::line::{Line, Metres, Millimetres};
    /// let line = Line::of_one_tube(Millimetres(6.35), Metres(3.0));
    /// assert_eq!(line.geometry()?.volume.0.round(), 95.0);
    /// # Ok::<(), ouncewise_hygiene::line::FlowError>(())
    /// ```
    #[must_use]
    pub fn of_one_tube(bore: Millimetres, length: Metres) -> Line {
        Line { tubes: vec![Tube { bore: Some(bore), length: Some(length) }], ..Line::default() }
    }

    /// The same line, which opens at the top and holds no pressure: it can be drained.
    #[must_use]
    pub fn that_drains(self) -> Line {
        Line { top: Top::Opens, pressure: Pressure::None, ..self }
    }

    /// What follows from its measures.
    ///
    /// # Errors
    /// A bore or a length that is missing or out of range; no tube at all.
    pub fn geometry(&self) -> Result<Geometry, FlowError> {
        Geometry::of(self)
    }
}
