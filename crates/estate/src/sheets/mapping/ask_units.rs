//! Questions about units: which ounce, which gallon; and the unit of numbers that have none.

use std::collections::BTreeMap;

use super::super::reading::plain;
use super::super::table::TableRow;
use super::ask::{SAMPLES, Seen, ask};
use super::{Mapping, Means, units};
use crate::measure_kind::Reads;
use crate::{Estate, Units};

/// Which ounce, which gallon; and the unit of numbers that have none.
pub(super) fn units_of(mapping: &mut Mapping, seen: &Seen, estate: &Estate) {
    let us = is_us(estate) || !is_imperial(estate);
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

/// Whether the group is where an ounce without a word is the imperial one, as far as it says.
fn is_imperial(estate: &Estate) -> bool {
    let zone = estate.group.time_zone.name();
    ["Europe/London", "Europe/Dublin", "Australia/", "Pacific/Auckland"]
        .iter()
        .any(|z| zone.starts_with(z))
}

/// Whether the group is in the United States, as far as it says.
pub(super) fn is_us(estate: &Estate) -> bool {
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

/// The unit of temperatures that have none: over 45 nothing that is served cold or warm is in °C.
pub(super) fn temperatures(mapping: &mut Mapping, rows: &[TableRow], estate: &Estate) {
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
