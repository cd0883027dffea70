//! How the seconds of a catch are taken on the machines of a family.

use crate::fields::{Define, Definition, Described, Field, Fields, Shape};
use ouncewise_measure::Quantity;
use ouncewise_measure::quantity::Dimension;
use ouncewise_measure::{Seconds, Timer};

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

impl Timing {
    /// The timer, for computing.
    #[must_use]
    pub fn timer(self) -> Timer {
        let seconds = |q: Quantity| q.duration().unwrap_or(Seconds(0.0));
        match self {
            Self::Hand { spread, resolution } => {
                Timer::Hand { spread: seconds(spread), resolution: seconds(resolution) }
            }
            Self::Machine { tolerance } => Timer::Machine { tolerance: seconds(tolerance) },
        }
    }

    fn hand() -> Self {
        // Am. J. Phys. 87(2) 110 (2019): about 0.10 s for start and stop together.
        Self::Hand {
            spread: "0.10 s".parse().expect("0.10 s is a duration"),
            resolution: "0.01 s".parse().expect("0.01 s is a duration"),
        }
    }
}

impl Default for Timing {
    /// A thumb on a stopwatch that shows hundredths.
    fn default() -> Self {
        Self::hand()
    }
}

#[derive(Clone, Copy)]
enum Kind {
    Hand,
    Machine,
}

const DURATION: &[Dimension] = &[Dimension::Duration];

impl Described for Timing {
    const NAME: &'static str = "timer";
    const FIELDS: &'static [Field] = &[
        Field::must(
            "kind",
            Shape::Choice(&["hand", "machine"]),
            "a thumb on a stopwatch, or the machine ends the draw itself",
            "hand",
        ),
        Field::may(
            "spread",
            Shape::Quantity(DURATION),
            "hand: standard deviation of start and stop together; 0.10 s if left out",
            "0.10 s",
        ),
        Field::may(
            "resolution",
            Shape::Quantity(DURATION),
            "hand: the step of the display; 0.01 s if left out",
            "0.01 s",
        ),
        Field::may(
            "tolerance",
            Shape::Quantity(DURATION),
            "machine: how far off, plus or minus",
            "0.02 s",
        ),
    ];

    fn read(f: &mut Fields<'_>) -> Option<Self> {
        match f.choice("kind", &[("hand", Kind::Hand), ("machine", Kind::Machine)])? {
            Kind::Hand => {
                f.refuse_others("a hand timer", &["kind", "spread", "resolution"]);
                let Self::Hand { spread, resolution } = Self::hand() else {
                    return None;
                };
                Some(Self::Hand {
                    spread: f.not_negative("spread", DURATION).unwrap_or(spread),
                    resolution: f.not_negative("resolution", DURATION).unwrap_or(resolution),
                })
            }
            Kind::Machine => {
                f.refuse_others("a machine's timer", &["kind", "tolerance"]);
                f.need("tolerance", "say how far off its seconds may be");
                f.not_negative("tolerance", DURATION).map(|tolerance| Self::Machine { tolerance })
            }
        }
    }

    fn define(&self) -> Definition {
        match self {
            Self::Hand { spread, resolution } => Define::default()
                .text("kind", "hand")
                .text("spread", spread)
                .text("resolution", resolution)
                .done(),
            Self::Machine { tolerance } => {
                Define::default().text("kind", "machine").text("tolerance", tolerance).done()
            }
        }
    }
}
