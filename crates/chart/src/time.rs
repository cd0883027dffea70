//! The level axis: dates, and ticks that say them as people do.

use jiff::civil::{Date, DateTime, date};

/// The shortest time that a chart spans, in days.
const SHORTEST: f64 = 28.0;

const MONTHS: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// Days since 1970, by the clock of the site.
pub(crate) fn days(at: DateTime) -> f64 {
    at.duration_since(date(1970, 1, 1).at(0, 0, 0, 0)).as_secs_f64() / 86_400.0
}

/// A date as people say it: `3 Mar 2026`.
pub(crate) fn long(date: Date) -> String {
    format!("{} {}", short(date), date.year())
}

/// A date without its year: `3 Mar`.
fn short(date: Date) -> String {
    format!("{} {}", date.day(), MONTHS[usize::from(date.month().unsigned_abs()) - 1])
}

/// A level axis of dates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Span {
    from: f64,
    to: f64,
    first: Date,
    /// Where `from` is.
    pub(crate) left: f64,
    /// Where `to` is.
    pub(crate) right: f64,
}

/// A tick of the axis.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Tick {
    pub(crate) date: Date,
    /// `3 Mar`; a year where ticks are years.
    pub(crate) label: String,
    /// The year, where it is not the year of the tick before.
    pub(crate) year: Option<String>,
}

impl Span {
    /// An axis over all of some times; none for no time at all.
    pub(crate) fn over(
        times: impl Iterator<Item = DateTime>,
        left: f64,
        right: f64,
    ) -> Option<Self> {
        let (first, last) = times.fold(None, |ends: Option<(DateTime, DateTime)>, at| {
            Some(ends.map_or((at, at), |(first, last)| (first.min(at), last.max(at))))
        })?;
        let to = days(last);
        let from = days(first).min(to - SHORTEST);
        // At the beginning of all dates there is no earlier one.
        let first = first.date().checked_sub(jiff::Span::new().days(28)).unwrap_or(Date::MIN);
        Some(Self { from, to, first, left, right })
    }

    /// The same axis at another place.
    pub(crate) fn between(self, left: f64, right: f64) -> Self {
        Self { left, right, ..self }
    }

    /// Where a time is drawn; beyond the ends, at the ends.
    pub(crate) fn x(&self, at: DateTime) -> f64 {
        let part = ((days(at) - self.from) / (self.to - self.from)).clamp(0.0, 1.0);
        self.left + part * (self.right - self.left)
    }

    /// Whether a time lies on the axis.
    pub(crate) fn holds(&self, at: DateTime) -> bool {
        (self.from..=self.to).contains(&days(at))
    }

    /// Whether a time comes before the axis.
    pub(crate) fn after(&self, at: DateTime) -> bool {
        days(at) < self.from
    }

    /// Pixels for a week.
    pub(crate) fn week(&self) -> f64 {
        7.0 * (self.right - self.left) / (self.to - self.from)
    }

    /// Ticks at least `room` pixels apart: Mondays, first days of months, or first days of years.
    pub(crate) fn ticks(&self, room: f64) -> Vec<Tick> {
        let day = (self.right - self.left) / (self.to - self.from);
        let needed = room / day.max(1e-12);
        let weeks = (needed / 7.0).ceil().max(1.0);
        let months = [1, 2, 3, 6, 12, 24, 60, 120, 240, 600, 1200, 6000, 12_000, 60_000];
        let months = months.into_iter().find(|m| f64::from(*m) * 28.0 >= needed);
        let dates = if weeks <= 4.0 { Vec::new() } else { self.months(months.unwrap_or(240_000)) };
        // One tick says no scale.
        let dates = if dates.len() < 2 { self.weeks(weeks) } else { dates };
        let mut year = None;
        let of_years = dates.len() > 1 && dates.iter().all(|d| (d.month(), d.day()) == (1, 1));
        let tick = |date: Date| {
            if of_years {
                return Tick { date, label: date.year().to_string(), year: None };
            }
            let anew = year != Some(date.year());
            year = Some(date.year());
            Tick { date, label: short(date), year: anew.then(|| date.year().to_string()) }
        };
        dates.into_iter().map(tick).collect()
    }

    /// Every so many Mondays.
    fn weeks(&self, every: f64) -> Vec<Date> {
        let epoch = date(1970, 1, 5);
        let step = 7.0 * every;
        let first = ((self.from - 4.0) / step).ceil();
        let at = |k: i32| {
            let days = (first + f64::from(k)) * step;
            #[expect(clippy::cast_possible_truncation, reason = "days of dates are few")]
            epoch.checked_add(jiff::Span::new().try_days(days as i64).ok()?).ok()
        };
        (0..60).map_while(at).take_while(|date| self.holds_day(*date)).collect()
    }

    /// First days of every so many months.
    fn months(&self, every: i32) -> Vec<Date> {
        let from = self.first;
        let month = i32::from(from.year()) * 12 + i32::from(from.month()) - 1;
        let first = month.div_euclid(every) * every;
        let at = |k: i32| {
            let month = first + k * every;
            let year = i16::try_from(month.div_euclid(12)).ok()?;
            Date::new(year, i8::try_from(month.rem_euclid(12)).ok()? + 1, 1).ok()
        };
        (0..100)
            .map(at)
            .skip_while(|date| date.is_none_or(|date| days(date.at(0, 0, 0, 0)) < self.from))
            .map_while(|date| date)
            .take_while(|date| self.holds_day(*date))
            .collect()
    }

    fn holds_day(&self, date: Date) -> bool {
        self.holds(date.at(0, 0, 0, 0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ticks(from: Date, to: Date, room: f64) -> Vec<String> {
        let ends = [from.at(0, 0, 0, 0), to.at(0, 0, 0, 0)];
        let span = Span::over(ends.into_iter(), 0.0, 500.0).unwrap();
        let ticks = span.ticks(room).into_iter();
        ticks.map(|t| t.label + t.year.map(|y| format!(" {y}")).as_deref().unwrap_or("")).collect()
    }

    #[test]
    fn weeks_begin_on_mondays() {
        // 2026-03-02 was a Monday (ISO 8601 week 10).
        assert_eq!(
            ticks(date(2026, 2, 26), date(2026, 3, 30), 60.0),
            ["2 Mar 2026", "9 Mar", "16 Mar", "23 Mar", "30 Mar"]
        );
    }

    #[test]
    fn long_spans_are_told_by_months_and_years() {
        assert_eq!(
            ticks(date(2025, 10, 20), date(2026, 7, 1), 90.0),
            ["1 Nov 2025", "1 Jan 2026", "1 Mar", "1 May", "1 Jul"]
        );
        assert_eq!(
            ticks(date(2020, 5, 1), date(2024, 5, 1), 90.0),
            ["2021", "2022", "2023", "2024"]
        );
    }

    #[test]
    fn one_time_alone_spans_four_weeks() {
        let at = date(2026, 3, 3).at(7, 0, 0, 0);
        let span = Span::over([at].into_iter(), 0.0, 280.0).unwrap();
        assert!((span.week() - 70.0).abs() < 1e-9 && (span.x(at) - 280.0).abs() < 1e-9);
        assert!(Span::over([].into_iter(), 0.0, 1.0).is_none());
    }

    #[test]
    fn the_ends_of_all_dates_are_drawn_too() {
        for at in [DateTime::MIN, DateTime::MAX] {
            let span = Span::over([at].into_iter(), 0.0, 280.0).unwrap();
            assert!(span.ticks(60.0).len() <= 5);
        }
        let all = Span::over([DateTime::MIN, DateTime::MAX].into_iter(), 0.0, 280.0).unwrap();
        assert!(all.ticks(60.0).len() <= 5);
    }
}
