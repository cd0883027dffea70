//! The same facts as a chart's, as rows of a table to be printed under it.

use crate::catches::order;
use crate::data::{History, Reading};
use crate::number::{plain, rounded};
use crate::text::clean;

/// A row of the table under a line's chart. Cells that do not apply are empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// The day, as `2026-03-03`.
    pub date: String,
    /// `as found`, `as left`, or what happened: `cleaned`.
    pub what: String,
    /// The catch as it was read, or more about what happened.
    pub read_as: String,
    /// The portion with its unit: `29.6 mL`, `over 33 mL`.
    pub portion: String,
    /// Two standard uncertainties, with the unit: `± 1.2 mL`.
    pub doubt: String,
    /// `on target`, `off target` or `undecided`.
    pub verdict: String,
}

impl Row {
    /// Headings of the columns, in the order of the fields.
    pub const HEADINGS: [&str; 6] =
        ["Date", "What", "Read as", "Portion", "± (true 19 times in 20)", "Verdict"];

    /// The cells, in the order of the fields.
    #[must_use]
    pub fn cells(&self) -> [&str; 6] {
        [&self.date, &self.what, &self.read_as, &self.portion, &self.doubt, &self.verdict]
    }
}

/// A line's history as rows, in order of time: catches as found, what happened at the same time, catches as left.
#[must_use]
pub fn table(history: &History) -> Vec<Row> {
    let unit = clean(&history.unit);
    let catches = history.catches.iter().map(|catch| {
        let (portion, doubt) = match catch.reading {
            Reading::Portion { value, u } => {
                let (value, doubt) = rounded(value, 2.0 * u);
                let doubt = if doubt.is_empty() { doubt } else { format!("± {doubt} {unit}") };
                (format!("{value} {unit}"), doubt)
            }
            Reading::Mark { side, portion } => {
                (format!("{} {} {unit}", side.words(), plain(portion)), String::new())
            }
            Reading::Unread => (String::new(), String::new()),
        };
        let (at, left) = order(catch);
        let row = Row {
            date: catch.at.date().to_string(),
            what: catch.state.words().to_owned(),
            read_as: clean(&catch.read),
            portion,
            doubt,
            verdict: catch.verdict.map(|v| v.words().to_owned()).unwrap_or_default(),
        };
        ((at, if left { 2 } else { 0 }), row)
    });
    let events = history.events.iter().map(|event| {
        let row = Row {
            date: event.at.date().to_string(),
            what: event.what.words().to_owned(),
            read_as: clean(&event.words),
            portion: String::new(),
            doubt: String::new(),
            verdict: String::new(),
        };
        ((event.at, 1), row)
    });
    let mut rows: Vec<_> = catches.chain(events).collect();
    rows.sort_by_key(|(place, _)| *place);
    rows.into_iter().map(|(_, row)| row).collect()
}
