//! What one visit's catches show: the portion with its doubt, the verdict, and the one act.

use crate::adjust::{Adjuster, Adjustment};
use crate::catch::{Aim, Catch};
use crate::instrument::{Measure, Timer};
use crate::quantity::{Celsius, Seconds};
use crate::uncertainty::Budget;

/// All that is known of a line before it is read.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup {
    /// What the recipe asks.
    pub aim: Aim,
    /// What the catches are read with.
    pub measure: Measure,
    /// How the seconds are taken (ignored on dose lines).
    pub timer: Timer,
    /// Density of the product in g/mL with its standard uncertainty, where stated or computed.
    pub density: Option<(f64, f64)>,
    /// Product temperature used where a catch does not state one.
    pub temperature: Option<Celsius>,
    /// Opening offset of the valve that the family states: the seconds of a draw that pour nothing (or, negative, that pour beyond it).
    pub opening_offset: Seconds,
    /// How the line is set.
    pub adjuster: Adjuster,
    /// The panel's present number or percent, where the adjuster has one.
    pub setting: Option<f64>,
    /// Probability below which the group will not act as if on target (0.05: on target needs 95 %).
    pub risk: f64,
}

/// A statement about a portion, never a bare tick.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Verdict {
    /// At least `1 − risk` sure that the true portion lies in tolerance.
    OnTarget,
    /// At most `risk` sure of it.
    OffTarget,
    /// Between them.
    Undecided,
}

/// The one act that goes with a verdict.
#[derive(Debug, Clone, PartialEq)]
pub enum Act {
    /// Leave it alone.
    LeaveAlone,
    /// Catch again once.
    CatchAgain,
    /// Catch so many at once, then read.
    CatchMore {
        /// Doses to catch into one measure, or seconds to run.
        draw: crate::catch::Draw,
    },
    /// Read it with a scale: no number of catches with this measure can decide.
    Weigh {
        /// What the better measure must manage, in words: `a scale that reads 0.1 g`.
        with: String,
    },
    /// Adjust now.
    Adjust(Adjustment),
    /// Ratio lines: the water is wrong or unproved; see to it first, and touch no syrup.
    SeeToWater,
    /// No flow, or under half of the target: a fault, not a setting.
    FindFault,
    /// The adjuster cannot be set by the crew: call the technician.
    Call,
}

/// What the catches of one visit show about one line.
#[derive(Debug, Clone, PartialEq)]
pub struct Showing {
    /// The portion at the recipe's own draw, in the target's unit (mL or g). Absent when only marks were read.
    pub portion: Option<f64>,
    /// Its standard uncertainty, same unit.
    pub standard_uncertainty: f64,
    /// Effective degrees of freedom (infinite where all inputs are of Type B).
    pub degrees_of_freedom: f64,
    /// Largest part first.
    pub budget: Budget,
    /// False where first-order propagation is not good enough and Monte Carlo was used instead (JCGM 101, 9.4).
    pub first_order_enough: bool,
    /// The verdict at the group's risk.
    pub verdict: Verdict,
    /// Probability that the true portion lies in tolerance.
    pub probability_on_target: f64,
    /// The one act.
    pub act: Act,
    /// Why, in one plain sentence.
    pub reason: String,
}
