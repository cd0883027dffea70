//! How a machine's lines are adjusted: which way gives more, and how far a step goes in the cup.

use ouncewise_measure::{Adjuster, Setup, print};
use serde::Serialize;

use super::readout::Readout;

/// How a machine's lines are adjusted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Setting {
    /// What to do where too little comes.
    pub more: Way,
    /// What to do where too much comes.
    pub less: Way,
    /// What else there is to know about it.
    pub about: String,
}

/// What to do to the adjuster, in few words for the head of a column.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Way {
    /// What is done: `turn`.
    pub verb: String,
    /// Which way: `anticlockwise`. Empty where there is no way to choose.
    pub way: String,
}

impl Setting {
    /// Of a family's adjuster.
    pub(super) fn of(adjuster: &Adjuster) -> Setting {
        let ways = |verb: &str, more: &str, less: &str| {
            let way = |way: &str| Way { verb: verb.to_owned(), way: way.to_owned() };
            (way(more), way(less))
        };
        let ((more, less), about) = match adjuster {
            Adjuster::Screw { per_turn, anticlockwise_gives_more, slack_turns } => {
                let mut about = match per_turn {
                    Some(effect) => {
                        format!("Screw: one whole turn is about {}.", print::percent(*effect))
                    }
                    None => "Screw: what a turn does is not known yet. Turn it 1/8, catch, and see."
                        .to_owned(),
                };
                if let Some(slack) = eighths(*slack_turns) {
                    about.push_str(&format!(
                        " Last turned the other way? Turn {slack} further, to take up its slack."
                    ));
                }
                let (more, less) = match anticlockwise_gives_more {
                    true => ("anticlockwise", "clockwise"),
                    false => ("clockwise", "anticlockwise"),
                };
                (ways("turn", more, less), about)
            }
            Adjuster::Notches { per_notch, more } => (
                ways("move", more, "the other way"),
                format!("Notches: one notch is about {}.", print::percent(*per_notch)),
            ),
            Adjuster::Number { step, range } => {
                (ways("set", "higher", "lower"), panel("number", "", *step, *range))
            }
            Adjuster::Percent { step, range } => {
                (ways("set", "higher", "lower"), panel("percent", " %", *step, *range))
            }
            Adjuster::Taught => (
                ways("teach it again", "", ""),
                "Taught: to teach, stop the draw at the amount under “how far”; the old setting is lost."
                    .to_owned(),
            ),
            Adjuster::None => (
                ways("call", "", ""),
                "The crew cannot adjust this machine: call the technician."
                    .to_owned(),
            ),
        };
        Setting { more, less, about }
    }
}

fn panel(noun: &str, unit: &str, step: f64, (lowest, highest): (f64, f64)) -> String {
    format!(
        "Panel, {lowest} to {highest}{unit} in steps of {step}{unit}: new {noun} = {noun} now × what the recipe asks ÷ what you read."
    )
}

/// Eighths of a turn in words, rounded up; `None` if there are none.
fn eighths(turns: f64) -> Option<String> {
    let count = libm::ceil(turns * 8.0 - 1e-9);
    if !(count >= 1.0 && count.is_finite()) {
        return None;
    }
    Some(match count {
        1.0 => "1/8 turn".to_owned(),
        2.0 => "1/4 turn".to_owned(),
        4.0 => "1/2 turn".to_owned(),
        count if count < 8.0 => format!("{count}/8 turn"),
        count => format!("{} turns", print::significant(count / 8.0, 3)),
    })
}

/// How far to go on one line: `1/8 turn = 0.75 mL`, the smallest step and what it does to a reading of a line that is `right`.
pub(super) fn how_far(setup: &Setup, right: f64, readout: Readout, one_draw: &str) -> String {
    let step =
        |name: &str, effect: f64| format!("{name} = {}", readout.change(right * effect.abs()));
    let on_panel = |unit: &str, size: f64| match setup.setting {
        Some(now) if now > 0.0 => {
            format!("now {now}{unit}; {}", step(&format!("{size}{unit}"), size / now))
        }
        _ => format!("now ____{unit}"),
    };
    match &setup.adjuster {
        Adjuster::Screw { per_turn: Some(effect), .. } => step("1/8 turn", effect / 8.0),
        Adjuster::Screw { per_turn: None, .. } => "1/8 turn at a time".to_owned(),
        Adjuster::Notches { per_notch, .. } => step("1 notch", *per_notch),
        Adjuster::Number { step, .. } => on_panel("", *step),
        Adjuster::Percent { step, .. } => on_panel(" %", *step),
        Adjuster::Taught => format!("stop at {one_draw}"),
        Adjuster::None => "call".to_owned(),
    }
}
