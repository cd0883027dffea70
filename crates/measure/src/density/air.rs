//! Density of air, and what its buoyancy does to a weighing.

use super::{DensityError, Range, water};
use crate::quantity::{Celsius, Grams, Millilitres};

/// Density of the weights that a scale was set with, by convention, in g/mL (OIML R 111).
pub const WEIGHTS: f64 = 8.0;

/// The air of a room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Its temperature.
    pub temperature: Celsius,
    /// Its pressure in hPa, as it is at the place and not reduced to sea level.
    pub pressure: f64,
    /// Its relative humidity, from 0 to 1.
    pub humidity: f64,
}

const TEMPERATURE: Range = Range {
    what: "an air temperature",
    unit: "°C",
    from: 0.0,
    to: 40.0,
    source_covers: "air density formula",
    mend: "weigh in a room between those",
};
const PRESSURE: Range = Range {
    what: "an air pressure",
    unit: "hPa",
    from: 600.0,
    to: 1100.0,
    source_covers: "air density formula",
    mend: "give the pressure at the place, in hPa",
};
const HUMIDITY: Range = Range {
    what: "a relative humidity",
    unit: "(as a fraction)",
    from: 0.0,
    to: 1.0,
    source_covers: "air density formula",
    mend: "give it as a fraction, such as 0.5",
};

impl Air {
    /// A room at 20 °C, one atmosphere and half humid.
    pub const ROOM: Air = Air { temperature: Celsius(20.0), pressure: 1013.25, humidity: 0.5 };

    fn checked(self) -> Result<(f64, f64, f64), DensityError> {
        Ok((
            TEMPERATURE.check(self.temperature.0)?,
            PRESSURE.check(self.pressure)?,
            HUMIDITY.check(self.humidity)?,
        ))
    }

    /// Density of the air in g/mL by the short formula of OIML R 111, within 2 parts in 10⁴ of [`Air::density_cipm`].
    ///
    /// # Errors
    /// Air outside 0 °C to 40 °C, 600 hPa to 1100 hPa, or a humidity that is no fraction.
    pub fn density(self) -> Result<f64, DensityError> {
        let (t, pressure, humidity) = self.checked()?;
        let density = (0.348_48 * pressure - 0.9 * humidity * libm::exp(0.061 * t)) / (273.15 + t);
        Ok(density / 1000.0)
    }

    /// Density of the air in g/mL by CIPM-2007 with 400 µmol/mol of CO₂ (Picard et al., Metrologia 45, 149, 2008).
    ///
    /// # Errors
    /// As [`Air::density`].
    pub fn density_cipm(self) -> Result<f64, DensityError> {
        let (t, pressure, humidity) = self.checked()?;
        let (kelvin, pascal) = (t + 273.15, 100.0 * pressure);
        // Mole fraction of water vapour, from saturation pressure and enhancement factor (A1.1, A1.2).
        let saturation = libm::exp(
            1.237_884_7e-5 * kelvin * kelvin - 1.912_131_6e-2 * kelvin + 33.937_110_47
                - 6.343_164_5e3 / kelvin,
        );
        let enhancement = 1.000_62 + 3.14e-8 * pascal + 5.6e-7 * t * t;
        let vapour = humidity * enhancement * saturation / pascal;
        // Compressibility (A1.4).
        let ratio = pascal / kelvin;
        let compressibility = 1.0
            - ratio
                * (1.581_23e-6 - 2.933_1e-8 * t
                    + 1.104_3e-10 * t * t
                    + (5.707e-6 - 2.051e-8 * t) * vapour
                    + (1.989_8e-4 - 2.376e-6 * t) * vapour * vapour)
            + ratio * ratio * (1.83e-11 - 0.765e-8 * vapour * vapour);
        let (dry, water, gas) = (28.965_46e-3, 18.015_28e-3, 8.314_472);
        let density =
            pascal * dry / (compressibility * gas * kelvin) * (1.0 - vapour * (1.0 - water / dry));
        Ok(density / 1000.0)
    }
}

/// What a balance's reading is multiplied by to give the mass: `(1 − ρa/ρw)/(1 − ρa/ρ)`, all densities in g/mL.
/// About 1.0008 for syrup: leaving it out makes a portion 0.08 % too small.
#[must_use]
pub fn buoyancy_factor(density: f64, air: f64, weights: f64) -> f64 {
    (1.0 - air / weights) / (1.0 - air / density)
}

/// The volume of what a scale shows, with buoyancy: its reading over the density, in room air.
///
/// # Errors
/// Air that [`Air::density`] refuses.
pub fn volume_of_weighed(
    reading: Grams,
    density: f64,
    air: Air,
) -> Result<Millilitres, DensityError> {
    Ok(Millilitres(reading.0 * buoyancy_factor(density, air.density()?, WEIGHTS) / density))
}

/// The Z factor in mL/g (µL/mg): the volume at the water's own temperature of one gram of water read on a
/// balance (as tabled in ISO 8655-6). Water, weights and air as in the rest of this module; the room is
/// half humid and as warm as the water.
///
/// # Errors
/// A temperature outside 0 °C to 40 °C, or a pressure outside 600 hPa to 1100 hPa.
pub fn z_factor(temperature: Celsius, pressure: f64) -> Result<f64, DensityError> {
    let air = Air { temperature, pressure, humidity: 0.5 }.density()?;
    Ok((1.0 - air / WEIGHTS) / (water(temperature)? - air))
}
