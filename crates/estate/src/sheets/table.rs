//! One reader over CSV and XLSX: rows of text cells with their row number and a hint of their type.
//!
//! CSV is streamed: any of `,` `;` tab `|` as the separator, found by looking; UTF-8, UTF-16 or
//! Windows-1252; with or without a byte order mark; LF, CRLF or CR. A workbook is held in memory.

use std::io::{self, Cursor, Read};

use super::code::{Code, Refusal};
use super::{text, xlsx};

/// Largest workbook that is read, in bytes.
pub const WORKBOOK_LIMIT: u64 = 256 << 20;
/// How much of a CSV file is looked at to find its encoding and separator.
const HEAD: usize = 64 << 10;

/// What a cell is beyond its text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Hint {
    /// Text, as all cells of a CSV file are.
    #[default]
    Text,
    /// A number cell; its text has a decimal point.
    Number,
    /// A date cell; its text is ISO 8601 (`2026-03-02`, or with a time `2026-03-02T06:41:00`).
    Date,
    /// A time of day; its text is `06:41:00`.
    Time,
    /// A duration; its text is seconds (`7.1 s`).
    Duration,
    /// A formula that failed, such as `#N/A`.
    Error,
}

/// One row.
#[derive(Debug, Clone, Default)]
pub struct TableRow {
    /// Row number as a spreadsheet program counts; the first is 1.
    pub number: u64,
    /// The cells' text.
    pub(super) cells: csv::StringRecord,
    /// One per cell, or empty where all are text.
    pub(super) hints: Vec<Hint>,
    /// One per cell, or empty: whether the cell repeats the one that it is merged with.
    pub(super) copied: Vec<bool>,
    /// Why the cells cannot be trusted (bad encoding, an open quotation mark).
    pub fault: Option<(Code, String)>,
}

impl TableRow {
    /// Number of cells.
    pub fn len(&self) -> usize {
        self.cells.len()
    }

    /// Whether every cell is empty.
    pub fn is_empty(&self) -> bool {
        self.fault.is_none() && self.cells.iter().all(|c| c.trim().is_empty())
    }

    /// The trimmed text of a cell; empty where there is none.
    pub fn get(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", str::trim)
    }

    /// What a cell is beyond its text.
    pub fn hint(&self, column: usize) -> Hint {
        self.hints.get(column).copied().unwrap_or_default()
    }

    /// Whether the cell repeats the one that it is merged with.
    pub fn is_copied(&self, column: usize) -> bool {
        self.copied.get(column).copied().unwrap_or(false)
    }

    /// The trimmed cells in order.
    pub fn iter(&self) -> impl Iterator<Item = &str> {
        self.cells.iter().map(str::trim)
    }

    /// The refusal of a row whose cells cannot be trusted.
    pub(super) fn refusal(&self) -> Option<Refusal> {
        let (code, reason) = self.fault.as_ref()?;
        let hint = match code {
            Code::Quote => "close or delete it; the rows under it were read as rows of their own",
            _ => "save the file as UTF-8, and mend the row",
        };
        Some(Refusal::new(self.number, *code, reason.clone()).hint(hint))
    }

    /// A row of plain text, as for tests and examples.
    pub fn of(number: u64, cells: &[&str]) -> TableRow {
        TableRow { number, cells: cells.to_vec().into(), ..TableRow::default() }
    }
}

/// An open sheet.
pub struct Table<R: Read> {
    source: Source<R>,
    sheets: Vec<String>,
    sheet: Option<String>,
    encoding: &'static str,
}

enum Source<R: Read> {
    Text(Box<text::Rows<io::Chain<Cursor<Vec<u8>>, R>>>),
    Grid(std::vec::IntoIter<TableRow>),
}

impl<R: Read> Table<R> {
    /// Opens a CSV file, or a workbook at its first sheet that is not empty.
    ///
    /// # Errors
    /// [`Code::Unreadable`] where it is neither.
    pub fn open(reader: R) -> Result<Table<R>, Refusal> {
        Table::open_sheet(reader, None)
    }

    /// Opens a named sheet of a workbook; a CSV file has none, and the name is ignored.
    ///
    /// # Errors
    /// [`Code::Unreadable`] where it is neither, or has no such sheet.
    pub fn open_sheet(mut reader: R, sheet: Option<&str>) -> Result<Table<R>, Refusal> {
        let mut head = Vec::with_capacity(HEAD);
        (&mut reader)
            .take(HEAD as u64)
            .read_to_end(&mut head)
            .map_err(|e| unreadable(format!("the file cannot be read: {e}")))?;
        if head.starts_with(b"PK\x03\x04") {
            let mut bytes = head;
            reader
                .take(WORKBOOK_LIMIT)
                .read_to_end(&mut bytes)
                .map_err(|e| unreadable(format!("the file cannot be read: {e}")))?;
            if bytes.len() as u64 > WORKBOOK_LIMIT {
                return Err(unreadable("the workbook is over 256 MB")
                    .hint("save the sheet as CSV: that is streamed, whatever its length"));
            }
            let book = xlsx::read(bytes, sheet)?;
            return Ok(Table {
                source: Source::Grid(book.rows.into_iter()),
                sheets: book.sheets,
                sheet: Some(book.sheet),
                encoding: "XLSX",
            });
        }
        if head.starts_with(&[0xD0, 0xCF, 0x11, 0xE0]) {
            return Err(unreadable("this is an old .xls workbook, or one with a password")
                .hint("save it as .xlsx without a password, or as CSV"));
        }
        let (rows, encoding) = text::Rows::open(head, reader)?;
        Ok(Table {
            source: Source::Text(Box::new(rows)),
            sheets: Vec::new(),
            sheet: None,
            encoding,
        })
    }

    /// Names of the workbook's sheets; empty for a CSV file.
    pub fn sheets(&self) -> &[String] {
        &self.sheets
    }

    /// Name of the open sheet; none for a CSV file.
    pub fn sheet(&self) -> Option<&str> {
        self.sheet.as_deref()
    }

    /// What the bytes were taken for: `UTF-8`, `UTF-16LE`, `windows-1252`, `XLSX`.
    pub fn encoding(&self) -> &'static str {
        self.encoding
    }

    /// Reads the next row into `row`; false at the end. Blank rows come as rows without cells.
    ///
    /// # Errors
    /// [`Code::Unreadable`] where the reader fails; nothing can be read after that.
    pub fn read(&mut self, row: &mut TableRow) -> Result<bool, Refusal> {
        match &mut self.source {
            Source::Text(rows) => rows.read(row),
            Source::Grid(rows) => match rows.next() {
                Some(next) => {
                    *row = next;
                    Ok(true)
                }
                None => Ok(false),
            },
        }
    }

    /// The first `limit` rows, for looking at.
    ///
    /// # Errors
    /// As [`Table::read`].
    pub fn take_rows(&mut self, limit: usize) -> Result<Vec<TableRow>, Refusal> {
        let mut rows = Vec::new();
        let mut row = TableRow::default();
        while rows.len() < limit && self.read(&mut row)? {
            rows.push(std::mem::take(&mut row));
        }
        Ok(rows)
    }
}

/// A refusal of the whole file.
pub(super) fn unreadable(reason: impl Into<String>) -> Refusal {
    Refusal::new(0, Code::Unreadable, reason)
}
