//! Workbooks: one sheet as rows, merged cells filled in, dates and times as ISO text.

use std::collections::BTreeMap;
use std::io::Cursor;

use calamine::{DataRef, Reader, Xlsx};

use super::code::Refusal;
use super::table::{Hint, TableRow, unreadable};

/// Most cells of a sheet that are read, and most that merging may add.
const CELLS_LIMIT: usize = 20_000_000;
const MERGED_LIMIT: usize = 1_000_000;
/// Most bytes that a workbook may unpack to.
const UNPACKED_LIMIT: u64 = 2 << 30;
/// Columns beyond this are not a log.
const COLUMNS_LIMIT: u32 = 2_000;

/// One sheet of a workbook.
pub(super) struct Book {
    pub(super) sheets: Vec<String>,
    pub(super) sheet: String,
    pub(super) rows: Vec<TableRow>,
}

/// Reads the named sheet, or the first with anything in it.
pub(super) fn read(bytes: Vec<u8>, sheet: Option<&str>) -> Result<Book, Refusal> {
    let packed = zip::ZipArchive::new(Cursor::new(&bytes))
        .map_err(|e| unreadable(format!("the workbook cannot be unpacked: {e}")))?;
    if packed.decompressed_size().is_some_and(|n| n > u128::from(UNPACKED_LIMIT)) {
        return Err(unreadable("the workbook unpacks to over 2 GB").hint("save the sheet as CSV"));
    }
    drop(packed);
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes))
        .map_err(|e| unreadable(format!("the workbook cannot be read: {e}")))?;
    let sheets = book.sheet_names();
    let wanted = match sheet {
        Some(name) if !sheets.iter().any(|s| s == name) => {
            return Err(unreadable(format!("the workbook has no sheet {name:?}"))
                .hint(format!("its sheets are: {}", sheets.join(", "))));
        }
        Some(name) => vec![name.to_owned()],
        None => sheets.clone(),
    };
    let last = wanted.last().cloned();
    for name in wanted {
        let cells = cells(&mut book, &name)?;
        if cells.is_empty() && Some(&name) != last.as_ref() {
            continue;
        }
        let rows = rows(&mut book, &name, cells);
        return Ok(Book { sheets, sheet: name, rows });
    }
    Err(unreadable("the workbook has no sheets"))
}

type Cells = BTreeMap<u32, BTreeMap<u32, (String, Hint)>>;

fn cells(book: &mut Xlsx<Cursor<Vec<u8>>>, name: &str) -> Result<Cells, Refusal> {
    let broken = |e: calamine::XlsxError| unreadable(format!("sheet {name:?} cannot be read: {e}"));
    let mut reader = book.worksheet_cells_reader(name).map_err(broken)?;
    let mut cells = Cells::new();
    let mut count = 0;
    while let Some(cell) = reader.next_cell().map_err(broken)? {
        let (row, column) = cell.get_position();
        let Some(value) = value(cell.get_value()) else { continue };
        count += 1;
        if count > CELLS_LIMIT || column >= COLUMNS_LIMIT {
            return Err(unreadable(format!("sheet {name:?} is too large")).hint("save it as CSV"));
        }
        cells.entry(row).or_default().insert(column, value);
    }
    Ok(cells)
}

/// Lays the cells out in rows, blank ones between them, and fills merged regions with their first cell.
fn rows(book: &mut Xlsx<Cursor<Vec<u8>>>, name: &str, mut cells: Cells) -> Vec<TableRow> {
    let Some(last) = cells.keys().next_back().copied() else { return Vec::new() };
    let width = cells.values().filter_map(|r| r.keys().next_back()).max().map_or(0, |c| c + 1);
    let mut copied = std::collections::BTreeSet::new();
    // Without merged regions that can be read the sheet is still good.
    for region in book.merge_cells_by_sheet_name(name).unwrap_or_default() {
        let ((top, left), (bottom, right)) = (region.start, region.end);
        let Some(value) = cells.get(&top).and_then(|r| r.get(&left)).cloned() else { continue };
        for row in top..=bottom.min(last) {
            for column in left..=right.min(width.saturating_sub(1)) {
                if (row, column) != (top, left)
                    && copied.len() < MERGED_LIMIT
                    && copied.insert((row, column))
                {
                    cells.entry(row).or_default().insert(column, value.clone());
                }
            }
        }
    }
    (0..=last)
        .map(|number| {
            let mut row = TableRow { number: u64::from(number) + 1, ..TableRow::default() };
            let Some(filled) = cells.remove(&number) else { return row };
            for column in 0..=filled.keys().next_back().copied().unwrap_or(0) {
                let (text, hint) =
                    filled.get(&column).map_or(("", Hint::Text), |(t, h)| (t.as_str(), *h));
                row.cells.push_field(text);
                row.hints.push(hint);
                row.copied.push(copied.contains(&(number, column)));
            }
            row
        })
        .collect()
}

/// The text of a cell, and what it is; nothing for an empty one.
fn value(data: &DataRef<'_>) -> Option<(String, Hint)> {
    let (text, hint) = match data {
        DataRef::Int(n) => (n.to_string(), Hint::Number),
        DataRef::Float(x) => (number(*x), Hint::Number),
        DataRef::String(s) => (s.clone(), Hint::Text),
        DataRef::SharedString(s) => ((*s).to_owned(), Hint::Text),
        DataRef::Bool(b) => (if *b { "yes" } else { "no" }.to_owned(), Hint::Text),
        DataRef::DateTime(t) if t.is_duration() => {
            (format!("{} s", number(t.as_f64() * 86_400.0)), Hint::Duration)
        }
        DataRef::DateTime(t) => date(t)?,
        DataRef::DateTimeIso(s) => (s.clone(), Hint::Date),
        DataRef::DurationIso(s) => (s.clone(), Hint::Text),
        DataRef::Error(e) => (e.to_string(), Hint::Error),
        DataRef::Empty => return None,
    };
    (!text.trim().is_empty()).then_some((text, hint))
}

/// A date cell: a date, a date with a time, or (below one day) a time.
fn date(t: &calamine::ExcelDateTime) -> Option<(String, Hint)> {
    let serial = t.as_f64();
    if !(0.0..2_958_466.0).contains(&serial) {
        return Some((number(serial), Hint::Number));
    }
    let (year, month, day, h, m, s, _) = t.to_ymd_hms_milli();
    let time = format!("{h:02}:{m:02}:{s:02}");
    if serial < 1.0 {
        Some((time, Hint::Time))
    } else if serial.fract() == 0.0 {
        Some((format!("{year:04}-{month:02}-{day:02}"), Hint::Date))
    } else {
        Some((format!("{year:04}-{month:02}-{day:02}T{time}"), Hint::Date))
    }
}

/// A number as a person would have typed it: at most twelve significant digits, so that 0.1 + 0.2 is `0.3`.
fn number(x: f64) -> String {
    let shortest = x.to_string();
    if shortest.len() <= 13 || !x.is_finite() {
        return shortest;
    }
    let rounded: f64 = format!("{x:.11e}").parse().unwrap_or(x);
    rounded.to_string()
}
