//! CSV: encoding and separator found by looking at the head, rows streamed without an allocation per cell.

use std::io::{self, Chain, Cursor, Read};

use encoding_rs::{Decoder, UTF_16BE, UTF_16LE, WINDOWS_1252};

use super::code::{Code, Refusal};
use super::mapping::letter;
use super::quotes::Quotes;
use super::table::{TableRow, unreadable};

/// Rows that are looked at to find the separator.
const SNIFF_ROWS: usize = 200;
/// Letters of a cell that are shown in a fault.
const SHOWN: usize = 20;

/// The rows of a CSV file.
pub(super) struct Rows<R> {
    reader: csv::Reader<Quotes<Utf8<R>>>,
    raw: csv::ByteRecord,
    /// Row number of the last row that was given out.
    number: u64,
    /// Blank rows that come before the row in `raw`.
    blanks: u64,
    /// Whether `raw` holds a row that was not given out yet.
    held: bool,
    /// Whether a row with a non-ASCII letter in UTF-8 was seen (or a byte order mark).
    utf8: bool,
}

impl<R: Read> Rows<Chain<Cursor<Vec<u8>>, R>> {
    /// `head` is what was already taken from `rest`.
    pub(super) fn open(head: Vec<u8>, rest: R) -> Result<(Self, &'static str), Refusal> {
        let utf16 = utf16(&head);
        let (decoded, name) = match utf16 {
            Some(encoding) => (encoding.decode(&head).0.into_owned().into_bytes(), encoding.name()),
            None => (head.clone(), encoding_name(&head)),
        };
        if decoded.iter().take(1024).filter(|b| **b == 0).count() > 3 {
            return Err(unreadable("the file is neither text nor a workbook")
                .hint("save it as CSV or .xlsx"));
        }
        let bom = decoded.starts_with(b"\xEF\xBB\xBF");
        let mut head = head;
        if utf16.is_none() && bom {
            head.drain(..3);
        }
        let text = if bom { &decoded[3..] } else { &decoded };
        let separator = separator(text);
        let source = Utf8 {
            inner: Cursor::new(head).chain(rest),
            decoder: utf16.map(|e| (e.new_decoder_with_bom_removal(), Buffers::default())),
            last: b'\n',
        };
        let reader = csv_reader(source, separator, usual(text, separator));
        Ok((
            Rows {
                reader,
                raw: csv::ByteRecord::new(),
                number: 0,
                blanks: 0,
                held: false,
                utf8: bom || utf16.is_some(),
            },
            name,
        ))
    }
}

impl<R: Read> Rows<R> {
    /// See [`super::table::Table::read`].
    pub(super) fn read(&mut self, row: &mut TableRow) -> Result<bool, Refusal> {
        row.fault = None;
        if !self.held {
            let before = self.reader.position().line();
            let more = self.reader.read_byte_record(&mut self.raw).map_err(|e| {
                unreadable(format!("reading stopped after row {}: {e}", self.number))
            })?;
            if !more {
                // Blank rows after the last row carry nothing and are not counted by a spreadsheet program either.
                return Ok(false);
            }
            // The reader passes over blank lines: they are the line ends that the row itself does not have.
            let own = self.raw.as_slice().iter().filter(|b| **b == b'\n').count() as u64 + 1;
            self.blanks = self.reader.position().line().saturating_sub(before + own);
            self.held = true;
        }
        self.number += 1;
        row.number = self.number;
        if self.blanks > 0 {
            self.blanks -= 1;
            row.cells.clear();
            return Ok(true);
        }
        self.held = false;
        self.decode(row);
        let end = self.reader.position().byte();
        if self.reader.get_mut().was_open(end) {
            let open = row.cells.iter().enumerate().find(|(_, c)| c.starts_with('"'));
            let (column, text) = open.unwrap_or_default();
            let text: String = text.trim_matches('"').chars().take(SHOWN).collect();
            let reason = format!(
                "the quotation mark before {text:?} in column {} is not closed",
                letter(column)
            );
            row.fault = Some((Code::Quote, reason));
        }
        Ok(true)
    }

    /// Turns the raw row into text, by UTF-8 or else Windows-1252.
    fn decode(&mut self, row: &mut TableRow) {
        let raw = std::mem::take(&mut self.raw);
        let spare = std::mem::take(&mut row.cells).into_byte_record();
        match csv::StringRecord::from_byte_record(raw) {
            Ok(cells) => {
                let bytes = cells.as_slice().as_bytes();
                self.utf8 |= !bytes.is_ascii();
                if bytes.contains(&0) || cells.as_slice().contains('\u{FFFD}') {
                    row.fault = Some((
                        Code::Encoding,
                        "a letter was lost when the file was saved (NUL or �)".to_owned(),
                    ));
                }
                row.cells = cells;
                self.raw = spare;
            }
            Err(error) => {
                let raw = error.into_byte_record();
                let mut cells = csv::StringRecord::new();
                for cell in &raw {
                    cells.push_field(&WINDOWS_1252.decode_without_bom_handling(cell).0);
                }
                if self.utf8 {
                    row.fault = Some((
                        Code::Encoding,
                        "the row is not UTF-8, and rows above it are".to_owned(),
                    ));
                } else if cells.as_slice().chars().any(|c| ('\u{80}'..'\u{A0}').contains(&c)) {
                    row.fault = Some((
                        Code::Encoding,
                        "the row is neither UTF-8 nor Windows-1252".to_owned(),
                    ));
                }
                row.cells = cells;
                self.raw = raw;
            }
        }
    }
}

/// A reader that turns UTF-16 into UTF-8, lets everything else through, and ends the last line.
struct Utf8<R> {
    inner: R,
    decoder: Option<(Decoder, Buffers)>,
    last: u8,
}

#[derive(Default)]
struct Buffers {
    raw: Vec<u8>,
    out: Vec<u8>,
    at: usize,
    done: bool,
}

impl<R: Read> Read for Utf8<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let n = self.decoded(buffer)?;
        if n > 0 {
            self.last = buffer[n - 1];
        } else if self.last != b'\n' && !buffer.is_empty() {
            (buffer[0], self.last) = (b'\n', b'\n');
            return Ok(1);
        }
        Ok(n)
    }
}

impl<R: Read> Utf8<R> {
    fn decoded(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let Some((decoder, b)) = &mut self.decoder else {
            return self.inner.read(buffer);
        };
        while b.at == b.out.len() && !b.done {
            b.raw.resize(1 << 16, 0);
            let n = self.inner.read(&mut b.raw)?;
            b.done = n == 0;
            b.out.resize(n * 3 + 16, 0);
            let (_, _, written, _) = decoder.decode_to_utf8(&b.raw[..n], &mut b.out, b.done);
            b.out.truncate(written);
            b.at = 0;
        }
        let n = buffer.len().min(b.out.len() - b.at);
        buffer[..n].copy_from_slice(&b.out[b.at..b.at + n]);
        b.at += n;
        Ok(n)
    }
}

/// UTF-16 by its byte order mark, or by every other byte of the head being zero.
fn utf16(head: &[u8]) -> Option<&'static encoding_rs::Encoding> {
    if head.starts_with(&[0xFF, 0xFE]) {
        return Some(UTF_16LE);
    }
    if head.starts_with(&[0xFE, 0xFF]) {
        return Some(UTF_16BE);
    }
    let head = &head[..head.len().min(512)];
    let zeros = |odd: usize| head.iter().skip(odd).step_by(2).filter(|b| **b == 0).count();
    let half = head.len() / 2;
    if half < 4 {
        None
    } else if zeros(1) * 10 >= half * 8 && zeros(0) == 0 {
        Some(UTF_16LE)
    } else if zeros(0) * 10 >= half * 8 && zeros(1) == 0 {
        Some(UTF_16BE)
    } else {
        None
    }
}

/// UTF-8 or Windows-1252, as far as the head tells. The end of the head may cut a letter.
fn encoding_name(head: &[u8]) -> &'static str {
    match std::str::from_utf8(head) {
        Err(e) if e.error_len().is_some() => WINDOWS_1252.name(),
        _ => "UTF-8",
    }
}

fn csv_reader<R: Read>(from: R, separator: u8, usual: Option<usize>) -> csv::Reader<Quotes<R>> {
    csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator)
        .buffer_capacity(1 << 18)
        .from_reader(Quotes::new(from, separator, usual))
}

/// Separators of a row that stands on one line, as most of them have it.
fn usual(head: &[u8], separator: u8) -> Option<usize> {
    let mut reader = csv_reader(head, separator, None);
    let mut record = csv::ByteRecord::new();
    let mut counts: Vec<(usize, usize)> = Vec::new();
    for _ in 0..SNIFF_ROWS {
        if !reader.read_byte_record(&mut record).unwrap_or(false) {
            break;
        }
        let separators = record.len() - 1;
        if separators == 0 || record.as_slice().contains(&b'\n') {
            continue;
        }
        match counts.iter_mut().find(|(n, _)| *n == separators) {
            Some((_, rows)) => *rows += 1,
            None => counts.push((separators, 1)),
        }
    }
    // Of widths that are as frequent, the first: the heading has it.
    counts.into_iter().rev().max_by_key(|(_, rows)| *rows).map(|(separators, _)| separators)
}

/// The separator that gives the most rows the same number of cells, two or more.
/// A comma comes last: where it is a decimal mark it parts rows evenly too.
fn separator(head: &[u8]) -> u8 {
    let mut best = (0.0, b',');
    for separator in *b";\t|," {
        let mut reader = csv_reader(head, separator, None);
        let mut counts: Vec<usize> = Vec::new();
        let mut record = csv::ByteRecord::new();
        while counts.len() < SNIFF_ROWS && reader.read_byte_record(&mut record).unwrap_or(false) {
            counts.push(record.len());
        }
        let total = counts.len().max(1);
        let mut wide: Vec<usize> = counts.into_iter().filter(|n| *n > 1).collect();
        wide.sort_unstable();
        let modal = wide.chunk_by(|a, b| a == b).map(<[usize]>::len).max().unwrap_or(0);
        // Share of rows with the usual width; half as much for rows that are at least parted.
        let score = (modal as f64 + 0.5 * (wide.len() - modal) as f64) / total as f64;
        if score > best.0 + 0.05 {
            best = (score, separator);
        }
    }
    best.1
}
