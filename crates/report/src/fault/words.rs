//! The sentences of fault finding: what an answer would change, and what to tell the technician.

use ouncewise_advice::fault::{Catalogue, Question};
use ouncewise_estate::{Address, Family, Machine};
use ouncewise_estimate::{Happening, Standing};
use ouncewise_measure::print::{self, Units};

use super::{FaultFinding, PartNamed};
use crate::line::Told;

/// A probability as people read it, to whole percents.
#[must_use]
pub fn chance(probability: f64) -> String {
    match 100.0 * probability {
        small if small < 1.0 => "under 1 %".to_owned(),
        large if large > 99.0 => "over 99 %".to_owned(),
        percent => format!("{percent:.0} %"),
    }
}

/// Which answer would change the first step.
pub(super) fn changes(catalogue: &Catalogue, now: Option<usize>, question: &Question) -> String {
    let other = |first: Option<usize>| {
        first.filter(|first| Some(*first) != now).map(|first| catalogue.acts[first].does.as_str())
    };
    match (other(question.first_if_yes), other(question.first_if_no)) {
        (None, None) => {
            "Neither answer changes the first step, only what comes after it.".to_owned()
        }
        (Some(yes), None) => format!("If yes, begin otherwise: {yes} If no, the first step stays."),
        (None, Some(no)) => format!("If yes, the first step stays. If no, begin otherwise: {no}"),
        (Some(yes), Some(no)) if yes == no => format!("Either way, begin otherwise: {yes}"),
        (Some(yes), Some(no)) => format!("If yes, begin otherwise: {yes} If no: {no}"),
    }
}

/// What was done to a line lately that a technician asks for.
const LATELY: usize = 4;

/// What to tell the technician, ending in the part to name.
pub(super) fn before_you_call(
    report: &FaultFinding,
    address: &Address,
    machine: &Machine,
    family: &Family,
    standing: &Standing,
    story: &[Told],
    units: Units,
) -> Vec<String> {
    let serial = machine.serial.as_ref().map_or_else(
        || "serial number not on record: read it off the machine".to_owned(),
        |serial| format!("serial number {serial}"),
    );
    let mut lines = vec![format!(
        "We are {}. The machine is {}, {}, {serial}. It is line {}, {}.",
        report.site, report.machine, family.name, address.line, report.line
    )];
    lines.push(shows(report, standing, units));
    let signs = |answer: &str| -> Vec<String> {
        let known = report.known.iter().filter(|k| k.answer == answer).map(|k| &k.ask);
        known
            .chain(report.answers.iter().filter(|a| a.answer == answer).map(|a| &a.ask))
            .map(|ask| ask.trim_end_matches('?').to_owned())
            .collect()
    };
    for answer in ["yes", "no"] {
        let signs = signs(answer);
        if !signs.is_empty() {
            let word = if answer == "yes" { "Yes to" } else { "No to" };
            lines.push(format!("{word}: {}.", signs.join("; ")));
        }
    }
    if let Some(done) = lately(story) {
        lines.push(done);
    }
    if let Some(first) = report.causes.first() {
        let then = report.causes.get(1).map_or_else(String::new, |then| {
            format!(", then {} ({})", then.name, chance(then.probability))
        });
        lines.push(format!("Likeliest: {} ({}){then}.", first.name, chance(first.probability)));
    }
    lines.push(part(report));
    lines
}

fn shows(report: &FaultFinding, standing: &Standing, units: Units) -> String {
    let latest = standing.latest.as_ref();
    let shown = latest.and_then(|latest| Some((latest, latest.shown.as_ref()?)));
    let Some((latest, shown)) = shown else {
        return format!("What is known of its portion: {}.", report.reason);
    };
    let what = if shown.water { "of water " } else { "" };
    let gave = match (shown.portion, shown.deviation()) {
        (Some(portion), Some(off)) => format!(
            "it gave {} {what}where {} is asked ({})",
            print::amount(portion.max(0.0), 3, &shown.unit, units),
            print::amount(shown.target, 3, &shown.unit, units),
            print::signed_percent(off)
        ),
        _ => format!("it was read as {}", latest.read.join("; ")),
    };
    format!("At its last catch, on {}, {gave}.", day(&latest.at))
}

/// The day of a record's time, by the clock it was written by: `23 Feb 2026`.
fn day(at: &str) -> String {
    let date = at.get(..10).and_then(|day| day.parse::<jiff::civil::Date>().ok());
    date.map_or_else(|| at.to_owned(), |date| date.strftime("%-d %b %Y").to_string())
}

/// What was done to the line last, where anything was.
fn lately(story: &[Told]) -> Option<String> {
    let done = |told: &&Told| {
        told.happening.as_ref().is_some_and(|what| {
            what.may_change_flow()
                || matches!(what, Happening::ContainerChanged | Happening::TechnicianCalled { .. })
        })
    };
    let mut last: Vec<String> = story
        .iter()
        .rev()
        .filter(done)
        .take(LATELY)
        .map(|told| format!("{}, {}", day(&told.event.at), told.event.what))
        .collect();
    last.reverse();
    (!last.is_empty()).then(|| format!("Done to it last: {}.", last.join("; ")))
}

/// The part to name: of the likeliest cause that has one.
fn part(report: &FaultFinding) -> String {
    let parts = report.causes.iter().find(|cause| !cause.parts.is_empty());
    let Some(cause) = parts else {
        return "Part to name: none of this machine’s listed parts goes with these causes; ask which to bring.".to_owned();
    };
    let name = |part: &PartNamed| match &part.number {
        Some(number) => format!("{}, number {number}", part.name),
        None => format!("{}, number not on record: read it off the old one", part.name),
    };
    let names: Vec<String> = cause.parts.iter().map(name).collect();
    format!("Part to name: {} ({} likely).", names.join("; or "), chance(cause.probability))
}
