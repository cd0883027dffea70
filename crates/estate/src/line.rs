//! The path of one product from its container to its nozzle, and what the recipe asks of it.

use ouncewise_measure::{DrawRead, Quantity};
use rust_decimal::Decimal;

use crate::key::Key;
use crate::percent::Percent;

/// One line of a machine.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Line {
    /// What the crew calls it, where that is not its product's name.
    pub name: Option<String>,
    /// Key of the product that it carries.
    pub product: Key,
    /// The portion that the recipe asks for, as written: mL or grams. On a ratio line: the syrup of one drink.
    pub target: Quantity,
    /// How far off still serves, of the target.
    pub tolerance: Percent,
    /// The recipe's own draw: seconds of a rate line, doses of a dose line.
    pub draw: DrawRead,
    /// On a ratio line: the water that belongs to the same draw.
    pub water: Option<Water>,
    /// Key of the site's measure that is usually used.
    pub measure: Option<Key>,
    /// The panel's present number or percent, where the adjuster has one and it is known.
    pub setting: Option<Decimal>,
    /// No longer in use.
    pub retired: bool,
}

/// The water of a ratio line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Water {
    /// How much of it, by volume, as written.
    pub target: Quantity,
    /// How far off it may be.
    pub tolerance: Percent,
}
