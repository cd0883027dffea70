//! What a person read: an amount or a mark, and the seconds or doses it took.
//! These are the strings that a ledger keeps.

use std::fmt;
use std::str::FromStr;

use crate::catch::{Amount, Draw};
use crate::quantity::{Fault, Quantity, QuantityError, blank, number, quoted, wrong};

/// On which side of a mark the liquid stood.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MarkSide {
    /// At the mark.
    At,
    /// Over the mark.
    Over,
    /// Under the mark.
    Under,
}

/// An amount as read: `29.6 mL`, `31 g`, or `over the 30 mL mark`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AmountRead {
    /// A number was read.
    Number(Quantity),
    /// Only a mark was read.
    Mark {
        /// Where the liquid stood.
        side: MarkSide,
        /// The mark.
        mark: Quantity,
    },
}

/// How long a catch ran, or how many doses it was: `7.1 s`, `2 doses`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DrawRead {
    /// A duration.
    Time(Quantity),
    /// A whole number of doses, one or more.
    Doses(u32),
}

/// What people write before a mark. A longer one stands before its own beginning.
const SIDES: &[(&str, MarkSide)] = &[
    ("at", MarkSide::At),
    ("on", MarkSide::At),
    ("=", MarkSide::At),
    ("over", MarkSide::Over),
    ("above", MarkSide::Over),
    ("past", MarkSide::Over),
    ("more than", MarkSide::Over),
    (">", MarkSide::Over),
    ("under", MarkSide::Under),
    ("below", MarkSide::Under),
    ("less than", MarkSide::Under),
    ("short of", MarkSide::Under),
    ("<", MarkSide::Under),
];

/// Signs and words that leave open whether it was at the mark or beyond it.
const OPEN_SIDES: &[&str] = &[">=", "<=", "=>", "=<", "≥", "≤", "at least", "at most", "up to"];

/// What people call a dose.
const DOSES: &[&str] = &["dose", "doses", "shot", "shots", "draw", "draws", "pour", "pours", "x"];

impl fmt::Display for MarkSide {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(match self {
            MarkSide::At => "at",
            MarkSide::Over => "over",
            MarkSide::Under => "under",
        })
    }
}

impl fmt::Display for AmountRead {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            AmountRead::Number(quantity) => quantity.fmt(out),
            AmountRead::Mark { side, mark } => write!(out, "{side} the {mark} mark"),
        }
    }
}

impl fmt::Display for DrawRead {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            DrawRead::Time(quantity) => quantity.fmt(out),
            DrawRead::Doses(1) => out.write_str("1 dose"),
            DrawRead::Doses(doses) => write!(out, "{doses} doses"),
        }
    }
}

impl FromStr for AmountRead {
    type Err = QuantityError;

    /// Reads `29.6 mL`, `31 g`, `at 30 mL`, `over the 30 mL mark`, `> 30 mL`, `below 1 fl oz (US)`.
    ///
    /// # Errors
    /// As [`Quantity`]; also an amount below zero, a mark at zero or by weight, a time or a
    /// temperature, and `≥`, which leaves open whether the liquid stood at the mark or over it.
    fn from_str(text: &str) -> Result<AmountRead, QuantityError> {
        let start = text.len() - text.trim_start_matches(blank).len();
        if let Some(open) = OPEN_SIDES.iter().find(|open| after(text, start, open).is_some()) {
            return Err(QuantityError::new(
                Fault::Side,
                start..start + open.len(),
                format!("`{open}` leaves open where the liquid stood"),
                "write `at`, `over` or `under` before the mark, such as `over the 30 mL mark`"
                    .into(),
            ));
        }
        let side = SIDES.iter().find_map(|(word, side)| Some((*side, after(text, start, word)?)));
        let from = side.map_or(start, |(_, from)| from);
        let from = if side.is_some() { after(text, from, "the").unwrap_or(from) } else { from };
        let (rest, mark_named) = without_mark(&text[from..]);
        let quantity: Quantity = rest.parse().map_err(|error: QuantityError| error.moved(from))?;
        let read = match side {
            Some((side, _)) => AmountRead::Mark { side, mark: quantity },
            None if mark_named => AmountRead::Mark { side: MarkSide::At, mark: quantity },
            None => AmountRead::Number(quantity),
        };
        read.amount().map_err(|error| QuantityError { span: from..from + rest.len(), ..error })?;
        Ok(read)
    }
}

impl AmountRead {
    /// The amount, for computing. A negative number of grams is refused too: a scale that shows one
    /// was not zeroed.
    ///
    /// # Errors
    /// As reading it from text; the span is that of the canonical form.
    pub fn amount(&self) -> Result<Amount, QuantityError> {
        let span = || 0..self.to_string().len();
        let too_small = |what: String, mend: &str| {
            Err(QuantityError::new(Fault::TooSmall, span(), what, mend.into()))
        };
        match *self {
            AmountRead::Number(read)
                if read.number.is_sign_negative() && !read.number.is_zero() =>
            {
                too_small(
                    format!("`{read}` is less than nothing"),
                    "write what was caught; `0 mL` if nothing came",
                )
            }
            AmountRead::Number(read) => match (read.volume(), read.mass()) {
                (Some(volume), _) => Ok(Amount::Volume(volume)),
                (_, Some(mass)) => Ok(Amount::Mass(mass)),
                _ => Err(wrong(read, span(), "the amount caught, such as `30 mL` or `31 g`")),
            },
            AmountRead::Mark { side, mark } => match mark.volume() {
                Some(volume) if volume.0 > 0.0 => Ok(Amount::Mark(side, volume)),
                Some(_) => too_small(
                    format!("a mark at `{mark}` is no mark"),
                    "write the mark's own number, such as `at 30 mL`",
                ),
                None => Err(wrong(
                    mark,
                    span(),
                    "the mark of a vessel as a volume, such as `over the 30 mL mark`",
                )),
            },
        }
    }
}

impl FromStr for DrawRead {
    type Err = QuantityError;

    /// Reads `7.1 s`, `7,1s`, `1 min`, `2 doses`, `1 dose`, `3 shots`, `2x`.
    ///
    /// # Errors
    /// As [`Quantity`]; also a draw of no time or no dose, part of a dose, and a number alone.
    fn from_str(text: &str) -> Result<DrawRead, QuantityError> {
        let (count, end) = number(text)?;
        let word = text[end..].trim_matches(blank);
        let written = text.trim_matches(blank).len();
        let start = text.len() - text.trim_start_matches(blank).len();
        let span = start..start + written;
        if word.is_empty() {
            return Err(QuantityError::new(
                Fault::NoUnit,
                span.clone(),
                format!("{} may be seconds or doses", quoted(&text[span.clone()])),
                format!(
                    "write {} or {}",
                    quoted(&format!("{count} s")),
                    quoted(&format!("{count} doses"))
                ),
            ));
        }
        let read = if DOSES.iter().any(|dose| word.eq_ignore_ascii_case(dose)) {
            let whole = if count.is_integer() { u32::try_from(count).ok() } else { None };
            let Some(doses) = whole else {
                return Err(QuantityError::new(
                    Fault::NotWhole,
                    span.clone(),
                    format!("{} is no number of doses", quoted(&text[span.clone()])),
                    "write how many whole doses were caught, such as `2 doses`".into(),
                ));
            };
            DrawRead::Doses(doses)
        } else {
            DrawRead::Time(text.parse()?)
        };
        read.draw().map_err(|error| QuantityError { span, ..error })?;
        Ok(read)
    }
}

impl DrawRead {
    /// The draw, for computing.
    ///
    /// # Errors
    /// As reading it from text; the span is that of the canonical form.
    pub fn draw(&self) -> Result<Draw, QuantityError> {
        let span = || 0..self.to_string().len();
        let nothing = |what: String| {
            let mend =
                "write how long it ran or how many doses it was, such as `7.1 s` or `2 doses`";
            Err(QuantityError::new(Fault::TooSmall, span(), what, mend.into()))
        };
        match *self {
            DrawRead::Doses(0) => nothing("`0 doses` is no draw".into()),
            DrawRead::Doses(doses) => Ok(Draw::Doses(doses)),
            DrawRead::Time(read) => match read.duration() {
                Some(seconds) if seconds.0 > 0.0 => Ok(Draw::Time(seconds)),
                Some(_) => nothing(format!("`{read}` is no time to draw")),
                None => Err(wrong(
                    read,
                    span(),
                    "the seconds it ran or the doses it was, such as `7.1 s` or `2 doses`",
                )),
            },
        }
    }
}

/// Where the text goes on after `word` at `at` and the blanks behind it; `None` if another text is there.
/// A word of letters ends at a blank or a figure: `at30 mL`, but not `attic`.
fn after(text: &str, at: usize, word: &str) -> Option<usize> {
    let end = at + word.len();
    if !text.get(at..end)?.eq_ignore_ascii_case(word) {
        return None;
    }
    let rest = &text[end..];
    if word.ends_with(char::is_alphabetic) && rest.starts_with(char::is_alphabetic) {
        return None;
    }
    Some(text.len() - rest.trim_start_matches(blank).len())
}

/// The text before a closing `mark` or `line`, and whether there was one.
fn without_mark(text: &str) -> (&str, bool) {
    let text = text.trim_end_matches(blank);
    for word in ["mark", "line"] {
        let Some(at) = text.len().checked_sub(word.len()) else { continue };
        if text.get(at..).is_some_and(|end| end.eq_ignore_ascii_case(word)) {
            let rest = text[..at].trim_end_matches(|c| blank(c) || c == '-');
            if rest.len() < at {
                return (rest, true);
            }
        }
    }
    (text, false)
}

/// Reads any bytes as an amount and as a draw, and holds the promises of both: no panic, a span inside
/// the text, the canonical form read back as the same. For fuzzers, and run by property tests.
///
/// # Panics
/// If a promise is broken.
pub fn fuzz_reading(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    match text.parse::<AmountRead>() {
        Ok(read) => {
            assert_eq!(read.to_string().parse::<AmountRead>().as_ref(), Ok(&read), "{read}");
            assert!(read.amount().is_ok(), "{read}");
        }
        Err(error) => {
            assert!(text.get(error.span.clone()).is_some(), "{error:?} is outside {text:?}");
        }
    }
    match text.parse::<DrawRead>() {
        Ok(read) => {
            assert_eq!(read.to_string().parse::<DrawRead>().as_ref(), Ok(&read), "{read}");
            assert!(read.draw().is_ok(), "{read}");
        }
        Err(error) => {
            assert!(text.get(error.span.clone()).is_some(), "{error:?} is outside {text:?}");
        }
    }
}

#[cfg(test)]
mod tests;
