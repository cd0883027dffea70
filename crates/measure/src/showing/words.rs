//! The words of a verdict: one plain sentence with its numbers.

use core::fmt;

use super::deciding::{Better, Decide};
use super::{Act, Caveat, Judged, Setup, Subject, Verdict};
use crate::catch::{Draw, Target};
use crate::print::{Figure, Sentence, probability};
use crate::quantity::{Millilitres, Unit};

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
pub(super) fn measure(setup: &Setup, better: &Better) -> Sentence {
    let times =
        if better.catches > 1 { format!(", {} times", better.catches) } else { String::new() };
    let vessel = Sentence::from("a vessel good to ±")
        .then(Figure::volume(better.vessel).at_most())
        .then(times);
    let Some(step) = better.scale else {
        return vessel;
    };
    let density = match setup.aim.target {
        Target::Volume(_) if setup.density.is_none() => " and the product's density",
        _ => "",
    };
    // Scales are sold by grams everywhere.
    Sentence::from("a scale that reads ")
        .then(Figure::mass(step).marked(Unit::Gram).at_most())
        .then(density)
        .then(", or ")
        .then(vessel)
}

impl Better {
    /// In words, for this line: `a scale that reads 0.1 g, or a vessel good to ±0.5 mL`.
    pub fn words(&self, setup: &Setup) -> Sentence {
        measure(setup, self)
    }
}

/// Why, in one plain sentence.
pub(super) fn reason(
    setup: &Setup,
    judged: &Judged,
    decide: Option<&Decide>,
    act: &Act,
) -> Sentence {
    if judged.subject == Subject::Water {
        return about_water(setup, judged);
    }
    let aim = &setup.aim;
    let seen = seen(setup, judged);
    let band = format!("within ±{} %", short(100.0 * aim.tolerance));
    let sure = probability(judged.probability_on_target, setup.risk);
    match (act, judged.verdict) {
        (Act::FindFault, _) => {
            seen.then(", and less than half of a portion is a fault, not a setting")
        }
        (_, Verdict::OnTarget) => seen.then(format!(", and {sure} sure to be {band}")),
        (Act::LeaveAlone, _) => seen.then(format!(
            ": {sure} sure to be {band}, and nearer to the target than anything at hand can tell"
        )),
        (Act::Adjust(_) | Act::Call, Verdict::OffTarget) => {
            seen.then(format!(", and {sure} likely to be {band}"))
        }
        (Act::Adjust(_) | Act::Call, _) => seen
            .then(format!(": only {sure} likely to be {band}, and the side that it is on is sure")),
        (Act::Weigh { .. }, _) => {
            let why = match decide.and_then(|decide| decide.catches) {
                Some(way) => {
                    format!("it would take {} catches with this measure to decide", way.what)
                }
                None => "no number of catches with this measure can decide".into(),
            };
            seen.then(format!(": {sure} sure to be {band}, and {why}{}", largest(judged)))
        }
        (Act::CatchMore { draw }, _) => seen
            .then(format!(": {sure} sure to be {band}, and {draw} at once (about "))
            .then(aim.target.figure(judged.estimate * times(setup, *draw)))
            .then(", if the measure holds it) would decide"),
        _ if judged.portion.is_none() => seen
            .then(format!(": {sure} sure to be {band}, and a number would tell how far off it is")),
        _ => {
            let more = decide
                .and_then(|decide| decide.catches)
                .map_or(1.0, |way| way.poured / judged.estimate);
            let more = match libm::round(more) {
                n if n > 1.0 => format!("{n} more catches"),
                _ => "one more catch".into(),
            };
            let largest = largest(judged);
            seen.then(format!(": {sure} sure to be {band}, and {more} would decide{largest}"))
        }
    }
}

/// What was read, beside what was asked for.
fn seen(setup: &Setup, judged: &Judged) -> Sentence {
    let target = setup.aim.target.value();
    let figure = |value: f64| setup.aim.target.figure(value);
    match judged.portion {
        Some(0.0) => Sentence::from("nothing came where ").then(figure(target)).then(" belong"),
        Some(portion) => {
            let off = libm::round(1000.0 * (portion / target - 1.0)) / 10.0;
            let doubt = short(libm::round(1000.0 * judged.standard_uncertainty / target) / 10.0);
            let how = match off {
                0.0 => " is at the target of ".to_owned(),
                off => {
                    let side = if off < 0.0 { "under" } else { "over" };
                    format!(" is {} % {side} the target of ", short(off.abs()))
                }
            };
            Sentence::from(figure(portion))
                .then(how)
                .then(figure(target))
                .then(format!(", with {doubt} % of doubt"))
        }
        None => Sentence::from("only a mark was read, against a target of ").then(figure(target)),
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

fn about_water(setup: &Setup, judged: &Judged) -> Sentence {
    let (wanted, band) =
        setup.aim.water.map_or((Millilitres(0.0), 0.0), |(water, band)| (water, 100.0 * band));
    let (wanted, band) = (Figure::volume(wanted), short(band));
    let sure = probability(judged.probability_on_target, setup.risk);
    match (judged.water, judged.water_caught) {
        (Some(water), _) => Sentence::from("the water is ")
            .then(Figure::volume(Millilitres(water.amount)))
            .then(" where ")
            .then(wanted)
            .then(format!(
                " belong, {sure} sure to be within ±{band} %, and comes before the syrup"
            )),
        (None, true) => {
            Sentence::from("only a mark was read of the water where ").then(wanted).then(format!(
                " belong, {sure} sure to be within ±{band} %, and it comes before the syrup"
            ))
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

impl Act {
    /// What to do, in one plain imperative.
    pub fn words(&self) -> Sentence {
        match self {
            Act::LeaveAlone => "leave it alone".into(),
            Act::CatchAgain => "catch again".into(),
            Act::CatchMore { draw } => format!("catch {draw} at once").into(),
            Act::Weigh { with } => Sentence::from("measure it with ").then(with.clone()),
            Act::Adjust(adjustment) => adjustment.instruction.clone(),
            Act::SeeToWater => "see to the water first, and leave the syrup alone".into(),
            Act::FindFault => "find the fault; do not adjust".into(),
            Act::Call => "call the technician: this line cannot be set by the crew".into(),
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
