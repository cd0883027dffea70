//! Quantities in the units that a group has chosen.

use super::{significant, with_uncertainty};
use crate::quantity::{Celsius, Grams, Millilitres, Unit};

/// The units that a group reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Units {
    /// Millilitres, litres, grams, kilograms, degrees Celsius.
    #[default]
    Metric,
    /// US fluid ounces and gallons, ounces and pounds by weight, degrees Fahrenheit.
    Us,
}

impl Units {
    /// The unit for a volume of this size.
    #[must_use]
    pub fn for_volume(self, volume: Millilitres) -> Unit {
        match self {
            Units::Metric if volume.0.abs() < 1000.0 => Unit::Millilitre,
            Units::Metric => Unit::Litre,
            Units::Us if Unit::GallonUs.of_base(volume.0.abs()) < 1.0 => Unit::FluidOunceUs,
            Units::Us => Unit::GallonUs,
        }
    }

    /// The unit for a mass of this size.
    #[must_use]
    pub fn for_mass(self, mass: Grams) -> Unit {
        match self {
            Units::Metric if mass.0.abs() < 1000.0 => Unit::Gram,
            Units::Metric => Unit::Kilogram,
            Units::Us if Unit::Pound.of_base(mass.0.abs()) < 1.0 => Unit::OunceWeight,
            Units::Us => Unit::Pound,
        }
    }

    /// What these readers read in place of a base unit, alone or by something (`mL`, `g/s`, `mL per dose`): by what a
    /// number in it is multiplied, and the unit after it. Any other unit stays as it is.
    #[must_use]
    pub fn in_place_of(self, unit: &str) -> (f64, String) {
        for base in [Unit::Millilitre, Unit::Gram] {
            let spoken = self.spoken(base.dimension());
            match unit.strip_prefix(base.symbol()) {
                Some(by) if spoken != base && (by.is_empty() || by.starts_with(['/', ' '])) => {
                    return (spoken.of_base(1.0), format!("{spoken}{by}"));
                }
                _ => {}
            }
        }
        (1.0, unit.to_owned())
    }

    /// The unit for a temperature.
    #[must_use]
    pub fn for_temperature(self) -> Unit {
        match self {
            Units::Metric => Unit::Celsius,
            Units::Us => Unit::Fahrenheit,
        }
    }
}

/// A volume to three digits: `29.6 mL`, `1.00 fl oz (US)`.
#[must_use]
pub fn volume(volume: Millilitres, units: Units) -> String {
    in_unit(volume.0, units.for_volume(volume))
}

/// A volume with its standard uncertainty: `(30.90 ± 0.40) mL`.
#[must_use]
pub fn volume_with(volume: Millilitres, uncertainty: Millilitres, units: Units) -> String {
    in_unit_with(volume.0, uncertainty.0, units.for_volume(volume))
}

/// A mass to three digits: `31.2 g`, `1.10 oz (weight)`.
#[must_use]
pub fn mass(mass: Grams, units: Units) -> String {
    in_unit(mass.0, units.for_mass(mass))
}

/// A mass with its standard uncertainty: `(39.50 ± 0.04) g` has too few digits, and becomes `(39.500 ± 0.041) g`.
#[must_use]
pub fn mass_with(mass: Grams, uncertainty: Grams, units: Units) -> String {
    in_unit_with(mass.0, uncertainty.0, units.for_mass(mass))
}

/// A temperature to whole degrees: `4 °C`, `39 °F`.
#[must_use]
pub fn temperature(temperature: Celsius, units: Units) -> String {
    let unit = units.for_temperature();
    let degrees = unit.of_base(temperature.0);
    if degrees.is_finite() {
        format!("{} {unit}", super::plain(degrees, 0))
    } else {
        format!("? {unit}")
    }
}

/// A rate by volume to three digits: `4.22 mL/s`, `0.143 fl oz (US)/s`.
#[must_use]
pub fn amount_per_second(rate: Millilitres, units: Units) -> String {
    format!("{}/s", volume(rate, units))
}

fn in_unit(value: f64, unit: Unit) -> String {
    format!("{} {unit}", significant(unit.of_base(value), 3))
}

fn in_unit_with(value: f64, uncertainty: f64, unit: Unit) -> String {
    format!("{} {unit}", with_uncertainty(unit.of_base(value), unit.of_base(uncertainty)))
}
