//! How things look: one table of classes, used by the style sheet and written out as attributes for paper.

/// Where colours come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Theme {
    /// From the page's style sheet, by classes: see [`CSS`].
    Css,
    /// Written into the picture, dark on white: for paper, and for programs that know no variables.
    Flat,
}

/// The style sheet for pages that hold charts with [`Theme::Css`].
///
/// It uses the variables that the page sets, and falls back to the light ones; in print it sets the light ones itself,
/// and where the reader chose the colours (`forced-colors`) it follows them.
pub const CSS: &str = include_str!("theme/chart.css");

/// Declarations of the variables for a white page, to be put in a rule of the page.
pub const LIGHT: &str = "--ink:#1b1b1b;--muted:#565656;--surface:#fff;--band:#0072b2;--off:#c03a00";

/// Declarations of the variables for a dark page.
pub const DARK: &str =
    "--ink:#ededed;--muted:#b4b4b4;--surface:#121212;--band:#56b4e9;--off:#ff8c4a";

/// What something is painted with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Paint {
    Nothing,
    Ink,
    Muted,
    Surface,
    Band,
    Off,
}

/// How the elements of one class look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Look {
    pub(crate) class: &'static str,
    pub(crate) fill: Paint,
    pub(crate) stroke: Paint,
    /// Width of the stroke.
    pub(crate) width: f64,
    pub(crate) dash: &'static str,
    pub(crate) opacity: f64,
    /// Font size; zero for what is no text.
    pub(crate) size: f64,
    pub(crate) bold: bool,
}

const fn drawn(class: &'static str, stroke: Paint, width: f64) -> Look {
    let (dash, opacity) = ("", 1.0);
    Look { class, fill: Paint::Nothing, stroke, width, dash, opacity, size: 0.0, bold: false }
}

const fn filled(class: &'static str, fill: Paint) -> Look {
    Look { fill, ..drawn(class, Paint::Nothing, 0.0) }
}

const fn written(class: &'static str, fill: Paint, size: f64, bold: bool) -> Look {
    Look { size, bold, ..filled(class, fill) }
}

/// Every class that is drawn.
pub(crate) const LOOKS: [Look; 36] = [
    Look { opacity: 0.15, ..filled("band", Paint::Band) },
    drawn("limit", Paint::Band, 1.0),
    Look { dash: "7 4", ..drawn("target", Paint::Band, 1.5) },
    drawn("aim", Paint::Band, 2.0),
    Look { opacity: 0.22, ..filled("stood", Paint::Muted) },
    drawn("stood-middle", Paint::Muted, 1.25),
    Look { dash: "3 3", ..drawn("ahead", Paint::Muted, 0.75) },
    Look { dash: "3 3", ..drawn("ahead-middle", Paint::Muted, 1.25) },
    Look { opacity: 0.3, ..drawn("grid", Paint::Muted, 0.75) },
    drawn("edge", Paint::Muted, 1.0),
    Look { opacity: 0.6, ..drawn("join", Paint::Ink, 1.5) },
    Look { opacity: 0.7, ..drawn("bar", Paint::Ink, 1.25) },
    drawn("bar-off", Paint::Off, 1.75),
    filled("pt", Paint::Ink),
    Look { fill: Paint::Surface, ..drawn("pt-open", Paint::Ink, 1.5) },
    filled("pt-none", Paint::Muted),
    filled("pt-off", Paint::Off),
    drawn("ring", Paint::Off, 1.75),
    drawn("mark", Paint::Ink, 2.0),
    drawn("mark-off", Paint::Off, 2.75),
    filled("far", Paint::Ink),
    filled("far-off", Paint::Off),
    filled("event", Paint::Ink),
    drawn("event-open", Paint::Ink, 1.5),
    drawn("clean", Paint::Muted, 1.5),
    Look { dash: "2 3", ..drawn("since", Paint::Muted, 1.25) },
    drawn("leader", Paint::Muted, 0.75),
    drawn("way-first", Paint::Ink, 2.25),
    Look { dash: "7 4", ..drawn("way-second", Paint::Ink, 2.25) },
    drawn("way-third", Paint::Band, 2.75),
    filled("way-point", Paint::Band),
    written("title", Paint::Ink, 16.0, true),
    written("note", Paint::Muted, 12.0, false),
    written("axis", Paint::Muted, 12.0, false),
    written("label", Paint::Ink, 12.0, false),
    written("last", Paint::Ink, 12.0, true),
];

/// The look of a class.
pub(crate) fn look(class: &str) -> &'static Look {
    LOOKS
        .iter()
        .find(|look| look.class == class)
        .expect("every class that is drawn is in the table")
}

impl Paint {
    /// The variable of the page, and what stands for it on paper.
    fn names(self) -> Option<(&'static str, &'static str)> {
        match self {
            Self::Nothing => None,
            Self::Ink => Some(("--ink", "#1b1b1b")),
            Self::Muted => Some(("--muted", "#565656")),
            Self::Surface => Some(("--surface", "#fff")),
            Self::Band => Some(("--band", "#0072b2")),
            Self::Off => Some(("--off", "#c03a00")),
        }
    }

    /// As a literal colour.
    pub(crate) fn flat(self) -> &'static str {
        self.names().map_or("none", |(_, colour)| colour)
    }

    /// As a variable, with its literal colour to fall back to.
    #[cfg(test)]
    pub(crate) fn variable(self) -> String {
        self.names().map_or("none".to_owned(), |(name, colour)| format!("var({name},{colour})"))
    }
}

#[cfg(test)]
mod tests;
