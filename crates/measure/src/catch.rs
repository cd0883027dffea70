//! A catch, and what the recipe asks of it.

use core::fmt;

use crate::conformity::Limits;
use crate::print::Figure;
use crate::quantity::{Celsius, Grams, Millilitres, Seconds};
use crate::showing::short;

/// What is measured on a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Metering {
    /// Flows while drawing: amount per second.
    Rate,
    /// An amount per draw.
    Dose,
    /// Syrup to water; the water is checked first.
    Ratio,
}

/// An amount for computing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// By volume.
    Volume(Millilitres),
    /// By weight.
    Mass(Grams),
    /// Only known to be on one side of a mark, or at it.
    Mark(crate::reading::MarkSide, Millilitres),
}

/// How long, or how many.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Draw {
    /// A timed draw.
    Time(Seconds),
    /// Whole doses.
    Doses(u32),
}

/// One draw into a measure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Catch {
    /// The amount that was read (of syrup, on a ratio line).
    pub amount: Amount,
    /// How long it ran, or how many doses it was.
    pub draw: Draw,
    /// Temperature of the product, where it was taken.
    pub temperature: Option<Celsius>,
    /// On a ratio line: the water caught, over its own draw.
    pub water: Option<(Amount, Draw)>,
}

/// The portion that the recipe asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Target {
    /// By volume.
    Volume(Millilitres),
    /// By weight: needs no density when weighed.
    Mass(Grams),
}

/// What the recipe asks of a line, and how far off still serves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// What is metered.
    pub metering: Metering,
    /// The portion. On a ratio line: the syrup that belongs to one drink.
    pub target: Target,
    /// How far off still serves, as a fraction of the target (0.05 is ±5 %).
    pub tolerance: f64,
    /// The recipe's own draw: the seconds of a rate line, the doses of a dose line.
    pub draw: Draw,
    /// On a ratio line: the water that belongs to the same draw, and its own tolerance as a fraction.
    pub water: Option<(Millilitres, f64)>,
}

impl Target {
    /// The number, in [`Target::unit`].
    pub fn value(self) -> f64 {
        match self {
            Target::Volume(volume) => volume.0,
            Target::Mass(mass) => mass.0,
        }
    }

    /// The unit that portions of this line are computed in: `mL` or `g`.
    pub fn unit(self) -> &'static str {
        match self {
            Target::Volume(_) => Millilitres::SYMBOL,
            Target::Mass(_) => Grams::SYMBOL,
        }
    }
}

impl Target {
    /// So much of what the target is an amount of, for a sentence.
    pub fn figure(self, value: f64) -> Figure {
        match self {
            Target::Volume(_) => Figure::volume(Millilitres(value)),
            Target::Mass(_) => Figure::mass(Grams(value)),
        }
    }
}

impl Aim {
    /// The portions that still serve, in the target's unit.
    pub fn limits(&self) -> Limits {
        Limits::around(self.target.value(), self.tolerance)
    }
}

impl fmt::Display for Draw {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Draw::Time(seconds) => write!(out, "{} s", short(seconds.0)),
            Draw::Doses(1) => out.write_str("1 dose"),
            Draw::Doses(doses) => write!(out, "{doses} doses"),
        }
    }
}
