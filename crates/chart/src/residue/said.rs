//! A residue in words and in rows: the same facts as its chart's.

use super::axis::Times;
use super::{ResidueChart, ResidueWay};
use crate::number::{percent, plain};
use crate::text::clean;

/// The table under a residue's chart: what is left at round times, and when each way reaches what is wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ResidueTable {
    /// `After`, and the ways.
    pub headings: Vec<String>,
    /// A row for each time, and one for what is wanted; as many cells as headings.
    pub rows: Vec<Vec<String>>,
}

/// The chart's facts as rows.
#[must_use]
pub fn residue_table(chart: &ResidueChart) -> ResidueTable {
    let names = chart.ways.iter().map(|way| clean(&way.name));
    let headings = std::iter::once("After".to_owned()).chain(names).collect();
    let mut rows: Vec<Vec<String>> = Times::up_to(chart.until(), 0.0, 600.0)
        .ticks()
        .into_iter()
        .map(|(at, words)| {
            let cells = chart.ways.iter().map(|way| left(way, at));
            std::iter::once(words).chain(cells).collect()
        })
        .collect();
    if let Some(wanted) = chart.wanted() {
        let cells = chart.ways.iter().map(|way| clean(&way.time));
        let row = std::iter::once(format!("reaches {}", percent(wanted)));
        rows.push(row.chain(cells).collect());
    }
    ResidueTable { headings, rows }
}

/// What is left at a time by one way, between its points on a logarithm; a dash before its beginning and after its end.
fn left(way: &ResidueWay, at: f64) -> String {
    let points: Vec<(f64, f64)> = way.drawn().collect();
    let after = points.partition_point(|point| point.0 <= at);
    let share = match (after.checked_sub(1).map(|before| points[before]), points.get(after)) {
        (Some(before), Some(next)) => {
            let part = (at - before.0) / (next.0 - before.0);
            before.1 * (next.1 / before.1).powf(part)
        }
        (Some(last), None) if (last.0 - at).abs() < 1e-6 => last.1,
        _ => return "–".to_owned(),
    };
    two_digits(share)
}

/// A share to two digits: `100 %`, `4.5 %`, `0.12 %`.
fn two_digits(share: f64) -> String {
    let percent = 100.0 * share;
    let place = if percent > 0.0 { 10f64.powf(percent.log10().floor() - 1.0) } else { 1.0 };
    format!("{} %", plain((percent / place).round() * place))
}

/// A residue's chart in one sentence: what is wanted, and when each way reaches it.
#[must_use]
pub fn describe_residue(chart: &ResidueChart) -> String {
    let what = Some(clean(&chart.what)).filter(|what| !what.is_empty());
    let what = what.unwrap_or_else(|| "old content".to_owned());
    let ways: Vec<String> = chart
        .ways
        .iter()
        .map(|way| format!("{} reaches it after {}", clean(&way.name), clean(&way.time)))
        .collect();
    let wanted = match chart.wanted() {
        Some(wanted) => format!("wanted is {}", percent(wanted)),
        None => "no share is wanted".to_owned(),
    };
    let ways = if ways.is_empty() { "no way is computed".to_owned() } else { ways.join("; ") };
    format!("How the share of {what} falls from 100 % with time; {wanted}; {ways}.")
}
