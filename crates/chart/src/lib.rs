//! Charts of what was caught, as SVG: for pages (colours from a style sheet) and for paper (literal colours).
//!
//! A chart is drawn from plain data that the caller fills: [`line_chart`] is one line's history, [`machine_chart`] its
//! machine's lines one under another, and [`dots`] where one line stands, small enough for a row of a list.
//! [`residue_chart`] is how a flush takes what was in a line along, by several ways.
//! [`control_chart`] holds values to the limits of a control chart.
//! [`table`] and [`residue_table`] give the same facts as rows, to be printed under the chart.
//!
//! State is never colour alone: shape says whether a catch is as found or as left, hollow is undecided, and what is
//! off target is larger and ringed. Limits, targets and the latest reading are named at the margin, where they are.
//!
//! # Style
//!
//! With [`Theme::Css`] elements carry classes only. A page serves [`CSS`] as a style sheet, and sets these variables
//! for light and for dark ([`LIGHT`] and [`DARK`] hold values that are far enough apart):
//!
//! | variable | paints |
//! | --- | --- |
//! | `--ink` | points, bars, text |
//! | `--muted` | axes, grid, notes, cleans |
//! | `--surface` | the inside of hollow points: the page's own background |
//! | `--band` | the tolerance band and the target |
//! | `--off` | what is off target |
//!
//! The `svg` has class `chart`, and `line`, `machine`, `dots`, `residue` or `control`. Inside: `band`, `limit`, `target`, `aim`, `grid`, `edge`,
//! `join`, `bar`, `bar-off`, `pt`, `pt-open`, `pt-none`, `pt-off`, `ring`, `mark`, `mark-off`, `far`, `far-off`, `event`, `event-open`,
//! `clean`, `since`, `leader`, `way-first`, `way-second`, `way-third`, `way-point`, and the texts `title`, `note`, `axis`, `label`, `last`.
//!
//! # What this crate does not do
//!
//! It judges nothing and estimates nothing: verdicts come with the data. It reads no clock and no file, knows no
//! record, and draws neither an estimate nor a forecast.

mod catches;
mod control;
mod data;
mod describe;
mod dots;
mod frame;
mod key;
mod line;
mod machine;
mod number;
mod pen;
mod places;
mod range;
mod recipe;
mod residue;
mod stood;
mod strip;
mod table;
#[cfg(test)]
mod tests;
mod text;
mod theme;
mod time;
mod window;

pub use control::{ControlChart, ControlPoint, control_chart, describe_control};
pub use data::{
    Catch, Dots, Event, Happening, History, LineChart, MachineChart, Reading, Recipe, Side, Size,
    State, Stood, Verdict, Way,
};
pub use describe::{describe_line, describe_machine};
pub use dots::dots;
pub use line::line_chart;
pub use machine::machine_chart;
pub use residue::{
    ResidueChart, ResidueTable, ResidueWay, describe_residue, residue_chart, residue_table,
};
pub use table::{Row, table};
pub use theme::{CSS, DARK, LIGHT, Theme};

use maud::{Markup, html};

/// A chart at both widths, of which [`CSS`] shows the one that fits its place: texts keep their size on a telephone.
///
/// ```
/// use ouncewise_chart::{LineChart, Theme, line_chart, responsive};
/// let chart = LineChart { finding: "No catch yet".to_owned(), ..LineChart::default() };
/// let both = responsive(|size| line_chart(&chart, Theme::Css, size)).into_string();
/// assert_eq!(both.matches("<svg").count(), 2);
/// ```
pub fn responsive(draw: impl Fn(Size) -> Markup) -> Markup {
    html! {
        div class="chart-place" {
            div class="chart-wide" { (draw(Size::WIDE)) }
            div class="chart-narrow" { (draw(Size::NARROW)) }
        }
    }
}
