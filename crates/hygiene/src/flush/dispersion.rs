//! Flow that is nearly a piston: turbulent, or laminar in a tube so long and slow that its cross-section evens out.

use super::Place;
use super::curve::falling_root;
use crate::line::FlowError;

/// From this regime number on, Taylor and Aris hold.
const DISPERSED_FROM: f64 = 0.3;
/// Above this Péclet number the spread is even to both sides.
const EVEN_ABOVE: f64 = 100.0;
/// No residue is asked that takes more volumes than this.
const MOST: f64 = 60.0;

/// u·d/D for turbulent flow in a tube (Levenspiel, Chemical Reaction Engineering, 3rd ed., p. 310; as coded in polykin:
/// PKG). Times length over bore it is the Péclet number of a line: 364 at a Reynolds number of 4000 and a length of 472
/// bores (HY-119).
#[must_use]
pub fn turbulent_peclet(reynolds: f64) -> f64 {
    1.0 / (3e7 / libm::pow(reynolds, 2.1) + 1.35 / libm::pow(reynolds, 0.125))
}

/// The Péclet number of a long laminar line by Taylor and Aris, 48·τ (HY-117, PKG).
///
/// # Errors
/// A regime number below 0.3: there the formula gives nonsense, such as a Péclet number of 0.047 at τ = 1e-3 (HY-118, PKG).
pub fn taylor_aris_peclet(regime_number: f64) -> Result<f64, FlowError> {
    if regime_number >= DISPERSED_FROM {
        Ok(48.0 * regime_number)
    } else {
        Err(FlowError::NotDispersed { regime_number })
    }
}

/// The share of old liquid after so many volumes, by the dispersion model: open at both ends up to a Péclet number of 100,
/// above that even to both sides (Levenspiel; as coded in polykin: PKG).
#[must_use]
pub fn dispersed(place: Place, volumes: f64, peclet: f64) -> f64 {
    let share = match place {
        Place::Outlet => at_outlet(volumes, peclet),
        Place::Line if peclet > EVEN_ABOVE => {
            let sigma = (2.0 / peclet).sqrt();
            let z = (volumes - 1.0) / sigma;
            let density = libm::exp(-0.5 * z * z) / (2.0 * core::f64::consts::PI).sqrt();
            sigma * (density - z * at_outlet(volumes, peclet))
        }
        Place::Line => later(volumes, peclet),
    };
    share.clamp(0.0, 1.0)
}

fn at_outlet(volumes: f64, peclet: f64) -> f64 {
    if volumes <= 0.0 {
        return 1.0;
    }
    if peclet > EVEN_ABOVE {
        return 0.5 * libm::erfc(0.5 * (volumes - 1.0) * peclet.sqrt());
    }
    let width = 2.0 * (volumes / peclet).sqrt();
    let ahead = libm::erfc((volumes - 1.0) / width);
    let behind = libm::exp(peclet) * libm::erfc((volumes + 1.0) / width);
    0.5 * (ahead + behind)
}

/// What is still to come out: the integral of [`at_outlet`] from here on, by Simpson's rule.
fn later(volumes: f64, peclet: f64) -> f64 {
    const PARTS: u32 = 200;
    let reach = (1.0 + 8.0 * (2.0 / peclet).sqrt() + 40.0 / peclet).max(volumes);
    let width = (reach - volumes) / f64::from(PARTS);
    let sum: f64 = (0..=PARTS)
        .map(|at| {
            let weight = match at {
                0 | PARTS => 1.0,
                at if at % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * at_outlet(volumes + width * f64::from(at), peclet)
        })
        .sum();
    sum * width / 3.0
}

/// The volumes after which the share is this.
#[must_use]
pub fn volumes_when_dispersed(place: Place, residue: f64, peclet: f64) -> f64 {
    falling_root(0.0, MOST, |volumes| {
        libm::log(dispersed(place, volumes, peclet).max(1e-300) / residue)
    })
}
