//! Questions about dates: day or month first, and the year of dates that have none.

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use jiff::civil::Date;

use super::super::table::Hint;
use super::ask::{SAMPLES, Seen, ask};
use super::ask_units::is_us;
use super::dates::{self, Dated, Need, Settled};
use super::propose::Told;
use super::words::{DAY_FIRST, phrase};
use super::{Mapping, Order};
use crate::Estate;

/// Day or month first, and the year of dates that have none.
pub(super) fn dates_of(
    mapping: &mut Mapping,
    seen: &Seen,
    told: &Told,
    estate: &Estate,
    now: Timestamp,
) {
    let read = |text: &str, hint: Hint| dates::read(text, hint).or_else(|| dates::within(text));
    let needs = |needed: fn(Dated) -> bool| {
        seen.dates
            .iter()
            .filter(|(_, _, t, h)| read(t, *h).is_some_and(needed))
            .take(SAMPLES)
            .map(|(_, n, t, _)| format!("row {n}: {t}"))
            .collect::<Vec<_>>()
    };
    let without_year = needs(|d| {
        d.settle(Settled { order: Some(Order::DayMonth), year: None }) == Err(Need::Year)
    });
    let mut year = told.year;
    if !without_year.is_empty() {
        let from_dates =
            seen.dates.iter().filter_map(|(_, _, t, h)| read(t, *h)).find_map(|d| match d {
                Dated::Clear(when) => Some(when.date.year()),
                Dated::Either { year, .. } => Some(year),
                _ => None,
            });
        year = year.or(from_dates);
        let why = year.map(|_| "it stands beside other dates, above the heading, or in the name of the sheet or file");
        let default =
            year.unwrap_or_else(|| now.to_zoned_datetime(estate.group.time_zone.rules()).year());
        ask(
            mapping,
            "year",
            "which year are dates without one of?",
            &[],
            &default.to_string(),
            why,
            without_year,
        );
        year = Some(default);
    }
    let either = needs(|d| d.pair().is_some());
    if either.is_empty() {
        return;
    }
    let today = now.to_zoned_datetime(estate.group.time_zone.rules()).date();
    let spanish_or_german = mapping
        .columns
        .iter()
        .any(|c| phrase(&c.heading).split(' ').any(|w| DAY_FIRST.contains(&w)));
    let us = is_us(estate) || (estate.group.name.is_empty() && looks_us(mapping));
    let default = if us && !spanish_or_german { Order::MonthDay } else { Order::DayMonth };
    let all: Vec<_> = seen.dates.iter().collect();
    let asks = "in dates such as 02/03/2026, is the day first or the month?";
    match order_of(&all, today, year) {
        Evidence::Told(order, why) => {
            ask(mapping, "date-order", asks, ORDERS, order.word(), Some(why), either);
        }
        Evidence::None => ask(mapping, "date-order", asks, ORDERS, default.word(), None, either),
        Evidence::Both => {
            // Each site types in its own way.
            let mut by_site: BTreeMap<&str, Vec<_>> = BTreeMap::new();
            for date in &seen.dates {
                by_site.entry(&date.0).or_default().push(date);
            }
            let mut open = false;
            for (site, dates) in by_site {
                let needed: Vec<String> = dates
                    .iter()
                    .filter(|d| read(&d.2, d.3).is_some_and(|d| d.pair().is_some()))
                    .take(SAMPLES)
                    .map(|(_, n, t, _)| format!("row {n}: {t}"))
                    .collect();
                if needed.is_empty() {
                    continue;
                }
                match order_of(&dates, today, year) {
                    Evidence::Told(order, why) => ask(
                        mapping,
                        &order_at(site),
                        format!("at {site:?}, is the day first or the month?"),
                        ORDERS,
                        order.word(),
                        Some(why),
                        needed,
                    ),
                    _ => open = true,
                }
            }
            if open {
                ask(
                    mapping,
                    "date-order",
                    "in dates such as 02/03/2026 of sites that do not tell, is the day first or the month?",
                    ORDERS,
                    default.word(),
                    None,
                    either,
                );
            }
        }
    }
}

const ORDERS: &[&str] = &["day-month", "month-day"];

impl Order {
    fn word(self) -> &'static str {
        match self {
            Order::DayMonth => "day-month",
            Order::MonthDay => "month-day",
        }
    }

    pub(super) fn of(word: &str) -> Option<Order> {
        match word {
            "day-month" => Some(Order::DayMonth),
            "month-day" => Some(Order::MonthDay),
            _ => None,
        }
    }
}

/// The id of the question of one site's dates.
pub(super) fn order_at(site: &str) -> String {
    format!("date-order {site:?}")
}

enum Evidence {
    Told(Order, &'static str),
    Both,
    None,
}

/// What the dates tell of their order: days over 12, dates in the future, and steps between rows.
fn order_of(dates: &[&(String, u64, String, Hint)], today: Date, year: Option<i16>) -> Evidence {
    let shown: BTreeSet<&str> =
        dates.iter().filter_map(|d| over_twelve(&d.2)).map(Order::word).collect();
    match (shown.contains("day-month"), shown.contains("month-day")) {
        (true, true) => return Evidence::Both,
        (true, false) => {
            return Evidence::Told(Order::DayMonth, "some dates have a day over 12 first");
        }
        (false, true) => {
            return Evidence::Told(Order::MonthDay, "some dates have a day over 12 second");
        }
        _ => {}
    }
    // (dates that cannot be, days between neighbours of one site) under each order.
    let cost = |order: Order| {
        let mut last: BTreeMap<&str, Date> = BTreeMap::new();
        let (mut wrong, mut steps) = (0_usize, 0_i64);
        for (site, _, text, hint) in dates {
            let Some(dated) = dates::read(text, *hint).or_else(|| dates::within(text)) else {
                continue;
            };
            let Ok(when) = dated.settle(Settled { order: Some(order), year }) else { continue };
            wrong += usize::from(when.date > today || when.date.year() < 2000);
            if let Some(before) = last.insert(site, when.date) {
                steps += i64::from((when.date - before).get_days().abs());
            }
        }
        (wrong, steps)
    };
    let (by_day, by_month) = (cost(Order::DayMonth), cost(Order::MonthDay));
    match (by_day.0, by_month.0) {
        (0, n) if n > 0 => {
            return Evidence::Told(
                Order::DayMonth,
                "the other way some dates would be in the future",
            );
        }
        (n, 0) if n > 0 => {
            return Evidence::Told(
                Order::MonthDay,
                "the other way some dates would be in the future",
            );
        }
        _ => {}
    }
    const STEPS: &str = "the dates then follow each other in even steps";
    if by_day.1 * 3 < by_month.1 {
        Evidence::Told(Order::DayMonth, STEPS)
    } else if by_month.1 * 3 < by_day.1 {
        Evidence::Told(Order::MonthDay, STEPS)
    } else {
        Evidence::None
    }
}

/// The order that a date such as 25/03/2026 shows by itself.
fn over_twelve(text: &str) -> Option<Order> {
    let date = text.split([' ', 'T']).next()?;
    let parts: Vec<u32> = date.split(['/', '-']).map(|p| p.parse().ok()).collect::<Option<_>>()?;
    match parts.as_slice() {
        [a, b, ..] if *a > 12 && *a <= 31 && *b <= 12 => Some(Order::DayMonth),
        [a, b, ..] if *b > 12 && *b <= 31 && *a <= 12 => Some(Order::MonthDay),
        _ => None,
    }
}

/// Whether the words of a sheet are those of the United States.
fn looks_us(mapping: &Mapping) -> bool {
    mapping.columns.iter().any(|c| {
        c.unit.as_deref().is_some_and(|u| u.to_lowercase().contains("oz"))
            || phrase(&c.heading)
                .split(' ')
                .any(|w| matches!(w, "flavor" | "flavors" | "store" | "oz"))
    })
}
