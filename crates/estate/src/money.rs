//! What a product costs: `4.20 EUR/L`, and other money that is stated. Decimal throughout.

use std::fmt;
use std::str::FromStr;

use rust_decimal::Decimal;

use crate::fields::{Fields, code};
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

/// A bare number that is nothing or more, and at most so many.
pub(crate) fn not_negative(f: &mut Fields<'_>, name: &str, most: u32) -> Option<Decimal> {
    let number = f.number(name)?;
    if (number.is_sign_negative() && !number.is_zero()) || number > most.into() {
        f.refuse_field(
            name,
            code::OUT_OF_RANGE,
            format!("`{name}` is {number}"),
            format!("it must be 0 or more, and at most {most}"),
        );
        return None;
    }
    Some(number.abs())
}

/// An amount of money as a record holds it: `120.00 EUR`.
///
/// # Errors
///
/// If it is not an amount and a currency.
pub fn amount(text: &str) -> Result<(Decimal, Currency), Misread> {
    let refuse = || {
        Misread::new(
            format!("`{text}` is not an amount of money"),
            "write an amount and a currency: `120.00 EUR`",
        )
    };
    let (number, currency) = text.trim().split_once(' ').ok_or_else(refuse)?;
    let number = decimal(number.trim()).filter(|n| !n.is_sign_negative()).ok_or_else(refuse)?;
    Ok((number, currency.trim().parse()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_amount_of_a_record_reads() {
        let (number, currency) = amount("120.00 eur").unwrap();
        assert_eq!((number.to_string().as_str(), currency.as_str()), ("120.00", "EUR"));
        for bad in ["", "120", "120 €", "-3 EUR", "EUR 120", "a lot"] {
            assert!(amount(bad).is_err(), "{bad}");
        }
    }

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
