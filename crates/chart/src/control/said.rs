//! A control chart in words: the same facts as the picture's.

use super::{ControlChart, ControlPoint, number};
use crate::text::clean;

/// Signals that are named each by itself.
const NAMED: usize = 6;

/// A control chart in a few sentences: what is drawn, how many readings, the latest of them, and which signal.
#[must_use]
pub fn describe_control(chart: &ControlChart) -> String {
    let what = Some(clean(&chart.what)).filter(|what| !what.is_empty());
    let what = what.unwrap_or_else(|| "values".to_owned());
    let curves = chart.drawn();
    let Some(last) = curves.iter().filter_map(|curve| curve.last()).max_by_key(|p| p.at) else {
        return format!("Control chart of {what}; no reading yet.");
    };
    let readings = curves.iter().map(Vec::len).max().unwrap_or(0);
    let mut out: Vec<&ControlPoint> = curves.iter().flatten().filter(|point| point.out).collect();
    out.sort_by_key(|point| point.at);
    let day = |point: &ControlPoint| point.at.strftime("%-d %b %Y").to_string();
    let earlier = match out.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!("{more} earlier, then "),
    };
    let latest = &out[out.len().saturating_sub(NAMED)..];
    let named: Vec<String> =
        latest.iter().map(|point| format!("{} on {}", number(point.value), day(point))).collect();
    let signals = match named.is_empty() {
        true => "none is beyond a limit".to_owned(),
        false => format!("beyond a limit: {earlier}{}", named.join(", ")),
    };
    let limits = match last.limits {
        (Some(low), Some(high)) => format!(" (limits {} and {})", number(low), number(high)),
        (None, Some(limit)) | (Some(limit), None) => format!(" (limit {})", number(limit)),
        (None, None) => String::new(),
    };
    format!(
        "Control chart of {what}; {readings} {}, the latest {} on {}{limits}; {signals}.",
        if readings == 1 { "value" } else { "values" },
        number(last.value),
        day(last),
    )
}
