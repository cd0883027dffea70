//! The words of a verdict: one plain sentence with its numbers.

use core::fmt;

use super::deciding::Better;
use super::{Act, Caveat, Judged, Setup, Subject, Verdict};
use crate::catch::{Draw, Target};

/// A number in at most three significant digits, without idle zeros: `29.6`, `7.4`, `118`, `0.35`.
pub(crate) fn short(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    let place = libm::floor(libm::log10(value.abs())) as i32;
    let decimals = usize::try_from(2 - place).unwrap_or(0).min(12);
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// A probability as people say it, never rounded to certainty: `97 %`, `over 99.9 %`, `under 0.1 %`.
pub(crate) fn percent_sure(probability: f64) -> String {
    match 100.0 * probability {
        p if p > 99.9 => "over 99.9 %".into(),
        p if p < 0.1 => "under 0.1 %".into(),
        p if p > 99.0 || p < 1.0 => format!("{p:.1} %"),
        // Cut, not rounded: 94.96 % is not the 95 % that was asked for.
        p => format!("{} %", libm::floor(p)),
    }
}

/// The better measure in words.
pub(super) fn measure(setup: &Setup, better: &Better) -> String {
    let times =
        if better.catches > 1 { format!(", {} times", better.catches) } else { String::new() };
    let vessel = format!("a vessel good to ±{} mL", short(floor_two(better.vessel.0)));
    let Some(step) = better.scale else {
        return format!("{vessel}{times}");
    };
    let density = match setup.aim.target {
        Target::Volume(_) if setup.density.is_none() => " and the product's density",
        _ => "",
    };
    format!("a scale that reads {} g{density}, or {vessel}{times}", short(step.0))
}

/// Two significant digits, downwards: what is asked of a measure is never rounded into too little.
fn floor_two(value: f64) -> f64 {
    let step = libm::exp10(libm::floor(libm::log10(value)) - 1.0);
    libm::floor(value / step + 1e-9) * step
}

/// Why, in one plain sentence.
pub(super) fn reason(setup: &Setup, judged: &Judged, act: &Act) -> String {
    let aim = &setup.aim;
    let (target, unit) = (aim.target.value(), aim.target.unit());
    let tolerance = short(100.0 * aim.tolerance);
    if judged.subject == Subject::Water {
        let wanted = aim.water.map_or(0.0, |water| water.0.0);
        let band = aim.water.map_or(0.0, |water| 100.0 * water.1);
        return match judged.water {
            None => "the water was not shown, and a syrup is only right or wrong beside its water"
                .into(),
            Some(water) => format!(
                "the water is {} mL where {} mL belong, {} sure to be within ±{} %, and no syrup is set against a water that is not right",
                short(water),
                short(wanted),
                percent_sure(judged.probability_on_target),
                short(band),
            ),
        };
    }
    let seen = match judged.portion {
        Some(0.0) => format!("nothing came where {} {unit} belong", short(target)),
        Some(portion) => {
            let off = 100.0 * (portion / target - 1.0);
            let side = if off < 0.0 { "under" } else { "over" };
            format!(
                "{} {unit} is {} % {side} the target of {} {unit}, with {} % of doubt",
                short(portion),
                short((off.abs() * 10.0).round() / 10.0),
                short(target),
                short(100.0 * judged.standard_uncertainty / target),
            )
        }
        None => format!("by the mark alone it is {} %", percent(judged.probability_on_target)),
    };
    let sure = percent_sure(judged.probability_on_target);
    let most = || {
        judged.budget.shares().next().map_or(String::new(), |(part, share)| {
            format!("{} is {share:.0} % of the doubt", part.source)
        })
    };
    match (act, judged.verdict) {
        (Act::FindFault, _) => {
            format!("{seen}, and less than half of a portion is a fault, not a setting")
        }
        (_, Verdict::OnTarget) => format!("{seen}, and {sure} sure to be within ±{tolerance} %"),
        (Act::LeaveAlone, _) => {
            format!(
                "{seen}: {sure} sure to be within ±{tolerance} %, and nearer to the target than anything at hand can tell"
            )
        }
        (Act::Adjust(_) | Act::Call, Verdict::OffTarget) => {
            format!("{seen}, and only {sure} likely to be within ±{tolerance} %")
        }
        (Act::Adjust(_) | Act::Call, _) => {
            format!("{seen}: {sure} likely to be within ±{tolerance} %, and clearly on one side")
        }
        (Act::Weigh { .. }, _) => format!(
            "{seen}: {sure} sure to be within ±{tolerance} %, and no number of catches with this measure can decide, as {}",
            most(),
        ),
        (Act::CatchMore { draw }, _) => format!(
            "{seen}: {sure} sure to be within ±{tolerance} %, and {draw} at once, about {} {unit} where the measure holds it, would decide",
            short(judged.estimate * times(setup, *draw)),
        ),
        _ => format!(
            "{seen}: {sure} sure to be within ±{tolerance} %, and one more catch costs least, as {}",
            most()
        ),
    }
}

fn percent(probability: f64) -> String {
    format!("{:.0}", 100.0 * probability)
}

/// How many of the recipe's draws a draw is.
fn times(setup: &Setup, draw: Draw) -> f64 {
    match (setup.aim.draw, draw) {
        (Draw::Time(recipe), Draw::Time(ran)) => {
            (ran.0 - setup.offset()) / (recipe.0 - setup.offset())
        }
        (Draw::Doses(recipe), Draw::Doses(caught)) => f64::from(caught) / f64::from(recipe),
        _ => 1.0,
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(match self {
            Verdict::OnTarget => "on target",
            Verdict::OffTarget => "off target",
            Verdict::Undecided => "undecided",
        })
    }
}

impl fmt::Display for Act {
    /// What to do, in one plain imperative.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Act::LeaveAlone => out.write_str("leave it alone"),
            Act::CatchAgain => out.write_str("catch again"),
            Act::CatchMore { draw } => write!(out, "catch {draw} at once"),
            Act::Weigh { with } => write!(out, "measure it with {with}"),
            Act::Adjust(adjustment) => out.write_str(&adjustment.instruction),
            Act::SeeToWater => out.write_str("see to the water first, and leave the syrup alone"),
            Act::FindFault => out.write_str("find the fault; do not adjust"),
            Act::Call => out.write_str("call the technician: this line cannot be set by the crew"),
        }
    }
}

impl fmt::Display for Caveat {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Caveat::OtherDraw => {
                "caught over another draw than the recipe's, and no opening offset is stated: the portion may differ"
            }
            Caveat::OnlyMarks => "only a mark was read: the probability rests on where such lines usually stand as well",
            Caveat::WaterNotCaught => "the water was not caught: the syrup is judged as if the water were right",
        })
    }
}
