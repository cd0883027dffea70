//! How an adjuster is written in a family's file.

use ouncewise_measure::Adjuster;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::fields::{Define, Definition, Field, Fields, Shape, code};
use crate::percent::Percent;
use crate::turns::Turns;

const KINDS: &[&str] = &["screw", "notches", "number", "percent", "taught", "none"];

pub(crate) const FIELDS: &[Field] = &[
    Field::must(
        "kind",
        Shape::Choice(KINDS),
        "an unmarked screw, notches, a number or a percent on a panel, taught by start and stop, or none",
        "screw",
    ),
    Field::may(
        "per_turn",
        Shape::Percent,
        "screw: how much one whole turn changes the flow; left out if not known",
        "20 %",
    ),
    Field::may(
        "more",
        Shape::Text,
        "screw: the direction that gives more, `clockwise` or `anticlockwise`; notches: what that way is called",
        "anticlockwise",
    ),
    Field::may(
        "slack",
        Shape::Turns,
        "screw: the turns that are lost when the direction changes; none if left out",
        "1/8 turn",
    ),
    Field::may("per_notch", Shape::Percent, "notches: how much one notch changes the flow", "3 %"),
    Field::may("step", Shape::Number, "number or percent: the smallest step of the panel", "1"),
    Field::may("lowest", Shape::Number, "number or percent: the least that the panel takes", "1"),
    Field::may("highest", Shape::Number, "number or percent: the most that the panel takes", "99"),
];

/// An adjuster as it is described in files.
pub(crate) struct Described(pub(crate) Adjuster);

#[derive(Clone, Copy)]
enum Kind {
    Screw,
    Notches,
    Number,
    Percent,
    Taught,
    None,
}

impl crate::fields::Described for Described {
    const NAME: &'static str = "the adjuster";
    const FIELDS: &'static [Field] = FIELDS;

    fn read(f: &mut Fields<'_>) -> Option<Self> {
        let kinds =
            [Kind::Screw, Kind::Notches, Kind::Number, Kind::Percent, Kind::Taught, Kind::None];
        let choices: Vec<(&str, Kind)> = KINDS.iter().copied().zip(kinds).collect();
        let read = match f.choice("kind", &choices)? {
            Kind::Screw => {
                f.refuse_others("a screw", &["kind", "per_turn", "more", "slack"]);
                f.need("more", "say which way gives more");
                let per_turn = f.percent("per_turn", 1000).map(Percent::fraction);
                let more = f.choice("more", &[("anticlockwise", true), ("clockwise", false)]);
                let slack: Option<Turns> = f.of("slack");
                Adjuster::Screw {
                    per_turn,
                    anticlockwise_gives_more: more?,
                    slack_turns: slack.map_or(0.0, |t| t.0),
                }
            }
            Kind::Notches => {
                f.refuse_others("notches", &["kind", "per_notch", "more"]);
                f.need("per_notch", "say how much one notch changes the flow");
                f.need("more", "say what the way that gives more is called");
                let per_notch = f.percent("per_notch", 100).map(Percent::fraction);
                let more = f.text("more");
                Adjuster::Notches { per_notch: per_notch?, more: more? }
            }
            Kind::Number => {
                let (step, range) = panel(f, "a number on a panel")?;
                Adjuster::Number { step, range }
            }
            Kind::Percent => {
                let (step, range) = panel(f, "a percent on a panel")?;
                Adjuster::Percent { step, range }
            }
            Kind::Taught => {
                f.refuse_others("a taught line", &["kind"]);
                Adjuster::Taught
            }
            Kind::None => {
                f.refuse_others("a line without adjuster", &["kind"]);
                Adjuster::None
            }
        };
        Some(Self(read))
    }

    fn define(&self) -> Definition {
        define(&self.0)
    }
}

fn panel(f: &mut Fields<'_>, kind: &str) -> Option<(f64, (f64, f64))> {
    f.refuse_others(kind, &["kind", "step", "lowest", "highest"]);
    f.need("step", "say the smallest step of the panel");
    f.need("lowest", "say the least that the panel takes");
    f.need("highest", "say the most that the panel takes");
    let (step, lowest, highest) = (f.number("step"), f.number("lowest"), f.number("highest"));
    let (step, lowest, highest) = (step?, lowest?, highest?);
    if step <= Decimal::ZERO {
        f.refuse_field(
            "step",
            code::OUT_OF_RANGE,
            format!("`step` is {step}"),
            "it must be more than nothing",
        );
    }
    if lowest < Decimal::ZERO || highest <= lowest {
        f.refuse_field(
            "highest",
            code::OUT_OF_RANGE,
            format!("the panel goes from {lowest} to {highest}"),
            "the lowest is zero or more, and the highest is over it",
        );
    }
    Some((step.to_f64()?, (lowest.to_f64()?, highest.to_f64()?)))
}

pub(crate) fn define(adjuster: &Adjuster) -> Definition {
    let percent = |fraction: f64| Percent::from_fraction(fraction).map(|p| p.to_string());
    let panel = |kind: &str, step: f64, range: (f64, f64)| {
        Define::default()
            .text("kind", kind)
            .text("step", step)
            .text("lowest", range.0)
            .text("highest", range.1)
    };
    match adjuster {
        Adjuster::Screw { per_turn, anticlockwise_gives_more, slack_turns } => Define::default()
            .text("kind", "screw")
            .maybe("per_turn", per_turn.and_then(percent))
            .text("more", if *anticlockwise_gives_more { "anticlockwise" } else { "clockwise" })
            .maybe("slack", (*slack_turns > 0.0).then_some(Turns(*slack_turns))),
        Adjuster::Notches { per_notch, more } => Define::default()
            .text("kind", "notches")
            .maybe("per_notch", percent(*per_notch))
            .text("more", more),
        Adjuster::Number { step, range } => panel("number", *step, *range),
        Adjuster::Percent { step, range } => panel("percent", *step, *range),
        Adjuster::Taught => Define::default().text("kind", "taught"),
        Adjuster::None => Define::default().text("kind", "none"),
    }
    .done()
}
