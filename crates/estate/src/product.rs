//! What a line carries.

use crate::fields::{Define, Definition, Described, Field, Fields, RETIRED, Shape, code};
use ouncewise_measure::quantity::Dimension;
use std::fmt;
use std::str::FromStr;

use ouncewise_measure::Quantity;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::misread::Misread;
use crate::money::Cost;
use crate::percent::decimal;

/// A product.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Product {
    /// Its name.
    pub name: String,
    /// How heavy it is, where known: needed to weigh a target in mL.
    pub density: Option<Density>,
    /// Temperature at which it is served, where known.
    pub temperature: Option<Quantity>,
    /// Allergens, in the words that were written.
    pub allergens: Vec<String>,
    /// What it costs.
    pub cost: Option<Cost>,
    /// No longer in use.
    pub retired: bool,
}

/// The allergens that most labelling laws name; suggested, never required.
/// Source: Regulation (EU) No 1169/2011, Annex II (from memory).
pub const COMMON_ALLERGENS: [&str; 14] = [
    "gluten",
    "crustaceans",
    "egg",
    "fish",
    "peanut",
    "soya",
    "milk",
    "nuts",
    "celery",
    "mustard",
    "sesame",
    "sulphites",
    "lupin",
    "molluscs",
];

/// How heavy a product is: stated, or by its Brix.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Density {
    /// Grams per millilitre.
    Stated(PlusMinus),
    /// Degrees Brix (grams of sucrose in 100 g).
    Brix(PlusMinus),
}

/// A number and how far off it may be: `1.27 ± 0.01`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct PlusMinus {
    /// The number as written.
    pub value: Decimal,
    /// Its limits, where stated.
    pub within: Option<Decimal>,
}

impl PlusMinus {
    fn read(text: &str) -> Option<Self> {
        let (value, within) = match text.split_once('±').or_else(|| text.split_once("+/-")) {
            Some((value, within)) => (value, Some(decimal(within.trim())?)),
            None => (text, None),
        };
        Some(Self { value: decimal(value.trim())?, within })
    }
}

impl PlusMinus {
    /// Limits are rectangular; without them it is good to half of the last digit that was written (JCGM 100, 4.3.7).
    #[must_use]
    pub fn standard_uncertainty(&self) -> f64 {
        let half = self.within.unwrap_or_else(|| Decimal::new(5, self.value.scale() + 1));
        half.to_f64().unwrap_or(0.0) / 3f64.sqrt()
    }
}

impl fmt::Display for PlusMinus {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.within {
            Some(within) => write!(f, "{} ± {within}", self.value),
            None => write!(f, "{}", self.value),
        }
    }
}

impl FromStr for Density {
    type Err = Misread;

    /// Reads `1.27 g/mL`, `1.27 ± 0.01 g/mL`, `62 Brix`, `62 ± 1 °Bx`.
    fn from_str(text: &str) -> Result<Self, Misread> {
        let hint = "write it by volume or by Brix: `1.27 ± 0.01 g/mL`, `62 ± 1 Brix`";
        let refuse = || Misread::new(format!("`{text}` is not a density"), hint);
        let trimmed = text.trim();
        let cut = |units: &[&str]| units.iter().find_map(|u| trimmed.strip_suffix(u));
        if let Some(number) = cut(&["g/mL", "g/ml", "kg/L", "kg/l", "g/cm3", "g/cm³"]) {
            let read = PlusMinus::read(number).ok_or_else(refuse)?;
            // What `measure` takes; no syrup, sauce or cordial lies outside.
            let fits = read.value >= Decimal::new(7, 1) && read.value <= Decimal::new(16, 1);
            let narrow = read.within.is_none_or(|w| w.is_sign_positive() && w < read.value);
            return if fits && narrow {
                Ok(Self::Stated(read))
            } else {
                Err(Misread::new(
                    format!("`{text}` is no density of what is poured"),
                    "water is 1.00 g/mL, a heavy syrup about 1.35 g/mL",
                ))
            };
        }
        if let Some(number) = cut(&["°Brix", "Brix", "brix", "°Bx", "Bx"]) {
            let read = PlusMinus::read(number).ok_or_else(refuse)?;
            let fits = !read.value.is_sign_negative() && read.value <= 76.into();
            let narrow = read.within.is_none_or(|w| w.is_sign_positive() && w <= 20.into());
            return if fits && narrow {
                Ok(Self::Brix(read))
            } else {
                Err(Misread::new(
                    format!("`{text}` is no Brix of a syrup"),
                    "Brix runs from 0 (water) to 76; a heavier sauce states its density in g/mL",
                ))
            };
        }
        Err(refuse())
    }
}

impl fmt::Display for Density {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Stated(x) => write!(f, "{x} g/mL"),
            Self::Brix(x) => write!(f, "{x} Brix"),
        }
    }
}

impl Described for Product {
    const NAME: &'static str = "product";
    const FIELDS: &'static [Field] = &[
        Field::must("name", Shape::Text, "what the product is called", "Gooseberry"),
        Field::may(
            "density",
            Shape::Density,
            "how heavy it is, and how sure that is; needed to weigh a target in mL",
            "1.24 ± 0.01 g/mL",
        ),
        Field::may(
            "temperature",
            Shape::Quantity(&[Dimension::Temperature]),
            "how cold it is when it is drawn",
            "4 °C",
        ),
        Field::may(
            "allergens",
            Shape::Words,
            "what it contains that some guests must not have",
            "milk",
        ),
        Field::may("cost", Shape::Cost, "what a litre or a kilogram of it costs", "4.20 EUR/L"),
        RETIRED,
    ];

    fn read(f: &mut Fields<'_>) -> Option<Self> {
        let name = f.text("name");
        let density = f.of("density");
        let temperature = f.quantity("temperature", &[Dimension::Temperature]);
        if let Some(at) = temperature
            && at.temperature().is_none_or(|c| !(0.0..=100.0).contains(&c.0))
        {
            f.refuse_field(
                "temperature",
                code::OUT_OF_RANGE,
                format!("`temperature` is {at}"),
                "what is drawn lies between 0 °C and 100 °C",
            );
        }
        let allergens = f.words("allergens");
        let cost = f.of("cost");
        let retired = f.flag("retired");
        Some(Self {
            name: name?,
            density,
            temperature,
            allergens: allergens.unwrap_or_default(),
            cost,
            retired: retired.unwrap_or(false),
        })
    }

    fn define(&self) -> Definition {
        let define = Define::default()
            .text("name", &self.name)
            .maybe("density", self.density)
            .maybe("temperature", self.temperature)
            .maybe("cost", self.cost);
        if self.allergens.is_empty() {
            return define.done();
        }
        define.value("allergens", self.allergens.clone()).done()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_density_reads_as_it_prints() {
        for (text, print) in [
            ("1.27 g/mL", "1.27 g/mL"),
            ("1,270 +/- 0,01 g/ml", "1.270 ± 0.01 g/mL"),
            ("62 ± 1 °Bx", "62 ± 1 Brix"),
            ("0 Brix", "0 Brix"),
        ] {
            assert_eq!(text.parse::<Density>().unwrap().to_string(), print);
        }
        for bad in ["", "1.27", "127 g/mL", "77 Brix", "-1 Brix", "1.2 ± x g/mL"] {
            assert!(bad.parse::<Density>().is_err(), "{bad}");
        }
    }
}
