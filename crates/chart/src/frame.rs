//! What stands around a plot: its title, its axes, and the picture itself.

use maud::{Markup, html};

use crate::pen::{Anchor, Pen, clipped, n, width_of};
use crate::range::Range;
use crate::text::{clean, wrap, wrap_evenly};
use crate::theme::{Theme, look};
use crate::time::Span;

/// Distance from the edges of the picture.
pub(crate) const EDGE: f64 = 4.0;

/// Height of the dates under a plot.
pub(crate) const DATES: f64 = 32.0;

/// The picture around its contents, with its text alternative.
pub(crate) fn picture(
    pen: Pen,
    kind: &str,
    (width, height): (f64, f64),
    (title, desc): (&str, &str),
    inside: &Markup,
) -> Markup {
    let font = (pen.0 == Theme::Flat)
        .then_some("Helvetica, Arial, Liberation Sans, DejaVu Sans, sans-serif");
    html! {
        svg xmlns="http://www.w3.org/2000/svg" class=(format!("chart {kind}")) role="img" width=(n(width)) height=(n(height))
            viewBox=(format!("0 0 {} {}", n(width), n(height))) font-family=[font] {
            title { (clean(title)) }
            desc { (clean(desc)) }
            (inside)
        }
    }
}

/// The title in as many lines as it needs (three at most), and a note under it (three at most); and where they end.
pub(crate) fn head(pen: Pen, width: f64, title: &str, note: &str) -> (Markup, f64) {
    let (large, small) = (look("title").size, look("note").size);
    let room = width - 2.0 * EDGE;
    let title = wrap_evenly(&clean(title), large, true, room, 3);
    let note = wrap(&clean(note), small, false, room, 3);
    let below = 20.0 * title.len() as f64;
    let head = html! {
        @for (i, line) in title.iter().enumerate() {
            (pen.text("title", (EDGE, large + 20.0 * i as f64), Anchor::Start, line))
        }
        @for (i, line) in note.iter().enumerate() {
            (pen.text("note", (EDGE, below + 15.0 * (i + 1) as f64), Anchor::Start, line))
        }
    };
    (head, below + 15.0 * note.len() as f64 + 7.0)
}

/// How wide the numbers of the upright axis are.
pub(crate) fn numbers_width(range: &Range, about: f64) -> f64 {
    let (ticks, decimals) = range.ticks(about);
    ticks.iter().map(|tick| width_of("axis", &number(*tick, decimals))).fold(0.0, f64::max)
}

fn number(tick: f64, decimals: usize) -> String {
    let text = format!("{tick:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

/// Level lines at round values, with their numbers left of the plot.
pub(crate) fn numbers(pen: Pen, range: &Range, about: f64, left: f64, right: f64) -> Markup {
    let (ticks, decimals) = range.ticks(about);
    html! {
        @for tick in ticks {
            @let y = range.y(tick);
            (pen.line("grid", (left, y), (right, y)))
            @let words = clipped("axis", &number(tick, decimals), left - 6.0 - EDGE);
            (pen.text("axis", (left - 6.0, y + 4.0), Anchor::End, &words))
        }
    }
}

/// Dates below the plots, and upright lines at them through the plots.
pub(crate) fn dates(pen: Pen, span: Span, top: f64, bottom: f64, below: f64, width: f64) -> Markup {
    html! {
        @for tick in span.ticks(46.0) {
            @let x = span.x(tick.date.at(0, 0, 0, 0));
            (pen.line("grid", (x, top), (x, bottom)))
            @for (i, words) in [Some(&tick.label), tick.year.as_ref()].into_iter().flatten().enumerate() {
                @let half = width_of("axis", words) / 2.0;
                @let middle = x.clamp(EDGE + half, (width - EDGE - half).max(EDGE + half));
                (pen.text("axis", (middle, below + 12.0 + 14.0 * i as f64), Anchor::Middle, words))
            }
        }
    }
}
