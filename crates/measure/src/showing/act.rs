//! The one act that goes with a verdict.

use super::deciding::Decide;
use super::{Act, Judged, Setup, Subject, Verdict};
use crate::showing::words;
use crate::special::normal_quantile;

/// More than three portions are not worth pouring away for one decision. (A hundredth over, as they are quotients.)
const WORTH: f64 = 3.01;

/// Under this fraction of the target a portion is a fault, and not a setting.
const FAULT: f64 = 0.5;

/// What the rule looks at: fractions of the target, and what is possible.
#[derive(Debug, Clone, Copy)]
pub(super) struct Case {
    pub verdict: Verdict,
    /// Whether it is the water of a ratio line that is not shown to be right.
    pub water: bool,
    /// Estimate over target, less one.
    pub deviation: f64,
    /// Relative standard uncertainty.
    pub doubt: f64,
    pub tolerance: f64,
    pub risk: f64,
    /// Whether it is known how far to adjust: a number was read, or the level stood at a mark.
    pub number: bool,
    /// Portions that further catches of the same kind would pour away until they decide; `None` if they never do.
    pub catches: Option<f64>,
    /// The same of one larger catch.
    pub larger: Option<f64>,
    /// The same of a better measure.
    pub better: Option<f64>,
}

/// An act without its particulars.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    SeeToWater,
    FindFault,
    LeaveAlone,
    Adjust,
    CatchAgain,
    CatchMore,
    Weigh,
}

/// The rule, top to bottom; the first that fits is the act.
///
/// Every undecided reading leaves more than the group's risk of being off, so something is owed; what is owed is the
/// cheapest thing that is worth it, in product poured away and in work.
///
/// * Adjusting by minus the reading leaves the reading's own error in the line. It gains where the line is further off
///   than that error, and it loses where the sign of the deviation is not even sure. So it is only done where the sign is
///   sure at the group's risk.
/// * Outside tolerance and sure of the sign is *clearly on one side*: a second catch could only say the same, and the
///   catch as left, after the adjustment, is that second catch.
/// * Inside tolerance a decision may still be had for a catch or two, or for one with a scale; where neither decides (the
///   reading lies so close to a limit that no sensible measure can tell) a sure deviation is taken out.
/// * A mark that only tells the side tells nobody how far to turn: a number is read before anything is touched.
/// * What is left is nearer to the target than its own doubt: touching it would put that doubt into the line.
pub(super) fn rule(case: &Case) -> Kind {
    let sure_of_sign = case.deviation.abs() >= normal_quantile(1.0 - case.risk) * case.doubt;
    let outside = case.deviation.abs() > case.tolerance;
    let worth = |portions: Option<f64>| portions.filter(|poured| *poured <= WORTH);
    let (again, larger) = (worth(case.catches), worth(case.larger));
    if case.water {
        return Kind::SeeToWater;
    }
    if case.deviation < FAULT - 1.0 {
        return Kind::FindFault;
    }
    match case.verdict {
        Verdict::OnTarget => return Kind::LeaveAlone,
        Verdict::OffTarget if case.number => return Kind::Adjust,
        Verdict::Undecided if case.number && outside && sure_of_sign => return Kind::Adjust,
        _ => {}
    }
    match (again, larger) {
        (Some(again), Some(larger)) if larger < again => Kind::CatchMore,
        (Some(_), _) => Kind::CatchAgain,
        (None, Some(_)) => Kind::CatchMore,
        // One catch with a scale costs no more than the catch as left would; several cost more than adjusting.
        (None, None)
            if case.number && sure_of_sign && case.better.is_none_or(|poured| poured > 1.5) =>
        {
            Kind::Adjust
        }
        (None, None) if case.better.is_some() => Kind::Weigh,
        (None, None) if case.number => Kind::LeaveAlone,
        (None, None) => Kind::CatchAgain,
    }
}

/// The act for what was judged, and what it would take to decide where that is open.
pub(super) fn choose(setup: &Setup, judged: &Judged, decide: Option<&Decide>) -> Act {
    let target = setup.aim.target.value();
    let portions = |poured: f64| poured / judged.estimate.max(1e-6 * target);
    let case = Case {
        verdict: judged.verdict,
        water: judged.subject == Subject::Water,
        deviation: judged.estimate / target - 1.0,
        doubt: judged.standard_uncertainty / target,
        tolerance: setup.aim.tolerance,
        risk: setup.risk,
        number: !judged.only_sides,
        catches: decide.and_then(|decide| decide.catches).map(|way| portions(way.poured)),
        larger: decide.and_then(|decide| decide.longer).map(|way| portions(way.poured)),
        better: decide.and_then(|decide| decide.better).map(|way| portions(way.poured)),
    };
    match (rule(&case), decide) {
        (Kind::SeeToWater, _) => Act::SeeToWater,
        (Kind::FindFault, _) => Act::FindFault,
        (Kind::LeaveAlone, _) => Act::LeaveAlone,
        (Kind::CatchAgain, _) => Act::CatchAgain,
        (Kind::CatchMore, Some(Decide { longer: Some(way), .. })) => {
            Act::CatchMore { draw: way.what }
        }
        (Kind::Weigh, Some(Decide { better: Some(way), .. })) => {
            Act::Weigh { with: words::measure(setup, &way.what) }
        }
        (Kind::CatchMore | Kind::Weigh, _) => Act::CatchAgain,
        (Kind::Adjust, _) => {
            setup.adjustment(target / judged.estimate - 1.0).map_or(Act::Call, Act::Adjust)
        }
    }
}
