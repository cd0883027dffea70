//! A control chart: values in order of time, held to limits, with what signals told apart by shape.

mod said;
#[cfg(test)]
mod tests;

pub use said::describe_control;

use jiff::civil::DateTime;
use maud::{Markup, html};

use crate::data::Size;
use crate::frame::{DATES, EDGE, dates, head, numbers, numbers_width, picture};
use crate::number::plain;
use crate::pen::{Anchor, Pen, clipped, n};
use crate::range::{Range, drawable};
use crate::text::clean;
use crate::theme::Theme;
use crate::time::Span;

/// From the plot's edges to the first and the last date.
const INSIDE: f64 = 10.0;

/// Numbers on the upright axis, about.
const TICKS: f64 = 4.0;

/// A control chart.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ControlChart {
    /// What the chart shows, as a finding: `No signal in 34 readings`.
    pub finding: String,
    /// What is drawn, and in what unit: `single readings, in % off the target`.
    pub what: String,
    /// A value that is marked all the way, with its name: `target`, `its mean since it was last touched`.
    pub middle: Option<(f64, String)>,
    /// One curve, or the upper and the lower one.
    pub curves: Vec<Vec<ControlPoint>>,
}

/// One value on a control chart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ControlPoint {
    /// When, by the clock of the site.
    pub at: DateTime,
    /// The value.
    pub value: f64,
    /// The limits that it is held to.
    pub limits: (Option<f64>, Option<f64>),
    /// Whether it is beyond one.
    pub out: bool,
    /// Whether the chart begins anew here: it is not joined to what came before.
    pub anew: bool,
}

impl ControlChart {
    /// The points of each curve that can be drawn, in order of time.
    fn drawn(&self) -> Vec<Vec<ControlPoint>> {
        let curve = |points: &Vec<ControlPoint>| {
            let mut points: Vec<_> = points.iter().filter(|p| drawable(p.value)).copied().collect();
            points.sort_by_key(|point| point.at);
            points
        };
        self.curves.iter().map(curve).collect()
    }
}

/// Draws a control chart.
#[must_use]
pub fn control_chart(chart: &ControlChart, theme: Theme, size: Size) -> Markup {
    let pen = Pen(theme);
    let width = f64::from(size.width.clamp(240, 2000));
    let middle = chart.middle.as_ref().filter(|(at, _)| drawable(*at));
    // Named above the plot: beside its line, the name would lie across the curve.
    let note = match middle {
        Some((_, name)) => format!("{}; dashed: {}", chart.what, clean(name)),
        None => chart.what.clone(),
    };
    let (head, top) = head(pen, width, &chart.finding, &note);
    let top = top + 12.0;
    // Half as high as a line's own chart: there are several under one another.
    let bottom = top + f64::from(size.plot.clamp(80, 1000)) * 0.6;
    let curves = chart.drawn();
    let range = range(&curves, middle.map(|(at, _)| *at), top, bottom);
    let left = EDGE + numbers_width(&range, TICKS).min(width * 0.2) + 6.0;
    let right = width - EDGE - 6.0;
    let times = curves.iter().flatten().map(|point| point.at);
    let span = Span::over(times, left + INSIDE, right - INSIDE);
    let inside = html! {
        (head)
        (numbers(pen, &range, TICKS, left, right))
        @if let Some(span) = span { (dates(pen, span, top, bottom, bottom, width)) }
        @if let Some((at, _)) = middle { (pen.line("target", (left, range.y(*at)), (right, range.y(*at)))) }
        (pen.path("edge", &format!("M{} {}V{}H{}", n(left), n(top), n(bottom), n(right))))
        @if let Some(span) = span {
            @for curve in &curves { (limits(pen, curve, span, &range)) }
            @for curve in &curves { (draw(pen, curve, span, &range)) }
        } @else {
            @let words = clipped("label", "No reading yet", right - left - 24.0);
            (pen.text("label", (left + 12.0, top + 20.0), Anchor::Start, &words))
        }
    };
    let desc = describe_control(chart);
    picture(pen, "control", (width, bottom + DATES + EDGE), (&chart.finding, &desc), &inside)
}

/// An axis that holds all values and limits.
fn range(curves: &[Vec<ControlPoint>], middle: Option<f64>, top: f64, bottom: f64) -> Range {
    let limits = |point: &ControlPoint| [point.limits.0, point.limits.1];
    let all = curves.iter().flatten().flat_map(|point| {
        limits(point).into_iter().flatten().chain([point.value]).filter(|v| drawable(*v))
    });
    let (low, high) = all
        .chain(middle)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
    if low > high {
        return Range { low: 0.0, high: 1.0, top, bottom };
    }
    let pad = (0.06 * (high - low)).max(low.abs().max(high.abs()) * 1e-3).max(1e-6);
    Range { low: low - pad, high: high + pad, top, bottom }
}

/// The places of a curve, cut where it begins anew.
fn parts(points: &[ControlPoint]) -> impl Iterator<Item = &[ControlPoint]> {
    points.chunk_by(|_, next| !next.anew)
}

/// A stroke through places; through one, a short level one.
fn stroke(places: &[(f64, f64)]) -> String {
    if let [(x, y)] = places {
        return format!("M{} {}H{}", n(x - 6.0), n(*y), n(x + 6.0));
    }
    let place = |(i, (x, y)): (usize, &(f64, f64))| {
        format!("{}{} {}", if i == 0 { "M" } else { "L" }, n(*x), n(*y))
    };
    places.iter().enumerate().map(place).collect()
}

fn limits(pen: Pen, points: &[ControlPoint], span: Span, range: &Range) -> Markup {
    let line = |part: &[ControlPoint], of: fn(&ControlPoint) -> Option<f64>| -> Option<String> {
        let limit = |point| of(point).filter(|limit| drawable(*limit));
        let places: Vec<(f64, f64)> = part
            .iter()
            .filter_map(|point| Some((span.x(point.at), range.y(limit(point)?))))
            .collect();
        (!places.is_empty()).then(|| stroke(&places))
    };
    html! {
        @for part in parts(points) {
            @for path in [line(part, |p| p.limits.0), line(part, |p| p.limits.1)].into_iter().flatten() {
                (pen.path("limit", &path))
            }
        }
    }
}

fn draw(pen: Pen, points: &[ControlPoint], span: Span, range: &Range) -> Markup {
    let at = |point: &ControlPoint| (span.x(point.at), range.y(point.value));
    html! {
        @for part in parts(points).filter(|part| part.len() > 1) {
            (pen.path("join", &stroke(&part.iter().map(at).collect::<Vec<_>>())))
        }
        @for point in points {
            @if point.out {
                (pen.circle("pt-off", at(point), 4.5))
                (pen.circle("ring", at(point), 8.0))
            } @else {
                (pen.circle("pt", at(point), 3.0))
            }
        }
    }
}

/// A value as an axis names it.
fn number(value: f64) -> String {
    plain((value * 100.0).round() / 100.0)
}
