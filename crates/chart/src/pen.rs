//! The few elements that a chart is made of, by class, and with colours written out where a theme asks for it.

use maud::{Markup, html};

use crate::text;
use crate::theme::{Look, Paint, Theme, look};

/// Draws elements in a theme. What is not finite is drawn at zero, so that a picture always holds numbers.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pen(pub(crate) Theme);

/// Where a text stands on its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

impl Pen {
    /// A path.
    pub(crate) fn path(self, class: &str, d: &str) -> Markup {
        let l = self.flat(class);
        html! {
            path class=(class) d=(d) fill=[l.map(|l| l.fill.flat())] stroke=[stroke(l)] stroke-width=[width(l)]
                stroke-dasharray=[dash(l)] opacity=[opacity(l)] {}
        }
    }

    /// A straight line.
    pub(crate) fn line(self, class: &str, (x1, y1): (f64, f64), (x2, y2): (f64, f64)) -> Markup {
        self.path(class, &format!("M{} {}L{} {}", n(x1), n(y1), n(x2), n(y2)))
    }

    /// A rectangle from one corner to the opposite one.
    pub(crate) fn rect(self, class: &str, (x1, y1): (f64, f64), (x2, y2): (f64, f64)) -> Markup {
        self.path(class, &format!("M{} {}H{}V{}H{}Z", n(x1), n(y1), n(x2), n(y2), n(x1)))
    }

    /// A circle.
    pub(crate) fn circle(self, class: &str, (x, y): (f64, f64), r: f64) -> Markup {
        let l = self.flat(class);
        html! {
            circle class=(class) cx=(n(x)) cy=(n(y)) r=(n(r)) fill=[l.map(|l| l.fill.flat())] stroke=[stroke(l)]
                stroke-width=[width(l)] {}
        }
    }

    /// A square that stands on its corner.
    pub(crate) fn diamond(self, class: &str, (x, y): (f64, f64), r: f64) -> Markup {
        let d = format!("M{} {}l{r} {r}l-{r} {r}l-{r} -{r}Z", n(x), n(y - r), r = n(r));
        self.path(class, &d)
    }

    /// A text on its base line. It must be clean and short enough: see [`crate::text`].
    pub(crate) fn text(self, class: &str, (x, y): (f64, f64), at: Anchor, text: &str) -> Markup {
        let l = self.flat(class);
        let anchor = match at {
            Anchor::Start => None,
            Anchor::Middle => Some("middle"),
            Anchor::End => Some("end"),
        };
        html! {
            @if !text.is_empty() {
                text class=(class) x=(n(x)) y=(n(y)) text-anchor=[anchor] fill=[l.map(|l| l.fill.flat())]
                    font-size=[l.map(|l| n(l.size))] font-weight=[l.filter(|l| l.bold).map(|_| "700")] { (text) }
            }
        }
    }

    /// The look to be written out, if any.
    fn flat(self, class: &str) -> Option<&'static Look> {
        (self.0 == Theme::Flat).then(|| look(class))
    }
}

/// The width of a text of a class.
pub(crate) fn width_of(class: &str, text: &str) -> f64 {
    let look = look(class);
    text::width(text, look.size, look.bold)
}

/// A text of a class, cut to so many pixels.
pub(crate) fn clipped(class: &str, text: &str, room: f64) -> String {
    let look = look(class);
    text::clip(text, look.size, look.bold, room)
}

fn stroke(l: Option<&Look>) -> Option<&'static str> {
    l.filter(|l| l.stroke != Paint::Nothing).map(|l| l.stroke.flat())
}

fn width(l: Option<&Look>) -> Option<String> {
    l.filter(|l| l.stroke != Paint::Nothing).map(|l| l.width.to_string())
}

fn dash(l: Option<&Look>) -> Option<&'static str> {
    l.map(|l| l.dash).filter(|dash| !dash.is_empty())
}

fn opacity(l: Option<&Look>) -> Option<String> {
    l.filter(|l| l.opacity < 1.0).map(|l| l.opacity.to_string())
}

/// A coordinate: to a tenth of a pixel, and always a number.
pub(crate) fn n(value: f64) -> String {
    let value = if value.is_finite() { value.clamp(-1e5, 1e5) } else { 0.0 };
    let text = format!("{value:.1}");
    let text = text.strip_suffix(".0").unwrap_or(&text);
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
