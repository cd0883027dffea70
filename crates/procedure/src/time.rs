//! Times as people write them in procedures: whole seconds, minutes, hours or days, and a span of two.

use std::fmt;
use std::str::FromStr;

use ouncewise_estate::Misread;
use serde::{Serialize, Serializer};

/// A length of time in whole seconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Seconds(pub u32);

const UNITS: &[(&str, u32)] =
    &[("days", 86_400), ("day", 86_400), ("h", 3600), ("min", 60), ("s", 1)];
/// A thousand days: nothing here takes longer.
const MOST: u32 = 1000 * 86_400;

impl FromStr for Seconds {
    type Err = Misread;

    fn from_str(text: &str) -> Result<Self, Misread> {
        let text = text.trim();
        let digits = text.bytes().take_while(u8::is_ascii_digit).count();
        let unit = text[digits..].trim();
        let hint = "write a whole number with its unit: `30 s`, `2 min`, `1 h` or `7 days`";
        let per = UNITS.iter().find(|(word, _)| *word == unit).map(|(_, per)| *per);
        match (text[..digits].parse::<u32>(), per) {
            (Ok(number), Some(per)) => match number.checked_mul(per) {
                Some(seconds) if seconds <= MOST => Ok(Self(seconds)),
                _ => Err(Misread::new(format!("`{text}` is longer than 1000 days"), hint)),
            },
            _ => Err(Misread::new(format!("`{text}` is no time"), hint)),
        }
    }
}

impl fmt::Display for Seconds {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let fits = |(_, per): &&(&str, u32)| self.0 >= *per && self.0.is_multiple_of(*per);
        match UNITS.iter().find(fits) {
            // "1 days" is no English.
            Some(_) if self.0 == 86_400 => f.write_str("1 day"),
            Some((unit, per)) => write!(f, "{} {unit}", self.0 / per),
            None => write!(f, "{} s", self.0),
        }
    }
}

impl Serialize for Seconds {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_u32(self.0)
    }
}

/// From a quick hand to a slow one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub struct Takes {
    /// A quick hand.
    pub least: Seconds,
    /// A slow one.
    pub most: Seconds,
}

impl FromStr for Takes {
    type Err = Misread;

    fn from_str(text: &str) -> Result<Self, Misread> {
        let Some((from, to)) = text.split_once(" to ") else {
            let both: Seconds = text.parse()?;
            return Ok(Self { least: both, most: both });
        };
        let most: Seconds = to.parse()?;
        // `1 to 3 min`: the first number has the unit of the second.
        let unit = to.trim().trim_start_matches(|c: char| c.is_ascii_digit());
        let bare = from.trim().bytes().all(|b| b.is_ascii_digit());
        let from = if bare { format!("{from}{unit}") } else { from.to_owned() };
        let least: Seconds = from.parse()?;
        if least > most {
            let hint = "write the shorter time first";
            return Err(Misread::new(format!("`{text}` runs backwards"), hint));
        }
        Ok(Self { least, most })
    }
}

impl fmt::Display for Takes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.least == self.most {
            write!(f, "{}", self.least)
        } else {
            write!(f, "{} to {}", self.least, self.most)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_and_written_back() {
        for text in ["30 s", "90 s", "2 min", "1 h", "1 day", "7 days", "0 s"] {
            assert_eq!(text.parse::<Seconds>().unwrap().to_string(), text);
        }
        assert_eq!("1 to 3 min".parse::<Takes>().unwrap().to_string(), "1 min to 3 min");
        for text in ["", "s", "3", "3 weeks", "-1 s", "99999999999 s", "4294967295 days"] {
            assert!(text.parse::<Seconds>().is_err(), "{text}");
        }
        assert!("3 to 1 min".parse::<Takes>().is_err());
    }
}
