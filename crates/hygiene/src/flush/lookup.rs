//! Laminar flow by regime number: read off the tables, and between and beyond them.

use super::Place;
use super::curve::Pchip;
use super::dispersion::{dispersed, volumes_when_dispersed};
use super::solve::{REGIMES, RESIDUES};
use super::table::{LINE, OUTLET};

/// The smallest residue that is tabulated.
pub const SMALLEST_RESIDUE: f64 = 1e-5;
/// In the line the share is what was not yet displaced, until the fastest of the old liquid is out.
const HALF: f64 = 0.5;
/// Where half begins among [`RESIDUES`].
const FROM_HALF: usize = 6;
/// Below this share the convective limit is as good as exact at the smallest regime number of the tables.
const CONVECTIVE_ABOVE: f64 = 0.25;
/// Four regime numbers to the decade.
const PER_DECADE: f64 = 4.0;

/// The convective limit: nothing spreads across the flow, and each streamline goes its own way (HY-110, PKG; HY-112, CALC).
#[must_use]
pub fn convective(place: Place, volumes: f64) -> f64 {
    if volumes <= HALF {
        return if place == Place::Outlet { 1.0 } else { 1.0 - volumes.max(0.0) };
    }
    match place {
        Place::Outlet => 0.25 / (volumes * volumes),
        Place::Line => 0.25 / volumes,
    }
}

/// The volumes after which the share is this in the convective limit (HY-111, CALC).
#[must_use]
pub fn volumes_when_convective(place: Place, residue: f64) -> f64 {
    match place {
        Place::Outlet => 0.5 / residue.sqrt(),
        Place::Line if residue >= HALF => 1.0 - residue,
        Place::Line => 0.25 / residue,
    }
}

/// One regime number: how the share of old liquid falls with the volumes.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Fall {
    /// Nothing spreads.
    Convective,
    /// Off the tables: logarithm of the volumes over minus the logarithm of the share.
    Diffusing {
        /// At the outlet, from 1 on.
        outlet: Pchip,
        /// In the line, from a half on.
        line: Pchip,
    },
    /// Beyond the tables, by Taylor and Aris.
    Dispersed(f64),
}

impl Fall {
    /// The volumes between the tables are within 0.5 % of the slow solution, and so the shares within 2 % of themselves.
    pub(super) fn new(tau: f64) -> Fall {
        if tau <= 0.0 {
            return Fall::Convective;
        }
        if tau > REGIMES[REGIMES.len() - 1] {
            return Fall::Dispersed(48.0 * tau);
        }
        let curve = |place, first: Option<f64>, from: usize| {
            let start = first.map(|volumes| (0.0, libm::log(volumes)));
            let rest = RESIDUES.into_iter().zip(log_volumes(place, tau)).skip(from);
            let rest = rest.map(|(residue, volumes)| (-libm::log(residue), volumes));
            let (x, y) = start.into_iter().chain(rest).unzip();
            Pchip::new(x, y)
        };
        Fall::Diffusing {
            outlet: curve(Place::Outlet, Some(HALF), 0),
            line: curve(Place::Line, None, FROM_HALF),
        }
    }

    pub(super) fn residue(&self, place: Place, volumes: f64) -> f64 {
        match self {
            Fall::Convective => convective(place, volumes),
            Fall::Dispersed(peclet) => dispersed(place, volumes, *peclet),
            Fall::Diffusing { .. } if volumes <= HALF => convective(place, volumes),
            Fall::Diffusing { outlet, line } => {
                let (curve, displaced) = match place {
                    Place::Outlet => (outlet, 0.0),
                    Place::Line => (line, 1.0 - volumes),
                };
                libm::exp(-curve.rising_inverse(libm::log(volumes))).max(displaced)
            }
        }
        .max(SMALLEST_RESIDUE)
    }

    pub(super) fn volumes(&self, place: Place, residue: f64) -> f64 {
        match self {
            Fall::Convective => volumes_when_convective(place, residue),
            Fall::Dispersed(peclet) => volumes_when_dispersed(place, residue, *peclet),
            Fall::Diffusing { .. } if place == Place::Line && residue >= HALF => 1.0 - residue,
            Fall::Diffusing { outlet, line } => {
                let (curve, displaced) = match place {
                    Place::Outlet => (outlet, 0.0),
                    Place::Line => (line, 1.0 - residue),
                };
                libm::exp(curve.at(-libm::log(residue))).max(displaced)
            }
        }
    }
}

/// The logarithms of the volumes to each tabulated residue.
fn log_volumes(place: Place, tau: f64) -> Vec<f64> {
    let table = if place == Place::Outlet { &OUTLET } else { &LINE };
    let row = PER_DECADE * libm::log10(tau / REGIMES[0]);
    if row >= 0.0 {
        let at = |column: usize| cubic(row, table.len(), |row| libm::log(table[row][column]));
        return (0..RESIDUES.len()).map(at).collect();
    }
    // Less than the tables hold: near the wall the flow is a shear, and all depends on the share times τ^(-2/3) at the outlet,
    // or times τ^(-1/3) in the line, and on the volumes times τ^(1/3).
    let slower = libm::pow(REGIMES[0] / tau, 1.0 / 3.0);
    let (x, y) = RESIDUES
        .iter()
        .zip(&table[0])
        .map(|(share, volumes)| (-libm::log(*share), libm::log(*volumes)))
        .unzip();
    let first = Pchip::new(x, y);
    let at = |residue| {
        let same =
            if place == Place::Outlet { residue * slower * slower } else { residue * slower };
        if same >= CONVECTIVE_ABOVE {
            libm::log(volumes_when_convective(place, residue))
        } else {
            first.at(-libm::log(same)) + libm::log(slower)
        }
    };
    RESIDUES.into_iter().map(at).collect()
}

/// Cubic through the four nearest of values that stand at 0, 1, 2, …
pub(super) fn cubic(x: f64, count: usize, value: impl Fn(usize) -> f64) -> f64 {
    let from = (x as usize).saturating_sub(1).min(count - 4);
    let t = x - from as f64;
    let (a, b, c, d) = (t, t - 1.0, t - 2.0, t - 3.0);
    -b * c * d / 6.0 * value(from) + a * c * d / 2.0 * value(from + 1)
        - a * b * d / 2.0 * value(from + 2)
        + a * b * c / 6.0 * value(from + 3)
}
