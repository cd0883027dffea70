//! Tests of verdicts, each naming the source of its figures.

mod acts;
mod capabilities;
mod marks;
mod oracles;
mod properties;
mod timing;

use super::*;
use crate::adjust::Adjuster;
use crate::catch::{Aim, Amount, Metering, Target};
use crate::instrument::{Marks, Measure, Scale, Timer, Vessel};
use crate::print::Units;
use crate::quantity::{Grams, Millilitres, Seconds, Unit};
use crate::reading::MarkSide;

#[track_caller]
fn close(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "got {got}, want {want}");
}

fn vessel(division: f64, tolerance: f64) -> Measure {
    let marks = Marks::Every(Millilitres(division));
    Measure::Vessel(Vessel { marks, tolerance: Millilitres(tolerance), film: Millilitres(0.0) })
}

fn cup(mark: f64, tolerance: f64) -> Measure {
    let marks = Marks::One(Millilitres(mark));
    Measure::Vessel(Vessel { marks, tolerance: Millilitres(tolerance), film: Millilitres(0.0) })
}

fn scale(step: f64, tolerance: f64) -> Measure {
    Measure::Scale(Scale { resolution: Grams(step), tolerance: Grams(tolerance), tared: true })
}

/// A screw that does a fifth of the flow in a turn.
fn screw() -> Adjuster {
    Adjuster::Screw { per_turn: Some(0.20), anticlockwise_gives_more: true, slack_turns: 0.0 }
}

fn setup(metering: Metering, draw: Draw, measure: Measure) -> Setup {
    Setup {
        aim: Aim {
            metering,
            target: Target::Volume(Millilitres(30.0)),
            tolerance: 0.05,
            draw,
            water: None,
        },
        measure,
        marked_in: Unit::Millilitre,
        timer: Timer::by_hand(),
        density: None,
        temperature: None,
        opening_offset: None,
        adjuster: screw(),
        setting: None,
        last_adjusted: None,
        risk: 0.05,
    }
}

/// 30 mL a dose, ±5 %.
fn dose(measure: Measure) -> Setup {
    setup(Metering::Dose, Draw::Doses(1), measure)
}

/// 30 mL in so many seconds, ±5 %.
fn rate(seconds: f64, measure: Measure) -> Setup {
    setup(Metering::Rate, Draw::Time(Seconds(seconds)), measure)
}

fn millilitres(value: f64) -> Amount {
    Amount::Volume(Millilitres(value))
}

fn at(amount: Amount, draw: Draw) -> Catch {
    Catch { amount, draw, temperature: None, water: None }
}

fn in_seconds(amount: f64, seconds: f64) -> Catch {
    at(millilitres(amount), Draw::Time(Seconds(seconds)))
}

fn in_doses(amount: f64, doses: u32) -> Catch {
    at(millilitres(amount), Draw::Doses(doses))
}

fn mark(side: MarkSide, volume: f64, draw: Draw) -> Catch {
    at(Amount::Mark(side, Millilitres(volume)), draw)
}
