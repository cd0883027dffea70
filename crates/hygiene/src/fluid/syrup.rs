//! Viscosity of sucrose syrup over that of water.

use crate::flush::Pchip;
use crate::line::{FlowError, Span};

const BRIX: Span = Span {
    what: "a strength",
    unit: "°Bx",
    from: 0.0,
    to: 70.0,
    mend: "give grams of sugar in 100 g of syrup, or state the product's viscosity",
};
const TEMPERATURE: Span = Span {
    what: "a temperature of syrup",
    unit: "°C",
    from: 0.0,
    to: 40.0,
    mend: "give it as it is in the line, or state the product's viscosity at that temperature",
};

/// Strength in °Bx and viscosity over that of water, both at 20 °C (HY-76, READ).
const AT_20: [(f64, f64); 9] = [
    (10.0, 1.333),
    (20.0, 1.941),
    (30.0, 3.181),
    (40.0, 6.150),
    (50.0, 15.40),
    (60.0, 58.37),
    (64.0, 119.9),
    (66.0, 181.7),
    (70.0, 480.6),
];
/// How much faster than water syrup thickens in the cold: fitted to HY-78 to HY-80 (CALC).
const THICKENS: f64 = 87.5;

/// Molecules of sucrose over molecules of water, about: the logarithm of the viscosity is nearly straight in it.
fn share(brix: f64) -> f64 {
    brix / (1900.0 - 18.0 * brix)
}

/// The logarithm of the relative viscosity over its share is smooth and slow: that is what is interpolated.
fn slope_at_20(brix: f64) -> f64 {
    let shares = AT_20.map(|(brix, _)| share(brix));
    let slopes = AT_20.map(|(brix, relative)| libm::log(relative) / share(brix));
    Pchip::new(shares.to_vec(), slopes.to_vec()).at(share(brix))
}

/// Viscosity of syrup over that of water at the same temperature.
pub(super) fn relative_viscosity(brix: f64, celsius: f64) -> Result<f64, FlowError> {
    let (brix, celsius) = (BRIX.check(brix)?, TEMPERATURE.check(celsius)?);
    let x = share(brix);
    let colder = |t: f64| (30.0 - t) / (91.0 + t);
    let shape = THICKENS * libm::pow(x, 1.25) * (colder(celsius) - colder(20.0));
    Ok(libm::exp(x * slope_at_20(brix) + shape))
}
