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

/// A text beside a glyph may be cut, but not below this.
const SHORT: f64 = 90.0;

/// From a glyph to its text.
const ASIDE: f64 = 8.0;

/// The rows of a strip, from the top.
const ROWS: [&str; 6] = ["adjusted", "cleaned", "part", "product", "machine", "technician"];

/// Events of one kind, in order of time.
#[derive(Debug)]
pub(crate) struct Row<'a> {
    name: &'static str,
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

/// The strip below `top`, with the names of its rows before `left`; texts beside glyphs end before `right`.
pub(crate) fn draw(
    pen: Pen,
    rows: &[Row],
    span: Span,
    top: f64,
    (left, right): (f64, f64),
) -> Markup {
    html! {
        @for (i, row) in rows.iter().enumerate() {
            @let y = top + ROW * (i as f64 + 0.5);
            (pen.text("axis", (left, y + 4.0), Anchor::End, row.name))
            @let scale = scale(row, span);
            @for event in &row.events { (mark(pen, event, (span.x(event.at), y), scale)) }
            @for text in texts(row, span, right) {
                (pen.text("label", (text.x, y + 4.0), text.anchor, &text.words))
            }
        }
    }
}

/// Broken lines through the plot, where the line begins anew.
pub(crate) fn since(pen: Pen, rows: &[Row], span: Span, top: f64, bottom: f64) -> Markup {
    let few = |row: &&Row| row.events.len() <= MANY;
    let anew = rows.iter().filter(few).flat_map(|row| &row.events);
    html! {
        @for event in anew.filter(|e| e.what.begins_anew()) {
            @let x = span.x(event.at);
            (pen.line("since", (x, top), (x, bottom)))
        }
    }
}

/// An event's glyph, with what happened to be read where a pointer rests on it.
pub(crate) fn mark(pen: Pen, event: &Event, (x, y): (f64, f64), scale: f64) -> Markup {
    let says = format!("{}, {}", long(event.at.date()), clean(&event.in_words()));
    html! { g { title { (says) } (glyph(pen, event.what, (x, y), scale)) } }
}

/// Glyphs are smaller where they stand close, so that each is still seen.
fn scale(row: &Row, span: Span) -> f64 {
    let places = row.events.windows(2).map(|pair| span.x(pair[1].at) - span.x(pair[0].at));
    let mut gaps: Vec<f64> = places.filter(|gap| *gap > 0.5).collect();
    gaps.sort_by(f64::total_cmp);
    gaps.get(gaps.len() / 4).map_or(1.0, |gap| (gap / 11.0).clamp(0.4, 1.0))
}

fn glyph(pen: Pen, what: Happening, (x, y): (f64, f64), scale: f64) -> Markup {
    let at = |dx: f64, dy: f64| format!("{} {}", n(x + dx * scale), n(y + dy));
    let triangle = |a, b, c| pen.path("event", &format!("M{a}L{b}L{c}Z"));
    match what {
        Happening::Adjusted(Some(Way::More)) => {
            triangle(at(0.0, -5.0), at(5.0, 4.0), at(-5.0, 4.0))
        }
        Happening::Adjusted(Some(Way::Less)) => {
            triangle(at(0.0, 5.0), at(5.0, -4.0), at(-5.0, -4.0))
        }
        Happening::Adjusted(None) => pen.diamond("event", (x, y), 4.5 * scale),
        Happening::Cleaned => pen.line("clean", (x, y - 4.5), (x, y + 4.5)),
        Happening::PartReplaced | Happening::MachineSwapped => {
            pen.rect("event", (x - 4.0 * scale, y - 4.0), (x + 4.0 * scale, y + 4.0))
        }
        Happening::ProductChanged => pen.circle("event-open", (x, y), 4.0 * scale),
        Happening::Paused => {
            let bar = |dx| format!("M{}V{}", at(dx, -4.0), n(y + 4.0));
            pen.path("event-open", &(bar(-2.5) + &bar(2.5)))
        }
        Happening::Reopened => triangle(at(-3.5, -5.0), at(5.0, 0.0), at(-3.5, 5.0)),
        Happening::TechnicianCalled => {
            let stroke = |dy: f64| format!("M{}L{}", at(-4.0, -dy), at(4.0, dy));
            pen.path("event-open", &(stroke(4.0) + &stroke(-4.0)))
        }
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

/// Words beside a glyph.
struct Text {
    words: String,
    x: f64,
    anchor: Anchor,
}

/// Words beside the glyphs of a row: at the right where there is room, else at the left, else cut, else nowhere.
fn texts(row: &Row, span: Span, right: f64) -> Vec<Text> {
    let mut texts = Vec::new();
    let mut taken = span.left - ASIDE;
    for (i, event) in row.events.iter().enumerate() {
        let x = span.x(event.at);
        let words = words(event);
        let next = row.events.get(i + 1).map_or(right, |e| span.x(e.at) - ASIDE);
        let after = next - x - ASIDE;
        let wide = width_of("label", &words);
        let begin = x + ASIDE;
        let end = x - ASIDE;
        if wide <= after || (after >= SHORT && end - wide < taken) {
            let words = clipped("label", &words, after);
            taken = begin + width_of("label", &words) + ASIDE;
            texts.push(Text { words, x: begin, anchor: Anchor::Start });
        } else {
            if end - wide >= taken {
                texts.push(Text { words, x: end, anchor: Anchor::End });
            }
            taken = begin;
        }
    }
    texts
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn part(day: i8, words: &str) -> Event {
        let at = date(2026, 3, day).at(7, 0, 0, 0);
        Event { at, what: Happening::PartReplaced, words: words.to_owned() }
    }

    #[test]
    fn texts_stand_beside_their_glyphs_and_never_on_one_another() {
        let events = [
            part(1, "nozzle"),
            part(8, "seal"),
            part(9, "tube"),
            part(29, "pump roller, both arms"),
        ];
        let span = Span::over(events.iter().map(|e| e.at), 50.0, 350.0).unwrap();
        let rows = rows(events.iter());
        let texts = texts(&rows[0], span, 400.0);
        let words: Vec<&str> = texts.iter().map(|t| t.words.as_str()).collect();
        // The seal has no room at either side; the last is written before its glyph.
        assert_eq!(words, ["nozzle", "tube", "pump roller, both arms"]);
        assert!(texts[2].anchor == Anchor::End);
    }

    #[test]
    fn glyphs_that_stand_close_are_small() {
        let weekly: Vec<Event> = (1..29).map(|day| part(day, "")).collect();
        let rows = rows(weekly.iter());
        let at = |right| {
            let span = Span::over(weekly.iter().map(|e| e.at), 0.0, right).unwrap();
            scale(&rows[0], span)
        };
        assert_eq!((at(1000.0), at(56.0)), (1.0, 0.4));
    }
}
