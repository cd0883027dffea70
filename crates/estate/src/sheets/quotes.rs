//! Quotation marks that are never closed: put right in the bytes, before they are read as CSV.
//!
//! An open quotation mark would take every row up to the next one into one cell. Here such a mark, and all after
//! it in its line, is made plain text, so that the lines under it are rows of their own; where it stood is kept.

use std::collections::VecDeque;
use std::io::{self, Read};

/// A cell that spans more lines than this is open.
const LINES: usize = 20;
/// How much is read at once, at least.
const CHUNK: usize = 64 << 10;

/// A reader that lets CSV through, with open quotation marks written as text.
pub(super) struct Quotes<R> {
    inner: R,
    chunk: usize,
    separator: u8,
    /// Separators of a row, as far as known: a cell that holds lines with as many holds rows.
    usual: usize,
    /// What was read: the line that is being looked at from its beginning, and what comes after.
    read: Vec<u8>,
    /// How much of `read` was looked at.
    done: usize,
    ended: bool,
    /// What can be handed out, and how much of it was.
    out: Vec<u8>,
    at: usize,
    /// Bytes that were handed out before `out`.
    before: u64,
    /// Where open quotation marks are in what is handed out.
    open: VecDeque<u64>,
}

/// What a cell in quotation marks turned out to be.
enum Cell {
    /// Closed before this place.
    Closed(usize),
    Open,
    /// Not to be told before more is read.
    Cut,
}

impl<R: Read> Quotes<R> {
    /// `usual` is how many separators a row has, where that is known.
    pub(super) fn new(inner: R, separator: u8, usual: Option<usize>) -> Quotes<R> {
        Quotes {
            inner,
            chunk: CHUNK,
            separator,
            usual: usual.filter(|n| *n > 0).unwrap_or(usize::MAX),
            read: Vec::new(),
            done: 0,
            ended: false,
            out: Vec::new(),
            at: 0,
            before: 0,
            open: VecDeque::new(),
        }
    }

    /// Whether a quotation mark was open in what was handed out before `end`, since this was last asked.
    pub(super) fn was_open(&mut self, end: u64) -> bool {
        let open = self.open.iter().take_while(|at| **at < end).count();
        self.open.drain(..open).count() > 0
    }

    /// Looks at the next chunk.
    fn more(&mut self) -> io::Result<()> {
        self.before += self.out.len() as u64;
        self.out.clear();
        self.at = 0;
        let line = start(&self.read, self.done);
        self.read.drain(..line);
        self.done -= line;
        // As much again as is held: what is cut is looked at anew, and must not be for every few bytes.
        let chunk = self.chunk.max(self.read.len());
        let n = (&mut self.inner).take(chunk as u64).read_to_end(&mut self.read)?;
        self.ended = n == 0;
        while let Some(mark) = self.next_mark() {
            match self.cell(mark) {
                Cell::Closed(end) => self.pass(end),
                Cell::Open => {
                    self.pass(mark);
                    self.as_text();
                }
                Cell::Cut => {
                    self.pass(mark);
                    return Ok(());
                }
            }
        }
        self.pass(self.read.len());
        Ok(())
    }

    fn pass(&mut self, end: usize) {
        self.out.extend_from_slice(&self.read[self.done..end]);
        self.done = end;
    }

    /// The next quotation mark that begins a cell.
    fn next_mark(&self) -> Option<usize> {
        let mut from = self.done;
        loop {
            let mark = from + self.read[from..].iter().position(|b| *b == b'"')?;
            match mark.checked_sub(1).map(|i| self.read[i]) {
                None | Some(b'\n' | b'\r') => return Some(mark),
                Some(b) if b == self.separator => return Some(mark),
                _ => from = mark + 1,
            }
        }
    }

    /// Looks for the end of the cell that a quotation mark begins.
    fn cell(&self, mark: usize) -> Cell {
        let read = &self.read;
        let mut lines = 0;
        let mut close = mark + 1;
        loop {
            match (read.get(close), read.get(close + 1)) {
                (None, _) if self.ended => return Cell::Open,
                (None, _) => return Cell::Cut,
                (Some(b'"'), Some(b'"')) => close += 1,
                (Some(b'"'), None) if !self.ended => return Cell::Cut,
                (Some(b'"'), _) => break,
                (Some(b'\n'), _) => lines += 1,
                (Some(b'\r'), next) if next != Some(&b'\n') => lines += 1,
                _ => {}
            }
            if lines >= LINES {
                return Cell::Open;
            }
            close += 1;
        }
        if lines == 0 {
            return Cell::Closed(close + 1);
        }
        let last = end(read, close);
        if last == read.len() && !self.ended {
            return Cell::Cut;
        }
        let ends_well = match read.get(close + 1) {
            None | Some(b'\n' | b'\r') => true,
            Some(b) => *b == self.separator,
        };
        let row = |line: &[u8]| line.iter().filter(|b| **b == self.separator).count() >= self.usual;
        let holds_rows = read[mark..close].split(|b| matches!(b, b'\n' | b'\r')).any(row)
            || row(&read[start(read, mark)..end(read, mark)])
                && row(&read[start(read, close)..last]);
        if ends_well && !holds_rows { Cell::Closed(close + 1) } else { Cell::Open }
    }

    /// Hands out the rest of the line with every quotation mark in it as text.
    fn as_text(&mut self) {
        self.open.push_back(self.before + self.out.len() as u64);
        let end = end(&self.read, self.done);
        for (i, cell) in self.read[self.done..end].split(|b| *b == self.separator).enumerate() {
            if i > 0 {
                self.out.push(self.separator);
            }
            if !cell.contains(&b'"') {
                self.out.extend_from_slice(cell);
                continue;
            }
            self.out.push(b'"');
            for byte in cell {
                self.out.extend_from_slice(if *byte == b'"' {
                    b"\"\""
                } else {
                    std::slice::from_ref(byte)
                });
            }
            self.out.push(b'"');
        }
        self.done = end;
    }
}

impl<R: Read> Read for Quotes<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        while self.at == self.out.len() && !self.ended {
            self.more()?;
        }
        let n = buffer.len().min(self.out.len() - self.at);
        buffer[..n].copy_from_slice(&self.out[self.at..self.at + n]);
        self.at += n;
        Ok(n)
    }
}

/// Where the line of a place begins.
fn start(text: &[u8], place: usize) -> usize {
    text[..place].iter().rposition(|b| matches!(b, b'\n' | b'\r')).map_or(0, |i| i + 1)
}

/// Where the line of a place ends, before its line end.
fn end(text: &[u8], place: usize) -> usize {
    text[place..].iter().position(|b| matches!(b, b'\n' | b'\r')).map_or(text.len(), |i| place + i)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// What is handed out, and where marks were open, when so much is read at once.
    fn read(text: &str, chunk: usize) -> (String, VecDeque<u64>) {
        let mut quotes = Quotes::new(text.as_bytes(), b',', Some(2));
        quotes.chunk = chunk;
        let mut out = String::new();
        quotes.read_to_string(&mut out).unwrap();
        (out, quotes.open)
    }

    #[test]
    fn an_open_mark_is_written_as_text() {
        assert_eq!(
            read("a,b,c\r\n1,\"2,\"\"\r\n3,\"4,\",5\n", 9),
            ("a,b,c\r\n1,\"\"\"2\",\"\"\"\"\"\"\r\n3,\"4,\",5\n".to_owned(), VecDeque::from([9]))
        );
    }

    proptest! {
        #[test]
        fn where_a_chunk_ends_makes_no_difference(
            pieces in prop::collection::vec(prop::sample::select(vec!["a", ",", ",", "\"", "\"", "\n", "\r\n", "\r", "é"]), 0..80),
            chunk in 1..12_usize,
        ) {
            let text = pieces.concat();
            prop_assert_eq!(read(&text, chunk), read(&text, 1 << 10));
        }
    }
}
