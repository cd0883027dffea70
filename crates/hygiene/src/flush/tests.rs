//! Flushing against the rows of the hygiene tables, the slow solution and what must hold of any flush.

mod advice;
mod laws;
mod rows;
mod slow;

use super::*;
use crate::fluid::MilliPascalSeconds;
use crate::line::{Metres, Millimetres};

/// The line of most rows: 3 m of 6.35 mm.
fn line() -> Line {
    Line::of_one_tube(Millimetres(6.35), Metres(3.0))
}

/// Flushed with water of 20 °C, full of what is as thin.
fn flushed(line: &Line, flow: f64, diffusivity: f64) -> Flush {
    Flush::new(line, MlPerSecond(flow), Fluid::Water, Fluid::Water, Celsius(20.0))
        .unwrap()
        .spreading(Spreads::At(Diffusivity(diffusivity)))
        .unwrap()
}

/// A laminar flush of this regime number, in a tube so long that even a large one needs no more diffusivity than there is.
fn of_regime(tau: f64) -> Flush {
    let (length, flow) = (100.0, 0.05);
    let tube = Line::of_one_tube(Millimetres(6.35), Metres(length));
    let flush = flushed(&tube, flow, tau * 1e-6 * flow / (PI * length));
    assert!((flush.regime_number() - tau).abs() <= 1e-12 * tau);
    flush
}

/// A liquid of the density of water, so thick that it flows in layers.
fn thick(viscosity: f64) -> Fluid {
    Fluid::Stated { viscosity: MilliPascalSeconds(viscosity), density: 1.0 }
}

fn near(value: f64, expected: f64, relative: f64, what: &str) {
    assert!(
        (value / expected - 1.0).abs() <= relative,
        "{what}: {value} is not {expected} within {relative}"
    );
}

/// Within a part of the expected, or half of the last digit that the row prints, whichever is more; both in percent of old
/// liquid.
fn near_percent(share: f64, percent: f64, relative: f64, digit: f64, what: &str) {
    let off = (100.0 * share - percent).abs();
    assert!(
        off <= (relative * percent).max(0.5001 * digit),
        "{what}: {} % is not {percent} %",
        100.0 * share
    );
}
