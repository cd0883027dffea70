//! A chart in one sentence, for those who cannot see it.

use jiff::civil::DateTime;

use crate::catches::{order, shown};
use crate::data::{Event, Happening, History, LineChart, MachineChart, Verdict};
use crate::number::{percent, plain};
use crate::recipe::{holding, usable};
use crate::text::clean;
use crate::time::long;

/// A line's chart in one sentence: how many catches from when to when, what is asked, the latest, and what happened.
#[must_use]
pub fn describe_line(chart: &LineChart) -> String {
    let history = &chart.history;
    let name = Some(clean(&history.name)).filter(|name| !name.is_empty());
    let name = name.unwrap_or_else(|| "This line".to_owned());
    let mut parts = vec![format!("{name}: {}", catches(history))];
    parts.extend(asked(history, chart.until));
    parts.extend(latest(history));
    parts.extend(happened(&history.events));
    format!("{}.", parts.join("; "))
}

/// A machine's chart in one sentence: how many lines, and each one's latest.
#[must_use]
pub fn describe_machine(chart: &MachineChart) -> String {
    let lines = chart.lines.iter().map(|line| {
        let latest = latest(line).unwrap_or_else(|| "no catch yet".to_owned());
        format!("{}: {latest}", clean(&line.name))
    });
    let mut parts = vec![format!(
        "{}, {} against their targets",
        clean(&chart.name),
        count(chart.lines.len(), "line", "lines")
    )];
    parts.extend(lines);
    parts.extend(happened(&chart.events));
    format!("{}.", parts.join("; ")).trim_start_matches([',', ' ']).to_owned()
}

fn count(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

fn catches(history: &History) -> String {
    let mut times: Vec<DateTime> = history.catches.iter().map(|c| c.at).collect();
    times.sort_unstable();
    match times.as_slice() {
        [] => "no catch yet".to_owned(),
        [at] => format!("1 catch, on {}", long(at.date())),
        [first, .., last] => {
            let off =
                history.catches.iter().filter(|c| c.verdict == Some(Verdict::OffTarget)).count();
            let off = if off == 0 { "none".to_owned() } else { off.to_string() };
            let (first, last) = (long(first.date()), long(last.date()));
            format!("{} catches from {first} to {last}, {off} of them off target", times.len())
        }
    }
}

fn asked(history: &History, until: Option<DateTime>) -> Option<String> {
    let recipes = usable(&history.recipes);
    let now = history.catches.iter().map(|c| c.at).chain(until).max();
    let recipe = now.map_or(recipes.last(), |now| holding(&recipes, now))?;
    let unit = clean(&history.unit);
    Some(match recipe.tolerance {
        0.0 => format!("the target is {} {unit}", plain(recipe.target)),
        tolerance => {
            format!("the target is {} {unit} ± {}", plain(recipe.target), percent(tolerance))
        }
    })
}

fn latest(history: &History) -> Option<String> {
    let catch = history.catches.iter().max_by_key(|c| order(c))?;
    let what = shown(catch, &clean(&history.unit));
    let what = what.unwrap_or_else(|| "not to be read as a portion".to_owned());
    let verdict = catch.verdict.map(|v| format!(", {}", v.words())).unwrap_or_default();
    Some(format!(
        "the latest, {} on {}, is {what}{verdict}",
        catch.state.words(),
        long(catch.at.date())
    ))
}

fn happened(events: &[Event]) -> Option<String> {
    let times = |n: usize| match n {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    };
    let mut kinds: Vec<&str> = events.iter().filter_map(|e| kind(e.what)).collect();
    kinds.sort_unstable();
    let told: Vec<String> =
        kinds.chunk_by(|a, b| a == b).map(|k| format!("{} {}", k[0], times(k.len()))).collect();
    (!told.is_empty()).then(|| told.join(", "))
}

/// What is counted, before "once" or "3 times". A pause says little of a line.
fn kind(what: Happening) -> Option<&'static str> {
    Some(match what {
        Happening::Adjusted(_) => "adjusted",
        Happening::Cleaned => "cleaned",
        Happening::PartReplaced => "part replaced",
        Happening::ProductChanged => "product changed",
        Happening::MachineSwapped => "machine swapped",
        Happening::TechnicianCalled => "technician called",
        Happening::Paused | Happening::Reopened => return None,
    })
}
