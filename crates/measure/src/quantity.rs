//! Quantities: plain newtypes for computing, and [`Quantity`] for what a person wrote.

use rust_decimal::Decimal;

macro_rules! newtype {
    ($(#[$doc:meta] $name:ident $symbol:literal;)*) => {$(
        #[$doc]
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(pub f64);

        impl $name {
            /// The unit symbol that belongs after the number.
            pub const SYMBOL: &str = $symbol;
        }
    )*};
}

newtype! {
    /// A volume in millilitres (1 mL = 1 cm³).
    Millilitres "mL";
    /// A mass in grams.
    Grams "g";
    /// A duration in seconds.
    Seconds "s";
    /// A temperature in degrees Celsius.
    Celsius "°C";
}

/// A unit that people write beside a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Microlitre.
    Microlitre,
    /// Millilitre.
    Millilitre,
    /// Litre.
    Litre,
    /// US fluid ounce, 29.573 529 562 5 mL.
    FluidOunceUs,
    /// Imperial fluid ounce, 28.413 062 5 mL.
    FluidOunceImperial,
    /// Fluid ounce of US nutrition labels, 30 mL.
    FluidOunceLabel,
    /// US teaspoon.
    Teaspoon,
    /// US tablespoon.
    Tablespoon,
    /// US cup.
    Cup,
    /// US gallon, 231 cubic inches.
    GallonUs,
    /// Imperial gallon.
    GallonImperial,
    /// Milligram.
    Milligram,
    /// Gram.
    Gram,
    /// Kilogram.
    Kilogram,
    /// Avoirdupois ounce, by weight.
    OunceWeight,
    /// Avoirdupois pound.
    Pound,
    /// Degree Celsius.
    Celsius,
    /// Degree Fahrenheit.
    Fahrenheit,
    /// Millisecond.
    Millisecond,
    /// Second.
    Second,
    /// Minute.
    Minute,
}

/// A number with its unit, exactly as it was written (`29.60 mL` keeps its zero).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Quantity {
    /// The number as read; its scale is the number of decimals that were written.
    pub number: Decimal,
    /// The unit as read.
    pub unit: Unit,
}
