//! A machine's chart: its lines one under another on common axes, so that a move that they share is seen.

use maud::{Markup, html};

use crate::catches::{Plot, Spot, spots};
use crate::data::{Event, History, MachineChart, Reading, Size};
use crate::describe::describe_machine;
use crate::frame::{DATES, EDGE, dates, head, picture};
use crate::key::Key;
use crate::number::signed_percent;
use crate::pen::{Anchor, Pen, clipped, width_of};
use crate::range::Range;
use crate::recipe::{holding, usable};
use crate::strip;
use crate::text::clean;
use crate::theme::Theme;
use crate::time::Span;
use crate::window::Window;

const INSIDE: f64 = 10.0;

/// Percent of tolerance at which a plot ends at most.
const FARTHEST: f64 = 300.0;

/// Percent under the target from which on a line has a fault, and no deviation.
const HALF: f64 = 50.0;

/// What the limits of the first plot are called, which stands for all.
const LIMITS: [&str; 2] = ["least", "most"];

/// Draws a machine's lines one under another, each as its deviation from target on the scale of its own tolerance: all bands
/// are alike. What is said in numbers is percent of the target.
#[must_use]
pub fn machine_chart(chart: &MachineChart, theme: Theme, size: Size) -> Markup {
    let pen = Pen(theme);
    let width = f64::from(size.width.clamp(240, 2000));
    let narrow = width < 480.0;
    let deviations: Vec<Vec<Spot>> = chart.lines.iter().map(deviations).collect();
    let window = Window::of(&deviations.iter().map(Vec::as_slice).collect::<Vec<_>>(), width);
    let lines: Vec<(&History, &[Spot])> =
        chart.lines.iter().zip(&deviations).map(|(l, spots)| (l, window.spots(spots))).collect();
    let all = || lines.iter().flat_map(|(_, spots)| *spots);
    let shared: Vec<&Event> = window.events(&chart.events).collect();
    let own = || chart.lines.iter().flat_map(|l| window.events(&l.events));
    let events = shared.iter().copied().chain(own()).map(|e| e.at);
    let span = Span::over(all().map(|s| s.catch.at).chain(events).chain(chart.until), 0.0, 1.0);
    let rows = strip::rows(shared.iter().copied());

    let note = "the band is what still serves; percent is of the target";
    let note = match clean(&chart.name) {
        name if name.is_empty() => note.to_owned(),
        name => format!("{name}; {note}"),
    };
    let (head, top) = head(pen, width, &chart.finding, &note);
    let top = top + 6.0;

    let names = chart.lines.iter().map(|l| width_of("label", &clean(&l.name))).fold(0.0, f64::max);
    // Where there is no room beside the plots, names stand above them.
    let beside = if narrow { 0.0 } else { names.min(width * 0.24) + 12.0 };
    let scale = width_of("axis", LIMITS[0]) + 6.0;
    let left = EDGE + (beside + scale).max(strip::names_width(&rows) + 8.0);
    let last = lines
        .iter()
        .flat_map(|(line, spots)| spots.iter().map(|s| width_of("last", &said(line, s))))
        .fold(width_of("last", "no catch"), f64::max);
    let right = width - EDGE - 10.0 - last.min(width * 0.25);
    let span = span.map(|span| span.between(left + INSIDE, right - INSIDE));

    let most = all().map(|s| s.value.abs()).fold(150.0, f64::max);
    let most = (most * 1.1).min(FARTHEST);
    let plot = f64::from(size.plot.clamp(30, 200)).min(64.0);
    let above = if narrow { 16.0 } else { 0.0 };
    let pitch = plot + above + 8.0;
    let range = |i: usize| {
        let top = top + pitch * i as f64 + above;
        Range { low: -most, high: most, top, bottom: top + plot }
    };
    let bottom = top + pitch * lines.len() as f64;
    let below = bottom + strip::ROW * rows.len() as f64;
    let (key, end) = Key::of(all(), &[]).draw(pen, EDGE, width - EDGE, below + DATES + 2.0);
    let inside = html! {
        (head)
        @if let Some(span) = span.filter(|_| !lines.is_empty()) {
            (dates(pen, span, top, bottom, below, width))
            (strip::since(pen, &rows, span, top, bottom))
            (strip::draw(pen, &rows, span, bottom, (left - 8.0, width - EDGE)))
        }
        @for (i, (line, spots)) in lines.iter().enumerate() {
            @let range = range(i);
            (ground(pen, &range, left, right))
            @if i == 0 {
                @for (limit, words) in [-100.0, 100.0].into_iter().zip(LIMITS) {
                    (pen.text("axis", (left - 6.0, range.y(limit) + 4.0), Anchor::End, words))
                }
            }
            @let room = if narrow { right - EDGE } else { left - EDGE - scale - 4.0 };
            (name(pen, &range, line, room, narrow))
            @if let Some(span) = span {
                @let unit = clean(&line.unit);
                @let plot = Plot { pen, span, range, unit: &unit };
                @let own: Vec<&Event> = window.events(&line.events).collect();
                (plot.catches(spots, &[own.as_slice(), shared.as_slice()].concat()))
                @for event in own.iter().filter(|e| e.what.begins_anew()) {
                    (strip::mark(pen, event, (span.x(event.at), range.bottom - 4.0), 0.8))
                }
            }
            (latest(pen, &range, line, spots.last(), right, width))
        }
        @if lines.is_empty() {
            (pen.text("label", (EDGE, top + 12.0), Anchor::Start, "No lines yet: add them first."))
        }
        (key)
    };
    picture(
        pen,
        "machine",
        (width, end + EDGE),
        (&chart.finding, &describe_machine(chart)),
        &inside,
    )
}

/// A line's catches, on the scale of the plots: in percent of the tolerance that held at their time.
fn deviations(line: &History) -> Vec<Spot<'_>> {
    let recipes = usable(&line.recipes);
    spots(line, |catch, value, doubt| {
        let recipe = holding(&recipes, catch.at).filter(|r| r.tolerance > 0.0)?;
        let percent = 100.0 / recipe.off();
        Some(((value - recipe.target) * percent, doubt * percent))
    })
}

/// The band and the target of one plot.
fn ground(pen: Pen, range: &Range, left: f64, right: f64) -> Markup {
    let (low, middle, high) = (range.y(-100.0), range.y(0.0), range.y(100.0));
    html! {
        (pen.rect("band", (left, high), (right, low)))
        @for y in [low, high] { (pen.line("limit", (left, y), (right, y))) }
        (pen.line("target", (left, middle), (right, middle)))
        (pen.line("edge", (left, range.top), (left, range.bottom)))
    }
}

/// The name of a line, left of its plot or above it.
fn name(pen: Pen, range: &Range, line: &History, room: f64, narrow: bool) -> Markup {
    let middle = (range.top + range.bottom) / 2.0 + 4.0;
    let y = if narrow { range.top - 4.0 } else { middle };
    pen.text("label", (EDGE, y), Anchor::Start, &clipped("label", &clean(&line.name), room))
}

/// The latest reading, right of the plot.
fn latest(
    pen: Pen,
    range: &Range,
    line: &History,
    last: Option<&Spot>,
    right: f64,
    width: f64,
) -> Markup {
    let words = last.map_or("no catch".to_owned(), |last| said(line, last));
    let value = last.map_or(0.0, |s| s.value);
    let words = clipped("last", &words, width - EDGE - right - 8.0);
    let y = range.y(value).clamp(range.top + 6.0, range.bottom - 6.0);
    pen.text("last", (right + 8.0, y + 4.0), Anchor::Start, &words)
}

/// A deviation in words, in percent of the target: `+14 %`, `over +8.0 %`. Less than half of a portion is a fault, and no
/// deviation.
fn said(line: &History, spot: &Spot) -> String {
    let recipes = usable(&line.recipes);
    let tolerance = holding(&recipes, spot.catch.at).map_or(0.0, |recipe| recipe.tolerance);
    let percent = spot.value * tolerance;
    if percent < -HALF {
        return "under half".to_owned();
    }
    let percent = signed_percent(percent);
    match spot.catch.reading {
        Reading::Mark { side, .. } => format!("{} {percent}", side.words()),
        _ => percent,
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;
    use crate::data::{Catch, Recipe, State};

    /// What is said of a reading is percent of the target, as everywhere else; less than half of it is a fault.
    #[test]
    fn the_latest_is_told_in_percent_of_its_target() {
        let drawn = |value: f64| {
            let catch = Catch {
                at: date(2026, 3, 2).at(6, 40, 0, 0),
                state: State::Found,
                read: format!("{value} mL"),
                reading: Reading::Portion { value, u: 0.2 },
                verdict: None,
            };
            let line = History {
                name: "3".into(),
                unit: "mL".into(),
                recipes: vec![Recipe { from: None, target: 30.0, tolerance: 0.05 }],
                catches: vec![catch],
                events: Vec::new(),
            };
            let chart = MachineChart {
                name: "Counter 1".into(),
                finding: String::new(),
                lines: vec![line],
                events: Vec::new(),
                until: None,
            };
            machine_chart(&chart, Theme::Css, Size::WIDE).into_string()
        };
        for (value, words) in [(24.9, ">−17 %<"), (36.0, ">+20 %<"), (14.9, ">under half<")] {
            let drawn = drawn(value);
            assert!(drawn.contains(words), "{value}: {drawn}");
        }
    }
}
