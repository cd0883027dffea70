//! What is in a line: viscosity, density and surface tension of water and of syrup, by Brix and temperature, and how fast
//! sugar spreads in water.
//!
//! The status words of a figure: READ in its source, PKG computed by a public package, CALC computed here, MEMORY only
//! remembered, ASSUMED and JUDGE without a source. What is not READ, PKG or CALC is an input with a default.

mod keeps;
mod syrup;
#[cfg(test)]
mod tests;

pub use keeps::{ByActivity, water_activity};

use ouncewise_measure::Celsius;
use ouncewise_measure::density;

use crate::line::{FlowError, Span};

/// A dynamic viscosity in mPa·s, which is the same as cP.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct MilliPascalSeconds(pub f64);

/// A surface tension in mN/m.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct MilliNewtonsPerMetre(pub f64);

/// How fast a substance spreads in a liquid at rest, in m²/s.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Diffusivity(pub f64);

/// What a line may hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fluid {
    /// Water, and solutions as thin as a sanitiser's.
    Water,
    /// Syrup of pure sucrose, as grams of sugar in 100 g. Others of the same Brix differ: state theirs where it is known.
    Syrup {
        /// In °Bx, 0 to 70.
        brix: f64,
    },
    /// A liquid whose maker states it, or that was measured, at the temperature of the line.
    Stated {
        /// How thick it is.
        viscosity: MilliPascalSeconds,
        /// In g/mL.
        density: f64,
    },
}

/// A liquid at one temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Properties {
    /// Its dynamic viscosity.
    pub viscosity: MilliPascalSeconds,
    /// Its density in g/mL.
    pub density: f64,
    /// Its surface tension; replace it where it is known better.
    pub surface_tension: MilliNewtonsPerMetre,
    /// Whether the surface tension is assumed.
    pub tension_assumed: bool,
}

/// The surface tension that a syrup, or a liquid that is only stated, is taken to have (ASSUMED, as in HY-126). Soap and
/// flavour oils lower it to about 35 mN/m.
pub const SYRUP_TENSION: MilliNewtonsPerMetre = MilliNewtonsPerMetre(78.0);

impl Diffusivity {
    /// Sucrose in water at 25 °C (MEMORY, as in HY-113).
    pub const SUCROSE: Diffusivity = Diffusivity(5.2e-10);
    /// Nothing spreads: the convective limit.
    pub const NONE: Diffusivity = Diffusivity(0.0);
    /// More than the small ions and molecules of a sanitiser reach in water at 25 °C (MEMORY; JUDGE).
    pub const SANITISER: Diffusivity = Diffusivity(2.0e-9);

    /// A diffusivity known at 25 °C, in water of another temperature: it goes with the absolute temperature over the viscosity
    /// (Stokes and Einstein, CALC).
    ///
    /// # Errors
    /// A temperature that is not water's.
    pub fn at(self, temperature: Celsius) -> Result<Diffusivity, FlowError> {
        let kelvin = |t: f64| t + 273.15;
        let (here, there) = (water_viscosity(temperature)?, water_viscosity(Celsius(25.0))?);
        Ok(Diffusivity(self.0 * kelvin(temperature.0) / kelvin(25.0) * there.0 / here.0))
    }
}

impl Properties {
    /// Viscosity over density, in m²/s.
    #[must_use]
    pub fn kinematic(&self) -> f64 {
        1e-6 * self.viscosity.0 / self.density
    }
}

impl Fluid {
    /// The liquid at a temperature.
    ///
    /// # Errors
    /// Water outside 0 °C to 100 °C, syrup outside 0 °C to 40 °C or 0 °Bx to 70 °Bx; stated figures that no liquid has.
    pub fn at(self, temperature: Celsius) -> Result<Properties, FlowError> {
        match self {
            Fluid::Water => Ok(Properties {
                viscosity: water_viscosity(temperature)?,
                density: water_density(temperature)?,
                surface_tension: water_tension(temperature)?,
                tension_assumed: false,
            }),
            Fluid::Syrup { brix } => Ok(Properties {
                viscosity: syrup_viscosity(brix, temperature)?,
                density: density::sucrose(brix, temperature)?,
                surface_tension: SYRUP_TENSION,
                tension_assumed: true,
            }),
            Fluid::Stated { viscosity, density } => Ok(Properties {
                viscosity: MilliPascalSeconds(STATED_VISCOSITY.check(viscosity.0)?),
                density: STATED_DENSITY.check(density)?,
                surface_tension: SYRUP_TENSION,
                tension_assumed: true,
            }),
        }
    }

    /// Grams of sugar in a litre of it: 0 in water, nothing known of a liquid that is only stated.
    ///
    /// # Errors
    /// As [`Fluid::at`].
    pub fn sugar(self, temperature: Celsius) -> Result<Option<f64>, FlowError> {
        match self {
            Fluid::Water => Ok(Some(0.0)),
            Fluid::Syrup { brix } => Ok(Some(10.0 * brix * density::sucrose(brix, temperature)?)),
            Fluid::Stated { .. } => Ok(None),
        }
    }
}

const WATER: Span = Span {
    what: "a temperature of water",
    unit: "°C",
    from: 0.0,
    to: 100.0,
    mend: "give it as it is in the line",
};
const STATED_VISCOSITY: Span = Span {
    what: "a viscosity",
    unit: "mPa·s",
    from: 0.1,
    to: 1e6,
    mend: "give it in mPa·s (the same as cP)",
};
const STATED_DENSITY: Span = Span {
    what: "a density",
    unit: "g/mL",
    from: 0.5,
    to: 2.0,
    mend: "give it in g/mL; 1316 kg/m³ is 1.316 g/mL",
};

/// Viscosity of water at one atmosphere, 0 °C to 100 °C: the short form for the liquid that goes with the IAPWS formulation of
/// 2008 (coefficients MEMORY; seven values computed with CoolProp agree within 0.01 %: HY-72, PKG).
///
/// # Errors
/// A temperature outside that range.
pub fn water_viscosity(temperature: Celsius) -> Result<MilliPascalSeconds, FlowError> {
    const TERMS: [(f64, f64); 4] =
        [(280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.459_03, -40.0)];
    let reduced = (WATER.check(temperature.0)? + 273.15) / 300.0;
    let sum: f64 = TERMS.iter().map(|(factor, power)| factor * libm::pow(reduced, *power)).sum();
    Ok(MilliPascalSeconds(sum / 1000.0))
}

/// Surface tension of water against air, 0 °C to 100 °C, by the formula that CoolProp uses (coefficients MEMORY; agrees with
/// HY-73, PKG). That of IAPWS is 0.1 % lower.
///
/// # Errors
/// A temperature outside that range.
pub fn water_tension(temperature: Celsius) -> Result<MilliNewtonsPerMetre, FlowError> {
    let below = 1.0 - (WATER.check(temperature.0)? + 273.15) / 647.096;
    Ok(MilliNewtonsPerMetre(215.1 * libm::pow(below, 1.233) - 130.6 * libm::pow(below, 2.471)))
}

/// Density of water in g/mL: the better formula where it reaches.
fn water_density(temperature: Celsius) -> Result<f64, FlowError> {
    let by = if temperature.0 <= 40.0 { density::water } else { density::water_kell };
    Ok(by(temperature)?)
}

/// Viscosity of pure sucrose in water, 0 °Bx to 70 °Bx, 0 °C to 40 °C.
///
/// At 20 °C the relative viscosities of HY-76 (READ), between them a smooth curve; away from 20 °C a shape with one factor,
/// fitted to HY-78 to HY-80 (READ; fit CALC). Within 2 % of the tables up to 40 °Bx (3 % at 0 °C), within 5 % at 60 °Bx,
/// where the sources differ by 3.5 % among themselves. Two printed values are not in it, because they lie off every smooth
/// curve (HY-82): 9.794 mPa·s for 40 °Bx at 10 °C and 3.754 times water for 32 °Bx.
///
/// # Errors
/// A strength or a temperature outside those.
pub fn syrup_viscosity(brix: f64, temperature: Celsius) -> Result<MilliPascalSeconds, FlowError> {
    let relative = syrup::relative_viscosity(brix, temperature.0)?;
    Ok(MilliPascalSeconds(relative * water_viscosity(temperature)?.0))
}
