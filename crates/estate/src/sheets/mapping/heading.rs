//! Where the heading is, and what each column means by its heading and its cells.

use rust_decimal::prelude::ToPrimitive;

use super::super::reading::plain;
use super::super::table::{Hint, TableRow};
use super::shape::{self, Shape, Shapes};
use super::words::{FOUND, LEFT, SAMPLE_WORDS, heading as known_heading, holds, phrase};
use super::{Column, Means, dates, letter, units};

/// Rows among which the heading is looked for.
const ABOVE: usize = 60;

/// Where the heading is, in row numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) row: u64,
    pub(super) rows: u64,
}

/// Finds the heading.
pub(super) fn find(rows: &[TableRow]) -> Option<Place> {
    let width = usual_width(rows);
    let scores: Vec<f64> = rows.iter().take(ABOVE).map(|row| score(row, width)).collect();
    let best = (0..scores.len()).fold(None, |best: Option<usize>, i| match best {
        Some(b) if scores[b] >= scores[i] => Some(b),
        _ if scores[i] >= 1.0 => Some(i),
        b => b,
    })?;
    let number = rows[best].number;
    // A second row of heading: sub-headings under groups, or groups over sub-headings.
    if let Some(below) = rows.get(best + 1)
        && is_heading_part(below)
        && reaches_over(&rows[best], below)
        && (scores.get(best + 1).is_some_and(|s| *s >= 1.0) || state_words(below) >= 2)
    {
        return Some(Place { row: number, rows: 2 });
    }
    if best > 0 && groups(&rows[best - 1], &rows[best]) {
        return Some(Place { row: number - 1, rows: 2 });
    }
    Some(Place { row: number, rows: 1 })
}

/// The width that most rows have.
fn usual_width(rows: &[TableRow]) -> usize {
    let mut widths: Vec<usize> = rows.iter().map(filled).filter(|n| *n > 1).collect();
    widths.sort_unstable();
    widths.get(widths.len() / 2).copied().unwrap_or(0)
}

fn filled(row: &TableRow) -> usize {
    row.iter().filter(|c| !c.is_empty()).count()
}

/// How much a row looks like a heading.
fn score(row: &TableRow, width: usize) -> f64 {
    let cells: Vec<(usize, &str)> = row.iter().enumerate().filter(|(_, c)| !c.is_empty()).collect();
    let distinct: std::collections::BTreeSet<&str> = cells.iter().map(|(_, c)| *c).collect();
    if distinct.len() < 2 || cells.len() * 2 < width {
        return 0.0;
    }
    cells
        .iter()
        .filter(|(i, _)| !row.is_copied(*i))
        .map(|(i, text)| {
            let (rest, _) = cut_unit(text);
            let phrase = phrase(&rest);
            if text.len() > 60 || text.ends_with(':') {
                return -0.5;
            }
            if contains(&phrase, FOUND) || contains(&phrase, LEFT) {
                return 1.0;
            }
            match (known_heading(&phrase), shape::of(text, row.hint(*i))) {
                (Some((_, 2)), _) => 1.0,
                (_, Shape::Date) => 0.4,
                (_, Shape::Number) if dates::read(text, row.hint(*i)).is_some() => 0.4,
                (
                    _,
                    Shape::Number | Shape::Amount | Shape::Duration | Shape::Claim | Shape::Clock,
                ) => -0.6,
                (Some((_, _)), _) => 0.6,
                _ => 0.1,
            }
        })
        .sum()
}

fn contains(phrase: &str, words: &[&str]) -> bool {
    words.iter().any(|w| holds(phrase, w))
}

fn state_words(row: &TableRow) -> usize {
    row.iter().map(phrase).filter(|p| contains(p, FOUND) || contains(p, LEFT)).count()
}

/// Whether a row holds words only, as a second row of heading does.
fn is_heading_part(row: &TableRow) -> bool {
    let shapes: Vec<Shape> = row
        .iter()
        .enumerate()
        .map(|(i, c)| shape::of(c, row.hint(i)))
        .filter(|s| *s != Shape::Empty)
        .collect();
    shapes.len() >= 2
        && shapes
            .iter()
            .all(|s| matches!(s, Shape::Text | Shape::State | Shape::Date | Shape::Claim))
}

/// Whether cells of `above` reach over cells of `below`: there is something under an empty or merged one.
fn reaches_over(above: &TableRow, below: &TableRow) -> bool {
    (0..below.len())
        .any(|i| !below.get(i).is_empty() && (above.get(i).is_empty() || above.is_copied(i)))
}

/// Whether `above` groups the columns of `below`: merged cells, or headings below that repeat.
fn groups(above: &TableRow, below: &TableRow) -> bool {
    let texts: std::collections::BTreeSet<&str> = above.iter().filter(|c| !c.is_empty()).collect();
    if texts.len() < 2
        || above.iter().any(|c| c.ends_with(':'))
        || above.iter().zip(below.iter()).all(|(a, b)| a == b)
    {
        return false;
    }
    let merged = (0..above.len()).any(|i| above.is_copied(i) && !above.get(i).is_empty());
    let subs: Vec<&str> = below.iter().filter(|c| !c.is_empty()).collect();
    let repeats = subs.iter().collect::<std::collections::BTreeSet<_>>().len() < subs.len();
    let pairs = texts.iter().filter(|t| shape::of(t, Hint::Text) == Shape::Number).count();
    (merged || repeats) && pairs * 2 < texts.len()
}

/// The heading of each column; two rows are joined by ` / `, a group reaching over the columns under it.
pub(super) fn joined(rows: &[TableRow], first: u64, count: u64) -> Vec<String> {
    let row = |number: u64| rows.iter().find(|r| r.number == number);
    let Some(top) = row(first) else { return Vec::new() };
    let Some(sub) = row(first + 1).filter(|_| count > 1) else {
        return top.iter().map(one_line).collect();
    };
    let mut group = "";
    (0..top.len().max(sub.len()))
        .map(|i| {
            let (own, below) = (top.get(i), sub.get(i));
            if !own.is_empty() {
                group = own;
            } else if below.is_empty() {
                group = "";
            }
            match (if below.is_empty() || own == below { own } else { group }, below) {
                (a, "") => one_line(a),
                ("", b) => one_line(b),
                (a, b) if a == b => one_line(a),
                (a, b) => format!("{} / {}", one_line(a), one_line(b)),
            }
        })
        .collect()
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Cuts a unit out of a heading: `Qty (ml)`, `Volume, mL`, `Amount in fl oz`.
pub(super) fn cut_unit(text: &str) -> (String, Option<String>) {
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some(start) = text.find(open)
            && let Some(end) = text.rfind(close).filter(|e| *e > start)
        {
            let inner = text[start + 1..end].trim();
            if !units::meanings(inner).is_empty() {
                return (
                    format!("{} {}", &text[..start], &text[end + 1..]).trim().to_owned(),
                    Some(inner.to_owned()),
                );
            }
        }
    }
    let parted = text.split([' ', ',', '_']).filter(|w| !w.is_empty());
    let words: Vec<&str> = parted.clone().collect();
    // `ml per shot`, `ml/pump`.
    let whole = words.join(" ");
    if let Some((unit, _)) = whole.split_once(" per ").or_else(|| whole.split_once('/'))
        && !units::meanings(unit).is_empty()
    {
        return ("amount".to_owned(), Some(unit.to_owned()));
    }
    for count in (1..=2).rev() {
        if words.len() > count {
            let (head, tail) = words.split_at(words.len() - count);
            let tail = tail.join(" ");
            // A lone letter is more often a name than a unit, except where the heading is a program's.
            let unit = tail.len() > 1 || (text.contains('_') && tail == "s");
            if unit && !units::meanings(&tail).is_empty() {
                let head = if head.last() == Some(&"in") { &head[..head.len() - 1] } else { head };
                return (head.join(" "), Some(tail));
            }
        }
    }
    (text.to_owned(), None)
}

/// A column on its way to a meaning.
struct Draft {
    column: Column,
    /// A name in the heading that may be a line, a site or a machine.
    name: Option<String>,
    sure: u8,
    shapes: Shapes,
}

/// What the columns mean, and the likeliest answer to the question `names` where it must be asked. `known` tells what sort of thing of the estate a text names, if any.
pub(super) fn columns(
    rows: &[TableRow],
    place: Place,
    site_told: bool,
    known: &impl Fn(&str) -> Option<Means>,
) -> (Vec<Column>, Option<&'static str>) {
    let headings = joined(rows, place.row, place.rows);
    let data: Vec<&TableRow> = rows.iter().filter(|r| r.number >= place.row + place.rows).collect();
    let width = data.iter().map(|r| r.len()).max().unwrap_or(0).max(headings.len());
    // A heading that is a bare number is a spreadsheet's day only where no column holds the days.
    let days_in_rows = headings.iter().any(|h| known_heading(&phrase(h)) == Some((Means::Date, 2)));
    let mut drafts: Vec<Draft> = (0..width)
        .filter_map(|i| {
            let mut shapes = Shapes::default();
            for row in data.iter().take(2000) {
                shapes.add(shape::of(row.get(i), row.hint(i)));
            }
            let heading = headings.get(i).cloned().unwrap_or_default();
            (!heading.is_empty() || shapes.filled > 0).then(|| {
                let cells: Vec<&str> =
                    data.iter().take(500).map(|r| r.get(i)).filter(|c| !c.is_empty()).collect();
                draft(i, &heading, shapes, &cells, days_in_rows, known)
            })
        })
        .collect();
    let names = name_dimension(&mut drafts, site_told, known);
    only_one_each(&mut drafts);
    let mut columns: Vec<Column> = drafts.into_iter().map(|d| d.column).collect();
    unit_of_targets(&mut columns, &data);
    (columns, names)
}

fn draft(
    number: usize,
    heading: &str,
    shapes: Shapes,
    cells: &[&str],
    days_in_rows: bool,
    known: &impl Fn(&str) -> Option<Means>,
) -> Draft {
    let mut column = Column {
        letter: letter(number),
        heading: heading.to_owned(),
        means: Means::Nothing,
        unit: None,
        site: None,
        machine: None,
        line: None,
        called: None,
        date: None,
        state: None,
        fill_down: false,
        because: String::new(),
    };
    let (mut means, mut sure, mut name) = (None, 0, None);
    for part in heading.split(" / ").filter(|p| !p.is_empty()) {
        let (rest, unit) = cut_unit(part);
        if unit.is_some() {
            column.unit = unit;
        }
        let dated = if days_in_rows {
            dates::within(&rest)
        } else {
            dates::read(&rest, Hint::Text).or_else(|| dates::within(&rest))
        };
        if dated.is_some() && shapes.readings() {
            column.date = Some(rest.clone());
            continue;
        }
        let phrase = phrase(&rest);
        if shapes.readings() && shapes.share(&[Shape::State]) < 0.3 && known(&rest).is_none() {
            let found = contains(&phrase, FOUND);
            if found || contains(&phrase, LEFT) {
                column.state = Some(if found { "as-found" } else { "as-left" }.to_owned());
                means = means.or(Some(Means::Amount));
                sure = 2;
                continue;
            }
        }
        match known_heading(&phrase) {
            Some((m, how)) if how == 2 || !(shapes.readings() && names_thing(m)) => {
                let better = how >= sure || means.is_none();
                (means, sure) = if better { (Some(m), how) } else { (means, sure) };
            }
            _ if counts_readings(&phrase) => means = means.or(Some(Means::Amount)),
            _ if !phrase.is_empty() => name = Some(rest.clone()),
            _ => {}
        }
    }
    if column.date.is_some() && means.is_none_or(|m| m == Means::Date) {
        means = Some(Means::Amount);
        sure = 2;
    }
    (column.means, column.because) =
        by_cells(means, name.as_deref(), &column, &shapes, cells, known);
    if column.means != Means::Amount
        && column.means != Means::Seconds
        && column.means != Means::Doses
        && column.means != Means::Done
    {
        name = None;
    }
    if column.unit.as_deref().is_some_and(|u| {
        u.parse::<ouncewise_measure::Unit>()
            .is_ok_and(|u| u.dimension() == ouncewise_measure::quantity::Dimension::Duration)
    }) {
        if column.means == Means::Amount || column.means == Means::Time {
            column.means = Means::Seconds;
        }
        column.unit = None;
    }
    Draft { column, name, sure, shapes }
}

/// Meanings whose word in a longer heading is part of a name: `Cherry syrup`, `Line 1`.
fn names_thing(means: Means) -> bool {
    matches!(
        means,
        Means::Line | Means::Product | Means::Machine | Means::Site | Means::By | Means::Date
    )
}

/// Settles a meaning by what the cells look like, and says why.
fn by_cells(
    means: Option<Means>,
    name: Option<&str>,
    column: &Column,
    shapes: &Shapes,
    cells: &[&str],
    known: &impl Fn(&str) -> Option<Means>,
) -> (Means, String) {
    let readings = shapes.readings();
    let numbers = shapes.share(&[Shape::Number, Shape::Amount, Shape::Duration]);
    let days =
        cells.iter().filter(|c| dates::read(c, Hint::Text).is_some()).count() * 3 > cells.len();
    let say = |m: Means, why: &str| (m, why.to_owned());
    let named = |m: Means| cells.iter().filter(|c| known(c) == Some(m)).count() * 2 > cells.len();
    match means {
        Some(Means::Time | Means::Seconds) if shapes.share(&[Shape::Clock]) > 0.5 => {
            say(Means::Time, "the cells are times of day")
        }
        Some(Means::Time) if numbers > 0.5 => {
            say(Means::Seconds, "the cells are numbers, not times of day")
        }
        Some(Means::State) if shapes.share(&[Shape::Claim, Shape::Nothing]) > 0.5 => {
            say(Means::Done, "the cells say OK or not")
        }
        Some(Means::Done) if shapes.share(&[Shape::Number, Shape::Amount]) > 0.5 => {
            say(Means::Amount, "the cells are readings")
        }
        Some(Means::Adjusted)
            if shapes.share(&[Shape::Claim, Shape::Nothing]) < 0.5
                && shapes.share(&[Shape::Amount]) > 0.5 =>
        {
            say(Means::Amount, "the cells are readings")
        }
        Some(Means::Unit) if cells.iter().any(|c| units::meanings(c).is_empty()) => {
            say(Means::Machine, "the cells are no units")
        }
        Some(Means::Measure) if shapes.share(&[Shape::Number]) > 0.8 => {
            say(Means::Amount, "the cells are numbers")
        }
        Some(Means::Date) if numbers > 0.5 && column.date.is_none() && !days => {
            say(Means::Nothing, "the cells are no dates")
        }
        Some(Means::By | Means::Machine) if named(Means::Site) => {
            say(Means::Site, "the cells are sites of the estate")
        }
        Some(Means::By | Means::Machine | Means::Site) if named(Means::Line) => {
            say(Means::Line, "the cells are lines of the estate")
        }
        Some(m) => say(m, "by its heading"),
        None if column.date.is_some() || column.state.is_some() => {
            say(Means::Amount, "by its heading")
        }
        None if readings && name.is_some_and(|n| !n.is_empty()) => {
            say(Means::Amount, "readings under a name")
        }
        None if readings
            && shapes.share(&[Shape::Claim, Shape::Nothing]) <= 0.6
            && column.unit.is_some() =>
        {
            say(Means::Amount, "readings under a unit")
        }
        None if shapes.share(&[Shape::Date]) > 0.7 => say(Means::Date, "the cells are dates"),
        None if shapes.share(&[Shape::Clock]) > 0.7 => {
            say(Means::Time, "the cells are times of day")
        }
        None if named(Means::Site) => say(Means::Site, "the cells are sites of the estate"),
        None if named(Means::Line) => say(Means::Line, "the cells are lines of the estate"),
        None => say(Means::Nothing, "neither the heading nor the cells tell"),
    }
}

/// Decides whether the names that stand over readings are lines, sites or machines; the answer to
/// the question `names` where that cannot be told.
fn name_dimension(
    drafts: &mut [Draft],
    site_told: bool,
    known: &impl Fn(&str) -> Option<Means>,
) -> Option<&'static str> {
    let has = |m: Means| drafts.iter().any(|d| d.column.means == m);
    let names: Vec<&String> = drafts.iter().filter_map(|d| d.name.as_ref()).collect();
    let count = |m: Means| names.iter().filter(|n| known(n) == Some(m)).count();
    let by_estate = [Means::Line, Means::Site, Means::Machine]
        .into_iter()
        .filter(|m| count(*m) * 2 > names.len())
        .max_by_key(|m| count(*m));
    // Beside readings by their heading, numbers under an unknown word are something else: asked about by column.
    if by_estate.is_none()
        && drafts.iter().any(|d| d.column.means == Means::Amount && d.name.is_none())
    {
        for draft in drafts.iter_mut() {
            if draft.name.take().is_some() && draft.column.means == Means::Amount {
                draft.column.means = Means::Nothing;
                draft.column.because =
                    "its word is not known, and other columns hold the readings".to_owned();
            }
        }
        return None;
    }
    let has_line = has(Means::Line) || has(Means::Product);
    let dimension = by_estate.or((!has_line).then_some(Means::Line));
    // One lone name over readings beside a column of lines is just an odd word for a reading.
    let lone = names.len() == 1 && dimension.is_none();
    let asked = (dimension.is_none() && !lone && !names.is_empty())
        .then_some(if site_told || has(Means::Site) { "readings" } else { "site" });
    let mut seen: std::collections::BTreeMap<String, usize> = std::collections::BTreeMap::new();
    for draft in drafts.iter_mut().filter(|_| !lone) {
        let Some(mut name) = draft.name.take() else { continue };
        let Column { means, state, date, .. } = &draft.column;
        let times =
            seen.entry(format!("{} {means:?} {state:?} {date:?}", phrase(&name))).or_default();
        *times += 1;
        if *times > 1 {
            name = format!("{name} {times}");
        }
        let (place, why) = match dimension {
            Some(Means::Line) => (&mut draft.column.line, "its heading names a line"),
            Some(Means::Site) => (&mut draft.column.site, "its heading names a site"),
            Some(_) => (&mut draft.column.machine, "its heading names a machine"),
            None => (&mut draft.column.called, "its heading has a name that may be of anything"),
        };
        *place = Some(name);
        draft.column.because = why.to_owned();
    }
    asked
}

/// Whether a heading only counts readings: `1st`, `Sample 2`, `Reading B`.
fn counts_readings(phrase: &str) -> bool {
    let mut words = phrase.split(' ');
    let first = words.next().unwrap_or_default();
    let rest = words.next().unwrap_or_default();
    let ordinal = ["st", "nd", "rd", "th"].iter().any(|e| {
        first
            .strip_suffix(e)
            .is_some_and(|n| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit()))
    });
    (ordinal || SAMPLE_WORDS.contains(&first)) && rest.len() <= 2 && words.next().is_none()
        || (ordinal && known_heading(rest).is_some_and(|(m, _)| m == Means::Amount))
}

/// Keeps one column of each meaning that a row can have only once; and lets a product stand for a line where there is none.
fn only_one_each(drafts: &mut [Draft]) {
    use Means::{
        By, Date, Line, Machine, Measure, Product, Serial, Site, SiteNumber, State, Target,
        Temperature, Time, Tolerance, Unit,
    };
    for means in [
        Site,
        SiteNumber,
        Machine,
        Serial,
        Line,
        Product,
        Date,
        Time,
        Unit,
        Measure,
        By,
        State,
        Temperature,
        Target,
        Tolerance,
    ] {
        let best = drafts
            .iter()
            .enumerate()
            .filter(|(_, d)| d.column.means == means)
            .max_by(|(i, a), (j, b)| {
                (a.sure, a.shapes.filled > 0).cmp(&(b.sure, b.shapes.filled > 0)).then(j.cmp(i))
            })
            .map(|(i, _)| i);
        for (i, draft) in drafts.iter_mut().enumerate() {
            if draft.column.means == means && Some(i) != best {
                let numbers = draft.shapes.share(&[Shape::Number]) > 0.8;
                draft.column.because = "another column is that already".to_owned();
                draft.column.means =
                    if means == Site && numbers { SiteNumber } else { Means::Nothing };
            }
        }
    }
    let line = drafts.iter().any(|d| d.column.means == Line || d.column.line.is_some());
    if !line && let Some(product) = drafts.iter_mut().find(|d| d.column.means == Product) {
        product.column.means = Line;
        product.column.because = "there is no other column of lines".to_owned();
    }
    if !drafts.iter().any(|d| d.column.means == Site)
        && let Some(number) = drafts.iter_mut().find(|d| d.column.means == SiteNumber)
    {
        number.column.means = Site;
        number.column.because = "there is no other column of sites".to_owned();
    }
}

/// Readings without a unit beside targets with one are in that of the targets, where the numbers are near.
fn unit_of_targets(columns: &mut [Column], data: &[&TableRow]) {
    let middle = |letter: &str| {
        let number = super::column_number(letter)?;
        let mut numbers: Vec<f64> =
            data.iter().filter_map(|r| plain(r.get(number))?.to_f64()).collect();
        numbers.sort_by(f64::total_cmp);
        numbers.get(numbers.len() / 2).copied().filter(|x| *x > 0.0)
    };
    let target = columns.iter().find(|c| c.means == Means::Target && c.unit.is_some());
    let Some((unit, target)) = target.and_then(|c| Some((c.unit.clone(), middle(&c.letter)?)))
    else {
        return;
    };
    for column in columns.iter_mut().filter(|c| c.means == Means::Amount && c.unit.is_none()) {
        if middle(&column.letter).is_some_and(|m| (0.4..2.5).contains(&(m / target))) {
            column.unit.clone_from(&unit);
            column.because.push_str("; its numbers are near to the targets, and in their unit");
        }
    }
}
