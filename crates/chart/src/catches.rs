//! Catches as points with the bars of their doubt, and as open arrows where only a mark was read.

use jiff::civil::DateTime;
use maud::{Markup, html};

use crate::data::{Catch, Event, History, Reading, Side, State, Verdict};
use crate::number::{plain, rounded};
use crate::pen::{Anchor, Pen, n, width_of};
use crate::range::{Range, drawable};
use crate::text::clean;
use crate::time::{Span, days, long};

/// No line joins two catches that are further apart than this, in days.
const GAP: f64 = 10.0;

/// A gap of so many days is told in words.
const LONG_GAP: f64 = 21.0;

/// A catch with where it stands on the upright axis.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Spot<'a> {
    pub(crate) catch: &'a Catch,
    /// The portion, or the portion of the mark, in the unit of the axis.
    pub(crate) value: f64,
    /// Half the length of its bar: two standard uncertainties; zero where none is known.
    pub(crate) doubt: f64,
}

impl Spot<'_> {
    /// Whether an amount was read, and not only a mark.
    pub(crate) fn is_amount(&self) -> bool {
        matches!(self.catch.reading, Reading::Portion { .. })
    }

    fn is_off(&self) -> bool {
        self.catch.verdict == Some(Verdict::OffTarget)
    }
}

/// The catches that can be drawn, in order of time, on an axis that `convert`s a catch's portion and its doubt.
pub(crate) fn spots(
    history: &History,
    convert: impl Fn(&Catch, f64, f64) -> Option<(f64, f64)>,
) -> Vec<Spot<'_>> {
    let spot = |catch| {
        let (value, u) = drawn(catch)?;
        let (value, doubt) = convert(catch, value, 2.0 * u)?;
        let doubt = if drawable(doubt) { doubt.max(0.0) } else { 0.0 };
        drawable(value).then_some(Spot { catch, value, doubt })
    };
    let mut spots: Vec<Spot> = history.catches.iter().filter_map(spot).collect();
    spots.sort_by_key(|s| order(s.catch));
    spots
}

/// Catches are in order of time, and as found before as left.
pub(crate) fn order(catch: &Catch) -> (DateTime, bool) {
    (catch.at, catch.state == State::Left)
}

/// The portion of a catch, or of its mark, and its standard uncertainty, if they can be drawn.
fn drawn(catch: &Catch) -> Option<(f64, f64)> {
    let (value, u) = match catch.reading {
        Reading::Portion { value, u } => (value, if drawable(u) { u.max(0.0) } else { 0.0 }),
        Reading::Mark { portion, .. } => (portion, 0.0),
        Reading::Unread => return None,
    };
    drawable(value).then_some((value, u))
}

/// What a catch shows, in words: `29.6 ± 1.2 mL`, `over the 33 mL mark`.
pub(crate) fn shown(catch: &Catch, unit: &str) -> Option<String> {
    drawn(catch).map(|(value, u)| match catch.reading {
        Reading::Mark { side, .. } => format!("{} the {} {unit} mark", side.words(), plain(value)),
        _ => match rounded(value, 2.0 * u) {
            (value, doubt) if doubt.is_empty() => format!("{value} {unit}"),
            (value, doubt) => format!("{value} ± {doubt} {unit}"),
        },
    })
}

/// All of a catch in one sentence, to be read where a pointer rests on it.
fn sentence(catch: &Catch, unit: &str) -> String {
    let mut says = format!("{}, {}", long(catch.at.date()), catch.state.words());
    for more in [Some(clean(&catch.read)).filter(|r| !r.is_empty()), shown(catch, unit)] {
        says += &more.map(|more| format!(", {more}")).unwrap_or_default();
    }
    match catch.verdict {
        Some(verdict) => format!("{says}: {}", verdict.words()),
        None => says,
    }
}

/// Where catches are drawn.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Plot<'a> {
    pub(crate) pen: Pen,
    pub(crate) span: Span,
    pub(crate) range: Range,
    /// Unit of the portions.
    pub(crate) unit: &'a str,
}

impl Plot<'_> {
    /// Radius of a point: less where there are many.
    fn radius(&self) -> f64 {
        (self.span.week() * 0.3).clamp(2.2, 4.0)
    }

    /// As found and as left on one day stand side by side.
    fn x(&self, spots: &[Spot], i: usize) -> f64 {
        let same_day = |j: Option<usize>| {
            let other = j.and_then(|j| spots.get(j)).map(|s| s.catch);
            let this = spots[i].catch;
            other.is_some_and(|o| o.state != this.state && (days(o.at) - days(this.at)).abs() < 0.5)
        };
        let apart = (self.span.week() * 0.22).clamp(0.0, 5.0);
        let x = self.span.x(spots[i].catch.at);
        match spots[i].catch.state {
            State::Found if same_day(Some(i + 1)) => x - apart,
            State::Left if same_day(i.checked_sub(1)) => x + apart,
            _ => x,
        }
    }

    /// The catches of one line. `events` are those after which the line may begin anew.
    pub(crate) fn catches(&self, spots: &[Spot], events: &[&Event]) -> Markup {
        html! {
            (self.join(spots, events))
            @for (i, spot) in spots.iter().enumerate() {
                g {
                    title { (sentence(spot.catch, self.unit)) }
                    @let x = self.x(spots, i);
                    @if !self.range.holds(spot.value) { (self.far(spot, x)) }
                    @else if spot.is_amount() { (self.point(spot, x)) }
                    @else { (self.mark(spot, x)) }
                }
            }
        }
    }

    /// The line through amounts that follow one another within days, with nothing between after which it begins anew.
    /// What lies beyond the axis is a fault and not a level: no line leads to it.
    fn join(&self, spots: &[Spot], events: &[&Event]) -> Markup {
        let anew = |a: &Catch, b: &Catch| {
            events.iter().filter(|e| e.what.begins_anew()).any(|e| {
                // As found comes before whatever is done at the same time, as left after it.
                let after = if a.state == State::Found { e.at >= a.at } else { e.at > a.at };
                let before = if b.state == State::Left { e.at <= b.at } else { e.at < b.at };
                after && before
            })
        };
        let place =
            |i: usize| format!("{} {}", n(self.x(spots, i)), n(self.range.y(spots[i].value)));
        let mut d = String::new();
        let mut last: Option<usize> = None;
        let mut drawing = false;
        for (i, spot) in spots.iter().enumerate().filter(|(_, s)| s.is_amount()) {
            let joined = last.filter(|&l| {
                let (a, b) = (spots[l].catch, spot.catch);
                days(b.at) - days(a.at) <= GAP && !anew(a, b)
            });
            let here = self.range.holds(spot.value);
            if let Some(l) = joined.filter(|_| here) {
                if !drawing {
                    d += &format!("M{}", place(l));
                }
                d += &format!("L{}", place(i));
            }
            drawing = here && joined.is_some();
            last = here.then_some(i);
        }
        html! { @if !d.is_empty() { (self.pen.path("join", &d)) } }
    }

    fn point(&self, spot: &Spot, x: f64) -> Markup {
        let [low, high] = [-spot.doubt, spot.doubt].map(|off| self.range.y(spot.value + off));
        let bar = if spot.is_off() { "bar-off" } else { "bar" };
        html! {
            @if spot.doubt > 0.0 { (self.pen.line(bar, (x, high), (x, low))) }
            (point(self.pen, spot.catch, (x, self.range.y(spot.value)), self.radius()))
        }
    }

    fn mark(&self, spot: &Spot, x: f64) -> Markup {
        mark(self.pen, spot.catch, (x, self.range.y(spot.value)), self.radius())
    }

    /// What lies beyond the axis: an arrow head at its edge, with the number beside it.
    fn far(&self, spot: &Spot, x: f64) -> Markup {
        let over = spot.value > self.range.high;
        let (y, tip) = if over {
            (self.range.top + 9.0, self.range.top + 1.0)
        } else {
            (self.range.bottom - 9.0, self.range.bottom - 1.0)
        };
        let class = if spot.is_off() { "far-off" } else { "far" };
        let d = format!("M{} {}L{} {}H{}Z", n(x), n(tip), n(x + 6.0), n(y), n(x - 6.0));
        let words = drawn(spot.catch).map(|(value, _)| format!("{} {}", plain(value), self.unit));
        let words = words.unwrap_or_default();
        let wide = width_of("last", &words);
        let fits = x + 9.0 + wide <= self.span.right;
        html! {
            (self.pen.path(class, &d))
            @if self.range.bottom - self.range.top > 100.0 && (fits || x - 9.0 - wide >= self.span.left) {
                @let (x, at) = if fits { (x + 9.0, Anchor::Start) } else { (x - 9.0, Anchor::End) };
                @let y = if over { self.range.top + 12.0 } else { self.range.bottom - 3.0 };
                (self.pen.text("last", (x, y), at, &words))
            }
        }
    }

    /// Words in long gaps: that nothing was caught is a finding too.
    pub(crate) fn gaps(&self, spots: &[Spot], until: Option<DateTime>) -> Markup {
        let mut times: Vec<DateTime> = spots.iter().map(|s| s.catch.at).collect();
        if !times.is_empty() {
            times.extend(until);
        }
        html! {
            @for pair in times.windows(2) {
                @let gap = days(pair[1]) - days(pair[0]);
                @let (from, to) = (self.span.x(pair[0]), self.span.x(pair[1]));
                @let weeks = (gap / 7.0).round();
                @let words = [format!("{weeks} weeks without a catch"), "no catch".to_owned()];
                @let fitting = words.iter().find(|w| width_of("note", w) < to - from - 12.0);
                @if gap >= LONG_GAP && let Some(words) = fitting {
                    (self.pen.text("note", ((from + to) / 2.0, self.range.bottom - 6.0), Anchor::Middle, words))
                }
            }
        }
    }
}

/// A point: round as found, a square on its corner as left; hollow when undecided; larger and ringed when off target.
pub(crate) fn point(pen: Pen, catch: &Catch, at: (f64, f64), r: f64) -> Markup {
    let off = catch.verdict == Some(Verdict::OffTarget);
    let class = match catch.verdict {
        Some(Verdict::OnTarget) => "pt",
        Some(Verdict::Undecided) => "pt-open",
        Some(Verdict::OffTarget) => "pt-off",
        None => "pt-none",
    };
    let r = if off { r + 0.8 } else { r };
    html! {
        @if catch.state == State::Found {
            (pen.circle(class, at, r))
            @if off { (pen.circle("ring", at, r + 3.0)) }
        } @else {
            (pen.diamond(class, at, r * 1.35))
            @if off { (pen.diamond("ring", at, r * 1.35 + 4.0)) }
        }
    }
}

/// A mark: a bar at it, and an arrow towards where the portion is; two bars as left.
pub(crate) fn mark(pen: Pen, catch: &Catch, (x, y): (f64, f64), r: f64) -> Markup {
    let Reading::Mark { side, .. } = catch.reading else { return html! {} };
    let class = if catch.verdict == Some(Verdict::OffTarget) { "mark-off" } else { "mark" };
    let w = r + 2.5;
    let up = match side {
        Side::Over => -1.0,
        Side::Under => 1.0,
        Side::At => 0.0,
    };
    let bar = |y: f64| format!("M{} {}h{}", n(x - w), n(y), n(2.0 * w));
    let mut d = bar(y);
    if catch.state == State::Left {
        d += &bar(if up == 0.0 { y + 4.0 } else { y - 4.0 * up });
    }
    if up != 0.0 {
        let tip = y + 12.0 * up;
        let back = tip - 4.0 * up;
        d += &format!("M{} {}V{}", n(x), n(y), n(tip));
        d += &format!("M{} {}L{} {}L{} {}", n(x - 4.0), n(back), n(x), n(tip), n(x + 4.0), n(back));
    }
    pen.path(class, &d)
}
