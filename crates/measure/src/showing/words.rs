//! The words of a verdict: one plain sentence with its numbers.

use core::fmt;

use super::deciding::{Better, Decide};
use super::{Act, Caveat, Judged, Setup, Subject, Verdict};
use crate::catch::{Draw, Target};
use crate::print::probability;

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

impl Better {
    /// In words, for this line: `a scale that reads 0.1 g, or a vessel good to ±0.5 mL`.
    pub fn words(&self, setup: &Setup) -> String {
        measure(setup, self)
    }
}

/// Two significant digits, downwards: what is asked of a measure is never rounded into too little.
fn floor_two(value: f64) -> f64 {
    let step = libm::exp10(libm::floor(libm::log10(value)) - 1.0);
    libm::floor(value / step + 1e-9) * step
}

/// Why, in one plain sentence.
pub(super) fn reason(setup: &Setup, judged: &Judged, decide: Option<&Decide>, act: &Act) -> String {
    if judged.subject == Subject::Water {
        return about_water(setup, judged);
    }
    let aim = &setup.aim;
    let seen = seen(setup, judged);
    let band = format!("within ±{} %", short(100.0 * aim.tolerance));
    let sure = probability(judged.probability_on_target, setup.risk);
    match (act, judged.verdict) {
        (Act::FindFault, _) => {
            format!("{seen}, and less than half of a portion is a fault, not a setting")
        }
        (_, Verdict::OnTarget) => format!("{seen}, and {sure} sure to be {band}"),
        (Act::LeaveAlone, _) => {
            format!(
                "{seen}: {sure} sure to be {band}, and nearer to the target than anything at hand can tell"
            )
        }
        (Act::Adjust(_) | Act::Call, Verdict::OffTarget) => {
            format!("{seen}, and {sure} likely to be {band}")
        }
        (Act::Adjust(_) | Act::Call, _) => {
            format!("{seen}: only {sure} likely to be {band}, and the side that it is on is sure")
        }
        (Act::Weigh { .. }, _) => {
            let why = match decide.and_then(|decide| decide.catches) {
                Some(way) => {
                    format!("it would take {} catches with this measure to decide", way.what)
                }
                None => "no number of catches with this measure can decide".into(),
            };
            format!("{seen}: {sure} sure to be {band}, and {why}{}", largest(judged))
        }
        (Act::CatchMore { draw }, _) => {
            let amount = short(judged.estimate * times(setup, *draw));
            let unit = aim.target.unit();
            format!(
                "{seen}: {sure} sure to be {band}, and {draw} at once (about {amount} {unit}, if the measure holds it) would decide"
            )
        }
        _ if judged.portion.is_none() => {
            format!("{seen}: {sure} sure to be {band}, and a number would tell how far off it is")
        }
        _ => {
            let more = decide
                .and_then(|decide| decide.catches)
                .map_or(1.0, |way| way.poured / judged.estimate);
            let more = match libm::round(more) {
                n if n > 1.0 => format!("{n} more catches"),
                _ => "one more catch".into(),
            };
            format!("{seen}: {sure} sure to be {band}, and {more} would decide{}", largest(judged))
        }
    }
}

/// What was read, beside what was asked for.
fn seen(setup: &Setup, judged: &Judged) -> String {
    let (target, unit) = (setup.aim.target.value(), setup.aim.target.unit());
    let wanted = short(target);
    match judged.portion {
        Some(0.0) => format!("nothing came where {wanted} {unit} belong"),
        Some(portion) => {
            let off = libm::round(1000.0 * (portion / target - 1.0)) / 10.0;
            let doubt = short(libm::round(1000.0 * judged.standard_uncertainty / target) / 10.0);
            let read = short(portion);
            match off {
                0.0 => format!(
                    "{read} {unit} is at the target of {wanted} {unit}, with {doubt} % of doubt"
                ),
                off => {
                    let side = if off < 0.0 { "under" } else { "over" };
                    format!(
                        "{read} {unit} is {} % {side} the target of {wanted} {unit}, with {doubt} % of doubt",
                        short(off.abs())
                    )
                }
            }
        }
        None => format!("only a mark was read, against a target of {wanted} {unit}"),
    }
}

/// `; the thumb on the stopwatch is 80 % of the doubt`, where one part is the most of it.
fn largest(judged: &Judged) -> String {
    match judged.budget.shares().next() {
        Some((part, share)) if share >= 50.0 && judged.portion.is_some() => {
            format!("; {} is {share:.0} % of the doubt", part.source)
        }
        _ => String::new(),
    }
}

fn about_water(setup: &Setup, judged: &Judged) -> String {
    let (wanted, band) =
        setup.aim.water.map_or((0.0, 0.0), |(water, tolerance)| (water.0, 100.0 * tolerance));
    let (wanted, band) = (short(wanted), short(band));
    let sure = probability(judged.probability_on_target, setup.risk);
    match (judged.water, judged.water_caught) {
        (Some(water), _) => {
            let read = short(water.amount);
            format!(
                "the water is {read} mL where {wanted} mL belong, {sure} sure to be within ±{band} %, and comes before the syrup"
            )
        }
        (None, true) => {
            format!(
                "only a mark was read of the water where {wanted} mL belong, {sure} sure to be within ±{band} %, and it comes before the syrup"
            )
        }
        (None, false) => {
            "the water was not caught, and a syrup is right or wrong only beside its water".into()
        }
    }
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
            Caveat::WaterNotCaught => "the water was not caught: the probability rests on where such lines usually stand, and the syrup waits for the water",
        })
    }
}
