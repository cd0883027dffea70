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
    /// Height of the room for notes in mm, where there is any.
    pub notes: Option<f64>,
    /// How the text is set.
    pub text: Text,
}

/// How the text is set, from small to large.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Text {
    /// All of it smaller: a dozen lines of which several have something to say.
    Small,
    /// What is around the table is smaller.
    Tight,
    /// What is around the table is as large as the table's.
    Even,
    /// A step on each line.
    Roomy,
}

/// Two lines of text, and a box that takes a pen, in mm.
const LEAST_ROW: f64 = 10.1;

/// A taller box helps nobody.
const MOST_ROW: f64 = 20.0;

/// Rows that could be as tall as this leave room for each step on a line of its own.
const ROOMY: f64 = 19.0;

/// Less room for notes than this is none.
const LEAST_NOTES: f64 = 14.0;

/// Size of text in points: of the table, the same where room is short, and what is around it then.
const BODY: f64 = 12.0;
const LESS: f64 = 11.0;
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
            Paper::A4 => (281.0, 196.0),
            Paper::Letter => (263.4, 201.9),
        };
        #[expect(clippy::cast_precision_loss, reason = "a machine has a few dozen lines")]
        let count = sheet.rows.len().max(1) as f64;
        // What is left over for each row, beyond the least that it takes.
        let spare = |table: f64, around: f64| {
            let rows: f64 = sheet.rows.iter().map(|row| least(row, width, table)).sum();
            (height - self::around(sheet, width, around) - rows) / count
        };
        let text = match spare(BODY, BODY) {
            room if room > ROOMY - LEAST_ROW => Text::Roomy,
            room if room >= 0.0 => Text::Even,
            _ if spare(BODY, SMALL) >= 0.0 => Text::Tight,
            _ => Text::Small,
        };
        let spare = match text {
            Text::Roomy | Text::Even => spare(BODY, BODY),
            Text::Tight => spare(BODY, SMALL),
            Text::Small => spare(LESS, SMALL),
        };
        let least = if text == Text::Small { LEAST_ROW * LESS / BODY } else { LEAST_ROW };
        // Steps on lines of their own take a few lines more than in a row.
        let most = if text == Text::Roomy { ROOMY - 2.0 } else { MOST_ROW };
        let row = (least + spare).clamp(least, most);
        let left = (least + spare - row) * count - BODY * LINE * 2.0 - GAPS;
        Fit { row, notes: (text == Text::Roomy && left > LEAST_NOTES).then_some(left), text }
    }

    /// The classes of the page in the style.
    pub fn class(self) -> Option<&'static str> {
        match self.text {
            Text::Small => Some("tight small"),
            Text::Tight => Some("tight"),
            Text::Even => None,
            Text::Roomy => Some("roomy"),
        }
    }
}

/// The least height of a row: a long name or a long recipe takes more than two lines.
fn least(row: &Row, width: f64, size: f64) -> f64 {
    let (line, catch) = match row.water.is_some() {
        true => (0.109 * width - 1.6, 0.117 * width - 1.6),
        false => (0.132 * width - 1.6, 0.12 * width - 1.6),
    };
    let characters = |words: &str| words.chars().count() as f64;
    let allergens: f64 = row.allergens.iter().map(|a| characters(a) + 2.0).sum();
    // Lines are broken at words, so that a part of each is lost; allergens stand in capitals.
    let named =
        (characters(&row.name) + characters(&row.line) + 2.0) * CHARACTER + 1.25 * allergens * BOLD;
    let lines = |words: f64, column: f64| (words * size / column).ceil();
    let caught = lines(characters(&row.draw) * CHARACTER, catch)
        + lines((characters(&row.asks) + 4.0) * CHARACTER, catch);
    let lines = lines(1.15 * named, line).max(caught).max(2.0);
    (lines * size * LINE + 0.6).max(LEAST_ROW * size / BODY)
}

/// The height of all that is not rows.
fn around(sheet: &MachineSheet, width: f64, size: f64) -> f64 {
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
        .map(|last| text(last.chars().count() + 30) + 0.8)
        .sum();
    let head = if size < BODY { 11.0 } else { 12.5 };
    head + GAPS
        + HEADING
        + text(count(&sheet.steps))
        + text(legend + sheet.setting.about.chars().count())
        + text(count(&sheet.cautions))
        + notes
        + lasts
}
