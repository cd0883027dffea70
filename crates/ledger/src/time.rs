//! Times, each with one spelling: RFC 3339 with milliseconds.

use jiff::Timestamp;
use jiff::tz::Offset;
use thiserror::Error;

/// Text that is no time as records spell it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error(
    "a time is written 2026-03-02T06:41:07.250+01:00, with milliseconds and offset, on a day and at an hour that exist"
)]
pub struct TimeError;

/// The moment that `YYYY-MM-DDThh:mm:ss.mmm` and `Z` or `±hh:mm` name.
///
/// # Errors
/// Any other spelling, a day or hour that does not exist, and a 60th second, which no device shows.
pub fn parse(text: &str) -> Result<Timestamp, TimeError> {
    let (civil, offset) = text.as_bytes().split_first_chunk::<23>().ok_or(TimeError)?;
    for (at, mark) in [(4, b'-'), (7, b'-'), (10, b'T'), (13, b':'), (16, b':'), (19, b'.')] {
        if civil[at] != mark {
            return Err(TimeError);
        }
    }
    // Thousands of times are read for one machine, so that digits are taken where they stand.
    let mut digits = true;
    let mut two = |at: usize| {
        let (tens, ones) = (civil[at].wrapping_sub(b'0'), civil[at + 1].wrapping_sub(b'0'));
        digits &= tens <= 9 && ones <= 9;
        u32::from(tens) * 10 + u32::from(ones)
    };
    let (year, month, day) = (two(0) * 100 + two(2), two(5), two(8));
    let (hour, minute, second) = (two(11), two(14), two(17));
    let (tenths, thousandths) = (two(20), civil[22].wrapping_sub(b'0'));
    if !digits || thousandths > 9 || hour > 23 || minute > 59 || second > 59 {
        return Err(TimeError);
    }
    let days = days(year, month, day).ok_or(TimeError)?;
    let milliseconds = i64::from(tenths * 10 + u32::from(thousandths));
    let civil = days * 86_400 + i64::from((hour * 60 + minute) * 60 + second);
    let seconds = match offset {
        b"Z" => 0,
        [sign @ (b'+' | b'-'), hours @ .., b':', tens, ones] => {
            let (hours, minutes) = (number(hours)?, number(&[*tens, *ones])?);
            if offset.len() != 6 || hours > 23 || minutes > 59 {
                return Err(TimeError);
            }
            let seconds = i64::from(hours) * 3600 + i64::from(minutes) * 60;
            if *sign == b'-' { -seconds } else { seconds }
        }
        _ => return Err(TimeError),
    };
    Timestamp::from_millisecond((civil - seconds) * 1000 + milliseconds).map_err(|_| TimeError)
}

/// Days in each month, from 1 on, and how many of a year that begins in March go before it.
const MONTHS: [(u32, u32); 13] = [
    (0, 0),
    (31, 306),
    (28, 337),
    (31, 0),
    (30, 31),
    (31, 61),
    (30, 92),
    (31, 122),
    (31, 153),
    (30, 184),
    (31, 214),
    (30, 245),
    (31, 275),
];

/// Days since 1970-01-01 of a day in a year from 0 on (the Gregorian calendar, ISO 8601); none of a day that does not exist.
fn days(year: u32, month: u32, day: u32) -> Option<i64> {
    let (long, before) = *MONTHS.get(month as usize)?;
    let leap_day = || {
        month == 2
            && day == 29
            && year.is_multiple_of(4)
            && (!year.is_multiple_of(100) || year.is_multiple_of(400))
    };
    if day < 1 || (day > long && !leap_day()) {
        return None;
    }
    // Years begin in March here, so that the leap day is their last; four hundred are added, so that none is below zero.
    let year = year + 400 - u32::from(month < 3);
    let days = 365 * year + year / 4 - year / 100 + year / 400 + before + day - 1;
    // 1970-01-01 is day 719,468 from 0000-03-01, which is day 146,097 here.
    Some(i64::from(days) - 865_565)
}

/// A moment as a record spells it in `at`: local time with its offset (whole minutes, as RFC 3339
/// has no others), fractions of a millisecond cut off.
#[must_use]
pub fn at(moment: Timestamp, offset: Offset) -> String {
    let minutes = offset.seconds() / 60;
    let local = Offset::from_seconds(minutes * 60)
        .expect("nearer to zero than an offset")
        .to_datetime(moment);
    let (sign, minutes) = (if minutes < 0 { '-' } else { '+' }, minutes.abs());
    format!(
        "{}{sign}{:02}:{:02}",
        local.strftime("%Y-%m-%dT%H:%M:%S.%3f"),
        minutes / 60,
        minutes % 60
    )
}

/// A moment as an entry spells its receipt: UTC, fractions of a millisecond cut off.
#[must_use]
pub fn received(moment: Timestamp) -> String {
    moment.strftime("%Y-%m-%dT%H:%M:%S.%3fZ").to_string()
}

/// One digit or two, nothing else.
fn number(digits: &[u8]) -> Result<i16, TimeError> {
    if digits.is_empty() || digits.len() > 2 {
        return Err(TimeError);
    }
    digits.iter().try_fold(0, |sum: i16, digit| {
        if digit.is_ascii_digit() { Ok(sum * 10 + i16::from(digit - b'0')) } else { Err(TimeError) }
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn one_spelling_of_a_moment() {
        let parsed = parse("2026-03-02T06:41:07.250+01:00").unwrap();
        assert_eq!(received(parsed), "2026-03-02T05:41:07.250Z");
        assert_eq!(parse("2026-03-02T05:41:07.250Z"), Ok(parsed));
        assert_eq!(parse("2026-03-01T23:11:07.250-06:30"), Ok(parsed));
        assert_eq!(at(parsed, Offset::constant(1)), "2026-03-02T06:41:07.250+01:00");
        assert_eq!(at(parsed, Offset::UTC), "2026-03-02T05:41:07.250+00:00");
        // A leap day, and RFC 3339 §5.8's first example in milliseconds.
        assert!(parse("2028-02-29T00:00:00.000Z").is_ok());
        assert_eq!(
            received(parse("1985-04-12T23:20:50.520Z").unwrap()),
            "1985-04-12T23:20:50.520Z"
        );
    }

    #[test]
    fn no_other_spelling() {
        let wrong = [
            "",
            "2026-03-02",
            "2026-03-02T06:41:07Z",
            "2026-03-02T06:41:07.25Z",
            "2026-03-02T06:41:07.250",
            "2026-03-02T06:41:07.2500Z",
            "2026-03-02t06:41:07.250Z",
            "2026-03-02T06:41:07.250z",
            "2026-03-02 06:41:07.250Z",
            "2026-03-02T06:41:07,250Z",
            "2026-03-02T06:41:07.250+0100",
            "2026-03-02T06:41:07.250+1:00",
            "2026-03-02T06:41:07.250+01:60",
            "2026-03-02T06:41:07.250+24:00",
            "2026-03-02T06:41:07.250+01:00[Europe/Vienna]",
            "2026-03-02T06:41:07.250\u{2212}01:00",
            "2026-02-29T06:41:07.250Z",
            "2026-13-02T06:41:07.250Z",
            "2026-03-00T06:41:07.250Z",
            "2026-03-02T24:00:00.000Z",
            // A leap second: no device shows it, and no two programs agree on it.
            "2016-12-31T23:59:60.000Z",
            "+026-03-02T06:41:07.250Z",
            "2026-+3-02T06:41:07.250Z",
            "２026-03-02T06:41:07.250Z",
            "9999-12-31T23:59:59.999-23:59",
        ];
        for text in wrong {
            assert_eq!(parse(text), Err(TimeError), "{text}");
        }
    }

    proptest! {
        #[test]
        fn moments_come_back(ms in -62_000_000_000_000..253_000_000_000_000_i64, minutes in -1439..=1439_i32) {
            let moment = Timestamp::from_millisecond(ms).unwrap();
            let offset = Offset::from_seconds(minutes * 60).unwrap();
            prop_assert_eq!(parse(&received(moment)), Ok(moment));
            prop_assert_eq!(parse(&at(moment, offset)), Ok(moment));
        }

        // The calendar of a library that shares nothing with ours.
        #[test]
        fn days_are_those_of_the_calendar(year in 0..=9999_u32, month in 0..=13_u32, day in 0..=32_u32) {
            let known = jiff::civil::Date::new(year as i16, month as i8, day as i8).ok();
            let known = known.map(|date| jiff::civil::date(1970, 1, 1).until(date).unwrap().get_days());
            prop_assert_eq!(days(year, month, day), known.map(i64::from));
        }

        #[test]
        fn any_text_is_answered(text in "\\PC{0,40}", close in "[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\\.[0-9]{3}[Z+-][0-9:]{0,6}") {
            let _ = (parse(&text), parse(&close));
        }
    }
}
