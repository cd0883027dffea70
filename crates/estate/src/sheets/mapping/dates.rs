//! Dates as people type them, in whatever style; what cannot be told is left open.

use jiff::civil::{Date, ISOWeekDate, Time, Weekday};
use jiff::{Span, ToSpan};

use super::super::table::Hint;
use super::super::when::{When, clock, digits};
use super::Order;
use super::words::{MONTHS, phrase};

/// A date that may need an answer before it is one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Dated {
    /// Only one reading.
    Clear(When),
    /// Two numbers and a year, either of which may be the day.
    Either { first: i8, second: i8, year: i16, time: Option<Time> },
    /// A day without a year.
    NoYear { day: i8, month: i8 },
    /// Two numbers without a year, either of which may be the day.
    EitherNoYear { first: i8, second: i8 },
    /// A week of the year, without one.
    Week { week: i8 },
}

/// Answers that turn what was typed into a date.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Settled {
    pub(super) order: Option<Order>,
    pub(super) year: Option<i16>,
}

/// Which question has to be answered first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Need {
    Order,
    Year,
    /// No such day.
    Never,
}

impl Dated {
    /// The date, once everything that it needs is settled.
    pub(super) fn settle(self, settled: Settled) -> Result<When, Need> {
        let (day, month, year, time) = match self {
            Dated::Clear(when) => return Ok(when),
            Dated::Either { first, second, year, time } => {
                let (day, month) = pick(first, second, settled.order)?;
                (day, month, year, time)
            }
            Dated::NoYear { day, month } => (day, month, settled.year.ok_or(Need::Year)?, None),
            Dated::EitherNoYear { first, second } => {
                let (day, month) = pick(first, second, settled.order)?;
                (day, month, settled.year.ok_or(Need::Year)?, None)
            }
            Dated::Week { week } => {
                let year = settled.year.ok_or(Need::Year)?;
                let monday =
                    ISOWeekDate::new(year, week, Weekday::Monday).map_err(|_| Need::Never)?;
                return Ok(When { date: monday.date(), time: None, offset: None });
            }
        };
        let date = Date::new(year, month, day).map_err(|_| Need::Never)?;
        Ok(When { date, time, offset: None })
    }

    /// Whether day and month can be told apart only by their order.
    pub(super) fn pair(self) -> Option<(i8, i8)> {
        match self {
            Dated::Either { first, second, .. } | Dated::EitherNoYear { first, second } => {
                Some((first, second))
            }
            _ => None,
        }
    }
}

fn pick(first: i8, second: i8, order: Option<Order>) -> Result<(i8, i8), Need> {
    match order {
        _ if first == second => Ok((first, second)),
        _ if first > 12 => Ok((first, second)),
        _ if second > 12 => Ok((second, first)),
        Some(Order::DayMonth) => Ok((first, second)),
        Some(Order::MonthDay) => Ok((second, first)),
        None => Err(Need::Order),
    }
}

/// Reads a cell as a date.
pub(super) fn read(text: &str, hint: Hint) -> Option<Dated> {
    let text = text.trim();
    if text.is_empty() || text.len() > 60 {
        return None;
    }
    if let Some(when) = When::iso(text) {
        return Some(Dated::Clear(when));
    }
    if hint == Hint::Time || hint == Hint::Duration {
        return None;
    }
    if let Some(when) = serial(text) {
        return Some(Dated::Clear(when));
    }
    let (day, time) = cut_time(text);
    numbers(day, time).or_else(|| named(day, time))
}

/// A date anywhere in a longer text, such as `Week of 2 Mar 2026` or `Log 2026-03-02.xlsx`.
pub(super) fn within(text: &str) -> Option<Dated> {
    if let Some(found) = read(text, Hint::Text).filter(|_| !is_number(text)) {
        return Some(found);
    }
    let words: Vec<&str> =
        text.split([' ', '_', ',', '(', ')', ':', '\n']).filter(|w| !w.is_empty()).collect();
    for count in (1..=4).rev() {
        for some in words.windows(count) {
            let text = some.join(" ");
            if !is_number(&text)
                && let Some(found) = read(&text, Hint::Text)
            {
                return Some(found);
            }
        }
    }
    week(&phrase(text))
}

/// A number alone, which in running text is no date even where a cell of dates might mean one by it.
fn is_number(text: &str) -> bool {
    text.bytes().all(|b| b.is_ascii_digit() || b == b'.') && text.matches('.').count() < 2
}

/// `week 10`, `wk 10`, `kw 10`, `semana 10`.
fn week(phrase: &str) -> Option<Dated> {
    let words: Vec<&str> = phrase.split(' ').collect();
    let name = |w: &str| matches!(w, "week" | "wk" | "kw" | "semana" | "woche");
    let number = words.windows(2).find(|w| name(w[0])).and_then(|w| digits(w[1].as_bytes()));
    let joined = || {
        words.iter().find_map(|w| {
            w.strip_prefix("kw")
                .or(w.strip_prefix("wk"))
                .or(w.strip_prefix('w'))
                .and_then(|n| digits(n.as_bytes()))
        })
    };
    let week = number.or_else(joined)?;
    (1..=53).contains(&week).then_some(Dated::Week { week: week as i8 })
}

/// A spreadsheet's day number: 45000 is in 2023. Days before 1982 or after 2064 are something else.
fn serial(text: &str) -> Option<When> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    if whole.len() != 5 || !fraction.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let days = digits(whole.as_bytes()).filter(|d| (30_000..60_000).contains(d))?;
    let date = jiff::civil::date(1899, 12, 30).checked_add(i64::from(days).days()).ok()?;
    let part: f64 = format!("0.{fraction}0").parse().ok()?;
    // To the nearest second: a serial of five decimals is within one.
    let seconds = (part * 86_400.0).round() as i64;
    let time = (seconds > 0 && seconds < 86_400)
        .then(|| Time::midnight().wrapping_add(Span::new().seconds(seconds)));
    Some(When { date, time, offset: None })
}

/// The text before a time of day at its end, and the time.
fn cut_time(text: &str) -> (&str, Option<Time>) {
    for (at, _) in text.match_indices([' ', 'T', ',']) {
        let rest = &text[at + 1..];
        if rest.contains(':')
            && let Some((time, _)) = clock(rest)
        {
            return (text[..at].trim_end_matches([',', ' ']), Some(time));
        }
    }
    (text, None)
}

/// `02/03/2026`, `2.3.26`, `2026/03/02`, `02-03`, `20260302`.
fn numbers(text: &str, time: Option<Time>) -> Option<Dated> {
    let text = text.trim();
    if text.len() == 8 && text.starts_with("20") && text.bytes().all(|b| b.is_ascii_digit()) {
        return clear(
            digits(&text.as_bytes()[..4])?,
            digits(&text.as_bytes()[4..6])?,
            digits(&text.as_bytes()[6..])?,
            time,
        );
    }
    let mark = text.chars().find(|c| matches!(c, '/' | '.' | '-'))?;
    let parts: Vec<&str> = text.split(mark).map(str::trim).collect();
    let numbers: Vec<u32> = parts
        .iter()
        .filter(|p| !p.is_empty())
        .map(|p| digits(p.as_bytes()))
        .collect::<Option<_>>()?;
    match numbers.as_slice() {
        [year, month, day] if *year > 1900 => clear(*year, *month, *day, time),
        [first, second, year] if parts.len() == 3 => {
            let year = full_year(*year, parts[2].len())?;
            if mark == '.' {
                return clear(u32::try_from(year).ok()?, *second, *first, time);
            }
            either(*first, *second, year, time)
        }
        // `2.3.` is a German day; `2.3` is a number.
        [day, month] if mark == '.' && text.ends_with('.') => no_year(*day, *month),
        [first, second] if mark == '/' && parts.len() == 2 => {
            let (a, b) = (small(*first, 31)?, small(*second, 31)?);
            match (a > 12, b > 12) {
                (true, true) => None,
                (true, false) => Some(Dated::NoYear { day: a, month: b }),
                (false, true) => Some(Dated::NoYear { day: b, month: a }),
                _ if a == b => Some(Dated::NoYear { day: a, month: b }),
                _ => Some(Dated::EitherNoYear { first: a, second: b }),
            }
        }
        _ => None,
    }
}

fn either(first: u32, second: u32, year: i16, time: Option<Time>) -> Option<Dated> {
    let (a, b) = (small(first, 31)?, small(second, 31)?);
    let year_number = u32::try_from(year).ok()?;
    match (a > 12, b > 12) {
        (true, true) => None,
        (true, false) => clear(year_number, second, first, time),
        (false, true) => clear(year_number, first, second, time),
        _ if a == b => clear(year_number, first, second, time),
        _ => Some(Dated::Either { first: a, second: b, year, time }),
    }
}

/// `2 Mar 26`, `Mar 2, 2026`, `Mon 2nd March 2026`, `2. März 2026`, `2 de marzo de 2026`, `2-Mar`.
fn named(text: &str, time: Option<Time>) -> Option<Dated> {
    let phrase = phrase(text);
    let mut month = None;
    let mut numbers: Vec<(u32, usize)> = Vec::new();
    for word in phrase.split(' ') {
        let bare = word.trim_end_matches(|c: char| c.is_ascii_alphabetic());
        if let Some(n) = digits(bare.as_bytes())
            .filter(|_| matches!(&word[bare.len()..], "" | "st" | "nd" | "rd" | "th"))
        {
            numbers.push((n, bare.len()));
        } else if let Some(m) = month_of(word) {
            if month.replace(m).is_some() {
                return None;
            }
        } else if !(matches!(word, "de" | "del" | "of" | "the") || weekday(word)) {
            return None;
        }
    }
    let month = month?;
    match numbers.as_slice() {
        [(day, _)] if *day <= 31 => no_year(*day, month),
        [(year, 4), (day, _)] | [(day, _), (year, 4 | 2)] => {
            let length = if *year > 99 { 4 } else { 2 };
            clear(u32::try_from(full_year(*year, length)?).ok()?, month, *day, time)
        }
        _ => None,
    }
}

fn month_of(word: &str) -> Option<u32> {
    if word.len() < 3 || word.bytes().any(|b| b.is_ascii_digit()) {
        return None;
    }
    const LONGEST: &[&str] = &[
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "sept",
        "october",
        "november",
        "december",
        "enero",
        "febrero",
        "marzo",
        "abril",
        "mayo",
        "junio",
        "julio",
        "agosto",
        "septiembre",
        "setiembre",
        "octubre",
        "noviembre",
        "diciembre",
        "januar",
        "jaenner",
        "februar",
        "maerz",
        "mai",
        "juni",
        "juli",
        "oktober",
        "dezember",
    ];
    // A short form, or the beginning of the whole name: `mar`, not `marble`.
    let known = LONGEST.iter().any(|whole| whole.starts_with(word));
    let short = MONTHS.iter().any(|names| names.contains(&word));
    (known || short)
        .then(|| MONTHS.iter().position(|names| names.iter().any(|n| word.starts_with(n))))
        .flatten()
        .and_then(|m| u32::try_from(m + 1).ok())
}

fn weekday(word: &str) -> bool {
    const DAYS: &[&str] = &[
        "monday",
        "tuesday",
        "wednesday",
        "thursday",
        "friday",
        "saturday",
        "sunday",
        "montag",
        "dienstag",
        "mittwoch",
        "donnerstag",
        "freitag",
        "samstag",
        "sonntag",
        "lunes",
        "martes",
        "miercoles",
        "jueves",
        "viernes",
        "sabado",
        "domingo",
        "tues",
        "thurs",
        "mo",
        "di",
        "mi",
        "do",
        "fr",
        "sa",
        "so",
    ];
    DAYS.iter().any(|d| *d == word || (word.len() >= 3 && d.starts_with(word)))
}

fn clear(year: u32, month: u32, day: u32, time: Option<Time>) -> Option<Dated> {
    let date = Date::new(i16::try_from(year).ok()?, small(month, 12)?, small(day, 31)?).ok()?;
    Some(Dated::Clear(When { date, time, offset: None }))
}

fn no_year(day: u32, month: u32) -> Option<Dated> {
    Some(Dated::NoYear { day: small(day, 31)?, month: small(month, 12)? })
}

/// A year of two digits is of this century.
fn full_year(year: u32, length: usize) -> Option<i16> {
    match length {
        2 => i16::try_from(2000 + year).ok(),
        4 if (1900..2200).contains(&year) => i16::try_from(year).ok(),
        _ => None,
    }
}

fn small(n: u32, most: u32) -> Option<i8> {
    (1..=most).contains(&n).then(|| i8::try_from(n).ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settled(text: &str, order: Order) -> String {
        let settled = Settled { order: Some(order), year: Some(2026) };
        match read(text, Hint::Text).map(|d| d.settle(settled)) {
            Some(Ok(when)) => match when.time {
                Some(time) => format!("{}T{}", when.date, time),
                None => when.date.to_string(),
            },
            other => format!("{other:?}"),
        }
    }

    #[test]
    fn the_second_of_march_in_many_styles() {
        for text in [
            "2026-03-02",
            "2026/03/02",
            "2026/3/2",
            "20260302",
            "02/03/2026",
            "2/3/26",
            "02-03-2026",
            "2.3.2026",
            "02.03.26",
            "2 Mar 26",
            "2-Mar-2026",
            "Mar 2, 2026",
            "March 2nd 2026",
            "Mon 2 Mar 2026",
            "2. März 2026",
            "2 de marzo de 2026",
            "46083",
            "2/3",
            "2 Mar",
            "2.3.",
            "Montag, 2. Mrz 2026",
        ] {
            assert_eq!(settled(text, Order::DayMonth), "2026-03-02", "{text}");
        }
        assert_eq!(settled("03/02/2026", Order::MonthDay), "2026-03-02");
        assert_eq!(settled("3/2", Order::MonthDay), "2026-03-02");
        assert_eq!(settled("02/03/2026 6:41 am", Order::DayMonth), "2026-03-02T06:41:00");
        assert_eq!(settled("2 Mar 26 18:05", Order::DayMonth), "2026-03-02T18:05:00");
        assert_eq!(settled("46083.25", Order::DayMonth), "2026-03-02T06:00:00");
    }

    #[test]
    fn evidence_beats_the_order_and_nonsense_is_no_date() {
        assert_eq!(settled("25/03/2026", Order::MonthDay), "2026-03-25");
        assert_eq!(settled("03/25/2026", Order::DayMonth), "2026-03-25");
        for text in [
            "",
            "29.6",
            "30",
            "29,6 ml",
            "Marble",
            "31/31/2026",
            "31.02.2026",
            "7.1 s",
            "Line 3",
            "1/4 turn",
            "12345678",
            "second",
        ] {
            assert_eq!(read(text, Hint::Text), None, "{text}");
        }
    }

    #[test]
    fn a_date_is_found_within_a_title() {
        let found = |t: &str| {
            within(t)
                .and_then(|d| {
                    d.settle(Settled { order: Some(Order::DayMonth), year: Some(2026) }).ok()
                })
                .map(|w| w.date.to_string())
        };
        assert_eq!(found("Week of 2 Mar 2026"), Some("2026-03-02".to_owned()));
        assert_eq!(
            found("Calibration log: 02/03/2026 (late shift)"),
            Some("2026-03-02".to_owned())
        );
        assert_eq!(found("KW 10"), Some("2026-03-02".to_owned()));
        assert_eq!(found("log_2026-03-02"), Some("2026-03-02".to_owned()));
        assert_eq!(found("Fern Hollow"), None);
    }
}
