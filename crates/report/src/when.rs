//! When something was, and how long ago: an old catch says little about today.

use jiff::Timestamp;
use jiff::civil::DateTime;

use crate::plural::many;

/// The day of a record's time by the clock it was written by, and how long ago it is: `3 Mar 2026, 38 weeks ago`.
#[must_use]
pub fn day_and_age(at: &str, now: Timestamp) -> String {
    let day = at.get(..19).and_then(|local| local.parse::<DateTime>().ok());
    let day = day.map_or_else(|| at.to_owned(), |day| day.strftime("%-d %b %Y").to_string());
    let Ok(instant) = at.parse::<Timestamp>() else { return day };
    let hours = now.duration_since(instant).as_hours();
    let ago = match u64::try_from(hours).unwrap_or(0) / 24 {
        0 => return day,
        days @ 1..14 => many(days, "day"),
        days => many(days / 7, "week"),
    };
    format!("{day}, {ago} ago")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_told_with_its_age() {
        let told = |now: &str| day_and_age("2026-03-03T06:40:00.000+01:00", now.parse().unwrap());
        for (now, words) in [
            ("2026-03-03T20:00:00Z", "3 Mar 2026"),
            ("2026-03-01T00:00:00Z", "3 Mar 2026"),
            ("2026-03-04T06:00:00Z", "3 Mar 2026, 1 day ago"),
            ("2026-03-16T06:00:00Z", "3 Mar 2026, 13 days ago"),
            ("2026-11-28T00:00:00Z", "3 Mar 2026, 38 weeks ago"),
        ] {
            assert_eq!(told(now), words);
        }
        assert_eq!(day_and_age("some day", Timestamp::UNIX_EPOCH), "some day");
    }
}
