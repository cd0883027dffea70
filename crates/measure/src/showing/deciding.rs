//! What it would take to decide: more catches, a longer one, or a better measure, and what each pours away.

use super::portion::{Portion, Poured, View};
use super::{Judged, Setup, ShowError};
use crate::catch::{Catch, Draw, Target};
use crate::conformity::deciding_uncertainty;
use crate::instrument::{Marks, Measure, Scale};
use crate::quantity::{Grams, Millilitres, Seconds};

/// One way to decide, and what it costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way<T> {
    /// What to do.
    pub what: T,
    /// The product that it pours away, in the target's unit, beyond what was caught already.
    pub poured: f64,
}

/// A measure that would decide.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Better {
    /// The largest standard uncertainty that the measure itself may have at this portion, in the target's unit.
    pub uncertainty: f64,
    /// Step of the coarsest usual scale that would do (its tolerance taken as two steps), if any.
    pub scale: Option<Grams>,
    /// The widest tolerance of a vessel that would do, read to a tenth of it.
    pub vessel: Millilitres,
    /// With how many catches.
    pub catches: u32,
}

/// What it would take to decide, if the estimate stays where it is. Each is `None` where it is impossible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Decide {
    /// The largest standard uncertainty that decides at this estimate, in the target's unit.
    pub needed: f64,
    /// The fewest catches in all with this measure and timer.
    pub catches: Option<Way<u32>>,
    /// The shortest single draw that decides with this measure and timer.
    pub longer: Option<Way<Draw>>,
    /// A better measure with the same timer.
    pub better: Option<Way<Better>>,
}

/// More catches than this nobody makes; what needs more is impossible.
pub const MOST_CATCHES: u32 = 100;

/// A single draw longer than so many of the recipe's nobody makes.
pub const MOST_DRAWS: u32 = 10;

/// A better measure that needs more catches than this is not better.
const MOST_BETTER: u32 = 3;

/// Steps that scales come in, in grams, coarsest first.
const STEPS: [f64; 9] = [5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01];

/// What it would take to decide about a line, from what its catches show.
///
/// `None` where it is decided already, or where the water must be seen to first. Off target by a mark alone is not
/// decided: it is not known how far.
///
/// # Errors
/// As [`super::judge`].
pub fn decide(setup: &Setup, catches: &[Catch]) -> Result<Option<Decide>, ShowError> {
    let judged = super::judge(setup, catches)?;
    let view = View::product(setup)?;
    Ok(judged.is_open().then(|| of_judged(&view, &judged, catches.len())))
}

/// The same for an estimate that is judged already, from so many catches.
pub(super) fn of_judged(view: &View<'_>, judged: &Judged, made: usize) -> Decide {
    let setup = view.setup;
    let made = u32::try_from(made).unwrap_or(u32::MAX);
    let limits = setup.aim.limits();
    let target = setup.aim.target.value();
    // A mark that only tells the side leaves the estimate to what was believed before: ask for what settles a line that
    // is right. A line that pours nothing would take no product, and forever.
    let estimate = if judged.only_sides { target } else { judged.estimate.max(1e-6 * target) };
    let needed = deciding_uncertainty(limits, estimate, setup.risk);
    // What a catch with this measure would add: of numbers, as much as these did; of marks, as much as a number would.
    let one = if judged.portion.is_some() {
        (judged.budget.persistent(), judged.budget.passing() * libm::sqrt(f64::from(made.max(1))))
    } else if only_mark(setup).is_some() && matches!(setup.aim.draw, Draw::Doses(_)) {
        // The same cup would only say the same again.
        (f64::INFINITY, 0.0)
    } else {
        expected(view, estimate, setup.aim.draw).doubt()
    };
    let catches = fewest(needed, one, MOST_CATCHES)
        .filter(|catches| *catches > made || judged.portion.is_none());
    Decide {
        needed,
        catches: catches.map(|all| Way {
            what: all,
            poured: estimate * f64::from(all.saturating_sub(made).max(1)),
        }),
        longer: longer(view, estimate, needed),
        better: better(setup, estimate, needed),
    }
}

/// The volume of a cup's only mark, in mL.
pub(super) fn only_mark(setup: &Setup) -> Option<f64> {
    match &setup.measure {
        Measure::Vessel(vessel) => match vessel.marks {
            Marks::One(mark) => Some(mark.0),
            Marks::Every(_) => None,
        },
        Measure::Scale(_) => None,
    }
}

/// The fewest catches whose mean has at most the needed standard uncertainty, from what one has.
fn fewest(needed: f64, (persistent, passing): (f64, f64), most: u32) -> Option<u32> {
    let room = needed * needed - persistent * persistent;
    if room <= 0.0 {
        return None;
    }
    let all = libm::ceil(passing * passing / room * (1.0 - 1e-12)).max(1.0);
    (all <= f64::from(most)).then_some(all as u32)
}

/// What one catch over `draw` would be, if the true portion were `portion`: for doubts before anything is read.
pub(super) fn expected(view: &View<'_>, portion: f64, draw: Draw) -> Poured {
    let (draw, amount) = reading(view, portion, draw);
    view.poured(amount, draw)
}

/// The reading that stands for a portion: the amount over this draw; or, in a cup with one mark on a timed line, that mark
/// and the seconds it takes to fill to it.
pub(super) fn reading(view: &View<'_>, portion: f64, draw: Draw) -> (Draw, f64) {
    let setup = view.setup;
    let unit = view.conversion.0;
    let film = -view.without_film(0.0);
    if let (Some(mark), Draw::Time(recipe)) = (only_mark(setup), setup.aim.draw) {
        let offset = setup.offset();
        let seconds = offset + (recipe.0 - offset) * (mark - film) * unit / portion;
        return (Draw::Time(Seconds(seconds)), mark);
    }
    let (factor, _) = view.factor(draw);
    (draw, portion / (unit * factor) + film)
}

impl Poured {
    /// Persistent and passing standard uncertainty.
    pub(super) fn doubt(&self) -> (f64, f64) {
        (libm::sqrt(self.parts.persistent()), libm::sqrt(self.parts.passing()))
    }

    /// As the portion that one such catch would give.
    pub(super) fn alone(self) -> Portion {
        Portion::of_mean(core::iter::once(self))
    }
}

/// The shortest single draw that decides. A cup with one mark holds no more than that; a timed draw of another length than
/// the recipe's says nothing of the portion unless the family states its opening offset.
fn longer(view: &View<'_>, portion: f64, needed: f64) -> Option<Way<Draw>> {
    let setup = view.setup;
    if only_mark(setup).is_some() {
        return None;
    }
    (2..=MOST_DRAWS).find_map(|times| {
        let draw = match setup.aim.draw {
            Draw::Time(recipe) => {
                setup.opening_offset?;
                Draw::Time(Seconds(recipe.0 * f64::from(times)))
            }
            Draw::Doses(doses) => Draw::Doses(doses.saturating_mul(times)),
        };
        let (persistent, passing) = expected(view, portion, draw).doubt();
        let decides = libm::hypot(persistent, passing) <= needed;
        decides.then(|| Way { what: draw, poured: portion / view.factor(draw).0 })
    })
}

/// The coarsest scale and the widest vessel that decide, with as few catches as can be.
fn better(setup: &Setup, portion: f64, needed: f64) -> Option<Way<Better>> {
    // What stays when the measure is perfect: timing, and on a scale the density.
    let perfect =
        Measure::Scale(Scale { resolution: Grams(1e-9), tolerance: Grams(0.0), tared: false });
    let with = |measure: Measure| {
        // Without a stated density the scale is judged as for water; whoever names it says that the density is needed.
        let density = setup.density.or(Some((1.0, 0.0)));
        let other = Setup { measure, density, ..setup.clone() };
        View::product(&other)
            .map_or((f64::INFINITY, 0.0), |view| expected(&view, portion, setup.aim.draw).doubt())
    };
    let (persistent, passing) = with(perfect);
    let catches = fewest(needed, (persistent, passing), MOST_BETTER)?;
    let left = needed * needed - persistent * persistent - passing * passing / f64::from(catches);
    let uncertainty = libm::sqrt(left);
    let scale = STEPS.into_iter().map(Grams).find(|step| {
        fewest(needed, with(usual_scale(*step)), MOST_BETTER).is_some_and(|all| all <= catches)
    });
    // Tolerance a rectangular, read to a tenth of it triangular: u² = a² / 3 + (a / 10)² / 6.
    let per_millilitre = match setup.aim.target {
        Target::Volume(_) => 1.0,
        Target::Mass(_) => setup.density.map_or(1.0, |density| density.0),
    };
    let vessel = Millilitres(uncertainty / libm::sqrt(1.0 / 3.0 + 0.01 / 6.0) / per_millilitre);
    Some(Way {
        what: Better { uncertainty, scale, vessel, catches },
        poured: portion * f64::from(catches),
    })
}

/// A scale as they are usually sold: good to two steps of its display (common practice, no source), tared by its key.
fn usual_scale(step: Grams) -> Measure {
    Measure::Scale(Scale { resolution: step, tolerance: Grams(2.0 * step.0), tared: true })
}
