//! The questions: what the sheet does not tell, each with its likeliest answer, and those that the sheet answers itself.

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use jiff::civil::Date;
use ouncewise_measure::quantity::Dimension;

use super::super::code::Code;
use super::super::index::{Index, fold};
use super::super::reading::plain;
use super::super::table::{Hint, TableRow};
use super::dates::{self, Dated, Need, Settled};
use super::names::{LEAVE_OUT, NEW, bare, question, rare, slip};
use super::propose::Told;
use super::shape::{self, Shape};
use super::walk::{Data, Kind, Walk};
use super::words::{DAY_FIRST, phrase};
use super::{Mapping, Means, Order, Question, grow, names, units};
use crate::measure_kind::Reads;
use crate::{Estate, Units};

/// Sample cells that are shown with a question.
const SAMPLES: usize = 3;
/// Names among which slips of the pen are looked for.
const NAMES: usize = 2000;

/// What the rows of data say, as far as questions need it.
#[derive(Default)]
struct Seen {
    /// Cells with readings, each with its row.
    readings: Vec<(u64, super::walk::Reading)>,
    sites: BTreeMap<String, (usize, u64)>,
    site_numbers: BTreeMap<String, BTreeSet<String>>,
    lines: BTreeMap<(String, String, String), (usize, u64)>,
    dates: Vec<(String, u64, String, Hint)>,
    measures: BTreeMap<(String, String), u64>,
    states: bool,
    amounts_without_unit_column: bool,
}

/// Adds all questions to a mapping.
pub(super) fn questions(
    mapping: &mut Mapping,
    rows: &[TableRow],
    told: &Told,
    estate: &Estate,
    now: Timestamp,
) {
    constants(mapping, told, estate, now);
    let seen = see(&grow::with_defaults(mapping), rows);
    sites(mapping, &seen, estate);
    // Names that several sites have are told apart now, and each site's dates by themselves.
    let seen = see(&grow::with_defaults(mapping), rows);
    columns(mapping, rows);
    units_of(mapping, &seen, estate);
    dates_of(mapping, &seen, told, estate, now);
    states_and_draws(mapping, &seen);
    temperatures(mapping, rows, estate);
    lines(mapping, &seen, estate);
    measures(mapping, &seen, estate);
    grow::questions(mapping, rows, estate);
}

fn see(mapping: &Mapping, rows: &[TableRow]) -> Seen {
    let mut seen = Seen {
        amounts_without_unit_column: !mapping.columns.iter().any(|c| c.means == Means::Unit),
        ..Seen::default()
    };
    let mut walk = Walk::new(mapping);
    for row in rows {
        let Kind::Data(Data { readings, texts, .. }) = walk.look(row) else { continue };
        if let (Some(name), Some(number)) = (texts.get(&Means::Site), texts.get(&Means::SiteNumber))
        {
            seen.site_numbers.entry(name.clone()).or_default().insert(number.clone());
        }
        seen.states |= texts.contains_key(&Means::State);
        for reading in readings {
            if shape::of(&reading.text, Hint::Text) == Shape::Nothing {
                continue;
            }
            let place = &reading.place;
            let count = |entry: &mut (usize, u64)| {
                entry.0 += 1;
                if entry.1 == 0 {
                    entry.1 = row.number;
                }
            };
            count(seen.sites.entry(place.site.clone()).or_default());
            count(
                seen.lines
                    .entry((place.site.clone(), place.machine.clone(), place.line.clone()))
                    .or_default(),
            );
            if let Some(measure) = texts.get(&Means::Measure) {
                seen.measures.entry((place.site.clone(), measure.clone())).or_insert(row.number);
            }
            let date = (place.site.clone(), row.number, place.date.clone(), place.date_is);
            if seen.dates.last() != Some(&date) {
                seen.dates.push(date);
            }
            seen.readings.push((row.number, reading));
        }
    }
    seen
}

/// A question, with an answer and its reason where the sheet tells.
fn ask(
    mapping: &mut Mapping,
    id: &str,
    asks: impl Into<String>,
    choices: &[&str],
    default: &str,
    because: Option<&str>,
    sample: Vec<String>,
) {
    if mapping.question(id).is_some() {
        return;
    }
    mapping.questions.push(Question {
        id: id.to_owned(),
        asks: asks.into(),
        choices: choices.iter().map(|c| (*c).to_owned()).collect(),
        default: default.to_owned(),
        answer: because.map(|_| default.to_owned()),
        because: because.map(str::to_owned),
        sample,
        sets_up: false,
    });
}

/// Site, machine and date where no cell of a row tells them.
fn constants(mapping: &mut Mapping, told: &Told, estate: &Estate, now: Timestamp) {
    let tells = |mapping: &Mapping, means| Walk::new(mapping).tells(means);
    if !tells(mapping, Means::Site) {
        let only = (estate.sites.len() == 1)
            .then(|| estate.sites.keys().next().map(ToString::to_string))
            .flatten();
        match (&told.site, &told.title, only) {
            (Some(site), _, _) => ask(
                mapping,
                "site",
                "which site is this sheet about?",
                &[],
                site,
                Some("it stands above the heading, or in the name of the sheet or file"),
                Vec::new(),
            ),
            (None, _, Some(only)) => ask(
                mapping,
                "site",
                "which site is this sheet about?",
                &[],
                &only,
                None,
                Vec::new(),
            ),
            (None, title, None) => {
                let title = title.as_deref().unwrap_or("the site");
                ask(
                    mapping,
                    "site",
                    "which site is this sheet about?",
                    &[],
                    title,
                    None,
                    Vec::new(),
                );
            }
        }
    }
    if !tells(mapping, Means::Machine)
        && let Some(machine) = &told.machine
    {
        ask(
            mapping,
            "machine",
            "which machine is this sheet about?",
            &[],
            machine,
            Some("it stands above the heading"),
            Vec::new(),
        );
    }
    if !tells(mapping, Means::Date) {
        let asks = "which day are these readings of?";
        match &told.date {
            Some(date) => ask(
                mapping,
                "date",
                asks,
                &[],
                date,
                Some("it stands above the heading, or in the name of the sheet or file"),
                Vec::new(),
            ),
            None => ask(
                mapping,
                "date",
                asks,
                &[],
                &now.to_zoned_datetime(estate.group.time_zone.rules()).date().to_string(),
                None,
                Vec::new(),
            ),
        }
    }
}

/// Columns that are not loaded and hold numbers: they may be readings under a word that is not known.
fn columns(mapping: &mut Mapping, rows: &[TableRow]) {
    let first = mapping.heading_row + mapping.heading_rows;
    let unknown: Vec<(String, String)> = mapping
        .columns
        .iter()
        .filter(|c| c.means == Means::Nothing && !c.heading.is_empty())
        .map(|c| (c.letter.clone(), c.heading.clone()))
        .collect();
    let readings = mapping.columns.iter().any(|c| matches!(c.means, Means::Amount | Means::Done));
    for (letter, heading) in unknown {
        let Some(number) = super::column_number(&letter) else { continue };
        let data: Vec<&TableRow> =
            rows.iter().filter(|r| r.number >= first && !r.get(number).is_empty()).collect();
        let numbers = data
            .iter()
            .filter(|r| {
                matches!(shape::of(r.get(number), r.hint(number)), Shape::Number | Shape::Amount)
            })
            .count();
        if data.len() < 2 || numbers * 2 < data.len() {
            continue;
        }
        let sample = data
            .iter()
            .take(SAMPLES)
            .map(|r| format!("row {}: {}", r.number, r.get(number)))
            .collect();
        let default = if readings { "nothing" } else { "amount" };
        let choices = [
            "nothing",
            "amount",
            "seconds",
            "doses",
            "target",
            "water",
            "line",
            "site-number",
            "temperature",
        ];
        ask(
            mapping,
            &format!("column {letter}"),
            format!("what does the column {heading:?} hold?"),
            &choices,
            default,
            None,
            sample,
        );
    }
}

/// Which ounce, which gallon; and the unit of numbers that have none.
fn units_of(mapping: &mut Mapping, seen: &Seen, estate: &Estate) {
    let us = is_us(estate);
    let amounts = || seen.readings.iter().filter(|(_, r)| r.means == Means::Amount);
    let mut words: BTreeMap<String, (String, Vec<String>)> = BTreeMap::new();
    for (row, reading) in amounts() {
        let in_cell = units::unclear_word(&reading.text);
        let in_heading = reading
            .unit
            .as_deref()
            .filter(|u| units::is_bare(&reading.text) && units::meanings(u).len() > 1);
        if let Some(word) = in_cell.or(in_heading) {
            let entry =
                words.entry(units::question(word)).or_insert_with(|| (word.to_owned(), Vec::new()));
            if entry.1.len() < SAMPLES {
                entry.1.push(format!("row {row}: {}", reading.text));
            }
        }
    }
    for heading in mapping
        .columns
        .iter()
        .filter(|c| matches!(c.means, Means::Target | Means::Water))
        .filter_map(|c| c.unit.clone())
    {
        if units::meanings(&heading).len() > 1 {
            words.entry(units::question(&heading)).or_insert_with(|| (heading, Vec::new()));
        }
    }
    for (id, (word, sample)) in words {
        let units = units::meanings(&word);
        let choices: Vec<&str> = units.iter().map(|u| u.symbol()).collect();
        let wanted = if us { "(US)" } else { "(imperial)" };
        let default = choices
            .iter()
            .find(|c| c.contains(wanted))
            .or(choices.first())
            .copied()
            .unwrap_or_default();
        ask(mapping, &id, format!("which {word} is meant?"), &choices, default, None, sample);
    }
    let mut numbers: Vec<f64> = Vec::new();
    let mut sample = Vec::new();
    for (row, reading) in amounts().filter(|(_, r)| {
        r.unit.is_none() && seen.amounts_without_unit_column && units::is_bare(&r.text)
    }) {
        if sample.len() < SAMPLES {
            sample.push(format!("row {row}: {}", reading.text));
        }
        if let Some(x) = plain(&reading.text).and_then(|d| d.to_string().parse().ok()) {
            numbers.push(x);
        }
    }
    if sample.is_empty() {
        return;
    }
    numbers.sort_by(f64::total_cmp);
    let middle = numbers.get(numbers.len() / 2).copied().unwrap_or(30.0);
    let (default, because) = unit_by_size(middle, estate, us);
    let choices =
        ["mL", "g", "fl oz (US)", "fl oz (imperial)", "fl oz (30 mL)", "oz (weight)", "L", "cL"];
    ask(
        mapping,
        "unit",
        "which unit have the numbers without one?",
        &choices,
        default,
        because,
        sample,
    );
}

/// The unit that brings readings near to what the recipes ask; certain where only one sort of measure is kept.
fn unit_by_size(middle: f64, estate: &Estate, us: bool) -> (&'static str, Option<&'static str>) {
    let targets: Vec<_> = estate.lines().map(|(_, l)| l.target).collect();
    let volumes: Vec<f64> = targets.iter().filter_map(|t| t.volume()).map(|v| v.0).collect();
    let masses: Vec<f64> = targets.iter().filter_map(|t| t.mass()).map(|m| m.0).collect();
    let scales =
        estate.measures.values().filter(|k| matches!(k.reads, Reads::Scale { .. })).count();
    let vessels = estate.measures.len() - scales;
    let near = |targets: &[f64], size: f64| {
        let mut sorted = targets.to_vec();
        sorted.sort_by(f64::total_cmp);
        sorted.get(sorted.len() / 2).is_some_and(|t| (0.4..2.5).contains(&(middle * size / t)))
    };
    const WHY: &str = "in this unit the readings are near to the recipes, and all measures read it";
    if !volumes.is_empty() && masses.is_empty() && scales == 0 && vessels > 0 && near(&volumes, 1.0)
    {
        ("mL", Some(WHY))
    } else if volumes.is_empty()
        && !masses.is_empty()
        && vessels == 0
        && scales > 0
        && near(&masses, 1.0)
    {
        ("g", Some(WHY))
    } else if near(&masses, 1.0) && !near(&volumes, 1.0) {
        ("g", None)
    } else if near(&volumes, 1.0) || (targets.is_empty() && middle >= 8.0) {
        ("mL", None)
    } else if us {
        ("fl oz (US)", None)
    } else {
        (if middle < 8.0 { "fl oz (imperial)" } else { "mL" }, None)
    }
}

/// Whether the group is in the United States, as far as it says.
fn is_us(estate: &Estate) -> bool {
    let zone = estate.group.time_zone.name();
    estate.group.units == Units::Us
        || zone.starts_with("US/")
        || matches!(
            zone,
            "America/New_York"
                | "America/Chicago"
                | "America/Denver"
                | "America/Los_Angeles"
                | "America/Phoenix"
        )
}

/// Day or month first, and the year of dates that have none.
fn dates_of(mapping: &mut Mapping, seen: &Seen, told: &Told, estate: &Estate, now: Timestamp) {
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
    let default =
        if is_us(estate) && !spanish_or_german { Order::MonthDay } else { Order::DayMonth };
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

/// What readings are taken for where the sheet has no word for it.
fn states_and_draws(mapping: &mut Mapping, seen: &Seen) {
    let amounts = || seen.readings.iter().filter(|(_, r)| r.means == Means::Amount);
    if !seen.states && amounts().any(|(_, r)| r.state.is_none()) {
        let why = "there is no word about before or after, and a lone reading is one as found";
        ask(
            mapping,
            "state",
            "were lone readings taken before anything was touched, or after?",
            &["as-found", "as-left"],
            "as-found",
            Some(why),
            Vec::new(),
        );
    }
    if amounts().any(|(_, r)| r.seconds.is_empty() && r.doses.is_empty()) {
        let why = "such readings have neither seconds nor doses: each is taken for one portion, drawn as the recipe says";
        ask(
            mapping,
            "draw",
            "how long did readings run that have no seconds or doses? write recipe, or 7 s, or 2 doses",
            &[],
            "recipe",
            Some(why),
            Vec::new(),
        );
    }
}

/// The unit of temperatures that have none: over 45 nothing that is served cold or warm is in °C.
fn temperatures(mapping: &mut Mapping, rows: &[TableRow], estate: &Estate) {
    let column = mapping.columns.iter().find(|c| c.means == Means::Temperature && c.unit.is_none());
    let Some(number) = column.and_then(|c| super::column_number(&c.letter)) else { return };
    let first = mapping.heading_row + mapping.heading_rows;
    let bare: Vec<(u64, &str)> = rows
        .iter()
        .filter(|r| r.number >= first && plain(r.get(number)).is_some())
        .map(|r| (r.number, r.get(number)))
        .collect();
    if bare.is_empty() {
        return;
    }
    let hot = bare.iter().filter(|(_, t)| plain(t).is_some_and(|x| x > 45.into())).count() * 2
        > bare.len();
    let default = if hot || is_us(estate) { "°F" } else { "°C" };
    let sample = bare.iter().take(SAMPLES).map(|(n, t)| format!("row {n}: {t}")).collect();
    ask(
        mapping,
        "temperature-unit",
        "which unit have the temperatures?",
        &["°C", "°F"],
        default,
        None,
        sample,
    );
}

fn sites(mapping: &mut Mapping, seen: &Seen, estate: &Estate) {
    let index = Index::new(estate);
    let known: Vec<(&str, &str)> = estate
        .sites
        .iter()
        .flat_map(|(k, s)| [(k.as_str(), k.as_str()), (s.name.as_str(), k.as_str())])
        .collect();
    for (name, (count, row)) in &seen.sites {
        if name.is_empty() {
            continue;
        }
        let id = question(Means::Site, name);
        let sample = vec![format!("row {row}: {name}, {count} readings")];
        let numbers = seen.site_numbers.get(name).filter(|n| n.len() > 1);
        let found = index.find_site(name).or_else(|_| index.find_site(bare(name)));
        match (found, numbers) {
            (Ok(_), None) => {}
            (found, Some(numbers)) if found.is_err() || !estate.sites.is_empty() => {
                let why = format!(
                    "the sheet has the name with the numbers {}",
                    numbers.iter().take(4).cloned().collect::<Vec<_>>().join(", ")
                );
                ask(
                    mapping,
                    &id,
                    format!("are the sites named {name:?} one, or several by their number?"),
                    &["by number", NEW, LEAVE_OUT],
                    "by number",
                    Some(&why),
                    sample,
                );
            }
            (Err(refusal), _) if refusal.code == Code::AmbiguousName => {
                let keys: Vec<&str> = estate
                    .sites
                    .iter()
                    .filter(|(k, s)| fold(k) == fold(name) || fold(&s.name) == fold(name))
                    .map(|(k, _)| k.as_str())
                    .collect();
                let choices: Vec<&str> = keys.into_iter().chain([LEAVE_OUT]).collect();
                ask(
                    mapping,
                    &id,
                    format!("which site is {name:?}?"),
                    &choices,
                    LEAVE_OUT,
                    None,
                    sample,
                );
            }
            _ => {
                let near = known.iter().find(|(n, _)| slip(n, name)).map(|(_, k)| *k);
                let common = || {
                    seen.sites
                        .iter()
                        .take(NAMES)
                        .filter(|(n, (c, _))| rare(*count, *c) && slip(n, name))
                        .max_by_key(|(_, (c, _))| *c)
                        .map(|(n, _)| n.as_str())
                };
                if let Some(near) = near.or_else(common) {
                    ask(
                        mapping,
                        &id,
                        format!("is {name:?} the site {near:?}, or a new one?"),
                        &[near, NEW, LEAVE_OUT],
                        near,
                        None,
                        sample,
                    );
                }
            }
        }
    }
}

fn lines(mapping: &mut Mapping, seen: &Seen, estate: &Estate) {
    let mut index = Index::new(estate);
    let mut common: BTreeMap<&str, usize> = BTreeMap::new();
    for ((_, _, line), (count, _)) in &seen.lines {
        *common.entry(line).or_default() += count;
    }
    for ((site, machine, line), (_, row)) in &seen.lines {
        let refusal = match names::spot(mapping, &mut index, site, machine, line) {
            Err(refusal) if !line.is_empty() => refusal,
            _ => continue,
        };
        let id = question(Means::Line, line);
        let sample = vec![format!("row {row}: {site} {machine} {line}")];
        match refusal.code {
            Code::AmbiguousName => {
                let keys: Vec<&str> = refusal
                    .hint
                    .as_deref()
                    .and_then(|h| h.split_once(": "))
                    .map(|(_, k)| {
                        k.split(", ").map(|k| k.rsplit('/').next().unwrap_or(k)).collect()
                    })
                    .unwrap_or_default();
                let choices: Vec<&str> = keys.into_iter().chain([LEAVE_OUT]).collect();
                ask(
                    mapping,
                    &id,
                    format!("which line is {line:?}?"),
                    &choices,
                    LEAVE_OUT,
                    None,
                    sample,
                );
            }
            Code::UnknownLine | Code::UnknownSite | Code::UnknownMachine => {
                let own = common.get(line.as_str()).copied().unwrap_or_default();
                let products =
                    estate.products.values().map(|p| p.name.as_str()).filter(|n| slip(n, line));
                let others = common
                    .iter()
                    .take(NAMES)
                    .filter(|(n, c)| rare(own, **c) && slip(n, line))
                    .map(|(n, _)| *n);
                let near: Option<String> = products.chain(others).next().map(str::to_owned);
                if let Some(near) = near {
                    ask(
                        mapping,
                        &id,
                        format!("is {line:?} the line {near:?}, or a new one?"),
                        &[&near, NEW, LEAVE_OUT],
                        &near,
                        None,
                        sample,
                    );
                }
            }
            _ => {}
        }
    }
}

/// Measures that sites of the estate do not have.
fn measures(mapping: &mut Mapping, seen: &Seen, estate: &Estate) {
    let mut kept: BTreeMap<&str, (BTreeSet<&str>, u64)> = BTreeMap::new();
    let index = Index::new(estate);
    for ((site, measure), row) in &seen.measures {
        let Ok(number) = index.find_site(site) else { continue };
        let (_, site) = index.site(number);
        let wanted = fold(measure);
        let fits = |k: &str, kind: &str| {
            fold(k) == wanted
                || fold(kind) == wanted
                || estate.measures.get(kind).is_some_and(|m| fold(&m.name) == wanted)
        };
        if !site.measures.iter().any(|(k, p)| fits(k, &p.kind)) {
            let entry = kept.entry(measure).or_insert_with(|| (BTreeSet::new(), *row));
            entry.0.extend(site.measures.keys().map(crate::Key::as_str));
        }
    }
    for (measure, (keys, row)) in kept {
        let choices: Vec<&str> = keys.into_iter().chain([LEAVE_OUT]).collect();
        let default = choices.first().copied().unwrap_or(LEAVE_OUT);
        ask(
            mapping,
            &question(Means::Measure, measure),
            format!("which measure is {measure:?}?"),
            &choices,
            default,
            None,
            vec![format!("row {row}: {measure}")],
        );
    }
}

/// Whether a unit word is of volume or weight, for set-up.
pub(super) fn dimension(mapping: &Mapping, word: &str) -> Option<Dimension> {
    units::meanings(mapping.likely(&units::question(word)).unwrap_or(word))
        .first()
        .map(|u| u.dimension())
}
