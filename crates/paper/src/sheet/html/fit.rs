//! How tall the rows may be, so that a sheet fills its page and does not run over it.
//!
//! A browser lays the page out; this only foresees what it will do, from the number of characters and the widths that
//! `style.css` gives. Where it is wrong the sheet is a little loose, or goes on to a second page under the same heading.

use super::super::{MachineSheet, Paper, Row};

/// How a sheet is fitted to its page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fit {
    /// Height of a row in mm.
    pub row: f64,
    /// How the text around the table is set.
    pub around: Around,
}

/// How the text around the table is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Around {
    /// Smaller: the table takes the page.
    Tight,
    /// As large as the table's.
    Even,
    /// A step on each line.
    Roomy,
}

/// Two lines of text, and a box that takes a pen, in mm.
const LEAST_ROW: f64 = 10.1;

/// A taller box helps nobody.
const MOST_ROW: f64 = 20.0;

/// Rows that could be as tall as this leave room for each step on a line of its own.
const ROOMY_ROW: f64 = 19.0;

/// Size of the text of the table, in points.
const BODY: f64 = 12.0;

/// The same of what stands around it, where room is short.
const SMALL: f64 = 10.0;

/// Millimetres per point of size: of a character of running text, a bold one, and a line.
const CHARACTER: f64 = 0.162;
const BOLD: f64 = 0.19;
const LINE: f64 = 1.08 * 25.4 / 72.0;

/// Millimetres of the table's heading, and of gaps and frames between the parts.
const HEADING: f64 = 15.0;
const GAPS: f64 = 6.0;

impl Fit {
    pub fn of(sheet: &MachineSheet) -> Fit {
        // Inside the margins.
        let (width, height) = match sheet.paper {
            Paper::A4 => (281.0, 194.0),
            Paper::Letter => (263.4, 199.9),
        };
        let least = |row: &Row| least(row, width);
        let rows: f64 = sheet.rows.iter().map(least).sum();
        let each = |tight: bool| {
            #[expect(clippy::cast_precision_loss, reason = "a machine has a few dozen lines")]
            let count = sheet.rows.len().max(1) as f64;
            LEAST_ROW + (height - around(sheet, width, tight) - rows) / count
        };
        let around = match each(false) {
            row if row < LEAST_ROW => Around::Tight,
            row if row > ROOMY_ROW => Around::Roomy,
            _ => Around::Even,
        };
        // What steps on lines of their own take, the rows leave.
        let row = each(around == Around::Tight).clamp(LEAST_ROW, MOST_ROW);
        Fit { row: if around == Around::Roomy { row.min(ROOMY_ROW - 2.0) } else { row }, around }
    }

    /// The class of the page in the style.
    pub fn class(self) -> Option<&'static str> {
        match self.around {
            Around::Tight => Some("tight"),
            Around::Even => None,
            Around::Roomy => Some("roomy"),
        }
    }
}

/// The least height of a row: a long name takes more than two lines.
fn least(row: &Row, width: f64) -> f64 {
    let column = if row.water.is_some() { 0.109 } else { 0.132 } * width - 1.6;
    let allergens: usize = row.allergens.iter().map(|a| a.chars().count() + 2).sum();
    let names = row.line.chars().count() + row.name.chars().count() + 2;
    let named = BODY * (names as f64 * CHARACTER + allergens as f64 * 1.25 * BOLD);
    let column_of_catch = 0.12 * width - 1.6;
    let lines =
        |words: &str| (words.chars().count() as f64 * BODY * CHARACTER / column_of_catch).ceil();
    let caught = lines(&row.draw) + lines(&row.asks);
    // Lines are broken at words, so that a part of each is lost.
    let lines = (1.15 * named / column).ceil().max(caught).max(2.0);
    (lines * BODY * LINE + 0.6).max(LEAST_ROW)
}

/// The height of all that is not rows.
fn around(sheet: &MachineSheet, width: f64, tight: bool) -> f64 {
    let size = if tight { SMALL } else { BODY };
    let text =
        |characters: usize| (characters as f64 * size * CHARACTER / width).ceil() * size * LINE;
    let count = |words: &[String]| words.iter().map(|w| w.chars().count() + 2).sum::<usize>();
    let legend: usize = sheet
        .measures
        .iter()
        .map(|m| m.key.chars().count() + m.name.chars().count() + m.read.chars().count() + 6)
        .sum();
    let notes: f64 = sheet.notes.iter().map(|note| text(note.chars().count())).sum();
    let lasts: f64 = sheet
        .rows
        .iter()
        .filter_map(|row| row.last.as_ref())
        .map(|last| text(last.chars().count() + 40) + 0.8)
        .sum();
    let head = if tight { 11.0 } else { 12.5 };
    head + GAPS
        + HEADING
        + text(count(&sheet.steps))
        + text(legend + sheet.setting.about.chars().count())
        + text(count(&sheet.cautions))
        + notes
        + lasts
}
