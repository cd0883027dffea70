//! Before any reading: what this measure and timer can show for this tolerance.

use super::deciding::{self, Decide, expected, only_mark, reading};
use super::portion::{Portion, Poured, View};
use super::{Setup, ShowError, Verdict};
use crate::catch::Draw;
use crate::conformity::{Limits, deciding_uncertainty};
use crate::instrument::Measure;
use crate::quantity::Seconds;
use crate::uncertainty::Budget;

/// Readings that prove something.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Readings within these are proved on target; `None` where no reading is.
    pub on: Option<Limits>,
    /// Readings under the lower or over the upper of these are proved off target; infinite where none is on that side.
    pub off: Limits,
}

/// What a measure and a timer can show for a tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Capability {
    /// Standard uncertainty of one catch of a line that is exactly right, in the target's unit.
    pub doubt: f64,
    /// The same as a fraction of the target.
    pub relative_doubt: f64,
    /// Where it comes from, largest part first.
    pub budget: Budget,
    /// The most that one catch can ever be sure of: that of a line that reads exactly right.
    pub best_probability: f64,
    /// The same of as many catches as one likes.
    pub best_of_many: f64,
    /// What it takes to prove a line that is exactly right.
    pub decide: Decide,
    /// Amounts over the recipe's draw, in [`Capability::unit`]. `None` for a cup with one mark on a timed line: it shows
    /// seconds.
    pub amount: Option<Window>,
    /// On a ratio line: the same of the water, which comes first. All else here is of the syrup, the water being right.
    pub water: Option<Window>,
    /// `mL` or `g`: what the measure reads.
    pub unit: &'static str,
    /// On a timed line, in a vessel: the seconds it takes to fill to [`Capability::fill_to`]. Fewer seconds are more flow.
    pub seconds: Option<Window>,
    /// The amount to fill to and time: the cup's only mark, or what the recipe's draw should give.
    pub fill_to: Option<f64>,
}

impl Capability {
    /// Whether one catch can prove a line on target at all.
    pub fn proves_on_target(&self) -> bool {
        self.amount.or(self.seconds).is_some_and(|window| window.on.is_some())
    }
}

/// What this setup can show, before any reading.
///
/// # Errors
/// As [`super::judge`], for what is wrong with the setup.
pub fn can_show(setup: &Setup) -> Result<Capability, ShowError> {
    setup.check()?;
    let view = View::product(setup)?;
    let (limits, target) = (setup.aim.limits(), view.target);
    let draw = setup.aim.draw;
    let right = expected(&view, target, draw);
    let of_many = Poured { parts: right.parts.without_passing(), ..right }.alone();
    let one = right.alone();
    let judged = super::judged::of_portion(&view, &one);
    let fill = match (&setup.measure, draw) {
        (Measure::Vessel(_), Draw::Time(recipe)) => {
            Some((only_mark(setup).unwrap_or_else(|| reading(&view, target, draw).1), recipe.0))
        }
        _ => None,
    };
    let reads_amounts = fill.is_none() || only_mark(setup).is_none();
    Ok(Capability {
        doubt: one.u,
        relative_doubt: one.u / target,
        budget: one.budget(),
        best_probability: judged.probability_on_target,
        best_of_many: of_many.probability(limits),
        decide: Decide {
            needed: deciding_uncertainty(limits, target, setup.risk),
            ..deciding::of_judged(&view, &judged, 0)
        },
        amount: reads_amounts.then(|| amounts(&view, draw)),
        water: View::water(setup).filter(|_| reads_amounts).map(|water| amounts(&water, draw)),
        unit: match &setup.measure {
            Measure::Vessel(_) => "mL",
            Measure::Scale(_) => "g",
        },
        seconds: fill.map(|(mark, recipe)| {
            let offset = setup.offset();
            let flowing = (recipe - offset) * view.without_film(mark) * view.conversion.0 / target;
            window(&view, flowing, |flowing| {
                view.poured(mark, Draw::Time(Seconds(offset + flowing))).alone()
            })
            .moved(offset)
        }),
        fill_to: fill.map(|(mark, _)| mark),
    })
}

/// The amounts over the recipe's draw that prove something.
fn amounts(view: &View<'_>, draw: Draw) -> Window {
    let middle = reading(view, view.target, draw).1;
    window(view, middle, |amount| view.poured(amount, draw).alone())
}

impl Window {
    fn moved(self, by: f64) -> Window {
        let moved = |limits: Limits| Limits { lower: limits.lower + by, upper: limits.upper + by };
        Window { on: self.on.map(moved), off: moved(self.off) }
    }
}

/// The readings that prove a portion on or off target, around the `middle` reading, which stands for the target itself.
fn window(view: &View<'_>, middle: f64, portion: impl Fn(f64) -> Portion) -> Window {
    let risk = view.setup.risk;
    let verdict = |reading: f64| {
        let portion = portion(reading);
        super::verdict(view.limits, portion.value, portion.probability(view.limits), risk)
    };
    // The verdict goes from on target at most through undecided to off target on the way out, either way.
    let edge = |far: f64, past: Verdict| {
        let (mut near, mut far) = (middle, far);
        for _ in 0..48 {
            let half = 0.5 * (near + far);
            let beyond = match past {
                Verdict::OnTarget => verdict(half) != Verdict::OnTarget,
                _ => verdict(half) == Verdict::OffTarget,
            };
            if beyond {
                far = half;
            } else {
                near = half;
            }
        }
        near
    };
    let (least, most) = (middle * 1e-3, middle * 1e3);
    let both = |past: Verdict| Limits { lower: edge(least, past), upper: edge(most, past) };
    let off = both(Verdict::OffTarget);
    Window {
        on: (verdict(middle) == Verdict::OnTarget).then(|| both(Verdict::OnTarget)),
        off: Limits {
            lower: if verdict(least) == Verdict::OffTarget { off.lower } else { f64::NEG_INFINITY },
            upper: if verdict(most) == Verdict::OffTarget { off.upper } else { f64::INFINITY },
        },
    }
}
