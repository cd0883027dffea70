//! How long a wear part lasts: `26 weeks`.

use std::fmt;
use std::str::FromStr;

use crate::misread::Misread;

/// A span of calendar time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Life {
    /// So many days.
    Days(u32),
    /// So many weeks.
    Weeks(u32),
    /// So many months.
    Months(u32),
}

impl Life {
    /// About how many days: a month counts as 365.25 / 12.
    #[must_use]
    pub fn days(self) -> f64 {
        match self {
            Self::Days(n) => f64::from(n),
            Self::Weeks(n) => f64::from(n) * 7.0,
            Self::Months(n) => f64::from(n) * 365.25 / 12.0,
        }
    }
}

impl FromStr for Life {
    type Err = Misread;

    fn from_str(text: &str) -> Result<Self, Misread> {
        let refuse = || {
            Misread::new(
                format!("`{text}` is not how long a part lasts"),
                "write a whole number and days, weeks or months: `26 weeks`",
            )
        };
        let (number, unit) = text.trim().split_once(' ').ok_or_else(refuse)?;
        let number = number.parse().ok().filter(|n| *n > 0).ok_or_else(refuse)?;
        match unit.trim() {
            "day" | "days" => Ok(Self::Days(number)),
            "week" | "weeks" => Ok(Self::Weeks(number)),
            "month" | "months" => Ok(Self::Months(number)),
            _ => Err(refuse()),
        }
    }
}

impl fmt::Display for Life {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (n, unit) = match self {
            Self::Days(n) => (n, "day"),
            Self::Weeks(n) => (n, "week"),
            Self::Months(n) => (n, "month"),
        };
        f.pad(&format!("{n} {unit}{}", if *n == 1 { "" } else { "s" }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_life_reads_as_it_prints() {
        for text in ["1 day", "26 weeks", "12 months"] {
            assert_eq!(text.parse::<Life>().unwrap().to_string(), text);
        }
        for bad in ["", "26", "0 weeks", "-1 days", "1.5 weeks", "2 years"] {
            assert!(bad.parse::<Life>().is_err(), "{bad}");
        }
    }
}
