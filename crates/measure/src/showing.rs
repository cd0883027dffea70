//! What one visit's catches show: the portion with its doubt, the verdict, and the one act.

mod act;
mod capability;
mod deciding;
mod drawing;
mod judged;
mod marks;
mod parts;
mod portion;
mod seen;
mod setup;
#[cfg(test)]
mod tests;
mod words;

use crate::adjust::Adjustment;
use crate::catch::{Catch, Draw};
use crate::instrument::InstrumentError;
use crate::print::Sentence;
use crate::uncertainty::Budget;

pub use capability::{Capability, Window, can_show};
pub use deciding::{Better, Decide, Way, decide};
pub use drawing::{Drawn, DrawnError, by_drawing};
pub use judged::{Judged, judge, verdict};
pub use seen::{Checked, Seen};
pub use setup::Setup;
pub(crate) use words::short;

/// What one visit's catches show: numbers, the one act, and the reason in one plain sentence.
///
/// # Errors
/// Whatever makes a portion impossible to compute; see [`ShowError`].
pub fn show(setup: &Setup, catches: &[Catch]) -> Result<Showing, ShowError> {
    let judged = judge(setup, catches)?;
    let view = portion::View::product(setup)?;
    let decide = judged.is_open().then(|| deciding::of_judged(&view, &judged, catches.len()));
    let act = act::choose(setup, &judged, decide.as_ref());
    let reason = words::reason(setup, &judged, decide.as_ref(), &act);
    Ok(Showing {
        subject: judged.subject,
        portion: judged.portion,
        standard_uncertainty: judged.standard_uncertainty,
        degrees_of_freedom: judged.degrees_of_freedom,
        budget: judged.budget,
        first_order_enough: judged.first_order_enough,
        verdict: judged.verdict,
        probability_on_target: judged.probability_on_target,
        rate: judged.portion.map(|portion| Rate::of(setup, portion, judged.standard_uncertainty)),
        water: judged.water.map(|read| WaterRead {
            amount: read.amount,
            standard_uncertainty: read.uncertainty(),
        }),
        caveats: judged.caveats().collect(),
        act,
        reason,
    })
}

impl Rate {
    /// The flow behind a portion.
    fn of(setup: &Setup, portion: f64, u: f64) -> Rate {
        let grams = setup.aim.target.unit() == "g";
        let (over, unit) = match (setup.aim.draw, grams) {
            (Draw::Time(seconds), false) => (seconds.0 - setup.offset(), "mL/s"),
            (Draw::Time(seconds), true) => (seconds.0 - setup.offset(), "g/s"),
            (Draw::Doses(doses), false) => (f64::from(doses), "mL per dose"),
            (Draw::Doses(doses), true) => (f64::from(doses), "g per dose"),
        };
        Rate { value: portion / over, standard_uncertainty: u / over, unit }
    }
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
        with: Sentence,
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

/// The water of a ratio line that goes with the recipe's draw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterRead {
    /// How much, in mL.
    pub amount: f64,
    /// Its standard uncertainty, in mL.
    pub standard_uncertainty: f64,
}

/// Something that a reader of a verdict must know, and that no uncertainty covers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Caveat {
    /// A rate line was caught over another time than the recipe's, and its family states no opening offset.
    OtherDraw,
    /// Only marks were read: the probability rests on a weak prior as well.
    OnlyMarks,
    /// The water was not caught: its probability rests on where such lines usually stand, and on nothing else.
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
    /// False where first-order propagation is not good enough (JCGM 101, 9.4): after a short draw, or of a mark. The
    /// uncertainty then holds the second-order terms too. The probability never rests on first order: it is that of a
    /// quotient (or, of marks, an integral); Monte Carlo agrees with both.
    pub first_order_enough: bool,
    /// The verdict at the group's risk.
    pub verdict: Verdict,
    /// Probability that the true portion lies in tolerance.
    pub probability_on_target: f64,
    /// The flow behind the portion. Absent when only marks were read.
    pub rate: Option<Rate>,
    /// The water of a ratio line. Absent elsewhere, and where it was not caught or only a mark was read.
    pub water: Option<WaterRead>,
    /// What the reader must know besides, in words from [`Caveat`]'s `Display`.
    pub caveats: Vec<Caveat>,
    /// The one act.
    pub act: Act,
    /// Why, in one plain sentence.
    pub reason: Sentence,
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
    #[error(
        "catch {number}: the recipe counts {wanted}, the catch counts {given}: give the {wanted} it ran"
    )]
    DrawKind {
        /// Which catch, counted from 1.
        number: usize,
        /// `seconds` or `doses`.
        wanted: &'static str,
        /// The other.
        given: &'static str,
    },
    /// A volume must become a mass, or a mass a volume, and the product's density is not known.
    #[error(
        "the target is {target} and the catch {caught}: state the product's density (or its Brix), or catch {target}"
    )]
    DensityMissing {
        /// `by volume` or `by weight`.
        target: &'static str,
        /// The other.
        caught: &'static str,
    },
    /// The amount is not one that the measure can read.
    #[error(
        "catch {number} was read {caught}, but the measure is {measure}: name the measure it was read with"
    )]
    WrongMeasure {
        /// Which catch, counted from 1.
        number: usize,
        /// How it was read.
        caught: &'static str,
        /// What the measure is.
        measure: &'static str,
    },
    /// A limit of the measure or of the timer cannot be.
    #[error(transparent)]
    Instrument(#[from] InstrumentError),
    /// Catches over different times cannot be pooled while the opening offset is not known.
    #[error(
        "catches over {shortest} s and {longest} s cannot be pooled: judge them apart, or state the family's opening offset"
    )]
    DrawsDiffer {
        /// The shortest draw, in seconds.
        shortest: f64,
        /// The longest.
        longest: f64,
    },
}
