//! What a cell looks like, whatever its heading says.

use ouncewise_measure::quantity::{Dimension, Fault};
use ouncewise_measure::{AmountRead, Quantity};

use super::super::reading::plain;
use super::super::table::Hint;
use super::super::when::clock;
use super::words::{CLAIMS, FOUND, LEFT, NOTHING, TICKS, phrase};
use super::{dates, units};

/// What a cell looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) enum Shape {
    Empty,
    /// A dash, `n/a`, `no`: nothing was read.
    Nothing,
    /// A number without a unit.
    Number,
    /// An amount with its unit, even one that must be asked about; or a mark.
    Amount,
    /// A time that something took.
    Duration,
    Date,
    /// A time of day.
    Clock,
    Temperature,
    Percent,
    /// OK, done, a tick.
    Claim,
    /// As found or as left.
    State,
    Text,
}

/// The shape of one cell.
pub(super) fn of(text: &str, hint: Hint) -> Shape {
    if text.is_empty() {
        return Shape::Empty;
    }
    if text.chars().all(|c| matches!(c, '-' | '–' | '—' | '/' | '.' | '?' | '*' | '_'))
        || hint == Hint::Error
    {
        return Shape::Nothing;
    }
    match hint {
        Hint::Date => return Shape::Date,
        Hint::Time => return Shape::Clock,
        Hint::Duration => return Shape::Duration,
        _ => {}
    }
    if plain(text).is_some() {
        return Shape::Number;
    }
    if text.ends_with('%') && plain(text.trim_end_matches('%').trim()).is_some() {
        return Shape::Percent;
    }
    if text.starts_with(|c: char| c.is_ascii_digit()) && clock(text).is_some() {
        return Shape::Clock;
    }
    if dates::read(text, hint).is_some() {
        return Shape::Date;
    }
    if TICKS.contains(&text) {
        return Shape::Claim;
    }
    match text.parse::<Quantity>() {
        Ok(quantity) => {
            return match quantity.unit.dimension() {
                Dimension::Volume | Dimension::Mass => Shape::Amount,
                Dimension::Duration => Shape::Duration,
                Dimension::Temperature => Shape::Temperature,
            };
        }
        Err(error) if error.fault == Fault::WhichUnit => return Shape::Amount,
        Err(_) => {}
    }
    match text.parse::<AmountRead>() {
        Ok(_) => return Shape::Amount,
        Err(error) if matches!(error.fault, Fault::WhichUnit) => return Shape::Amount,
        Err(_) => {}
    }
    let phrase = phrase(text);
    let is = |words: &[&str]| words.contains(&phrase.as_str());
    if is(CLAIMS) {
        Shape::Claim
    } else if is(NOTHING) {
        Shape::Nothing
    } else if is(FOUND) || is(LEFT) {
        Shape::State
    } else {
        // `29.6 ml (foamy)` is an amount.
        let core = units::core(text);
        match if core.len() < text.len() { of(core, hint) } else { Shape::Text } {
            shape @ (Shape::Number | Shape::Amount) => shape,
            _ => Shape::Text,
        }
    }
}

/// How the cells of a column look.
#[derive(Debug, Clone, Default)]
pub(super) struct Shapes {
    counts: std::collections::BTreeMap<Shape, usize>,
    /// Cells that are not empty.
    pub(super) filled: usize,
    /// Rows that were looked at.
    pub(super) rows: usize,
}

impl Shapes {
    pub(super) fn add(&mut self, shape: Shape) {
        *self.counts.entry(shape).or_default() += 1;
        self.rows += 1;
        self.filled += usize::from(shape != Shape::Empty);
    }

    /// Share of the filled cells that look like one of these.
    pub(super) fn share(&self, of: &[Shape]) -> f64 {
        let count: usize = of.iter().filter_map(|s| self.counts.get(s)).sum();
        count as f64 / self.filled.max(1) as f64
    }

    /// Whether the cells can be readings: numbers and amounts, perhaps with ticks and dashes among them.
    pub(super) fn readings(&self) -> bool {
        let numbers = self.share(&[Shape::Number, Shape::Amount]);
        let near = numbers
            + self.share(&[Shape::Claim, Shape::Nothing, Shape::Duration, Shape::Text]) * 0.5;
        self.filled > 0
            && ((numbers >= 0.3 && near >= 0.55)
                || self.share(&[Shape::Claim, Shape::Nothing]) > 0.6)
    }
}
