//! Quantities: plain newtypes for computing, and [`Quantity`] for what a person wrote.

mod error;
mod exact;
mod parse;
#[cfg(test)]
mod tests;
mod unit;

use std::fmt;
use std::str::FromStr;

use rust_decimal::Decimal;

pub(crate) use error::quoted;
pub use error::{Fault, QuantityError};
pub use exact::Exact;
pub(crate) use parse::{number, wrong};
pub(crate) use unit::blank;
pub use unit::{Dimension, Unit};

macro_rules! newtype {
    ($($(#[$doc:meta])* $name:ident $symbol:literal;)*) => {$(
        $(#[$doc])*
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

/// A number with its unit, exactly as it was written (`29.60 mL` keeps its zero).
///
/// ```
/// use ouncewise_measure::Quantity;
///
/// let read: Quantity = "29,60 ml".parse()?;
/// assert_eq!(read.to_string(), "29.60 mL");
/// let refused = "1 oz".parse::<Quantity>().unwrap_err();
/// assert_eq!(refused.span, 2..4);
/// assert!(refused.mend.contains("`fl oz (US)`"));
/// # Ok::<(), ouncewise_measure::quantity::QuantityError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Quantity {
    /// The number as read; its scale is the number of decimals that were written.
    pub number: Decimal,
    /// The unit as read.
    pub unit: Unit,
}

impl Quantity {
    /// A number with its unit; minus zero becomes zero.
    #[must_use]
    pub fn new(mut number: Decimal, unit: Unit) -> Quantity {
        if number.is_zero() {
            number.set_sign_positive(true);
        }
        Quantity { number, unit }
    }

    /// A computed value as somebody would read it, to so many decimals (at most 28).
    /// `None` if it is not finite, or too large to be written.
    #[must_use]
    pub fn rounded(value: f64, decimals: u32, unit: Unit) -> Option<Quantity> {
        if !value.is_finite() || decimals > Decimal::MAX_SCALE {
            return None;
        }
        let text = format!("{value:.*}", decimals as usize);
        Decimal::from_str_exact(&text).ok().map(|number| Quantity::new(number, unit))
    }

    /// The exact value in the base unit of its dimension: mL, g, s or °C.
    #[must_use]
    pub fn exact(self) -> Exact {
        Exact::scaled(self.number, self.unit.factor())
            .expect("96 bits over 10^28 times any factor of the table fits")
    }

    fn value(self, dimension: Dimension) -> Option<f64> {
        (self.unit.dimension() == dimension).then(|| self.exact().to_f64())
    }

    /// In millilitres, correctly rounded; `None` if it is no volume.
    #[must_use]
    pub fn volume(self) -> Option<Millilitres> {
        self.value(Dimension::Volume).map(Millilitres)
    }

    /// In grams, correctly rounded; `None` if it is no mass.
    #[must_use]
    pub fn mass(self) -> Option<Grams> {
        self.value(Dimension::Mass).map(Grams)
    }

    /// In seconds, correctly rounded; `None` if it is no duration.
    #[must_use]
    pub fn duration(self) -> Option<Seconds> {
        self.value(Dimension::Duration).map(Seconds)
    }

    /// In degrees Celsius, correctly rounded; `None` if it is no temperature.
    #[must_use]
    pub fn temperature(self) -> Option<Celsius> {
        self.value(Dimension::Temperature).map(Celsius)
    }
}

impl fmt::Display for Quantity {
    /// The canonical form, which a ledger keeps: `29.60 mL`, `1 fl oz (US)`.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{} {}", self.number, self.unit)
    }
}

impl FromStr for Quantity {
    type Err = QuantityError;

    /// Reads what people type: `29,6 ml`, `1 fl oz (US)`, `7.1s`, `½ cup (US)`, `deg F`.
    ///
    /// # Errors
    /// What is wrong, at which bytes, and how to mend it. A number with a thousands separator, a comma
    /// that may be one, and a unit that does not say which (`oz`, `gal`, `cup`) are refused, never guessed.
    fn from_str(text: &str) -> Result<Quantity, QuantityError> {
        parse::quantity(text)
    }
}

/// Reads any bytes as a quantity and as a unit, and holds the promises of both: no panic, a span
/// inside the text, the canonical form read back as the same. For fuzzers, and run by property tests.
///
/// # Panics
/// If a promise is broken.
pub fn fuzz_quantity(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    match text.parse::<Quantity>() {
        Ok(quantity) => {
            let canonical = quantity.to_string();
            let again: Quantity = canonical.parse().expect("the canonical form reads back");
            assert_eq!(
                (again, again.number.scale()),
                (quantity, quantity.number.scale()),
                "{canonical}"
            );
            assert!(quantity.exact().to_f64().is_finite(), "{canonical}");
        }
        Err(error) => {
            assert!(text.get(error.span.clone()).is_some(), "{error:?} is outside {text:?}");
        }
    }
    if let Err(error) = text.parse::<Unit>() {
        assert!(text.get(error.span.clone()).is_some(), "{error:?} is outside {text:?}");
    }
}
