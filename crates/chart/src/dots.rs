//! Where one line stands, in a strip that fits into a row of a list.

use jiff::civil::DateTime;
use maud::{Markup, html};

use crate::catches::{point, shown};
use crate::data::{Catch, Dots, Reading, Recipe, Side, State, Verdict};
use crate::frame::picture;
use crate::number::{percent, plain};
use crate::pen::{Anchor, Pen, n};
use crate::range::drawable;
use crate::recipe::usable;
use crate::text::clean;
use crate::theme::Theme;

const WIDTH: f64 = 160.0;
const HEIGHT: f64 = 28.0;
const MIDDLE: f64 = HEIGHT / 2.0;

/// The strip reaches this many tolerances from the target, so that all strips of a list can be compared at a glance.
const REACH: f64 = 3.0;

/// From the middle to where the axis ends.
const HALF: f64 = WIDTH / 2.0 - 12.0;

/// Draws where a line stands: less at the left, the tolerance band in the middle, more at the right; 160 × 28 pixels.
///
/// What lies beyond three tolerances is an arrow head at the edge. The numbers are for the cell beside it, and for who
/// cannot see it they are its text alternative.
#[must_use]
pub fn dots(dots: &Dots, theme: Theme) -> Markup {
    let pen = Pen(theme);
    let unit = clean(&dots.unit);
    let recipe = Recipe { from: None, target: dots.target, tolerance: dots.tolerance };
    let recipe = usable(&[recipe]).first().copied().filter(|r| r.tolerance > 0.0);
    let catch = dots.reading.map(|reading| Catch {
        at: DateTime::ZERO,
        state: State::Found,
        read: String::new(),
        reading,
        verdict: dots.verdict,
    });
    let shown = catch.as_ref().and_then(|catch| shown(catch, &unit));
    let asked = recipe.map(|r| format!("{} {unit} ± {}", plain(r.target), percent(r.tolerance)));
    let title = shown.clone().unwrap_or_else(|| "not measured yet".to_owned());
    let verdict = dots.verdict.map(|v| format!(", {}", v.words())).unwrap_or_default();
    let title = format!("{title}{verdict}");
    let desc = asked.map(|asked| format!("The target is {asked}.")).unwrap_or_default();
    let inside = html! {
        @if recipe.is_some() {
            @if shown.is_some() { (pen.line("edge", (4.0, MIDDLE), (WIDTH - 4.0, MIDDLE))) }
            (pen.rect("band", (x(-1.0), 3.0), (x(1.0), HEIGHT - 3.0)))
            @for limit in [-1.0, 1.0] { (pen.line("limit", (x(limit), 3.0), (x(limit), HEIGHT - 3.0))) }
            (pen.line("aim", (x(0.0), 1.0), (x(0.0), HEIGHT - 1.0)))
        }
        @if let (Some(recipe), Some(catch), Some(_)) = (recipe, &catch, &shown) {
            (reading(pen, catch, &recipe))
        } @else {
            (pen.text("note", (4.0, MIDDLE + 4.0), Anchor::Start, "no catch"))
        }
    };
    picture(pen, "dots", (WIDTH, HEIGHT), (&title, &desc), &inside)
}

/// Where so many tolerances from the target are.
fn x(tolerances: f64) -> f64 {
    WIDTH / 2.0 + HALF * (tolerances / REACH).clamp(-1.0, 1.0)
}

fn reading(pen: Pen, catch: &Catch, recipe: &Recipe) -> Markup {
    let from_target = |value: f64| (value - recipe.target) / recipe.off();
    let off = catch.verdict == Some(Verdict::OffTarget);
    let (value, doubt) = match catch.reading {
        Reading::Portion { value, u } => (from_target(value), 2.0 * u / recipe.off()),
        Reading::Mark { portion, .. } => (from_target(portion), 0.0),
        Reading::Unread => return html! {},
    };
    let doubt = if drawable(doubt) { doubt.max(0.0) } else { 0.0 };
    if value.abs() > REACH {
        let (tip, back) = (x(value) + 9.0 * value.signum(), x(value) - 2.0 * value.signum());
        let d = format!(
            "M{} {}L{} {}V{}Z",
            n(tip),
            n(MIDDLE),
            n(back),
            n(MIDDLE - 7.0),
            n(MIDDLE + 7.0)
        );
        return pen.path(if off { "far-off" } else { "far" }, &d);
    }
    if let Reading::Mark { side, .. } = catch.reading {
        return mark(pen, side, x(value), if off { "mark-off" } else { "mark" });
    }
    html! {
        @if doubt > 0.0 {
            (pen.line(if off { "bar-off" } else { "bar" }, (x(value - doubt), MIDDLE), (x(value + doubt), MIDDLE)))
        }
        (point(pen, catch, (x(value), MIDDLE), 4.5))
    }
}

/// A mark, lying on its side: more is at the right.
fn mark(pen: Pen, side: Side, x: f64, class: &str) -> Markup {
    let mut d = format!("M{} {}V{}", n(x), n(MIDDLE - 7.0), n(MIDDLE + 7.0));
    let way = match side {
        Side::Over => 1.0,
        Side::Under => -1.0,
        Side::At => 0.0,
    };
    if way != 0.0 {
        let (tip, back) = (x + 12.0 * way, x + 8.0 * way);
        d += &format!("M{} {}H{}", n(x), n(MIDDLE), n(tip));
        d += &format!(
            "M{} {}L{} {}L{} {}",
            n(back),
            n(MIDDLE - 4.0),
            n(tip),
            n(MIDDLE),
            n(back),
            n(MIDDLE + 4.0)
        );
    }
    pen.path(class, &d)
}
