//! A percent as written: `5 %`. Kept exactly; never a bare number.

use std::fmt;
use std::str::FromStr;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use crate::misread::Misread;

/// A percent as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Percent(pub Decimal);

impl Percent {
    /// As a fraction: 5 % is 0.05.
    #[must_use]
    pub fn fraction(self) -> f64 {
        // Dividing in decimal first keeps 5 % at the double nearest to 0.05.
        (self.0 / Decimal::ONE_HUNDRED).to_f64().unwrap_or(0.0)
    }

    /// From a fraction that came from a percent: 0.05 gives 5 %.
    ///
    /// The inverse of [`Percent::fraction`]; nothing if it has no decimal form.
    #[must_use]
    pub fn from_fraction(fraction: f64) -> Option<Self> {
        let exact: Decimal = fraction.to_string().parse().ok()?;
        Some(Self((exact * Decimal::ONE_HUNDRED).normalize()))
    }
}

impl FromStr for Percent {
    type Err = Misread;

    fn from_str(text: &str) -> Result<Self, Misread> {
        let trimmed = text.trim();
        let Some(number) = trimmed.strip_suffix('%') else {
            return Err(Misread::new(
                format!("`{text}` has no percent sign"),
                match decimal(trimmed) {
                    Some(n) => format!("write `{n} %` if that is what was meant"),
                    None => "write a number and a percent sign: `5 %`".to_owned(),
                },
            ));
        };
        decimal(number.trim()).map(Self).ok_or_else(|| {
            Misread::new(
                format!("`{text}` is not a percent"),
                "write a number and a percent sign: `5 %`",
            )
        })
    }
}

/// A plain number as people type it: a point or one comma for decimals, no thousands.
pub(crate) fn decimal(text: &str) -> Option<Decimal> {
    let text = text.strip_prefix('±').unwrap_or(text).trim();
    let plain = text.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b',' | b'-' | b'+'));
    // Twelve digits are more than any measure shows, and leave room for exact products.
    (plain && text.len() <= 13 && text.bytes().filter(|b| matches!(b, b'.' | b',')).count() <= 1)
        .then(|| text.replace(',', ".").parse().ok())
        .flatten()
}

impl fmt::Display for Percent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{} %", self.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_percent_keeps_what_was_written() {
        for (text, print, fraction) in [
            ("5 %", "5 %", 0.05),
            ("5%", "5 %", 0.05),
            ("2,50 %", "2.50 %", 0.025),
            ("±7 %", "7 %", 0.07),
        ] {
            let p: Percent = text.parse().unwrap();
            assert_eq!(p.to_string(), print);
            assert!((p.fraction() - fraction).abs() < f64::EPSILON);
            assert_eq!(Percent::from_fraction(p.fraction()).unwrap(), p);
        }
    }

    #[test]
    fn a_bare_number_is_not_a_percent() {
        let e = "5".parse::<Percent>().unwrap_err();
        assert_eq!(e.hint, "write `5 %` if that is what was meant");
        for bad in ["", "%", "1,000.5 %", "five %", "1e3 %"] {
            assert!(bad.parse::<Percent>().is_err(), "{bad}");
        }
    }
}
