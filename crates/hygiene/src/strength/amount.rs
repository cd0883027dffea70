//! What a person writes of a solution: a dose (`2 sachets`, `30 mL`, `1.7 g`) and a strength (`100 ppm`).

use std::fmt;
use std::ops::Range;
use std::str::FromStr;

use ouncewise_measure::Quantity;
use ouncewise_measure::print::significant;
use ouncewise_measure::quantity::{Dimension, Fault, QuantityError};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;

/// A strength in milligrams per litre. In solutions as thin as a sanitiser's, 1 ppm is 1 mg/L.
///
/// ```
/// use ouncewise_hygiene::strength::MgPerLitre;
/// assert_eq!("12,5 ppm".parse::<MgPerLitre>()?, MgPerLitre(12.5));
/// assert_eq!(MgPerLitre(94.635).to_string(), "94.6 mg/L");
/// # Ok::<(), ouncewise_measure::quantity::QuantityError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize)]
#[serde(transparent)]
pub struct MgPerLitre(pub f64);

impl MgPerLitre {
    /// The unit symbol that belongs after the number.
    pub const SYMBOL: &str = "mg/L";
}

impl fmt::Display for MgPerLitre {
    /// To three digits.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = significant(self.0, 3);
        let text = if text.contains('.') {
            text.trim_end_matches('0').trim_end_matches('.')
        } else {
            &text
        };
        out.pad(&format!("{text} {}", Self::SYMBOL))
    }
}

impl FromStr for MgPerLitre {
    type Err = QuantityError;

    /// Reads `100 ppm`, `100 mg/L`, `12,5 mg/l`.
    ///
    /// # Errors
    /// As a quantity; also a number without a unit, another unit, and a strength under zero.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let (head, unit) = split(text);
        let span = head.len()..text.len();
        let unit: String =
            unit.chars().filter(|c| !c.is_whitespace()).collect::<String>().to_lowercase();
        if !matches!(unit.as_str(), "ppm" | "mg/l" | "mg/litre" | "mg/liter")
            && head.chars().any(|c| c.is_ascii_digit())
        {
            let (fault, what) = if unit.is_empty() {
                (Fault::NoUnit, "a strength stands without its unit".to_owned())
            } else {
                (Fault::UnknownUnit, format!("`{}` is no unit of strength", short(&unit)))
            };
            let mend = "write mg/L or ppm after the number, such as `100 ppm`; a percent belongs to the product, not to the solution";
            return Err(QuantityError { fault, span, what, mend: mend.into() });
        }
        let number = number(head, text.len(), "write a number and `ppm`, such as `100 ppm`")?;
        if number.is_sign_negative() {
            return Err(QuantityError {
                fault: Fault::TooSmall,
                span: 0..head.len(),
                what: "a strength cannot be under zero".into(),
                mend: "write how many milligrams are in a litre, such as `100 ppm`".into(),
            });
        }
        Ok(Self(number.to_f64().unwrap_or(f64::NAN)))
    }
}

/// A dose as it was measured out: whole sachets or tablets, or an amount.
///
/// ```
/// use ouncewise_hygiene::strength::DoseRead;
/// assert_eq!("2 sachets".parse::<DoseRead>()?, DoseRead::Pieces(2));
/// assert!("½ sachet".parse::<DoseRead>().is_err());
/// # Ok::<(), ouncewise_measure::quantity::QuantityError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DoseRead {
    /// A whole number of sachets or tablets, one or more.
    Pieces(u32),
    /// A volume or a mass over zero.
    Amount(Quantity),
}

/// What people call a piece.
const PIECES: &[&str] = &[
    "sachet", "sachets", "packet", "packets", "pack", "packs", "pouch", "pouches", "tablet",
    "tablets", "tab", "tabs", "piece", "pieces",
];

impl fmt::Display for DoseRead {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Pieces(1) => out.pad("1 piece"),
            Self::Pieces(count) => out.pad(&format!("{count} pieces")),
            Self::Amount(quantity) => out.pad(&quantity.to_string()),
        }
    }
}

impl FromStr for DoseRead {
    type Err = QuantityError;

    /// Reads `1 sachet`, `3 tablets`, `30 mL`, `1.7 g`.
    ///
    /// # Errors
    /// As a quantity; also part of a piece (the blend in a sachet settles out, and the label speaks of whole ones: H row
    /// HY-57, JUDGE), no dose at all, a time or a temperature.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let (head, unit) = split(text);
        if PIECES.iter().any(|word| unit.eq_ignore_ascii_case(word)) {
            let number = number(head, text.len(), "write how many, such as `2 sachets`")?;
            let count = if number.is_integer() { number.to_u32() } else { None };
            return match count {
                Some(0) => Err(nothing(0..text.len())),
                Some(count) => Ok(Self::Pieces(count)),
                None => Err(QuantityError {
                    fault: Fault::NotWhole,
                    span: 0..head.len(),
                    what: "a sachet or a tablet is used whole".into(),
                    mend: "use whole pieces and fit the water to them; what is in one may have settled apart".into(),
                }),
            };
        }
        let quantity: Quantity =
            text.parse().map_err(|error: QuantityError| match error.fault {
                Fault::NoUnit => QuantityError {
                    mend: "write what it is, such as `2 sachets`, `1 tablet`, `30 mL` or `1.7 g`"
                        .into(),
                    ..error
                },
                _ => error,
            })?;
        match quantity.unit.dimension() {
            Dimension::Volume | Dimension::Mass if quantity.number > Decimal::ZERO => {
                Ok(Self::Amount(quantity))
            }
            Dimension::Volume | Dimension::Mass => Err(nothing(0..text.len())),
            _ => Err(QuantityError {
                fault: Fault::WrongDimension,
                span: 0..text.len(),
                what: format!("`{quantity}` is no dose"),
                mend: "write pieces, a volume or a mass, such as `2 sachets`, `30 mL` or `1.7 g`"
                    .into(),
            }),
        }
    }
}

fn nothing(span: Range<usize>) -> QuantityError {
    QuantityError {
        fault: Fault::TooSmall,
        span,
        what: "a dose of nothing makes no solution".into(),
        mend: "write what went in, such as `1 sachet` or `30 mL`".into(),
    }
}

/// The text up to its last letters, and those letters (`mg/L` is one word).
fn split(text: &str) -> (&str, &str) {
    let text = text.trim_end();
    let at = text
        .rfind(|c: char| !c.is_alphabetic() && c != '/')
        .map_or(0, |at| at + text[at..].chars().next().map_or(1, char::len_utf8));
    // A fraction's slash stands before a digit, so it is never at the end; a unit begins with a letter.
    let word = text[at..].trim_start_matches('/');
    (&text[..text.len() - word.len()], word)
}

/// A number read as any quantity's is: with its comma, without thousands, exactly.
fn number(head: &str, length: usize, empty: &str) -> Result<Decimal, QuantityError> {
    let read: Result<Quantity, _> = format!("{head} mg").parse();
    read.map(|quantity| quantity.number).map_err(|error| {
        let end = error.span.end.min(length).min(head.len());
        let start = error.span.start.min(end);
        let mend = if matches!(error.fault, Fault::Empty | Fault::NoNumber) {
            empty.to_owned()
        } else {
            error.mend
        };
        let what = if error.fault == Fault::NoNumber {
            "there is no number".to_owned()
        } else {
            error.what
        };
        QuantityError { span: start..end, what, mend, ..error }
    })
}

/// The beginning of somebody's text, for an error.
fn short(text: &str) -> String {
    text.chars().take(20).map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_dose_is_whole_pieces_or_an_amount() {
        for (text, expected) in
            [("1 sachet", 1), ("2 tablets", 2), (" 3  Packets", 3), ("4tabs", 4)]
        {
            assert_eq!(text.parse::<DoseRead>(), Ok(DoseRead::Pieces(expected)), "{text}");
        }
        let amount = "30 mL".parse().unwrap();
        assert_eq!("30 ml".parse::<DoseRead>(), Ok(DoseRead::Amount(amount)));
    }

    /// HY-57 (JUDGE): a packet is never split.
    #[test]
    fn part_of_a_piece_and_no_dose_are_refused() {
        for (text, fault) in [
            ("½ sachet", Fault::NotWhole),
            ("1.5 tablets", Fault::NotWhole),
            ("1/2 packet", Fault::NotWhole),
            ("-1 sachets", Fault::NotWhole),
            ("0 sachets", Fault::TooSmall),
            ("0 mL", Fault::TooSmall),
            ("-3 g", Fault::TooSmall),
            ("2", Fault::NoUnit),
            ("7 s", Fault::WrongDimension),
            ("1 oz", Fault::WhichUnit),
            ("sachets", Fault::NoNumber),
            ("", Fault::Empty),
        ] {
            let error = text.parse::<DoseRead>().expect_err(text);
            assert_eq!(error.fault, fault, "{text}: {error}");
            assert!(!error.mend.is_empty(), "{text}");
        }
    }

    #[test]
    fn a_strength_needs_its_unit() {
        assert_eq!("100 ppm".parse(), Ok(MgPerLitre(100.0)));
        assert_eq!("100mg/l".parse(), Ok(MgPerLitre(100.0)));
        assert_eq!("0 mg/L".parse(), Ok(MgPerLitre(0.0)));
        for (text, fault) in [
            ("100", Fault::NoUnit),
            ("5 %", Fault::NoUnit),
            ("100 mg", Fault::UnknownUnit),
            ("-5 ppm", Fault::TooSmall),
            ("1,000 ppm", Fault::Separator),
            ("ppm", Fault::NoNumber),
        ] {
            assert_eq!(text.parse::<MgPerLitre>().expect_err(text).fault, fault, "{text}");
        }
        assert_eq!(MgPerLitre(100.0).to_string(), "100 mg/L");
        assert_eq!(MgPerLitre(12.5).to_string(), "12.5 mg/L");
        assert_eq!(MgPerLitre(1234.0).to_string(), "1230 mg/L");
    }

    proptest! {
        #[test]
        fn no_text_panics_and_every_span_is_inside(text in any::<String>()) {
            for error in [text.parse::<DoseRead>().err(), text.parse::<MgPerLitre>().err()].into_iter().flatten() {
                prop_assert!(text.get(error.span.clone()).is_some(), "{error:?}");
            }
        }

        #[test]
        fn what_is_printed_of_an_amount_reads_back(count in 1u32..10_000, tenths in 1u32..100_000) {
            let pieces = DoseRead::Pieces(count);
            prop_assert_eq!(pieces.to_string().parse::<DoseRead>(), Ok(pieces));
            let amount: DoseRead = format!("{}.{} mL", tenths / 10, tenths % 10).parse().unwrap();
            prop_assert_eq!(amount.to_string().parse::<DoseRead>(), Ok(amount));
        }
    }
}
