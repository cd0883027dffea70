//! Turns of a screw: `0.1 turn`, `1/8 turn`.

use std::fmt;
use std::str::FromStr;

use crate::misread::Misread;

/// So many turns, not negative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turns(pub f64);

impl FromStr for Turns {
    type Err = Misread;

    fn from_str(text: &str) -> Result<Self, Misread> {
        let refuse = || {
            Misread::new(
                format!("`{text}` is not turns of a screw"),
                "write a number or a fraction and `turn`, at most 100: `0.1 turn`, `1/8 turn`",
            )
        };
        let number =
            text.trim().trim_end_matches('s').strip_suffix("turn").ok_or_else(refuse)?.trim();
        let value = match number.split_once('/') {
            Some((over, under)) => plain(over)? / plain(under)?,
            None => plain(number)?,
        };
        return if (0.0..=100.0).contains(&value) { Ok(Self(value)) } else { Err(refuse()) };

        fn plain(text: &str) -> Result<f64, Misread> {
            let digits = text.trim().replace(',', ".");
            let fits =
                digits.len() <= 24 && digits.bytes().all(|b| b.is_ascii_digit() || b == b'.');
            fits.then(|| digits.parse().ok()).flatten().ok_or_else(|| {
                Misread::new(
                    format!("`{text}` is not a number of turns"),
                    "write `0.1 turn` or `1/8 turn`",
                )
            })
        }
    }
}

impl fmt::Display for Turns {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} turn{}", self.0, if self.0 > 1.0 { "s" } else { "" })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_read_as_they_print() {
        for (text, print) in [
            ("0.1 turn", "0.1 turn"),
            ("1/8 turns", "0.125 turn"),
            ("1 1/2 turn", ""),
            ("1/0 turn", ""),
            ("1/3 turn", "0.3333333333333333 turn"),
            ("2turns", "2 turns"),
            ("0.1", ""),
            ("-1 turn", ""),
        ] {
            match text.parse::<Turns>() {
                Ok(turns) => {
                    assert_eq!(turns.to_string(), print);
                    assert_eq!(print.parse::<Turns>().unwrap(), turns);
                }
                Err(_) => assert_eq!(print, "", "{text}"),
            }
        }
    }
}
