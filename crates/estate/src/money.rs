//! What a product costs: `4.20 EUR/L`. Decimal throughout.

use std::fmt;
use std::str::FromStr;

use rust_decimal::Decimal;

use crate::misread::Misread;
use crate::percent::decimal;

/// A currency by its three letters (ISO 4217): `EUR`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Currency([u8; 3]);

impl Currency {
    /// Its three letters.
    #[must_use]
    pub fn as_str(&self) -> &str {
        std::str::from_utf8(&self.0).expect("a currency is three capital letters")
    }
}

impl FromStr for Currency {
    type Err = Misread;

    fn from_str(text: &str) -> Result<Self, Misread> {
        match text.trim().as_bytes() {
            &[a, b, c] if [a, b, c].iter().all(u8::is_ascii_alphabetic) => {
                Ok(Self([a, b, c].map(|x| x.to_ascii_uppercase())))
            }
            _ => Err(Misread::new(
                format!("`{text}` is not a currency"),
                match text.trim() {
                    "€" => "write `EUR`",
                    "£" => "write `GBP`",
                    _ => "write its three letters: `EUR`, `GBP`, `USD`",
                },
            )),
        }
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

/// What a cost is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Per {
    /// For one litre.
    Litre,
    /// For one kilogram.
    Kilogram,
}

/// What a product costs per litre or kilogram.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Cost {
    /// How much.
    pub amount: Decimal,
    /// In what.
    pub currency: Currency,
    /// For what.
    pub per: Per,
}

impl FromStr for Cost {
    type Err = Misread;

    /// Reads `4.20 EUR/L`, `4,20 EUR per kg`.
    fn from_str(text: &str) -> Result<Self, Misread> {
        let refuse = || {
            Misread::new(
                format!("`{text}` is not a cost"),
                "write an amount, a currency, and per litre or kilogram: `4.20 EUR/L`, `3.10 EUR/kg`",
            )
        };
        let (money, per) =
            text.split_once('/').or_else(|| text.split_once(" per ")).ok_or_else(refuse)?;
        let (amount, currency) = money.trim().split_once(' ').ok_or_else(refuse)?;
        let per = match per.trim() {
            "L" | "l" | "litre" | "liter" => Per::Litre,
            "kg" | "kilogram" => Per::Kilogram,
            _ => return Err(refuse()),
        };
        let amount = decimal(amount.trim()).ok_or_else(refuse)?;
        if amount.is_sign_negative() && !amount.is_zero() {
            return Err(Misread::new(
                format!("`{text}` is less than nothing"),
                "a cost is zero or more",
            ));
        }
        Ok(Self { amount: amount.abs(), currency: currency.trim().parse()?, per })
    }
}

impl fmt::Display for Cost {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let per = match self.per {
            Per::Litre => "L",
            Per::Kilogram => "kg",
        };
        f.pad(&format!("{} {}/{per}", self.amount, self.currency))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cost_reads_as_it_prints() {
        for (text, print) in [
            ("4.20 EUR/L", "4.20 EUR/L"),
            ("4,20 eur per l", "4.20 EUR/L"),
            ("0 GBP/kg", "0 GBP/kg"),
        ] {
            assert_eq!(text.parse::<Cost>().unwrap().to_string(), print);
        }
        for bad in ["", "4.20", "4.20 EUR", "4.20 €/L", "-1 EUR/L", "EUR/L", "4 EUR/gal"] {
            assert!(bad.parse::<Cost>().is_err(), "{bad}");
        }
    }
}
