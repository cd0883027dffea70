//! From bytes of a text to its lines and columns, and where a thing was written.

use std::ops::Range;

use ouncewise_estate::Place;
use serde::Serialize;

/// Where something was written. Two things are the same wherever they stand.
#[derive(Debug, Clone, Serialize)]
#[serde(transparent)]
pub struct At(pub Place);

impl PartialEq for At {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl Eq for At {}

impl Default for At {
    /// Nowhere: of what was made and never written.
    fn default() -> Self {
        Self(Place { file: String::new(), line: 1, column: 1, span: None })
    }
}

/// Where the lines of a text begin.
pub(crate) struct Lines<'a> {
    file: &'a str,
    text: &'a str,
    starts: Vec<usize>,
}

impl<'a> Lines<'a> {
    pub(crate) fn new(file: &'a str, text: &'a str) -> Self {
        let breaks = text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1);
        Self { file, text, starts: std::iter::once(0).chain(breaks).collect() }
    }

    pub(crate) fn place(&self, span: Range<usize>) -> Place {
        let start = span.start.min(self.text.len());
        let end = span.end.clamp(start, self.text.len());
        let line = self.starts.partition_point(|s| *s <= start);
        let before = &self.text.as_bytes()[self.starts[line - 1]..start];
        let column = before.iter().filter(|b| **b & 0xC0 != 0x80).count() + 1;
        Place { file: self.file.to_owned(), line, column, span: Some(start..end) }
    }
}
