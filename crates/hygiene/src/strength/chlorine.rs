//! Chlorine by the numbers: what each salt carries, how much of it is hypochlorous acid, and the units of hardness.

use ouncewise_measure::Celsius;

use super::MgPerLitre;
use crate::label::Chemistry;

/// Two chlorine atoms, as chlorine gas: the unit in which available chlorine is counted.
const CHLORINE: f64 = 2.0 * 35.453;
/// Cyanuric acid, g/mol.
const CYANURIC: f64 = 129.075;

/// A salt that carries available chlorine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Salt {
    /// Sodium dichloroisocyanurate (NaDCC), without water.
    Dichloroisocyanurate,
    /// The same with its two waters.
    DichloroisocyanurateDihydrate,
    /// Sodium hypochlorite.
    SodiumHypochlorite,
    /// Calcium hypochlorite.
    CalciumHypochlorite,
    /// Trichloroisocyanuric acid (TCCA).
    Trichloroisocyanuric,
}

impl Salt {
    /// Molar mass in g/mol (HY-46, CALC from the IUPAC weights C 12.011, H 1.008, N 14.007, O 15.999, Na 22.990, Cl 35.453,
    /// Ca 40.078).
    #[must_use]
    pub fn molar_mass(self) -> f64 {
        match self {
            Self::Dichloroisocyanurate => 219.947,
            Self::DichloroisocyanurateDihydrate => 255.977,
            Self::SodiumHypochlorite => 74.442,
            Self::CalciumHypochlorite => 142.982,
            Self::Trichloroisocyanuric => 232.410,
        }
    }

    /// The salt that carries the most of a chemistry, where its dry product can be nothing else: no isocyanurate has more than
    /// 91.5 %, and no hypochlorite more than 99.2 % (HY-47, CALC).
    #[must_use]
    pub fn strongest(chemistry: Chemistry) -> Option<Self> {
        match chemistry {
            Chemistry::Isocyanurate => Some(Self::Trichloroisocyanuric),
            Chemistry::Hypochlorite => Some(Self::CalciumHypochlorite),
            _ => None,
        }
    }

    /// How many molecules of chlorine gas one molecule does the work of.
    fn chlorines(self) -> f64 {
        match self {
            Self::SodiumHypochlorite => 1.0,
            Self::Dichloroisocyanurate
            | Self::DichloroisocyanurateDihydrate
            | Self::CalciumHypochlorite => 2.0,
            Self::Trichloroisocyanuric => 3.0,
        }
    }

    /// Available chlorine of the pure salt, as a fraction of its mass (HY-47, CALC: n × 70.906 / M).
    #[must_use]
    pub fn available(self) -> f64 {
        self.chlorines() * CHLORINE / self.molar_mass()
    }
}

/// Cyanuric acid that NaDCC brings with each mg of available chlorine, in mg (HY-48, CALC: 0.910).
#[must_use]
pub fn cyanuric_acid_per_chlorine() -> f64 {
    CYANURIC / (2.0 * CHLORINE)
}

/// Negative logarithm of the acid constant of hypochlorous acid, 0 °C to 50 °C: 3000/T − 10.0686 + 0.0253 T, T in kelvin
/// (HY-40: Morris 1966, J. Phys. Chem. 70:3798; formula MEMORY, its value at 25 °C agrees with the READ one of HY-41).
#[must_use]
pub fn hocl_pka(temperature: Celsius) -> f64 {
    let kelvin = temperature.0 + 273.15;
    3000.0 / kelvin - 10.0686 + 0.0253 * kelvin
}

/// Why no share of hypochlorous acid is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, thiserror::Error)]
pub enum NoFraction {
    /// Part of the chlorine is bound to cyanurate, by constants that were not read.
    #[error(
        "part of this product's chlorine is bound to cyanurate, so the share of a plain hypochlorite does not apply"
    )]
    Isocyanurate,
    /// No chlorine in it, or not known to be hypochlorite.
    #[error("the share of hypochlorous acid is for hypochlorite only")]
    NotHypochlorite,
    /// Outside 0 °C to 50 °C, or pH 0 to 14.
    #[error("the share is computed from 0 °C to 50 °C and from pH 0 to 14 only")]
    OutOfRange,
}

/// The share of the chlorine that is hypochlorous acid, the part that kills fast; for explanation, never for a verdict
/// (HY-41 READ, HY-43 to HY-45 CALC).
///
/// # Errors
/// For isocyanurates and all that is not hypochlorite, and outside the range of the constant.
pub fn hocl_fraction(
    chemistry: Chemistry,
    ph: f64,
    temperature: Celsius,
) -> Result<f64, NoFraction> {
    match chemistry {
        Chemistry::Hypochlorite => {}
        Chemistry::Isocyanurate => return Err(NoFraction::Isocyanurate),
        _ => return Err(NoFraction::NotHypochlorite),
    }
    if !((0.0..=14.0).contains(&ph) && (0.0..=50.0).contains(&temperature.0)) {
        return Err(NoFraction::OutOfRange);
    }
    Ok(1.0 / (1.0 + libm::exp10(ph - hocl_pka(temperature))))
}

/// Hardness of water, in the unit that a report gives (HY-58, CALC).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hardness {
    /// mg/L as calcium carbonate.
    MgPerLitre(f64),
    /// Grains per US gallon, 17.118 mg/L each.
    GrainsPerGallonUs(f64),
    /// German degrees, 17.848 mg/L each.
    German(f64),
    /// French degrees, 10 mg/L each.
    French(f64),
}

impl Hardness {
    /// As calcium carbonate, in mg/L.
    #[must_use]
    pub fn as_carbonate(self) -> MgPerLitre {
        MgPerLitre(match self {
            Self::MgPerLitre(value) => value,
            Self::GrainsPerGallonUs(value) => value * 17.118,
            Self::German(value) => value * 17.848,
            Self::French(value) => value * 10.0,
        })
    }
}
