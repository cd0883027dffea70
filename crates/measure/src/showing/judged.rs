//! The verdict in numbers: portion, doubt, probability. No words, and for numbers that were read no allocation.

use super::marks::{self, Believed};
use super::portion::{self, Portion, View, Water};
use super::{Caveat, Setup, ShowError, Subject, Verdict};
use crate::catch::{Amount, Catch, Draw, Metering};
use crate::conformity::Limits;
use crate::reading::MarkSide;
use crate::uncertainty::{Budget, Part};

/// A verdict in numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// What verdict and probability are about.
    pub subject: Subject,
    /// The portion at the recipe's own draw, in the target's unit. Absent when only marks were read.
    pub portion: Option<f64>,
    /// The best estimate all the same: the portion, or what the marks leave to be believed.
    pub estimate: f64,
    /// Whether only sides of marks were read (*over*, *under*), so that it is not known how far off the line is.
    pub only_sides: bool,
    /// Standard uncertainty, same unit.
    pub standard_uncertainty: f64,
    /// Effective degrees of freedom, not truncated (infinite where all inputs are of Type B).
    pub degrees_of_freedom: f64,
    /// Largest part first.
    pub budget: Budget,
    /// Whether first-order propagation is good enough.
    pub first_order_enough: bool,
    /// The verdict at the group's risk.
    pub verdict: Verdict,
    /// Probability that the true portion (or the true water) lies in tolerance. Of water that was not caught, it rests on
    /// where such lines usually stand.
    pub probability_on_target: f64,
    /// The water that goes with the recipe's draw, where it was read as a number.
    pub water: Option<Water>,
    /// Whether any water was caught, as a number or at a mark.
    pub water_caught: bool,
    caveats: [Option<Caveat>; 3],
}

impl Judged {
    /// Whether more must be learnt of the portion: it is undecided, or off target and nobody knows how far;
    /// and it does not wait for the water.
    pub fn is_open(&self) -> bool {
        let open = match self.verdict {
            Verdict::OnTarget => false,
            Verdict::OffTarget => self.only_sides,
            Verdict::Undecided => true,
        };
        open && self.subject == Subject::Portion
    }

    /// What the reader must know besides.
    pub fn caveats(&self) -> impl Iterator<Item = Caveat> {
        self.caveats.into_iter().flatten()
    }
}

/// The three-way verdict of a probability (JCGM 106, 7.4, at the group's own risk).
///
/// A low probability alone is not *off target*: a reading near the target with a doubt far wider than the tolerance has
/// one too, and shows nothing. The reading itself must lie outside.
pub fn verdict(limits: Limits, estimate: f64, probability: f64, risk: f64) -> Verdict {
    if probability >= 1.0 - risk {
        Verdict::OnTarget
    } else if probability <= risk && !limits.hold(estimate) {
        Verdict::OffTarget
    } else {
        Verdict::Undecided
    }
}

/// What the catches of one visit show, in numbers. [`super::show`] adds the act and the words.
///
/// On a ratio line the water is judged first; until it is shown to be on target, the verdict is the water's.
///
/// # Errors
/// Whatever makes a portion impossible to compute; see [`ShowError`].
pub fn judge(setup: &Setup, catches: &[Catch]) -> Result<Judged, ShowError> {
    setup.check()?;
    if catches.is_empty() {
        return Err(ShowError::NoCatch);
    }
    let view = View::product(setup)?;
    let draws = |of: fn(&Catch) -> Option<Draw>| {
        catches.iter().enumerate().filter_map(move |(at, catch)| Some((at + 1, of(catch)?)))
    };
    let mut other_draw = portion::check_draws(setup, draws(|catch| Some(catch.draw)))?;
    let mut only_marks = false;
    for (at, catch) in catches.iter().enumerate() {
        portion::check_amount(setup, at + 1, catch.amount)?;
        only_marks |= is_mark(catch.amount);
    }
    let ratio = setup.aim.metering == Metering::Ratio;
    let water = match View::water(setup) {
        Some(view) if ratio => {
            other_draw |=
                portion::check_draws(setup, draws(|catch| catch.water.map(|(_, draw)| draw)))?;
            judge_water(&view, catches)?
        }
        _ => None,
    };
    let syrup = |water: Option<Water>| {
        catches.iter().map(move |catch| {
            let poured = view.poured(portion::amount(catch.amount), catch.draw);
            water.map_or(poured, |water| poured.with_water(water))
        })
    };
    let right = water.filter(|water| water.verdict == Verdict::OnTarget);
    let mut judged = if only_marks {
        of_marks(&view, catches)
    } else {
        of_portion(&view, &Portion::of_mean(syrup(right.and_then(|water| water.read))))
    };
    if ratio && right.is_none() {
        // The syrup may be what it will; the water is seen to first.
        judged.subject = Subject::Water;
        judged.verdict = water.map_or(Verdict::Undecided, |water| water.verdict);
        // Water that was not caught is what such water usually is: nothing shows it.
        judged.probability_on_target = water.map_or_else(
            || View::water(setup).map_or(0.0, |view| marks::before(&view).probability),
            |water| water.probability,
        );
    }
    judged.water = water.and_then(|water| water.read);
    judged.water_caught = water.is_some();
    judged.caveats = [
        other_draw.then_some(Caveat::OtherDraw),
        only_marks.then_some(Caveat::OnlyMarks),
        (ratio && water.is_none()).then_some(Caveat::WaterNotCaught),
    ];
    Ok(judged)
}

fn is_side(amount: Amount) -> bool {
    matches!(amount, Amount::Mark(MarkSide::Over | MarkSide::Under, _))
}

fn is_mark(amount: Amount) -> bool {
    matches!(amount, Amount::Mark(..))
}

pub(super) fn of_portion(view: &View<'_>, portion: &Portion) -> Judged {
    let probability = portion.probability(view.limits);
    Judged {
        subject: Subject::Portion,
        portion: Some(portion.value),
        estimate: portion.value,
        only_sides: false,
        standard_uncertainty: portion.u,
        degrees_of_freedom: portion.degrees_of_freedom,
        budget: portion.budget(),
        first_order_enough: portion.first_order_enough,
        verdict: verdict(view.limits, portion.value, probability, view.setup.risk),
        probability_on_target: probability,
        water: None,
        water_caught: false,
        caveats: [None; 3],
    }
}

/// A mark among the catches makes all of them a likelihood. On a ratio line this is the syrup over the recipe's draw,
/// water shown to be in its own tolerance being taken as right: a mark is coarser than that.
fn of_marks(view: &View<'_>, catches: &[Catch]) -> Judged {
    let Believed { mean, u, probability } =
        marks::believed(view, catches.iter().map(|catch| (catch.amount, catch.draw)));
    let shared = Portion::of_mean(
        catches.iter().map(|catch| view.poured(portion::amount(catch.amount), catch.draw)),
    );
    let shared = shared.budget().persistent().min(u);
    let budget = Budget::new()
        .with(Part::new("the measure's own tolerance", shared).persistent())
        .with(Part::new("only a mark was read", libm::sqrt(u * u - shared * shared)));
    Judged {
        subject: Subject::Portion,
        portion: None,
        estimate: mean,
        only_sides: catches.iter().all(|catch| is_side(catch.amount)),
        standard_uncertainty: u,
        degrees_of_freedom: f64::INFINITY,
        budget,
        first_order_enough: false,
        verdict: verdict(view.limits, mean, probability, view.setup.risk),
        probability_on_target: probability,
        water: None,
        water_caught: false,
        caveats: [None; 3],
    }
}

/// Water that was caught: its own verdict, and what was read of it where it was a number.
#[derive(Clone, Copy)]
struct WaterJudged {
    verdict: Verdict,
    probability: f64,
    read: Option<Water>,
}

/// The water of all catches that have any; `None` where none was caught.
fn judge_water(view: &View<'_>, catches: &[Catch]) -> Result<Option<WaterJudged>, ShowError> {
    let caught = || catches.iter().filter_map(|catch| catch.water);
    let mut only_marks = false;
    for (at, catch) in catches.iter().enumerate() {
        if let Some((amount, _)) = catch.water {
            portion::check_amount(view.setup, at + 1, amount)?;
            only_marks |= is_mark(amount);
        }
    }
    if caught().next().is_none() {
        return Ok(None);
    }
    let (estimate, probability, read) = if only_marks {
        let Believed { mean, probability, .. } = marks::believed(view, caught());
        (mean, probability, None)
    } else {
        let mean = Portion::of_mean(
            caught().map(|(amount, draw)| view.poured(portion::amount(amount), draw)),
        );
        (mean.value, mean.probability(view.limits), Some(mean.as_water(view.target)))
    };
    Ok(Some(WaterJudged {
        verdict: verdict(view.limits, estimate, probability, view.setup.risk),
        probability,
        read,
    }))
}
