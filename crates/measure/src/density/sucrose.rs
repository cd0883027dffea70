//! Density of pure sucrose in water by Brix and temperature.

use super::{DensityError, Range, powers, water::water_kell};
use crate::quantity::Celsius;

/// The formula was held against tabled densities up to here.
pub(super) const BRIX: Range = Range {
    what: "a strength",
    unit: "°Bx",
    from: 0.0,
    to: 76.0,
    source_covers: "sucrose density formula",
    mend: "give grams of sugar in 100 g of syrup, or state the product's density",
};

const SOLUBILITY: Range = Range {
    what: "a temperature",
    unit: "°C",
    from: 0.0,
    to: 90.0,
    source_covers: "solubility of sucrose",
    mend: "give the temperature of the syrup",
};

/// Coefficients of w, w², … for τ⁰ to τ⁴, in kg/m³.
const COEFFICIENTS: [&[f64]; 5] = [
    &[385.1761, 135.3705, 40.9299, -3.9646, 13.4853, -17.2890],
    &[-46.2720, -7.1720, 1.1597, 5.1126, 17.5254],
    &[59.7712, 7.2491, 12.3630, -35.4791],
    &[-47.2207, -21.6977, 27.6301],
    &[18.3184, 12.3081],
];

/// Density in g/mL of pure sucrose in water, 0 °Bx to 76 °Bx, 0 °C to 100 °C (Bubník et al., Sugar
/// Technologists' Manual, 1995, p. 164: the ICUMSA polynomial). Brix is grams of sucrose in 100 g.
///
/// # Errors
/// A strength or a temperature outside those.
pub fn sucrose(brix: f64, temperature: Celsius) -> Result<f64, DensityError> {
    let fraction = BRIX.check(brix)? / 100.0;
    let water = water_kell(temperature)? * 1000.0;
    let warmer = (temperature.0 - 20.0) / 100.0;
    let sugar =
        COEFFICIENTS.iter().rev().fold(0.0, |sum, row| sum * warmer + powers(fraction, row));
    Ok((water + sugar) / 1000.0)
}

/// The most sucrose that stays dissolved, in °Bx, 0 °C to 90 °C (ICUMSA polynomial): a stronger line may
/// crystallise in the cold.
///
/// # Errors
/// A temperature outside that range.
pub fn sucrose_dissolves(temperature: Celsius) -> Result<f64, DensityError> {
    let t = SOLUBILITY.check(temperature.0)?;
    Ok(64.447 + powers(t, &[0.082_22, 1.616_9e-3, -1.558e-6, -4.63e-8]))
}
