//! Dates and times: as written, at a site, and as a record spells them.

use jiff::civil::{Date, DateTime, Time};
use jiff::tz::{Offset, TimeZone};
use jiff::{Timestamp, ToSpan};

use super::code::{Code, Refusal};

/// A date, perhaps with a time of day, perhaps with its offset.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct When {
    pub(super) date: Date,
    pub(super) time: Option<Time>,
    pub(super) offset: Option<Offset>,
}

/// A moment as a record and its natural key spell it.
pub(super) struct Moment {
    /// As the record spells it: `2026-03-02T06:41:00.000+01:00`.
    pub(super) at: String,
    /// As written, for the natural key, so that a site's time zone may change without making rows new.
    pub(super) written: String,
}

impl When {
    /// Reads `2026-03-02`, `2026-03-02T06:41`, `2026-03-02 06:41:07.25`, each time with `Z` or `+01:00` if wanted.
    pub(super) fn iso(text: &str) -> Option<When> {
        let bytes = text.as_bytes();
        if bytes.len() < 10 || bytes[4] != b'-' || bytes[7] != b'-' {
            return None;
        }
        let year = i16::try_from(digits(&bytes[..4])?).ok()?;
        let date = Date::new(year, small(&bytes[5..7])?, small(&bytes[8..10])?).ok()?;
        if bytes.len() == 10 {
            return Some(When { date, time: None, offset: None });
        }
        if !matches!(bytes[10], b'T' | b' ' | b't') || !text.is_char_boundary(11) {
            return None;
        }
        let (time, offset) = clock(text[11..].trim_start())?;
        Some(When { date, time: Some(time), offset })
    }

    /// The moment at a site, refused where it is in the future or absurdly long ago.
    pub(super) fn at(self, rules: &TimeZone, now: Timestamp) -> Result<Moment, Refusal> {
        // No such log was kept before; and a slipped century or a serial number read as a date lands there.
        if self.date.year() < 2000 {
            return Err(Refusal::new(
                0,
                Code::TooOld,
                format!("{} is before any such log", self.date),
            )
            .hint("write the year with four digits"));
        }
        let civil = self.date.to_datetime(self.time.unwrap_or_default());
        let out_of_range =
            |_| Refusal::new(0, Code::NotADate, format!("{} is out of range", self.date));
        let (civil, offset, instant) = match (self.offset, self.time) {
            (Some(offset), _) => (civil, offset, offset.to_timestamp(civil).map_err(out_of_range)?),
            (None, Some(_)) => {
                let zoned =
                    rules.to_ambiguous_zoned_datetime(civil).compatible().map_err(out_of_range)?;
                (zoned.datetime(), zoned.offset(), zoned.timestamp())
            }
            (None, None) => {
                let zoned = self.date.to_zoned_datetime(rules.clone()).map_err(out_of_range)?;
                (zoned.datetime(), zoned.offset(), zoned.timestamp())
            }
        };
        // A device's clock may be some minutes fast.
        if instant > now.saturating_add(10.minutes()).unwrap_or(now) {
            return Err(Refusal::new(
                0,
                Code::Future,
                format!("{} is in the future", self.written()),
            )
            .hint("mend the date; day and month may be swapped"));
        }
        Ok(Moment { at: spell(civil, offset), written: self.written() })
    }

    fn written(self) -> String {
        let mut out = String::with_capacity(32);
        push_date(&mut out, self.date);
        if let Some(time) = self.time {
            push_time(&mut out, time);
        }
        if let Some(offset) = self.offset {
            push_offset(&mut out, offset);
        }
        out
    }
}

/// Reads `06:41`, `6:41 pm`, `06:41:07.25`, `0641`? no: a colon or an am/pm is needed; with an offset if wanted.
pub(super) fn clock(text: &str) -> Option<(Time, Option<Offset>)> {
    let lower = text.trim().to_ascii_lowercase();
    let (body, offset) = cut_offset(&lower)?;
    let (body, half) = match body.trim_end_matches('.').strip_suffix('m') {
        Some(rest) => {
            let rest = rest.trim_end_matches('.');
            let (rest, pm) = rest
                .strip_suffix('p')
                .map(|r| (r, true))
                .or_else(|| rest.strip_suffix('a').map(|r| (r, false)))?;
            (rest.trim_end(), Some(pm))
        }
        None => {
            (body.strip_suffix(" uhr").or_else(|| body.strip_suffix(" h")).unwrap_or(body), None)
        }
    };
    let mut parts = body.split(':');
    let mut hour = i8::try_from(digits(parts.next()?.as_bytes())?).ok()?;
    let minute = match parts.next() {
        Some(m) => small(m.as_bytes())?,
        None if half.is_some() => 0,
        None => return None,
    };
    let (second, nanos) = match parts.next() {
        Some(s) => {
            let (whole, fraction) = s.split_once(['.', ',']).unwrap_or((s, ""));
            let millis = digits(format!("{fraction:0<3}").get(..3)?.as_bytes())?;
            (small(whole.as_bytes())?, i32::try_from(millis).ok()? * 1_000_000)
        }
        None => (0, 0),
    };
    if parts.next().is_some() {
        return None;
    }
    if let Some(pm) = half {
        if !(1..=12).contains(&hour) {
            return None;
        }
        hour = hour % 12 + if pm { 12 } else { 0 };
    }
    Some((Time::new(hour, minute, second, nanos).ok()?, offset))
}

fn cut_offset(text: &str) -> Option<(&str, Option<Offset>)> {
    if let Some(rest) = text.strip_suffix('z') {
        return Some((rest, Some(Offset::UTC)));
    }
    let Some(at) = text.rfind(['+', '-']) else { return Some((text, None)) };
    let (body, offset) = text.split_at(at);
    let (hours, minutes) = match offset[1..].split_once(':') {
        Some(parts) => parts,
        None if offset.len() == 5 => offset[1..].split_at_checked(2)?,
        None => (&offset[1..], "00"),
    };
    // As many hours as a cell can hold are no offset.
    let hours = digits(hours.as_bytes())?.checked_mul(3600)?;
    let minutes = digits(minutes.as_bytes())?.checked_mul(60)?;
    let seconds = i32::try_from(hours.checked_add(minutes)?).ok()?;
    let offset =
        Offset::from_seconds(if offset.starts_with('-') { -seconds } else { seconds }).ok()?;
    Some((body.trim_end(), Some(offset)))
}

/// A moment as a record spells it; fractions of a millisecond do not occur.
fn spell(civil: DateTime, offset: Offset) -> String {
    let mut out = String::with_capacity(32);
    push_date(&mut out, civil.date());
    push_time(&mut out, civil.time());
    push_offset(&mut out, offset);
    out
}

fn push_date(out: &mut String, date: Date) {
    push(out, u32::from(date.year().unsigned_abs()), 4);
    out.push('-');
    push(out, u32::from(date.month().unsigned_abs()), 2);
    out.push('-');
    push(out, u32::from(date.day().unsigned_abs()), 2);
}

fn push_time(out: &mut String, time: Time) {
    for (mark, value) in [('T', time.hour()), (':', time.minute()), (':', time.second())] {
        out.push(mark);
        push(out, u32::from(value.unsigned_abs()), 2);
    }
    out.push('.');
    push(out, u32::from(time.millisecond().unsigned_abs()), 3);
}

fn push_offset(out: &mut String, offset: Offset) {
    let minutes = offset.seconds() / 60;
    out.push(if minutes < 0 { '-' } else { '+' });
    push(out, minutes.unsigned_abs() / 60, 2);
    out.push(':');
    push(out, minutes.unsigned_abs() % 60, 2);
}

fn push(out: &mut String, value: u32, width: u32) {
    for place in (0..width).rev() {
        let digit = value / 10u32.pow(place) % 10;
        out.push(char::from(b'0' + digit as u8));
    }
}

/// Up to nine digits and nothing else.
pub(super) fn digits(bytes: &[u8]) -> Option<u32> {
    if bytes.is_empty() || bytes.len() > 9 {
        return None;
    }
    bytes
        .iter()
        .try_fold(0, |sum: u32, b| b.is_ascii_digit().then(|| sum * 10 + u32::from(b - b'0')))
}

fn small(bytes: &[u8]) -> Option<i8> {
    digits(bytes).and_then(|n| i8::try_from(n).ok())
}
