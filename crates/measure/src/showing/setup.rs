//! What is known of a line before it is read, and whether it can be computed with.

use crate::adjust::{Adjuster, Adjustment, Direction};
use crate::catch::{Aim, Amount, Draw, Metering, Target};
use crate::instrument::{Marks, Measure, Timer, Vessel};
use crate::print::Sentence;
use crate::quantity::{Celsius, Grams, Millilitres, Seconds, Unit};
use crate::showing::ShowError;

/// All that is known of a line before it is read.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup {
    /// What the recipe asks.
    pub aim: Aim,
    /// What the catches are read with.
    pub measure: Measure,
    /// The unit that the measure is marked in: where to stop is told as it stands there.
    pub marked_in: Unit,
    /// How the seconds are taken (ignored on dose lines).
    pub timer: Timer,
    /// Density of the product in g/mL with its standard uncertainty, where stated or computed; at the temperature that it
    /// is caught at, as nothing here knows how a product expands.
    pub density: Option<(f64, f64)>,
    /// Product temperature where a catch does not state one: for whoever computes the density. No verdict uses it.
    pub temperature: Option<Celsius>,
    /// Opening offset of the valve, where the family states one: the seconds of a draw that pour nothing
    /// (negative: what pours beyond the draw). A draw of `t` pours `flow × (t − offset)`.
    /// `None` is "not stated", and then draws of different lengths are never pooled.
    pub opening_offset: Option<Seconds>,
    /// How the line is set.
    pub adjuster: Adjuster,
    /// The panel's present number or percent, where the adjuster has one.
    pub setting: Option<f64>,
    /// Which way the adjuster was last moved, where known: a screw loses its slack when the direction changes.
    pub last_adjusted: Option<Direction>,
    /// Probability below which the group will not act as if on target (0.05: on target needs 95 %).
    pub risk: f64,
}

/// Air in g/mL, and the density that scales are adjusted for, in g/mL: the standard values of OIML R 111 (from memory).
/// The air of a kitchen differs by a tenth of it at most, which is 0.01 % of the portion.
const AIR: f64 = 0.0012;
const WEIGHTS: f64 = 8.0;

/// Drinking water between 0 °C and 30 °C in g/mL: midway and rectangular half-width (Tanaka 2001: 0.9998 to 0.9956).
const WATER: (f64, f64) = (0.9978, 0.0022);

impl Setup {
    /// The amount to adjust by the wanted change (a fraction of the flow), in terms of this line's own adjuster.
    /// `None` where the crew cannot set it.
    pub fn adjustment(&self, change: f64) -> Option<Adjustment> {
        let stop = (self.stop(1.0), self.marked_in);
        self.adjuster.adjustment(change, self.setting, self.last_adjusted, stop)
    }

    /// How to teach a draw whose mark in the usual measure lies `over` the target, as a fraction: a measure that is
    /// known to read high is filled higher on purpose. To the next half division of the measure, for nobody stops a draw
    /// more finely. `None` where the line is not set so.
    pub fn teaching(&self, over: f64) -> Option<Sentence> {
        if self.adjuster != Adjuster::Taught {
            return None;
        }
        let stop = match (self.stop(1.0), &self.measure) {
            (
                Amount::Volume(exact),
                Measure::Vessel(Vessel { marks: Marks::Every(division), .. }),
            ) => {
                let half = 0.5 * division.0;
                let beyond = half * libm::round(exact.0 * over / half);
                Amount::Volume(Millilitres((exact.0 + beyond).max(0.5 * exact.0)))
            }
            _ => self.stop(1.0 + over),
        };
        Some(self.adjuster.adjustment(0.0, None, None, (stop, self.marked_in))?.instruction)
    }

    /// The amount of one draw that the recipe asks for, times `factor`: where a taught draw is stopped.
    fn stop(&self, factor: f64) -> Amount {
        let doses = match self.aim.draw {
            Draw::Doses(doses) => f64::from(doses),
            Draw::Time(_) => 1.0,
        };
        match self.aim.target {
            Target::Volume(volume) => Amount::Volume(Millilitres(factor * volume.0 / doses)),
            Target::Mass(mass) => Amount::Mass(Grams(factor * mass.0 / doses)),
        }
    }

    /// Refuses what cannot be computed with.
    pub(super) fn check(&self) -> Result<(), ShowError> {
        let fault = |what, value, hint| Err(ShowError::Setup { what, value, hint });
        let aim = &self.aim;
        let target = aim.target.value();
        // Comparisons with NaN are false, so NaN is refused with the rest.
        if !(target > 0.0 && target.is_finite()) {
            return fault("the target", target, "give a portion above zero");
        }
        if !(aim.tolerance > 0.0 && aim.tolerance < 1.0) {
            return fault(
                "the tolerance",
                aim.tolerance,
                "give a fraction above 0 and below 1, such as 0.05 for ±5 %",
            );
        }
        if !(self.risk > 0.0 && self.risk < 0.5) {
            return fault(
                "the risk",
                self.risk,
                "give a probability above 0 and below 0.5, such as 0.05",
            );
        }
        let offset = self.offset();
        match (aim.metering, aim.draw) {
            (Metering::Rate, Draw::Doses(doses)) => {
                return fault(
                    "the recipe's draw of a rate line",
                    f64::from(doses),
                    "give seconds, not doses",
                );
            }
            (Metering::Dose, Draw::Time(seconds)) => {
                return fault(
                    "the recipe's draw of a dose line",
                    seconds.0,
                    "give doses, not seconds",
                );
            }
            (_, Draw::Doses(0)) => return fault("the recipe's draw", 0.0, "give one dose or more"),
            (_, Draw::Time(seconds)) if !(seconds.0 > 0.0 && seconds.0.is_finite()) => {
                return fault("the recipe's draw", seconds.0, "give seconds above zero");
            }
            (_, Draw::Time(seconds)) if !(offset.is_finite() && seconds.0 > offset) => {
                return fault(
                    "the opening offset",
                    offset,
                    "give seconds that are fewer than the recipe's draw",
                );
            }
            _ => {}
        }
        match (aim.metering, aim.water) {
            (Metering::Ratio, None) => {
                return fault(
                    "the recipe's water",
                    0.0,
                    "state the water that belongs to one draw of a ratio line",
                );
            }
            (_, Some((water, tolerance))) => {
                if !(water.0 > 0.0 && water.0.is_finite()) {
                    return fault("the recipe's water", water.0, "give millilitres above zero");
                }
                if !(tolerance > 0.0 && tolerance < 1.0) {
                    return fault(
                        "the water's tolerance",
                        tolerance,
                        "give a fraction above 0 and below 1",
                    );
                }
            }
            _ => {}
        }
        if let Some((density, u)) = self.density
            && !(density > 0.1 && density < 5.0 && u >= 0.0 && u < density)
        {
            return fault(
                "the density",
                density,
                "give g/mL between 0.1 and 5, with its standard uncertainty",
            );
        }
        if let Some(fault) = self.measure.faults().into_iter().chain(self.timer.faults()).next() {
            return Err(fault.into());
        }
        Ok(())
    }

    /// The opening offset in seconds; zero where none is stated.
    pub(super) fn offset(&self) -> f64 {
        self.opening_offset.map_or(0.0, |offset| offset.0)
    }

    /// What an amount read in the measure's own unit is in the target's unit, per unit: factor, and relative standard
    /// uncertainty of the density behind it. `None` where a density is needed and not known.
    ///
    /// Grams are what a scale in air shows, so a litre weighs `(ρ − ρ_air) / (1 − ρ_air / 8)` of them.
    pub(super) fn conversion(&self) -> Option<(f64, f64)> {
        match (&self.measure, self.aim.target) {
            (Measure::Vessel(_), Target::Volume(_)) | (Measure::Scale(_), Target::Mass(_)) => {
                Some((1.0, 0.0))
            }
            (Measure::Vessel(_), Target::Mass(_)) => self.density.map(|d| {
                let (shown, u) = in_air(d);
                (shown, u)
            }),
            (Measure::Scale(_), Target::Volume(_)) => self.density.map(|d| {
                let (shown, u) = in_air(d);
                (1.0 / shown, u)
            }),
        }
    }

    /// The same for water, whose target is always a volume.
    pub(super) fn water_conversion(&self) -> (f64, f64) {
        match self.measure {
            Measure::Vessel(_) => (1.0, 0.0),
            Measure::Scale(_) => {
                let (shown, u) =
                    in_air((WATER.0, crate::uncertainty::type_b::rectangular(WATER.1)));
                (1.0 / shown, u)
            }
        }
    }
}

/// Grams that a scale in air shows for a millilitre of this density, and the relative standard uncertainty of them.
fn in_air((density, u): (f64, f64)) -> (f64, f64) {
    ((density - AIR) / (1.0 - AIR / WEIGHTS), u / (density - AIR))
}
