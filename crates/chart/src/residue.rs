//! How the residue of a flush falls with time, one curve for each way: from 100 % down, a decade at a time.

mod axis;
mod said;
#[cfg(test)]
mod tests;

pub use said::{ResidueTable, describe_residue, residue_table};

use maud::{Markup, html};

use crate::data::Size;
use crate::frame::{EDGE, head, picture};
use crate::number::percent;
use crate::pen::{Anchor, Pen, clipped, n, width_of};
use crate::range::Range;
use crate::text::clean;
use crate::theme::Theme;
use axis::{Times, decades};

/// No more ways than these are drawn; all are in the table.
const MOST: usize = 3;

/// How the curve of each is drawn, and the point at which it reaches what is wanted.
const LOOKS: [&str; MOST] = ["way-first", "way-second", "way-third"];

/// Height of a way's row under the plot: its words, and its bar.
const ROW: f64 = 34.0;

/// Height of the times under the plot.
const TIMES: f64 = 24.0;

/// A flush.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ResidueChart {
    /// What the chart shows, as a finding: `Drain and refill twice: 40 s, where running takes 95 s`.
    pub finding: String,
    /// Of what the share is: `old content left in the line`.
    pub what: String,
    /// The share that is wanted, as a fraction.
    pub wanted: f64,
    /// By which ways.
    pub ways: Vec<ResidueWay>,
}

/// How the residue falls by one way.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ResidueWay {
    /// The way, in a few words: `run`, `drain and refill twice`.
    pub name: String,
    /// When it reaches what is wanted, in seconds.
    pub reaches: f64,
    /// That time in words, rounded as a crew is told it: `95 s`.
    pub time: String,
    /// Seconds, and the share of the old content then, as a fraction; in order of time.
    pub points: Vec<(f64, f64)>,
}

impl ResidueWay {
    /// The points that can be drawn.
    fn drawn(&self) -> impl Iterator<Item = (f64, f64)> {
        let usable = |&(at, share): &(f64, f64)| {
            at.is_finite() && share.is_finite() && at >= 0.0 && share > 0.0
        };
        self.points.iter().copied().filter(usable)
    }
}

impl ResidueChart {
    /// The share that is wanted, where it is one.
    fn wanted(&self) -> Option<f64> {
        (self.wanted > 0.0 && self.wanted < 1.0).then_some(self.wanted)
    }

    /// The latest time that is drawn.
    fn until(&self) -> f64 {
        let times = self.ways.iter().flat_map(|way| {
            let reaches = Some(way.reaches).filter(|s| s.is_finite());
            way.drawn().map(|(at, _)| at).chain(reaches)
        });
        times.fold(1.0, f64::max).min(1e6)
    }
}

/// Draws how the residue falls: the share against time, what is wanted, and under the plot when each way reaches it.
#[must_use]
pub fn residue_chart(chart: &ResidueChart, theme: Theme, size: Size) -> Markup {
    let pen = Pen(theme);
    let width = f64::from(size.width.clamp(240, 2000));
    let (head, top) = head(pen, width, &chart.finding, &note(chart));
    let top = top + 12.0;
    let bottom = top + f64::from(size.plot.clamp(80, 1000));
    let (low, marks) = decades(chart.wanted());
    let range = Range { low, high: 0.0, top, bottom };
    let widest = marks.iter().map(|mark| width_of("axis", &percent(*mark))).fold(0.0, f64::max);
    let (left, right) = (EDGE + widest + 6.0, width - EDGE - 6.0);
    let times = Times::up_to(chart.until(), left, right);
    let ways: Vec<(&ResidueWay, &str)> = chart.ways.iter().zip(LOOKS).collect();
    let curves = ways.iter().map(|(way, _)| curve(way, &range, &times)).collect();
    let plot = Plot { left, right, top, bottom, curves };
    let leaders: Vec<(f64, f64)> = ways
        .iter()
        .zip(&plot.curves)
        .filter_map(|((way, _), curve)| {
            let x = times.x(way.reaches);
            Some((x, height(curve, x)?))
        })
        .collect();
    let below = bottom + TIMES;
    let end = below + ROW * ways.len() as f64;
    let inside = html! {
        (head)
        @for mark in &marks {
            @let y = range.y(mark.log10());
            (pen.line("grid", (left, y), (right, y)))
            (pen.text("axis", (left - 6.0, y + 4.0), Anchor::End, &percent(*mark)))
        }
        @for (at, words) in times.ticks() {
            @let x = times.x(at);
            (pen.line("grid", (x, top), (x, bottom)))
            @let half = width_of("axis", &words) / 2.0;
            @let middle = x.clamp(EDGE + half, (width - EDGE - half).max(EDGE + half));
            (pen.text("axis", (middle, bottom + 16.0), Anchor::Middle, &words))
        }
        @if let Some(wanted) = chart.wanted() {
            @let y = range.y(wanted.log10());
            (pen.line("target", (left, y), (right, y)))
            @let words = clipped("label", &format!("wanted: {}", percent(wanted)), right - left);
            @let (x, line) = free(&plot, &leaders, width_of("label", &words), y);
            (pen.text("label", (x, line), Anchor::Start, &words))
        }
        (pen.path("edge", &format!("M{} {}V{}H{}", n(left), n(top), n(bottom), n(right))))
        @for (curve, (_, look)) in plot.curves.iter().zip(&ways) { (pen.path(look, &path(curve))) }
        @for (i, (way, look)) in ways.iter().enumerate() {
            @let x = times.x(way.reaches);
            @let row = below + ROW * i as f64;
            @if let Some(y) = height(&plot.curves[i], x) {
                (pen.line("leader", (x, y), (x, bottom)))
                (point(pen, i, (x, y)))
            }
            @let words = clipped("label", &clean(&format!("{}: {}", way.name, way.time)), right - left);
            (pen.text("label", (left, row + 12.0), Anchor::Start, &words))
            (pen.line(look, (left, row + 22.0), (x, row + 22.0)))
            (point(pen, i, (x, row + 22.0)))
        }
    };
    let desc = describe_residue(chart);
    picture(pen, "residue", (width, end + EDGE), (&chart.finding, &desc), &inside)
}

/// What the axes are, and what is not drawn.
fn note(chart: &ResidueChart) -> String {
    let what = clean(&chart.what);
    let share = format!("share of {what}, against time; each step down is a tenth");
    match chart.ways.len().checked_sub(MOST).filter(|over| *over > 0) {
        Some(over) => format!("{share}; {over} more in the table"),
        None => share,
    }
}

/// A way's own shape: filled circle, hollow circle, square.
fn point(pen: Pen, which: usize, (x, y): (f64, f64)) -> Markup {
    match which {
        0 => pen.circle("pt", (x, y), 4.5),
        1 => pen.circle("pt-open", (x, y), 4.5),
        _ => pen.rect("way-point", (x - 4.5, y - 4.5), (x + 4.5, y + 4.5)),
    }
}

/// The plot, with the places through which each curve goes.
struct Plot {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    curves: Vec<Vec<(f64, f64)>>,
}

/// The places through which a curve goes. Beyond what is wanted it is cut at the lower end of the axis.
fn curve(way: &ResidueWay, range: &Range, times: &Times) -> Vec<(f64, f64)> {
    let mut places = Vec::new();
    for (at, share) in way.drawn() {
        let level = share.log10().min(0.0);
        places.push((times.x(at), range.y(level)));
        if level < range.low && at >= way.reaches {
            break;
        }
    }
    places
}

fn path(places: &[(f64, f64)]) -> String {
    let place = |(i, (x, y)): (usize, &(f64, f64))| {
        format!("{}{} {}", if i == 0 { "M" } else { "L" }, n(*x), n(*y))
    };
    places.iter().enumerate().map(place).collect()
}

/// How high a curve is at a place; at its end, beyond it.
fn height(places: &[(f64, f64)], x: f64) -> Option<f64> {
    let after = places.partition_point(|place| place.0 < x);
    match (after.checked_sub(1).map(|before| places[before]), places.get(after)) {
        (Some(before), Some(next)) if next.0 > before.0 => {
            let part = (x - before.0) / (next.0 - before.0);
            Some(before.1 + part * (next.1 - before.1))
        }
        (_, Some(at)) => Some(at.1),
        (last, None) => last.map(|last| last.1),
    }
}

/// Where a text beside a level line at `y` is in no curve's and no leader's way: below it or above it, from the left on.
fn free(plot: &Plot, leaders: &[(f64, f64)], wide: f64, y: f64) -> (f64, f64) {
    let (left, right) = (plot.left + 6.0, (plot.right - 4.0 - wide).max(plot.left + 6.0));
    let along = (0..=12).map(|step| left + (right - left) * f64::from(step) / 12.0);
    let places = along.flat_map(|x| [(x, y + 15.0), (x, y - 5.0)]);
    let taken = |&(x, line): &(f64, f64)| {
        let (from, to) = ((x - 5.0, line - 13.0), (x + wide + 5.0, line + 6.0));
        let crossed = |curve: &Vec<(f64, f64)>| {
            curve.windows(2).any(|pair| crosses(pair[0], pair[1], from, to))
        };
        let led =
            |leader: &(f64, f64)| (from.0..=to.0).contains(&leader.0) && leader.1 <= to.1 + 5.0;
        let outside = line > plot.bottom - 2.0 || line < plot.top + 12.0;
        outside || plot.curves.iter().any(crossed) || leaders.iter().any(led)
    };
    places.clone().find(|place| !taken(place)).unwrap_or((left, y + 15.0))
}

/// Whether a stroke from one place to another goes through a box.
fn crosses(a: (f64, f64), b: (f64, f64), from: (f64, f64), to: (f64, f64)) -> bool {
    let beside = a.0.max(b.0) < from.0 || a.0.min(b.0) > to.0;
    let over = a.1.max(b.1) < from.1 || a.1.min(b.1) > to.1;
    let steps = || (0..=64).map(|step| f64::from(step) / 64.0);
    !beside
        && !over
        && steps().any(|part| {
            let (x, y) = (a.0 + part * (b.0 - a.0), a.1 + part * (b.1 - a.1));
            (from.0..=to.0).contains(&x) && (from.1..=to.1).contains(&y)
        })
}
