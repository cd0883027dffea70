//! The questions that follow from what a person says of the columns.
//!
//! A proposal learns from headings. So the sheet is proposed once more as if its headings said what the person says, and
//! what is asked then is asked here.

use ouncewise_estate::sheets::mapping::{self, Column, Means};
use ouncewise_estate::sheets::{About, Mapping, TableRow};

use super::look::{Beside, Seen, settle_columns};
use super::uploads::Reading;
use super::words::number;

/// The mapping with the questions that its columns bring up, and the answers that it had. The heading in `seen` is
/// written over; a mapping takes it for a heading all the same.
pub fn asked_anew(
    mapping: Mapping,
    proposed: &[Column],
    seen: &mut Seen,
    name: &str,
    beside: &Beside,
) -> Mapping {
    as_if(&mut seen.rows, &mapping, proposed);
    let about = About { file: name, sheet: seen.which.as_deref() };
    let Ok(fresh) = mapping::propose(&seen.rows, about, &beside.estate, beside.now) else {
        return mapping;
    };
    if (fresh.heading_row, fresh.heading_rows) != (mapping.heading_row, 1) {
        return mapping;
    }
    let names = mapping.columns.iter().any(|column| column.called.is_some());
    let mut asked = Mapping { questions: fresh.questions, ..mapping.clone() };
    asked.questions.retain(|question| {
        !question.id.starts_with("column ") && (names || question.id != "names")
    });
    for question in &mapping.questions {
        if let Some(answer) = &question.answer {
            // It is asked no more, or no longer takes this answer.
            let _ = asked.set(&question.id, answer);
        }
    }
    asked
}

/// Whether two columns are read alike, whatever the reason.
pub fn alike(one: &Column, other: &Column) -> bool {
    let read = |column: &Column| Column { because: String::new(), ..column.clone() };
    read(one) == read(other)
}

/// All that a reading decides, without its reasons: what the page shows as chosen.
pub fn settled(reading: &Reading) -> Mapping {
    let mut mapping = reading.decided();
    settle_columns(&mut mapping);
    mapping.columns.iter_mut().for_each(|column| column.because.clear());
    mapping
}

/// Rewrites the heading: columns that were corrected are headed by what they hold.
fn as_if(rows: &mut Vec<TableRow>, mapping: &Mapping, proposed: &[Column]) {
    let first = mapping.heading_row;
    let width = mapping.columns.iter().filter_map(|c| number(&c.letter)).max().map_or(0, |n| n + 1);
    let mut cells = vec![String::new(); width];
    for column in &mapping.columns {
        let Some(cell) = number(&column.letter).and_then(|nth| cells.get_mut(nth)) else {
            continue;
        };
        let as_proposed = proposed.iter().any(|proposed| alike(proposed, column));
        *cell = if as_proposed { column.heading.clone() } else { heading(column) };
    }
    let cells: Vec<&str> = cells.iter().map(String::as_str).collect();
    // Two rows of heading are one now.
    rows.retain(|row| row.number <= first || row.number >= first + mapping.heading_rows);
    for row in rows.iter_mut().filter(|row| row.number == first) {
        *row = TableRow::of(first, &cells);
    }
}

/// A heading that says what a column holds.
fn heading(column: &Column) -> String {
    let word = match column.means {
        Means::Site => "Site",
        Means::SiteNumber => "Site number",
        Means::Machine => "Machine",
        Means::Serial => "Serial number",
        Means::Line => "Line",
        Means::Product => "Product",
        Means::Date => "Date",
        Means::Time => "Time of day",
        Means::Amount => "Amount",
        Means::Unit => "Unit",
        Means::Seconds => "Seconds",
        Means::Doses => "Doses",
        Means::Measure => "Measured with",
        Means::By => "Checked by",
        Means::State => "Before or after",
        Means::Temperature => "Temperature",
        Means::Water => "Water",
        Means::Target => "Target",
        Means::Tolerance => "Tolerance",
        Means::Done => "Done",
        Means::Adjusted => "Adjusted",
        // A column of notes brings up no question, whatever is in it.
        Means::Note | Means::Nothing => "Notes",
    };
    let mut heading = match &column.unit {
        Some(unit) => format!("{word} ({unit})"),
        None => word.to_owned(),
    };
    if matches!(
        column.means,
        Means::Amount | Means::Seconds | Means::Doses | Means::Done | Means::Adjusted
    ) {
        let state = column.state.as_deref().map(|state| match state {
            "as-left" => "After",
            _ => "Before",
        });
        let Column { site, machine, line, called, date, .. } = column;
        let names = [site, machine, line, called, date].into_iter().map(Option::as_deref);
        for part in names.chain([state]).flatten() {
            heading.push_str(" / ");
            heading.push_str(part);
        }
    }
    heading
}

#[cfg(test)]
mod tests {
    use ouncewise_estate::Estate;
    use ouncewise_estate::sheets::{Mapping, TableRow};

    use super::*;

    fn propose(rows: &[TableRow]) -> Mapping {
        let now = crate::testing::NOW.parse().unwrap();
        mapping::propose(rows, About::default(), &Estate::default(), now).unwrap()
    }

    fn rows() -> Vec<TableRow> {
        vec![
            TableRow::of(1, &["Site", "Line", "Date", "Foo", "Checked by"]),
            TableRow::of(2, &["Fern Hollow", "1", "03/02/2026", "29.6", "3"]),
            TableRow::of(3, &["Fern Hollow", "1", "04/02/2026", "30.1", "4"]),
        ]
    }

    /// The rows with one column said to hold something else, proposed as if its heading said so.
    fn said(letter: usize, means: Means, unit: Option<&str>, state: Option<&str>) -> Mapping {
        let mut rows = rows();
        let proposal = propose(&rows);
        let mut mapping = proposal.clone();
        let column = &mut mapping.columns[letter];
        column.means = means;
        column.unit = unit.map(str::to_owned);
        column.state = state.map(str::to_owned);
        as_if(&mut rows, &mapping, &proposal.columns);
        propose(&rows)
    }

    #[test]
    fn a_heading_says_what_a_person_said() {
        for (means, unit, state) in [
            (Means::Amount, Some("mL"), None),
            (Means::Amount, Some("fl oz (US)"), Some("as-left")),
            (Means::Amount, None, Some("as-found")),
            (Means::Seconds, None, None),
            (Means::Doses, None, None),
            (Means::Target, Some("g"), None),
            (Means::Temperature, Some("°C"), None),
            (Means::Water, Some("mL"), None),
            (Means::By, None, None),
            (Means::Nothing, None, None),
        ] {
            let read = said(4, means, unit, state);
            let column = &read.columns[4];
            let expected = if means == Means::Nothing { Means::Note } else { means };
            assert_eq!(
                (column.means, column.unit.as_deref(), column.state.as_deref()),
                (expected, unit, state)
            );
        }
    }

    #[test]
    fn numbers_that_are_said_to_be_readings_bring_up_the_question_of_their_unit() {
        let ids = |mapping: &Mapping| -> Vec<String> {
            mapping.questions.iter().map(|question| question.id.clone()).collect()
        };
        let asked = ids(&said(3, Means::Amount, None, None));
        for id in ["unit", "state", "draw", "date-order", "add"] {
            assert!(asked.iter().any(|known| known == id), "{id}: {asked:?}");
        }
        let with_unit = ids(&said(3, Means::Amount, Some("mL"), None));
        assert!(!with_unit.iter().any(|id| id == "unit"), "{with_unit:?}");
    }
}
