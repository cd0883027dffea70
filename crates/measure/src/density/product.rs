//! A product's density with its doubt, from what its maker states.

use super::{DensityError, Range, sucrose, sucrose::BRIX};
use crate::quantity::Celsius;

/// What is known of a product.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Basis {
    /// A density, measured or stated by the maker.
    Stated {
        /// In g/mL.
        density: f64,
        /// Its standard uncertainty in g/mL.
        standard_uncertainty: f64,
        /// The temperature at which it holds; 20 °C where nobody says.
        at: Option<Celsius>,
    },
    /// A strength: grams of sugar in 100 g, as a refractometer or the label says.
    Brix {
        /// In °Bx.
        brix: f64,
        /// Its standard uncertainty in °Bx; where nobody says, that of a label good to ±0.5 °Bx.
        standard_uncertainty: Option<f64>,
    },
}

/// Where labels state a density without a temperature, they mean this.
const LABEL_TEMPERATURE: f64 = 20.0;
/// A product whose temperature was not taken: somewhere between a cold box and a warm kitchen.
const UNKNOWN_TEMPERATURE: (f64, f64) = (20.0, 15.0);
/// A label's strength, plus or minus, in °Bx. Common practice, no source.
const LABEL_BRIX: f64 = 0.5;
/// How far a real syrup of some Brix may be from pure sucrose, plus or minus, as a fraction. Invert and
/// glucose-fructose syrups are some tenths of a percent lighter. Common practice, no source.
const NOT_SUCROSE: f64 = 0.01;
/// Loss of density per kelvin, as a fraction, and how far off that may be: on the way from 20 °C to 5 °C or
/// to 35 °C, water and sucrose syrups lose from 1.2 to 4.1 parts in ten thousand (the sucrose formula).
const PER_KELVIN: (f64, f64) = (3.0e-4, 2.0e-4);

const STATED: Range = Range {
    what: "a density",
    unit: "g/mL",
    from: 0.7,
    to: 1.6,
    source_covers: "range of what is poured into drinks and desserts",
    mend: "give it in g/mL; 1316 kg/m³ is 1.316 g/mL",
};
const TEMPERATURE: Range = Range {
    what: "a product temperature",
    unit: "°C",
    from: 0.0,
    to: 100.0,
    source_covers: "range of what is poured",
    mend: "give it in °C, as it is in the line",
};

/// A product's density in g/mL with its standard uncertainty, at the temperature at which it was caught.
///
/// What is assumed, and so is part of the uncertainty:
///
/// - Real syrups are not pure sucrose: by Brix, ±1 % (rectangular) for what else is in them.
/// - A Brix without its own uncertainty is good to ±0.5 °Bx (rectangular).
/// - A temperature that was not taken is 20 °C ± 15 °C (rectangular).
/// - A stated density holds at 20 °C unless it says otherwise, and falls by (3 ± 2) parts in ten
///   thousand per kelvin (rectangular) on the way to the temperature of the catch.
///
/// # Errors
/// A density, strength or temperature out of its range, or a standard uncertainty below zero.
pub fn of_product(basis: Basis, temperature: Option<Celsius>) -> Result<(f64, f64), DensityError> {
    let (degrees, half_width) = match temperature {
        Some(taken) => (TEMPERATURE.check(taken.0)?, 0.0),
        None => UNKNOWN_TEMPERATURE,
    };
    match basis {
        Basis::Stated { density, standard_uncertainty, at } => {
            let density = STATED.check(density)?;
            let stated = not_negative(standard_uncertainty, "g/mL")?;
            let at = at.map_or(Ok(LABEL_TEMPERATURE), |at| TEMPERATURE.check(at.0))?;
            let (loss, loss_half_width) = PER_KELVIN;
            let warmer = degrees - at;
            let kept = 1.0 - loss * warmer;
            // Where the temperature is unknown, loss and temperature are both uncertain about a difference of nothing: the
            // product of their doubts is of the first importance (JCGM 100, 5.1.2 note).
            let loss_too = libm::hypot(loss, rectangular(loss_half_width));
            let parts = [
                stated * kept,
                rectangular(density * loss_half_width * warmer),
                density * loss_too * rectangular(half_width),
            ];
            Ok((density * kept, root_of_squares(&parts)))
        }
        Basis::Brix { brix, standard_uncertainty } => {
            let at = Celsius(degrees);
            let density = sucrose(brix, at)?;
            let of_brix = match standard_uncertainty {
                Some(stated) => not_negative(stated, "°Bx")?,
                None => rectangular(LABEL_BRIX),
            };
            let per_brix = slope(|brix| sucrose(brix, at), brix, (BRIX.from, BRIX.to))?;
            let per_kelvin =
                slope(|t| sucrose(brix, Celsius(t)), degrees, (TEMPERATURE.from, TEMPERATURE.to))?;
            let parts = [
                per_brix * of_brix,
                rectangular(per_kelvin * half_width),
                rectangular(NOT_SUCROSE * density),
            ];
            Ok((density, root_of_squares(&parts)))
        }
    }
}

fn not_negative(value: f64, unit: &'static str) -> Result<f64, DensityError> {
    if value >= 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(DensityError::Uncertainty { value, unit })
    }
}

/// Standard uncertainty of a rectangular half-width (JCGM 100:2008, 4.3.7).
fn rectangular(half_width: f64) -> f64 {
    half_width.abs() / 3.0_f64.sqrt()
}

fn root_of_squares(parts: &[f64]) -> f64 {
    parts.iter().map(|part| part * part).sum::<f64>().sqrt()
}

/// A slope over half a unit each way, kept inside the range.
fn slope(
    f: impl Fn(f64) -> Result<f64, DensityError>,
    at: f64,
    (from, to): (f64, f64),
) -> Result<f64, DensityError> {
    let (low, high) = ((at - 0.5).max(from), (at + 0.5).min(to));
    Ok((f(high)? - f(low)?) / (high - low))
}
