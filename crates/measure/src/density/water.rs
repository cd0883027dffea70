//! Density of air-free water at one atmosphere.

use super::{DensityError, Range, powers};
use crate::quantity::Celsius;

const TANAKA: Range = Range {
    what: "a temperature",
    unit: "°C",
    from: 0.0,
    to: 40.0,
    source_covers: "water density formula of Tanaka",
    mend: "measure the water between those, or state its density",
};

pub(super) const KELL: Range = Range {
    what: "a temperature",
    unit: "°C",
    from: 0.0,
    to: 100.0,
    source_covers: "water density formula of Kell",
    mend: "measure between those, or state the density",
};

/// Density of water in g/mL, 0 °C to 40 °C (Tanaka et al., Metrologia 38, 301, 2001).
///
/// # Errors
/// A temperature outside that range.
pub fn water(temperature: Celsius) -> Result<f64, DensityError> {
    let t = TANAKA.check(temperature.0)?;
    let shifted = t - 3.983_035;
    let density =
        999.974_950 * (1.0 - shifted * shifted * (t + 301.797) / (522_528.9 * (t + 69.348_81)));
    Ok(density / 1000.0)
}

/// Density of water in g/mL, 0 °C to 100 °C (Kell, 1975): what the sucrose formula is built on.
///
/// # Errors
/// A temperature outside that range.
pub fn water_kell(temperature: Celsius) -> Result<f64, DensityError> {
    let t = KELL.check(temperature.0)?;
    let above = 999.839_52
        + powers(t, &[16.952_577, -7.990_512_7e-3, -46.241_757e-6, 105.846_01e-9, -281.030_06e-12]);
    Ok(above / (1.0 + 16.887_236e-3 * t) / 1000.0)
}
