//! From bytes to line and column.

use std::ops::Range;

use crate::fault::{Fault, Place};
use crate::fields::Flaw;

/// Where the lines of a file begin.
pub(crate) struct Lines<'a> {
    file: &'a str,
    bytes: &'a [u8],
    starts: Vec<usize>,
}

impl<'a> Lines<'a> {
    pub(crate) fn new(file: &'a str, bytes: &'a [u8]) -> Self {
        let breaks = bytes.iter().enumerate().filter(|(_, b)| **b == b'\n').map(|(i, _)| i + 1);
        Self { file, bytes, starts: std::iter::once(0).chain(breaks).collect() }
    }

    pub(crate) fn place(&self, span: Range<usize>) -> Place {
        let start = span.start.min(self.bytes.len());
        let end = span.end.clamp(start, self.bytes.len());
        let line = self.starts.partition_point(|s| *s <= start);
        let before = &self.bytes[self.starts[line - 1]..start];
        // A character has one byte that does not continue another.
        let column = before.iter().filter(|b| **b & 0xC0 != 0x80).count() + 1;
        // A byte order mark is no column.
        let marked = line == 1 && before.starts_with(&[0xEF, 0xBB, 0xBF]);
        Place {
            file: self.file.to_owned(),
            line,
            column: column - usize::from(marked),
            span: Some(start..end),
        }
    }

    pub(crate) fn fault(&self, flaw: Flaw) -> Fault {
        Fault {
            code: flaw.code,
            severity: flaw.severity,
            place: self.place(flaw.span),
            message: flaw.message,
            hint: flaw.hint,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_and_no_byte_order_mark() {
        let bytes = "\u{feff}aé,b\r\nc,d".as_bytes();
        let lines = Lines::new("x.csv", bytes);
        let at = |needle: u8| {
            let start = bytes.iter().position(|b| *b == needle).unwrap();
            let place = lines.place(start..start + 1);
            (place.line, place.column)
        };
        assert_eq!(at(b'a'), (1, 1));
        assert_eq!(at(b'b'), (1, 4));
        assert_eq!(at(b'd'), (2, 3));
        let end = lines.place(bytes.len()..bytes.len() + 9);
        assert_eq!((end.line, end.column), (2, 4));
    }
}
