//! What one visit's catches show: the portion with its doubt, the verdict, and the one act.

use crate::adjust::{Adjuster, Adjustment, Direction};
use crate::catch::{Aim, Catch, Draw};
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
    /// Opening offset of the valve, where the family states one: the seconds of a draw that pour nothing
    /// (negative: what pours beyond the draw). A draw of `t` pours `flow × (t − offset)`.
    /// `None` is "not stated", and then draws of different lengths are never pooled.
    pub opening_offset: Option<Seconds>,
    /// How the line is set.
    pub adjuster: Adjuster,
    /// The panel's present number or percent, where the adjuster has one.
    pub setting: Option<f64>,
    /// Which way the adjuster was last moved, where known: a screw loses its slack when the direction changes.
    pub last_adjusted: Option<Direction>,
    /// Probability below which the group will not act as if on target (0.05: on target needs 95 %).
    pub risk: f64,
}

/// A statement about a portion, never a bare tick.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Verdict {
    /// At least `1 − risk` sure that the true portion lies in tolerance.
    OnTarget,
    /// The reading lies outside tolerance, and at most `risk` is left for the true portion to lie inside.
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
        draw: Draw,
    },
    /// Read it with a better measure: no number of catches with this one can decide.
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

/// What a verdict is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Subject {
    /// The portion (on a ratio line: the syrup that goes with the recipe's water).
    Portion,
    /// The water of a ratio line, which is not shown to be right yet.
    Water,
}

/// The flow behind a portion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate {
    /// Amount per second, or per dose.
    pub value: f64,
    /// Its standard uncertainty, same unit.
    pub standard_uncertainty: f64,
    /// `mL/s`, `g/s`, `mL per dose` or `g per dose`.
    pub unit: &'static str,
}

/// Something that a reader of a verdict must know, and that no uncertainty covers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Caveat {
    /// A rate line was caught over another time than the recipe's, and its family states no opening offset.
    OtherDraw,
    /// Only marks were read: the probability rests on a weak prior as well.
    OnlyMarks,
    /// The water was not caught: the syrup is judged as if the water were right.
    WaterNotCaught,
}

/// What the catches of one visit show about one line.
#[derive(Debug, Clone, PartialEq)]
pub struct Showing {
    /// What the verdict and its probability are about.
    pub subject: Subject,
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
    /// The flow behind the portion. Absent when only marks were read.
    pub rate: Option<Rate>,
    /// What the reader must know besides, in words from [`Caveat`]'s `Display`.
    pub caveats: Vec<Caveat>,
    /// The one act.
    pub act: Act,
    /// Why, in one plain sentence.
    pub reason: String,
}

/// Why catches cannot be turned into a portion.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ShowError {
    /// There is nothing to judge.
    #[error("no catch was given: catch the line once, then judge it")]
    NoCatch,
    /// A number in the setup cannot be computed with.
    #[error("{what} is {value}: {hint}")]
    Setup {
        /// What is wrong, in words.
        what: &'static str,
        /// As given.
        value: f64,
        /// How to mend it.
        hint: &'static str,
    },
    /// An amount or a draw cannot be computed with.
    #[error("catch {number}: {what} is {value}: {hint}")]
    Catch {
        /// Which catch, counted from 1.
        number: usize,
        /// What is wrong, in words.
        what: &'static str,
        /// As given.
        value: f64,
        /// How to mend it.
        hint: &'static str,
    },
    /// Doses were given for a timed line, or seconds for a line of doses.
    #[error("catch {number}: the recipe counts {wanted}, the catch counts {given}: give the {wanted} it ran")]
    DrawKind {
        /// Which catch, counted from 1.
        number: usize,
        /// `seconds` or `doses`.
        wanted: &'static str,
        /// The other.
        given: &'static str,
    },
    /// A volume must become a mass, or a mass a volume, and the product's density is not known.
    #[error("the target is in {target} and the catch in {caught}: state the product's density (or its Brix), or catch in {target}")]
    DensityMissing {
        /// `mL` or `g`.
        target: &'static str,
        /// The other.
        caught: &'static str,
    },
    /// Catches over different times cannot be pooled while the opening offset is not known.
    #[error("catches over {shortest} s and {longest} s cannot be pooled: judge them apart, or state the family's opening offset")]
    DrawsDiffer {
        /// The shortest draw, in seconds.
        shortest: f64,
        /// The longest.
        longest: f64,
    },
}
