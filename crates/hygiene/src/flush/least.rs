//! The least time that physics allows.

use ouncewise_measure::Seconds;

use super::{Flush, Manner, Place, Want, words};
use crate::flush::dispersion::{turbulent_peclet, volumes_when_dispersed};
use crate::line::TURBULENT_FROM;

/// How short a flush can be that runs through the line. A shorter record is not of this line, or not of this flow.
#[derive(Debug, Clone, PartialEq)]
pub struct Least {
    /// No flow of any kind is quicker than this. In the line, what has not been displaced is still there: `1 − share`
    /// volumes. At the outlet, nothing new comes before the fastest of a laminar flow: half a volume.
    pub hard: Seconds,
    /// A straight tube, and equal viscosity and density. Bends and coils may mix across the flow and come below this;
    /// fittings, pockets and thick syrup take longer.
    pub at_best: Seconds,
    /// In words.
    pub words: String,
}

impl Flush {
    /// The least time to a wanted share by running. A line that is drained instead may be quicker: [`Flush::advise`] says
    /// by how much.
    #[must_use]
    pub fn least(&self, want: Want) -> Least {
        let fastest = || {
            let each = self.falls.iter().map(|fall| fall.volumes(want.place(), want.residue()));
            each.fold(f64::INFINITY, f64::min) / self.uneven
        };
        let volumes = match self.manner() {
            Manner::Turbulent { .. } => self.volumes_for(want),
            // Nobody knows how much of it swirls: as much as could.
            Manner::Between => {
                let geometry = self.geometry();
                let bores = geometry.length.0 / (1e-3 * geometry.widest.0);
                let peclet = bores * turbulent_peclet(self.reynolds().1.max(TURBULENT_FROM));
                fastest().min(volumes_when_dispersed(want.place(), want.residue(), peclet))
            }
            _ => fastest(),
        };
        let hard = self.seconds(match want.place() {
            Place::Outlet => 0.5,
            Place::Line => 1.0 - want.residue(),
        });
        let at_best = Seconds(self.seconds(volumes).0.max(hard.0));
        let words = format!(
            "{} to {} at best, in a straight tube; nothing is quicker than {}",
            words::time(at_best),
            words::percent(want.residue()),
            words::time(hard)
        );
        Least { hard, at_best, words }
    }
}
