//! The amount to adjust, in terms of the adjuster that the line really has.

use crate::catch::Amount;
use crate::print::{Figure, Sentence};
use crate::quantity::Unit;
use crate::showing::short;

/// How a line is set, apart from its metering.
#[derive(Debug, Clone, PartialEq)]
pub enum Adjuster {
    /// An unmarked screw.
    Screw {
        /// Fraction by which one whole turn changes the flow (0.20 is 20 %), if known.
        per_turn: Option<f64>,
        /// Whether anticlockwise gives more.
        anticlockwise_gives_more: bool,
        /// Slack, in turns: a change of direction loses this much first.
        slack_turns: f64,
    },
    /// A wheel or ring with notches.
    Notches {
        /// Fraction by which one notch changes the flow.
        per_notch: f64,
        /// What to call the direction that gives more: `up`, `towards +`.
        more: String,
    },
    /// A number on a panel, proportional to the portion.
    Number {
        /// Smallest step of the panel.
        step: f64,
        /// Smallest and largest number the panel takes.
        range: (f64, f64),
    },
    /// A percent on a panel: 100 % is the factory portion.
    Percent {
        /// Smallest step, in percent points.
        step: f64,
        /// Smallest and largest percent the panel takes.
        range: (f64, f64),
    },
    /// Start and stop a draw at the mark; the old setting is lost.
    Taught,
    /// Cannot be set by the crew: call.
    None,
}

/// Which way an adjuster is moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Direction {
    /// Towards a larger portion.
    More,
    /// Towards a smaller portion.
    Less,
}

/// What to do to the adjuster.
#[derive(Debug, Clone, PartialEq)]
pub struct Adjustment {
    /// The wanted change of the flow, as a fraction (−0.08 is 8 % less).
    pub change: f64,
    /// What the panel shows afterwards, where it has a number or percent and the present one is known.
    pub setting: Option<f64>,
    /// One plain sentence in the adjuster's own terms.
    pub instruction: Sentence,
}

impl Adjuster {
    /// What to do for a wanted `change` of the flow, a fraction. `None` where the crew cannot set it.
    ///
    /// * `setting`: what the panel shows now.
    /// * `last`: which way it was last moved, if known; a screw turned the other way first takes up its slack.
    /// * `stop`: the amount of one draw that the recipe asks for: where a taught draw is stopped; and the unit that the
    ///   measure is marked in.
    pub fn adjustment(
        &self,
        change: f64,
        setting: Option<f64>,
        last: Option<Direction>,
        stop: (Amount, Unit),
    ) -> Option<Adjustment> {
        let way = if change < 0.0 { Direction::Less } else { Direction::More };
        let (instruction, setting): (Sentence, _) = match self {
            Adjuster::Screw { per_turn, anticlockwise_gives_more, slack_turns } => {
                let turn = Turn {
                    clockwise: (way == Direction::More) != *anticlockwise_gives_more,
                    way,
                    slack: *slack_turns,
                    last,
                };
                (turn.instruction(per_turn.map(|effect| change.abs() / effect)).into(), None)
            }
            Adjuster::Notches { per_notch, more } => {
                (notches(change, *per_notch, more).into(), None)
            }
            Adjuster::Number { step, range } => panel("number", "", change, setting, *step, *range),
            Adjuster::Percent { step, range } => {
                panel("percent", " %", change, setting, *step, *range)
            }
            Adjuster::Taught => (teach(stop), None),
            Adjuster::None => return None,
        };
        Some(Adjustment { change, setting, instruction })
    }
}

/// How a screw is to be turned.
struct Turn {
    clockwise: bool,
    way: Direction,
    slack: f64,
    last: Option<Direction>,
}

impl Turn {
    /// In eighths of a turn: nobody turns an unmarked screw more finely than that by eye.
    fn instruction(&self, turns: Option<f64>) -> String {
        let direction = if self.clockwise { "clockwise" } else { "anticlockwise" };
        let gives = match self.way {
            Direction::More => "for more",
            Direction::Less => "for less",
        };
        // What is lost before anything changes: all of the slack after a turn the other way, none after one this way.
        let lost = if self.last.is_some_and(|last| last != self.way) { self.slack } else { 0.0 };
        let taken_up = match eighths(lost) {
            Some(slack) => format!("; the first {slack} only takes up the slack"),
            None => match eighths(self.slack) {
                Some(slack) if self.last.is_none() => {
                    format!(
                        "; if it was last turned the other way, turn {slack} further for its slack"
                    )
                }
                _ => String::new(),
            },
        };
        let Some(turns) = turns else {
            let eighth = eighths(0.125 + lost).unwrap_or_default();
            return format!(
                "turn the screw {eighth} {direction} {gives}{taken_up}, and catch again: what a turn does is not known yet"
            );
        };
        match eighths(turns) {
            Some(_) => {
                let whole = eighths(turns + lost).unwrap_or_default();
                format!("turn the screw {whole} {direction} {gives}{taken_up}")
            }
            None => format!(
                "turn the screw as little as you can {direction} {gives}: under 1/8 turn{taken_up}"
            ),
        }
    }
}

/// A number of turns to the nearest eighth, in words; `None` under half an eighth.
fn eighths(turns: f64) -> Option<String> {
    let count = libm::round(turns * 8.0);
    if count < 1.0 || !count.is_finite() {
        return None;
    }
    let (whole, rest) = (libm::floor(count / 8.0), count % 8.0);
    let part = ["", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"][rest as usize];
    Some(match (whole > 0.0, part) {
        (true, "") if whole == 1.0 => "1 turn".into(),
        (true, "") => format!("{whole} turns"),
        (true, part) => format!("{whole} {part} turns"),
        (false, part) => format!("{part} turn"),
    })
}

fn notches(change: f64, per_notch: f64, more: &str) -> String {
    let count = libm::round(change.abs() / per_notch.abs());
    if !(count >= 1.0 && count.is_finite()) {
        return format!(
            "leave the notches: the change is under half of one, which does {} %",
            short(100.0 * per_notch)
        );
    }
    let noun = if count == 1.0 { "notch" } else { "notches" };
    if change >= 0.0 {
        return format!("move it {count} {noun} {more} for more");
    }
    match opposite(more) {
        Some(less) => format!("move it {count} {noun} {less} for less"),
        None => format!("move it {count} {noun} for less: the opposite of {more}"),
    }
}

/// The way back, where the way has a common name; a maker's own may have none.
fn opposite(way: &str) -> Option<String> {
    const PAIRS: [(&str, &str); 7] = [
        ("up", "down"),
        ("right", "left"),
        ("clockwise", "anticlockwise"),
        ("in", "out"),
        ("inwards", "outwards"),
        ("open", "closed"),
        ("+", "−"),
    ];
    // Only the last word turns about: `towards +`, `to the right`.
    let (rest, word) = way.rsplit_once(' ').map_or(("", way), |(rest, word)| (rest, word));
    let word = PAIRS.iter().find_map(|(a, b)| match word {
        w if w == *a => Some(*b),
        w if w == *b => Some(*a),
        _ => None,
    })?;
    Some(format!("{rest} {word}").trim_start().to_owned())
}

/// A number or percent on a panel, to its own step and within its own range.
fn panel(
    noun: &str,
    unit: &str,
    change: f64,
    setting: Option<f64>,
    step: f64,
    (least, most): (f64, f64),
) -> (Sentence, Option<f64>) {
    let factor = 1.0 + change;
    let Some(now) = setting else {
        let times = short(factor);
        let text = format!(
            "set the {noun} on the panel to {times} times what it shows now, to the nearest {}{unit}",
            short(step)
        );
        return (text.into(), None);
    };
    // Steps are counted from zero, and printed with the digits of the step.
    let decimals = (0..6).find(|places| {
        let scaled = step * libm::exp10(f64::from(*places));
        (scaled - libm::round(scaled)).abs() < 1e-9
    });
    let print = |value: f64| format!("{value:.*}{unit}", decimals.unwrap_or(6) as usize);
    let to_step = |value: f64| if step > 0.0 { libm::round(value / step) * step } else { value };
    let wanted = to_step(now * factor);
    let set = wanted.max(least).min(most);
    let text = if set != wanted {
        format!(
            "the panel goes only to {}, and this line needs {}: set it to {}, then call the technician",
            print(set),
            print(wanted),
            print(set),
        )
    } else if set == to_step(now) {
        format!("leave the {noun} at {}: the change is under half a step of the panel", print(now))
    } else {
        format!("set the {noun} on the panel from {} to {}", print(now), print(set))
    };
    (text.into(), Some(set))
}

fn teach((stop, marked): (Amount, Unit)) -> Sentence {
    let at = match stop {
        Amount::Volume(volume) | Amount::Mark(_, volume) => Figure::volume(volume),
        Amount::Mass(mass) => Figure::mass(mass),
    };
    Sentence::from("teach it again: stop at ")
        .then(at.marked(marked))
        .then("; the old setting is lost")
}

#[cfg(test)]
mod tests;
