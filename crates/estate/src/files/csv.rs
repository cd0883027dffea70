//! CSV with the place of every cell (RFC 4180, and what spreadsheet programs make of it).
//!
//! Cells are parted by commas, semicolons or tabs, whichever the heading row
//! has most of. Common readers tell where a row begins; a fault is to be shown
//! at its cell.

use std::ops::Range;

use super::super::fields::{Field, Flaw, code};
use crate::fault::{Severity, nearest};
use crate::fields::read::{listed, unknown};
use crate::written;

/// One cell: its place, and its text unless it is not UTF-8.
struct Cell {
    span: Range<usize>,
    text: Option<String>,
}

/// The rows of a file as tables by heading.
pub(crate) struct Sheet {
    pub(crate) rows: Vec<Row>,
}

/// One row; empty cells are left out.
pub(crate) struct Row {
    pub(crate) span: Range<usize>,
    pub(crate) table: written::Table,
    /// Whether a cell could not be read at all.
    pub(crate) broken: bool,
}

/// Reads the rows under their headings. A row that is wholly empty is none.
pub(crate) fn sheet(bytes: &[u8], what: &str, specs: &[Field], flaws: &mut Vec<Flaw>) -> Sheet {
    let mut sheet = Sheet { rows: Vec::new() };
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        let hint = "save it as `CSV UTF-8`";
        flaws.push(flaw(code::NOT_TEXT, 0..2, "the file is UTF-16 and not UTF-8".to_owned(), hint));
        return sheet;
    }
    let start = if bytes.starts_with(&[0xEF, 0xBB, 0xBF]) { 3 } else { 0 };
    let mut scan = Scan { bytes, at: start, part: parting(&bytes[start..]) };
    let Some(first) = scan.row(flaws) else {
        let hint = format!("write a heading row: {}", listed(&names(specs)));
        flaws.push(flaw(code::HEADINGS, start..start, "the file is empty".to_owned(), &hint));
        return sheet;
    };
    let (columns, complete) = headings(&first, what, specs, flaws);
    while let Some(cells) = scan.row(flaws) {
        if let Some(mut row) = row(&columns, cells, flaws) {
            row.broken |= !complete;
            sheet.rows.push(row);
        }
    }
    sheet
}

fn flaw(code: &'static str, span: Range<usize>, message: String, hint: &str) -> Flaw {
    Flaw { code, severity: Severity::Error, span, message, hint: Some(hint.to_owned()) }
}

fn names(specs: &[Field]) -> Vec<&'static str> {
    specs.iter().map(|f| f.name).collect()
}

/// The field of each column, nothing for those that are not known; and whether all are there that must be.
fn headings(
    cells: &[Cell],
    what: &str,
    specs: &[Field],
    flaws: &mut Vec<Flaw>,
) -> (Vec<Option<&'static str>>, bool) {
    let mut columns: Vec<Option<&'static str>> = Vec::new();
    for cell in cells {
        let written = cell.text.as_deref().unwrap_or("").trim();
        let name = written.to_lowercase().replace([' ', '-'], "_");
        let known = specs.iter().map(|f| f.name).find(|n| *n == name);
        match known {
            Some(name) if columns.contains(&Some(name)) => {
                let message = format!("the column `{name}` is there twice");
                flaws.push(flaw(code::HEADINGS, cell.span.clone(), message, "keep one of them"));
                columns.push(None);
                continue;
            }
            None if !written.is_empty() => {
                let (message, hint) = unknown(what, "column", written, specs);
                // The near name is sought in the form that names have.
                let hint = nearest(&name, names(specs))
                    .map_or(hint, |near| format!("did you mean `{near}`?"));
                flaws.push(flaw(code::UNKNOWN_FIELD, cell.span.clone(), message, &hint));
            }
            _ => {}
        }
        columns.push(known);
    }
    let whole = cells.first().map_or(0..0, |first| {
        let end = cells.last().map_or(first.span.end, |c| c.span.end);
        first.span.start..end
    });
    let missing: Vec<&str> = specs
        .iter()
        .filter(|f| f.must && !columns.contains(&Some(f.name)))
        .map(|f| f.name)
        .collect();
    if !missing.is_empty() {
        let message = format!("{what} has no column {}", listed(&missing));
        flaws.push(flaw(code::HEADINGS, whole, message, "add it to the heading row"));
    }
    (columns, missing.is_empty())
}

fn row(columns: &[Option<&'static str>], cells: Vec<Cell>, flaws: &mut Vec<Flaw>) -> Option<Row> {
    let filled = |c: &Cell| c.text.as_deref().is_none_or(|t| !t.trim().is_empty());
    if !cells.iter().any(filled) {
        return None;
    }
    let span = cells.first()?.span.start..cells.last()?.span.end;
    let mut broken = false;
    let mut table = written::Table::default();
    for (i, cell) in cells.into_iter().enumerate() {
        let Some(column) = columns.get(i) else {
            if filled(&cell) {
                broken = true;
                let message = "the row has more cells than there are headings".to_owned();
                let hint = "put a cell that holds a comma in double quotes: \"1,5 %\"";
                flaws.push(flaw(code::CSV, cell.span, message, hint));
                break;
            }
            continue;
        };
        let Some(text) = cell.text else {
            broken = true;
            let message = "the cell is not UTF-8 text".to_owned();
            flaws.push(flaw(code::NOT_TEXT, cell.span, message, "save the file as `CSV UTF-8`"));
            continue;
        };
        if let (Some(name), false) = (column, text.trim().is_empty()) {
            table.0.push(written::Entry {
                name: (*name).to_owned(),
                name_span: cell.span.clone(),
                node: written::Node { span: cell.span, value: written::Value::Text(text) },
            });
        }
    }
    Some(Row { span, table, broken })
}

/// The character that parts cells: the one that the first line has most of.
fn parting(bytes: &[u8]) -> u8 {
    let line = bytes.split(|b| *b == b'\n').next().unwrap_or(bytes);
    let count = |part: u8| line.iter().filter(|b| **b == part).count();
    [b',', b';', b'\t'].into_iter().rev().max_by_key(|part| count(*part)).unwrap_or(b',')
}

struct Scan<'a> {
    bytes: &'a [u8],
    at: usize,
    part: u8,
}

impl Scan<'_> {
    /// The cells of the next row; nothing at the end.
    fn row(&mut self, flaws: &mut Vec<Flaw>) -> Option<Vec<Cell>> {
        if self.at >= self.bytes.len() {
            return None;
        }
        let mut cells = Vec::new();
        loop {
            cells.push(self.cell(flaws));
            match self.bytes.get(self.at) {
                Some(b) if *b == self.part => self.at += 1,
                Some(b'\r') if self.bytes.get(self.at + 1) == Some(&b'\n') => {
                    self.at += 2;
                    return Some(cells);
                }
                Some(_) => {
                    self.at += 1;
                    return Some(cells);
                }
                None => return Some(cells),
            }
        }
    }

    fn cell(&mut self, flaws: &mut Vec<Flaw>) -> Cell {
        let start = self.at;
        if self.bytes.get(start) != Some(&b'"') {
            self.skip_plain();
            let span = start..self.at;
            return Cell { text: text(&self.bytes[span.clone()]), span };
        }
        self.at += 1;
        let mut inner = Vec::new();
        loop {
            match self.bytes.get(self.at) {
                Some(b'"') if self.bytes.get(self.at + 1) == Some(&b'"') => {
                    inner.push(b'"');
                    self.at += 2;
                }
                Some(b'"') => {
                    self.at += 1;
                    break;
                }
                Some(b) => {
                    inner.push(*b);
                    self.at += 1;
                }
                None => {
                    let message = "the quotation mark is not closed".to_owned();
                    let hint =
                        "close it with `\"`; a quotation mark inside quotes is written twice";
                    flaws.push(flaw(code::CSV, start..start + 1, message, hint));
                    return Cell { span: start..self.at, text: None };
                }
            }
        }
        let closed = self.at;
        self.skip_plain();
        if self.bytes[closed..self.at].iter().any(|b| !b.is_ascii_whitespace()) {
            let message = "there is more after the closing quotation mark".to_owned();
            let hint = "a quotation mark inside quotes is written twice";
            flaws.push(flaw(code::CSV, closed..self.at, message, hint));
            return Cell { span: start..self.at, text: None };
        }
        Cell { text: text(&inner), span: start..closed }
    }

    fn skip_plain(&mut self) {
        let rest = &self.bytes[self.at..];
        let end = rest.iter().position(|b| *b == self.part || *b == b'\n' || *b == b'\r');
        self.at += end.unwrap_or(rest.len());
    }
}

fn text(bytes: &[u8]) -> Option<String> {
    std::str::from_utf8(bytes).ok().map(str::to_owned)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::fields::Shape;

    fn all(bytes: &[u8]) -> (Vec<Vec<String>>, Vec<Flaw>) {
        let mut flaws = Vec::new();
        let mut scan = Scan { bytes, at: 0, part: parting(bytes) };
        let mut rows = Vec::new();
        while let Some(cells) = scan.row(&mut flaws) {
            rows.push(cells.into_iter().map(|c| c.text.unwrap_or_default()).collect());
        }
        (rows, flaws)
    }

    #[test]
    fn quotes_line_ends_and_partings() {
        let (rows, flaws) = all(b"a,b\r\n\"1,5\",\"x\"\"y\"\n3,\r\n");
        assert_eq!(rows, [["a", "b"], ["1,5", "x\"y"], ["3", ""]]);
        assert!(flaws.is_empty());
        assert_eq!(all(b"a;b\n1,5;2").0, [["a", "b"], ["1,5", "2"]]);
        assert_eq!(all(b"a\tb\r1\t2").0, [["a", "b"], ["1", "2"]]);
    }

    #[test]
    fn a_broken_quotation_is_told_at_its_place() {
        for (bytes, span) in [(&b"a,b\n1,\"x"[..], 6..7), (b"a,b\n\"x\"y,2", 7..8)] {
            let (_, flaws) = all(bytes);
            assert_eq!((flaws.len(), flaws[0].code, flaws[0].span.clone()), (1, code::CSV, span));
        }
    }

    const SPECS: &[Field] =
        &[Field::must("site", Shape::Key, "", ""), Field::may("time_zone", Shape::Zone, "", "")];

    #[test]
    fn headings_are_known_in_any_order_and_spelling_of_blanks() {
        let mut flaws = Vec::new();
        let sheet =
            sheet(b"\xEF\xBB\xBFTime Zone,SITE\n,a\n\n,,\nx,b\n", "sites.csv", SPECS, &mut flaws);
        assert!(flaws.is_empty(), "{flaws:?}");
        assert_eq!(sheet.rows.len(), 2);
        assert_eq!(sheet.rows[1].table.get("time_zone").unwrap().node.span, 25..26);
    }

    proptest! {
        /// The `csv` crate reads the same cells from what it wrote.
        #[test]
        fn reads_what_the_csv_crate_writes(rows in proptest::collection::vec(
            proptest::collection::vec("[a-z,;\"\t\r\n é]{0,6}", 3), 1..6))
        {
            let mut writer = ::csv::Writer::from_writer(Vec::new());
            writer.write_record(["h", "i", "j"]).unwrap();
            for row in &rows {
                writer.write_record(row).unwrap();
            }
            let (read, flaws) = all(&writer.into_inner().unwrap());
            prop_assert!(flaws.is_empty());
            prop_assert_eq!(&read[1..], &rows[..]);
        }
    }
}
