//! Flushing a line: how much of the old liquid is left after so many seconds, how long it takes to come down to a wanted
//! share, and by which ways.
//!
//! A laminar flow is slow at the wall, so the last of the old liquid leaves late: in the limit in which nothing spreads
//! across the flow, a tenth is left at the outlet after 1.6 volumes, a hundredth after 5, a thousandth after 16. How much
//! spreading helps goes by one number, τ = π·D·L/Q, in which there is no bore (HY-113, CALC). What lies between is read off
//! tables that were computed once ([`solve`]).
//!
//! Every answer is *at best*: a straight tube, and equal viscosity and density. Water that pushes a thick syrup runs
//! through its middle, and leaves more (HY-127, READ).

mod curve;
mod dispersion;
mod least;
mod lookup;
mod pause;
mod pause_table;
mod plan;
pub mod solve;
mod table;
#[cfg(test)]
mod tests;
mod words;

pub(crate) use curve::Pchip;
pub use dispersion::{dispersed, taylor_aris_peclet, turbulent_peclet, volumes_when_dispersed};
pub use least::Least;
pub use lookup::{SMALLEST_RESIDUE, convective, volumes_when_convective};
pub use pause::{LONGEST_USEFUL_PAUSE, pause_number};
pub use plan::{Advice, Allowed, DRINKING_WATER, Moment, Plan, Want, Way};
pub use words::{percent, time};

use core::f64::consts::PI;

use ouncewise_measure::print::{self, Units};
use ouncewise_measure::{Celsius, Seconds};

use crate::drain::why_not_drained;
use crate::fluid::{Diffusivity, Fluid, Properties};
use crate::line::{FlowError, Geometry, LAMINAR_BELOW, Line, MlPerSecond, Span, TURBULENT_FROM};
use lookup::Fall;
use solve::REGIMES;

/// The water that rinses a line of milk or starch before it is washed: lukewarm gains over cold, and little more is gained above
/// (HY-104, READ: from 23 °C to 45 °C in two abstracts).
pub const RINSE_GAINS: (Celsius, Celsius) = (Celsius(23.0), Celsius(45.0));
/// Over this, protein and starch set on the wall (HY-104, READ in a handbook's chapter): lukewarm water goes first.
pub const SETS_SOIL: Celsius = Celsius(40.0);

/// What to mind of the water of a rinse that comes before the wash; nothing where it is no warmer than it may be.
#[must_use]
pub fn too_hot_to_rinse(water: Celsius, units: Units) -> Option<String> {
    (water.0 > SETS_SOIL.0).then(|| {
        format!(
            "water over {} sets protein and starch on the wall: rinse milk and starch out lukewarm first, and above {} a rinse gains little",
            print::temperature(SETS_SOIL, units),
            print::temperature(RINSE_GAINS.1, units)
        )
    })
}

/// Where the share of old liquid is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Place {
    /// In what comes out.
    Outlet,
    /// In all that the line holds.
    Line,
}

/// The manner in which the old liquid leaves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Manner {
    /// Laminar, and too quick for anything to spread across the flow.
    Convective,
    /// Laminar, and what spreads across the flow counts.
    Diffusing,
    /// Laminar, and so slow that each cross-section evens out: Taylor and Aris.
    Dispersed,
    /// Between laminar and turbulent, at a Reynolds number of 2300 to 4000; or laminar in one tube, or for one of
    /// the two liquids, and not in another.
    /// Counted as laminar.
    Between,
    /// Turbulent in every tube.
    Turbulent {
        /// u·L/D of the line.
        peclet: f64,
    },
}

/// How well it is known how fast the old content spreads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spreads {
    /// This fast.
    At(Diffusivity),
    /// No faster than this: whatever is worst from nothing up to it.
    UpTo(Diffusivity),
}

/// A line that is flushed at a flow.
#[derive(Debug, Clone, PartialEq)]
pub struct Flush {
    geometry: Geometry,
    why_not_drained: Option<String>,
    flow: MlPerSecond,
    wash: Properties,
    old: Properties,
    spreads: Spreads,
    reynolds: (f64, f64),
    /// How many times as many volumes tubes of different bores take at most, over one tube of their volume and length.
    uneven: f64,
    falls: Vec<Fall>,
}

const SPREADING: Span = Span {
    what: "a diffusivity",
    unit: "m²/s",
    from: 0.0,
    to: 1e-7,
    mend: "give it in m²/s; sugar in water is about 5e-10",
};

impl Flush {
    /// A line full of `old`, flushed with `wash` at `flow`. What leaves spreads like sugar in water of that temperature, until
    /// [`Flush::spreading`] says otherwise.
    ///
    /// # Errors
    /// A line that is not known: then there is no least time. A flow, temperature or strength that is out of range.
    pub fn new(
        line: &Line,
        flow: MlPerSecond,
        old: Fluid,
        wash: Fluid,
        temperature: Celsius,
    ) -> Result<Flush, FlowError> {
        let geometry = line.geometry()?;
        let (old, wash) = (old.at(temperature)?, wash.at(temperature)?);
        // A thick product stays laminar where water alone would swirl.
        let (ours, theirs) = (geometry.reynolds(flow, &wash)?, geometry.reynolds(flow, &old)?);
        let reynolds = (ours.0.min(theirs.0), ours.1.max(theirs.1));
        let flush = Flush {
            why_not_drained: why_not_drained(line, &geometry),
            flow,
            wash,
            old,
            spreads: Spreads::At(Diffusivity::NONE),
            reynolds,
            uneven: uneven(&geometry),
            geometry,
            falls: Vec::new(),
        };
        flush.spreading(Spreads::At(Diffusivity::SUCROSE.at(temperature)?))
    }

    /// The same, where something else spreads than sugar.
    ///
    /// # Errors
    /// A diffusivity that no substance has in a liquid.
    pub fn spreading(mut self, spreads: Spreads) -> Result<Flush, FlowError> {
        let (Spreads::At(Diffusivity(most)) | Spreads::UpTo(Diffusivity(most))) = spreads;
        SPREADING.check(most)?;
        self.spreads = spreads;
        let tau = self.regime_number();
        self.falls = match spreads {
            Spreads::At(_) => vec![Fall::new(tau)],
            // Four to the decade, from as much as nothing on.
            Spreads::UpTo(_) => (0..40)
                .map(|step| tau * libm::exp10(-0.25 * f64::from(step)))
                .chain([0.0])
                .map(Fall::new)
                .collect(),
        };
        Ok(self)
    }

    /// Volume, lengths and bores.
    #[must_use]
    pub fn geometry(&self) -> &Geometry {
        &self.geometry
    }

    /// τ = π·D·L/Q: how far things spread across the flow while one volume passes.
    #[must_use]
    pub fn regime_number(&self) -> f64 {
        let (Spreads::At(Diffusivity(d)) | Spreads::UpTo(Diffusivity(d))) = self.spreads;
        PI * d * self.geometry.length.0 / (1e-6 * self.flow.0)
    }

    /// The smallest and the largest Reynolds number among the tubes, of what flushes and of what is in the line.
    #[must_use]
    pub fn reynolds(&self) -> (f64, f64) {
        self.reynolds
    }

    /// The manner in which the old liquid leaves.
    #[must_use]
    pub fn manner(&self) -> Manner {
        let (slowest, fastest) = self.reynolds;
        if slowest >= TURBULENT_FROM {
            return Manner::Turbulent { peclet: self.turbulent_peclet() };
        }
        if fastest >= LAMINAR_BELOW {
            return Manner::Between;
        }
        let tau = self.regime_number();
        if tau < REGIMES[0] {
            Manner::Convective
        } else if taylor_aris_peclet(tau).is_err() {
            Manner::Diffusing
        } else {
            Manner::Dispersed
        }
    }

    /// Of the whole line: the spread of each tube counts by its share of the volume.
    fn turbulent_peclet(&self) -> f64 {
        let volume: f64 = self.geometry.tubes().map(|(bore, length)| bore * bore * length).sum();
        let spread = self.geometry.tubes().map(|(bore, length)| {
            let share = bore * bore * length / volume;
            // The narrowest bore has the largest Reynolds number, which goes as one over the bore.
            let reynolds = self.reynolds.1 * 1e-3 * self.geometry.narrowest.0 / bore;
            share * share / (turbulent_peclet(reynolds.max(TURBULENT_FROM)) * length / bore)
        });
        1.0 / spread.sum::<f64>()
    }

    /// The share of old liquid after so many line volumes; never less than the smallest that is computed, 1e-5.
    #[must_use]
    pub fn residue(&self, place: Place, volumes: f64) -> f64 {
        match self.manner() {
            Manner::Turbulent { peclet } => dispersed(place, volumes, peclet).max(SMALLEST_RESIDUE),
            _ => {
                let each = |fall: &Fall| fall.residue(place, volumes / self.uneven);
                self.falls.iter().map(each).fold(0.0, f64::max)
            }
        }
    }

    /// The line volumes to a wanted share.
    #[must_use]
    pub fn volumes_for(&self, want: Want) -> f64 {
        match self.manner() {
            Manner::Turbulent { peclet } => {
                volumes_when_dispersed(want.place(), want.residue(), peclet)
            }
            _ => {
                let each = |fall: &Fall| fall.volumes(want.place(), want.residue());
                self.uneven * self.falls.iter().map(each).fold(0.0, f64::max)
            }
        }
    }

    /// How long so many line volumes take.
    #[must_use]
    pub fn seconds(&self, volumes: f64) -> Seconds {
        Seconds(volumes * self.geometry.volume.0 / self.flow.0)
    }

    /// When the first of what flushes comes out: after half a volume in laminar flow, about one in turbulent.
    #[must_use]
    pub fn first_arrival(&self) -> Seconds {
        self.seconds(if matches!(self.manner(), Manner::Turbulent { .. }) { 1.0 } else { 0.5 })
    }
}

/// What tubes of different bores add. Where the wall's layer decides, time goes as the mean of a³ over the length, to the
/// power of 2/3; one tube of the same volume and length is reckoned by the mean of a². Their ratio is the most that it
/// comes to (CALC; the slow solution of two tubes in series lies between 1/1.1 and 1 times this).
fn uneven(geometry: &Geometry) -> f64 {
    let (mut squares, mut cubes) = (0.0, 0.0);
    for (bore, length) in geometry.tubes() {
        squares += bore * bore * length / geometry.length.0;
        cubes += bore * bore * bore * length / geometry.length.0;
    }
    libm::pow(cubes, 2.0 / 3.0) / squares
}
