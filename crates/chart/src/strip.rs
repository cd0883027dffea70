//! What happened to a line, on a strip under the plot: a row for each kind, named at its left.

use maud::{Markup, html};

use crate::data::{Event, Happening, Way};
use crate::pen::{Anchor, Pen, clipped, n, width_of};
use crate::text::clean;
use crate::time::{Span, long};

/// Height of a row.
pub(crate) const ROW: f64 = 16.0;

/// More adjustments than this are not drawn through the plot.
const MANY: usize = 12;

/// The longest text beside a glyph.
const LONGEST: f64 = 130.0;

/// The rows of a strip, from the top.
const ROWS: [&str; 6] = ["adjusted", "cleaned", "part", "product", "machine", "technician"];

/// Events of one kind, in order of time.
#[derive(Debug)]
pub(crate) struct Row<'a> {
    pub(crate) name: &'static str,
    events: Vec<&'a Event>,
}

fn row_of(what: Happening) -> usize {
    match what {
        Happening::Adjusted(_) => 0,
        Happening::Cleaned => 1,
        Happening::PartReplaced => 2,
        Happening::ProductChanged => 3,
        Happening::MachineSwapped | Happening::Paused | Happening::Reopened => 4,
        Happening::TechnicianCalled => 5,
    }
}

/// The rows that have events.
pub(crate) fn rows<'a>(events: impl Iterator<Item = &'a Event>) -> Vec<Row<'a>> {
    let mut rows: Vec<Row> =
        ROWS.map(|name| Row { name, events: Vec::new() }).into_iter().collect();
    for event in events {
        rows[row_of(event.what)].events.push(event);
    }
    rows.retain(|row| !row.events.is_empty());
    for row in &mut rows {
        row.events.sort_by_key(|e| e.at);
    }
    rows
}

/// How much room the names of rows need.
pub(crate) fn names_width(rows: &[Row]) -> f64 {
    rows.iter().map(|row| width_of("axis", row.name)).fold(0.0, f64::max)
}

/// The strip below `top`. Texts beside glyphs end before `right`.
pub(crate) fn draw(pen: Pen, rows: &[Row], span: Span, top: f64, right: f64) -> Markup {
    html! {
        @for (i, row) in rows.iter().enumerate() {
            @let y = top + ROW * (i as f64 + 0.5);
            (pen.text("axis", (span.left - 14.0, y + 4.0), Anchor::End, row.name))
            @for event in &row.events {
                g { title { (sentence(event)) } (glyph(pen, event.what, span.x(event.at), y)) }
            }
            (texts(pen, row, span, y, right))
        }
    }
}

/// Broken lines through the plot, where the line begins anew.
pub(crate) fn since(pen: Pen, rows: &[Row], span: Span, top: f64, bottom: f64) -> Markup {
    let parts = |row: &Row| row.name != "adjusted" || row.events.len() <= MANY;
    let anew = rows.iter().filter(|row| parts(row)).flat_map(|row| &row.events);
    html! {
        @for event in anew.filter(|e| e.what.begins_anew()) {
            @let x = span.x(event.at);
            (pen.line("since", (x, top), (x, bottom)))
        }
    }
}

fn sentence(event: &Event) -> String {
    format!("{}, {}", long(event.at.date()), clean(&event.in_words()))
}

fn glyph(pen: Pen, what: Happening, x: f64, y: f64) -> Markup {
    let at = |dx: f64, dy: f64| format!("{} {}", n(x + dx), n(y + dy));
    let triangle = |a, b, c| pen.path("event", &format!("M{a}L{b}L{c}Z"));
    match what {
        Happening::Adjusted(Some(Way::More)) => {
            triangle(at(0.0, -5.0), at(5.0, 4.0), at(-5.0, 4.0))
        }
        Happening::Adjusted(Some(Way::Less)) => {
            triangle(at(0.0, 5.0), at(5.0, -4.0), at(-5.0, -4.0))
        }
        Happening::Adjusted(None) => pen.diamond("event", (x, y), 4.5),
        Happening::Cleaned => pen.line("clean", (x, y - 4.5), (x, y + 4.5)),
        Happening::PartReplaced | Happening::MachineSwapped => {
            pen.rect("event", (x - 4.0, y - 4.0), (x + 4.0, y + 4.0))
        }
        Happening::ProductChanged => pen.circle("event-open", (x, y), 4.0),
        Happening::Paused => pen.path(
            "event-open",
            &format!("M{}V{}M{}V{}", at(-2.5, -4.0), n(y + 4.0), at(2.5, -4.0), n(y + 4.0)),
        ),
        Happening::Reopened => triangle(at(-3.5, -5.0), at(5.0, 0.0), at(-3.5, 5.0)),
        Happening::TechnicianCalled => pen.path(
            "event-open",
            &format!("M{}L{}M{}L{}", at(-4.0, -4.0), at(4.0, 4.0), at(-4.0, 4.0), at(4.0, -4.0)),
        ),
    }
}

/// What is said beside a glyph of a rare kind.
fn words(event: &Event) -> String {
    let more = clean(&event.words);
    match event.what {
        Happening::Adjusted(_) | Happening::Cleaned => String::new(),
        Happening::Paused => "paused".to_owned(),
        Happening::Reopened => "reopened".to_owned(),
        Happening::PartReplaced if more.is_empty() => "replaced".to_owned(),
        Happening::ProductChanged if more.is_empty() => "changed".to_owned(),
        Happening::MachineSwapped if more.is_empty() => "swapped".to_owned(),
        Happening::TechnicianCalled if more.is_empty() => "called".to_owned(),
        _ => more,
    }
}

/// Words beside the glyphs of a row, at the right where there is room, else at the left, else nowhere.
fn texts(pen: Pen, row: &Row, span: Span, y: f64, right: f64) -> Markup {
    const ASIDE: f64 = 8.0;
    let mut taken = span.left - 10.0;
    html! {
        @for (i, event) in row.events.iter().enumerate() {
            @let x = span.x(event.at);
            @let next = row.events.get(i + 1).map_or(right, |e| span.x(e.at) - ASIDE);
            @let text = clipped("label", &words(event), LONGEST);
            @let wide = width_of("label", &text);
            @if !text.is_empty() && x + ASIDE + wide <= next {
                (pen.text("label", (x + ASIDE, y + 4.0), Anchor::Start, &text))
                @let _ = taken = x + ASIDE + wide;
            } @else {
                @if !text.is_empty() && x - ASIDE - wide >= taken {
                    (pen.text("label", (x - ASIDE, y + 4.0), Anchor::End, &text))
                }
                @let _ = taken = x + ASIDE;
            }
        }
    }
}
