//! How the seconds of a catch are taken on the machines of a family.

use ouncewise_measure::Quantity;

/// By hand or by the machine, each with its own doubt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Timing {
    /// A thumb on a stopwatch.
    Hand {
        /// Standard deviation of start and stop together.
        spread: Quantity,
        /// Step of the display.
        resolution: Quantity,
    },
    /// The machine ends the draw itself.
    Machine {
        /// Plus or minus.
        tolerance: Quantity,
    },
}
