//! One line's chart: what was caught and what was done, against what the recipe asks.

use maud::{Markup, html};

use crate::catches::{Plot, Spot, spots};
use crate::data::{Event, LineChart, Reading, Recipe, Size};
use crate::describe::describe_line;
use crate::frame::{DATES, EDGE, dates, head, numbers, numbers_width, picture};
use crate::key::Key;
use crate::number::{percent, plain, rounded};
use crate::pen::{Anchor, Pen, clipped, width_of};
use crate::places::apart;
use crate::range::Range;
use crate::recipe::{band, pieces, usable};
use crate::stood;
use crate::strip;
use crate::text::{clean, wrap};
use crate::theme::{Theme, look};
use crate::time::Span;
use crate::window::Window;

/// From the plot's edges to the first and the last date.
const INSIDE: f64 = 10.0;

/// From the plot to the labels at its right.
const ASIDE: f64 = 10.0;

/// Labels at the margin are this far from each other.
const GAP: f64 = 15.0;

/// Numbers on the upright axis, about.
const TICKS: f64 = 5.0;

/// Draws one line's history.
///
/// A chart without catches is an empty frame that says what to do next. Where there are more catches than its width can
/// tell apart, the latest are drawn, and the chart says so.
#[must_use]
pub fn line_chart(chart: &LineChart, theme: Theme, size: Size) -> Markup {
    let pen = Pen(theme);
    let width = f64::from(size.width.clamp(240, 2000));
    let narrow = width < 480.0;
    let history = &chart.history;
    let unit = clipped("label", &clean(&history.unit), 80.0);
    let all = spots(history, |_, value, doubt| Some((value, doubt)));
    let window = Window::of(&[&all], width);
    let spots = window.spots(&all);
    let events: Vec<&Event> = window.events(&history.events).collect();
    let rows = strip::rows(events.iter().copied());
    let times = spots.iter().map(|s| s.catch.at).chain(events.iter().map(|e| e.at));
    let times = times.chain(chart.stood.iter().filter(|s| s.ahead).map(|s| s.at));
    let span = Span::over(times.chain(chart.until), 0.0, 1.0);
    let recipes = usable(&history.recipes);

    let name = clean(&history.name);
    let portion = format!("portion in {unit}");
    let cut = (spots.len() < all.len())
        .then(|| format!("the latest {} of {} catches", spots.len(), all.len()));
    let note = [Some(name).filter(|n| !n.is_empty()), Some(portion), cut];
    let note: Vec<String> = note.into_iter().flatten().collect();
    let (head, top) = head(pen, width, &chart.finding, &note.join("; "));
    let top = top + 12.0;
    let bottom = top + f64::from(size.plot.clamp(80, 1000));

    // Which recipes are shown does not depend on how wide the plot is.
    let shown = pieces(&recipes, span, 0.0, 1.0);
    let targets: Vec<(f64, f64)> = shown.iter().map(|(r, ..)| (r.target, r.off())).collect();
    let (low, high) = Range::around(&targets, spots.iter().map(|s| (s.value, s.doubt)));
    let range = Range { low, high, top, bottom };

    let labels = margin(shown.last().map(|(r, ..)| r), spots.last(), &unit, narrow);
    let widest = labels.iter().map(|l| width_of(l.class, &l.words)).fold(0.0, f64::max);
    let right =
        width - EDGE - if labels.is_empty() { 0.0 } else { ASIDE + widest.min(width * 0.36) };
    let numbers_width = numbers_width(&range, TICKS).min(width * 0.2);
    let left = EDGE + (numbers_width + 6.0).max(strip::names_width(&rows) + 8.0);
    let span = span.map(|span| span.between(left + INSIDE, right - INSIDE));

    let strip_top = bottom + 4.0;
    let below = strip_top + strip::ROW * rows.len() as f64;
    let stood = window.stood(&chart.stood);
    let (key, end) =
        Key::of(spots.iter(), &stood).draw(pen, EDGE, width - EDGE, below + DATES + 2.0);
    let inside = html! {
        (head)
        (band(pen, &pieces(&recipes, span, left, right), &range, &unit))
        (numbers(pen, &range, TICKS, left, right))
        @if let Some(span) = span {
            (stood::draw(pen, &stood, span, &range))
            (dates(pen, span, top, bottom, below, width))
            (strip::since(pen, &rows, span, top, bottom))
        }
        (pen.path("edge", &corner(left, right, top, bottom)))
        @if let Some(span) = span {
            @let plot = Plot { pen, span, range, unit: &unit };
            (plot.gaps(spots, chart.until))
            (plot.catches(spots, &events))
            (strip::draw(pen, &rows, span, strip_top, (left - 8.0, width - EDGE)))
        }
        @if spots.is_empty() { (empty(pen, left, right, top)) }
        (write_margin(pen, &labels, &range, right, width))
        (key)
    };
    picture(pen, "line", (width, end + EDGE), (&chart.finding, &describe_line(chart)), &inside)
}

/// The left and the lower edge of a plot.
fn corner(left: f64, right: f64, top: f64, bottom: f64) -> String {
    use crate::pen::n;
    format!("M{} {}V{}H{}", n(left), n(top), n(bottom), n(right))
}

/// A label at the margin, and the value that it names.
struct Label {
    value: f64,
    words: String,
    class: &'static str,
}

/// Names of the limits, the target and the latest reading.
fn margin(recipe: Option<&Recipe>, last: Option<&Spot>, unit: &str, narrow: bool) -> Vec<Label> {
    let mut labels = Vec::new();
    let unit = if narrow { String::new() } else { format!(" {unit}") };
    let mut label = |value, class, words| labels.push(Label { value, words, class });
    if let Some(recipe) = recipe {
        let (low, high) = recipe.limits();
        let off = percent(recipe.tolerance);
        if recipe.tolerance > 0.0 {
            label(high, "label", format!("+{off}: {}{unit}", plain(high)));
            label(low, "label", format!("−{off}: {}{unit}", plain(low)));
        }
        label(recipe.target, "label", format!("target {}{unit}", plain(recipe.target)));
    }
    if let Some(last) = last {
        let (value, doubt) = rounded(last.value, last.doubt);
        let words = match last.catch.reading {
            Reading::Mark { side, .. } => {
                format!("last {} {}{unit}", side.words(), plain(last.value))
            }
            _ if narrow || doubt.is_empty() => format!("last {value}{unit}"),
            _ => format!("last {value} ± {doubt}{unit}"),
        };
        label(last.value, "last", words);
    }
    labels
}

/// Labels right of the plot, apart from each other, each led to what it names.
fn write_margin(pen: Pen, labels: &[Label], range: &Range, right: f64, width: f64) -> Markup {
    let wanted: Vec<f64> = labels.iter().map(|label| range.y(label.value)).collect();
    let places = apart(&wanted, GAP, range.top, range.bottom);
    html! {
        @for ((label, wanted), place) in labels.iter().zip(wanted).zip(places) {
            (pen.line("leader", (right + 1.0, wanted), (right + ASIDE - 2.0, place)))
            @let words = clipped(label.class, &label.words, width - EDGE - right - ASIDE);
            (pen.text(label.class, (right + ASIDE, place + 4.0), Anchor::Start, &words))
        }
    }
}

/// What stands in a frame without catches: what to do next.
fn empty(pen: Pen, left: f64, right: f64, top: f64) -> Markup {
    let room = right - left - 24.0;
    let next = wrap("Catch this line once, as found.", look("label").size, false, room, 3);
    html! {
        (pen.text("last", (left + 12.0, top + 16.0), Anchor::Start, &clipped("last", "No catch yet", room)))
        @for (i, line) in next.iter().enumerate() {
            (pen.text("label", (left + 12.0, top + 32.0 + 15.0 * i as f64), Anchor::Start, line))
        }
    }
}
