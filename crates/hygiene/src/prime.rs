//! Filling a line with product: how much it takes, and whether air stays in it.

#[cfg(test)]
mod tests;

use ouncewise_measure::print::{Figure, Sentence};
use ouncewise_measure::{Celsius, Millilitres, Seconds};

use crate::drain::GRAVITY;
use crate::fluid::{Fluid, Properties};
use crate::flush::{Flush, Want, time};
use crate::line::{FlowError, Geometry, Line, Millimetres, MlPerSecond};

/// A bubble rises by itself only where ρ·g·r²/σ is over this (Bretherton, 1961; HY-126, READ).
const RISES_ABOVE: f64 = 0.842;

/// Whether air stays in a line by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirLock {
    /// In bores narrower than this a bubble stays where it is: 5.00 mm for water of 20 °C.
    pub below: Millimetres,
    /// Whether the line has such a bore.
    pub locks: bool,
    /// Whether the surface tension behind it is assumed; the bore goes with its square root.
    pub assumed: bool,
}

/// Whether a bubble stays in the narrowest tube of a line.
#[must_use]
pub fn air_lock(line: &Geometry, liquid: &Properties) -> AirLock {
    let tension = 1e-3 * liquid.surface_tension.0;
    let radius = (RISES_ABOVE * tension / (1000.0 * liquid.density * GRAVITY)).sqrt();
    let below = Millimetres(2000.0 * radius);
    AirLock { below, locks: line.narrowest.0 < below.0, assumed: liquid.tension_assumed }
}

/// What a line holds before the product comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Before {
    /// Air: it was drained, or is new.
    Air,
    /// Water, or a solution as thin.
    Water,
}

/// Filling a line with product.
#[derive(Debug, Clone, PartialEq)]
pub struct Prime {
    /// The product that it takes, and of which all that came out mixed is thrown away.
    pub product: Millilitres,
    /// How long it takes at the line's own flow.
    pub takes: Seconds,
    /// Whether air stays.
    pub air_lock: AirLock,
    /// In words.
    pub words: Sentence,
    /// What this rests on.
    pub assumptions: Vec<String>,
}

/// How to fill a line with product until no more than `weaker` of what comes out is something else: 0.01 for 1 %. Into air
/// it takes the line's own volume.
///
/// # Errors
/// A line that is not known, a flow or a share that is out of range, a product whose properties are not known.
pub fn prime(
    line: &Line,
    flow: MlPerSecond,
    product: Fluid,
    before: Before,
    temperature: Celsius,
    weaker: f64,
) -> Result<Prime, FlowError> {
    let flush = Flush::new(line, flow, Fluid::Water, product, temperature)?;
    let want = Want::outlet(weaker)?;
    let (volumes, mut assumptions) = match before {
        Before::Air => (1.0, vec!["no air in the product, no leak on the suction side".to_owned()]),
        Before::Water => (flush.volumes_for(want), flush.assumptions()),
    };
    let air_lock = air_lock(flush.geometry(), &product.at(temperature)?);
    let product = Millilitres(volumes * flush.geometry().volume.0);
    let takes = flush.seconds(volumes);
    let mut words = Sentence::from(format!("run {}: ", time(takes)))
        .then(Figure::volume(product))
        .then(" of product");
    if air_lock.locks {
        words = words.then(format!(
            "; air stays in bores under {:.1} mm by itself, so run without a stop until no bubble passes: waiting does not help",
            air_lock.below.0
        ));
        if air_lock.assumed {
            assumptions.push("the surface tension of the product is assumed".into());
        }
    }
    Ok(Prime { product, takes, air_lock, words, assumptions })
}
