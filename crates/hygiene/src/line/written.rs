//! The measures of a line as people write them: `6 mm`, `1/4 in`, `3 m`, `2 x 1.5 mL`, `250 mL in 10 s`.

use ouncewise_measure::quantity::QuantityError;
use ouncewise_measure::{Quantity, Unit};
use rust_decimal::prelude::ToPrimitive;

use super::geometry::{BORE, FLOW, HELD, LENGTH};
use super::{Fitting, FlowError, Metres, Millimetres, MlPerSecond, Tube};

/// What cannot be read, and how to mend it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what}; {mend}")]
pub struct Unread {
    /// What is wrong, in lower case and without a full stop.
    pub what: String,
    /// How to mend it.
    pub mend: String,
}

impl Unread {
    fn new(what: impl Into<String>, mend: impl Into<String>) -> Self {
        Self { what: what.into(), mend: mend.into() }
    }
}

/// Units of a bore, in millimetres, and of a length, in metres.
const BORES: &[(&str, f64)] = &[
    ("mm", 1.0),
    ("cm", 10.0),
    ("in", 25.4),
    ("inch", 25.4),
    ("inches", 25.4),
    ("\"", 25.4),
    ("”", 25.4),
    ("″", 25.4),
];
const LENGTHS: &[(&str, f64)] = &[
    ("m", 1.0),
    ("metre", 1.0),
    ("metres", 1.0),
    ("meter", 1.0),
    ("meters", 1.0),
    ("cm", 0.01),
    ("mm", 0.001),
    ("ft", 0.3048),
    ("foot", 0.3048),
    ("feet", 0.3048),
    ("in", 0.0254),
    ("inch", 0.0254),
    ("inches", 0.0254),
];

/// Phrases that are parted by `;`.
fn parts(text: &str) -> impl Iterator<Item = &str> {
    text.split(';').map(str::trim)
}

/// What stands for something that nobody measured.
fn unknown(text: &str) -> bool {
    matches!(text.to_lowercase().as_str(), "" | "?" | "unknown" | "not known")
}

/// A number of more than nothing with one of these units, each with its size; the number is read as any quantity's is.
///
/// # Errors
/// A unit that is none of them, or no number.
pub fn number_in(text: &str, units: &[(&str, f64)], hint: &str) -> Result<f64, Unread> {
    let refuse = |what: String| Unread::new(what, hint);
    let unit_from = text
        .rfind(|c: char| {
            c.is_ascii_digit() || matches!(c, '½' | '¼' | '¾' | '⅛' | '⅜' | '⅝' | '⅞' | '.' | ',')
        })
        .map_or(0, |at| at + text[at..].chars().next().map_or(1, char::len_utf8));
    let (number, unit) = text.split_at(unit_from);
    let spelt: String = unit.to_lowercase().chars().filter(|c| !c.is_whitespace()).collect();
    let factor = units.iter().find(|(known, _)| *known == spelt).map(|(_, factor)| *factor);
    let Some(factor) = factor else {
        return Err(refuse(if spelt.is_empty() {
            format!("`{text}` has no unit")
        } else if number.is_empty() {
            format!("`{text}` has no number")
        } else {
            format!("`{text}` has a unit that is not known here")
        }));
    };
    let number: Quantity = format!("{} {}", number.trim(), Unit::Milligram)
        .parse()
        .map_err(|_| refuse(format!("`{text}` does not begin with one number")))?;
    let number = number.number.to_f64().unwrap_or(f64::NAN);
    if number > 0.0 {
        Ok(number * factor)
    } else {
        Err(refuse(format!("`{text}` is not more than nothing")))
    }
}

/// Inner diameters in the order of the flow, parted by `;`; `?` is one that is not known.
///
/// # Errors
/// What cannot be read.
pub fn bores(text: &str) -> Result<Vec<Option<Millimetres>>, Unread> {
    each(text, BORES, "write the inner diameter as `6 mm` or `1/4 in`", Millimetres)
}

/// Lengths in the order of the flow, parted by `;`; `?` is one that is not known.
///
/// # Errors
/// What cannot be read.
pub fn lengths(text: &str) -> Result<Vec<Option<Metres>>, Unread> {
    each(text, LENGTHS, "write it as `3 m` or `10 ft`", Metres)
}

fn each<T>(
    text: &str,
    units: &[(&str, f64)],
    hint: &str,
    make: fn(f64) -> T,
) -> Result<Vec<Option<T>>, Unread> {
    let one = |text| match unknown(text) {
        true => Ok(None),
        false => number_in(text, units, hint).map(|number| Some(make(number))),
    };
    parts(text).map(one).collect()
}

/// Tubes from their bores and lengths; a missing one is not known.
///
/// # Errors
/// Another number of lengths than of bores.
pub fn tubes(
    bores: &[Option<Millimetres>],
    lengths: &[Option<Metres>],
) -> Result<Vec<Tube>, Unread> {
    match (bores, lengths) {
        // Where only one of the two is told, the other is not known for any of the tubes.
        (bores, []) => Ok(bores.iter().map(|&bore| Tube { bore, length: None }).collect()),
        ([], lengths) => Ok(lengths.iter().map(|&length| Tube { bore: None, length }).collect()),
        (bores, lengths) if bores.len() == lengths.len() => {
            Ok(bores.iter().zip(lengths).map(|(&bore, &length)| Tube { bore, length }).collect())
        }
        (bores, lengths) => Err(Unread::new(
            format!("{} for {}", many(lengths.len(), "length"), many(bores.len(), "bore")),
            "give as many lengths as bores, in the same order, and `?` for what is not known",
        )),
    }
}

fn many(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

const FITTING: &str =
    "write what each holds, parted by `;`: `4 mL`, `2 x 1.5 mL`, `2 x ?`, `3 mL dead end`";

/// Fittings, parted by `;`: `4 mL`, `2 x 1.5 mL`, `2 x ?`, `3 mL dead end`.
///
/// # Errors
/// What cannot be read.
pub fn fittings(text: &str) -> Result<Vec<Fitting>, Unread> {
    parts(text).map(fitting).collect()
}

fn fitting(text: &str) -> Result<Fitting, Unread> {
    let lower = text.to_lowercase();
    let (rest, dead_end) =
        match lower.strip_suffix("dead end").or_else(|| lower.strip_suffix("pocket")) {
            Some(rest) => (rest.trim_end(), true),
            None => (lower.as_str(), false),
        };
    // From the text itself, whose units know capitals.
    let rest = text.get(..rest.len()).unwrap_or(rest).trim();
    let (count, holds) = match rest.split_once(['x', '×', 'X']) {
        Some((count, holds)) if !count.trim().is_empty() => {
            let count = count.trim().parse::<u32>().ok().filter(|count| (1..=1000).contains(count));
            let count = count
                .ok_or_else(|| Unread::new(format!("`{text}` does not say how many"), FITTING))?;
            (count, holds.trim())
        }
        _ => (1, rest),
    };
    if unknown(holds) {
        return Ok(Fitting { count, holds: None, dead_end });
    }
    let misread = |e: QuantityError| Unread::new(format!("`{holds}`: {e}"), FITTING);
    let volume = holds.parse::<Quantity>().map_err(misread)?.volume();
    let volume =
        volume.ok_or_else(|| Unread::new(format!("`{holds}` is not a volume"), FITTING))?;
    Ok(Fitting { count, holds: Some(volume), dead_end })
}

/// A flow: `250 mL in 10 s`, `25 mL/s`, `1.5 L/min`.
///
/// # Errors
/// What cannot be read.
pub fn flow(text: &str) -> Result<MlPerSecond, Unread> {
    let hint = "catch for some seconds, and write it as `250 mL in 10 s` or `25 mL/s`";
    let refuse = |what: &str| Unread::new(format!("`{text}` {what}"), hint);
    let parted = text
        .rsplit_once(" in ")
        .or_else(|| text.rsplit_once(" per "))
        .or_else(|| text.rsplit_once('/'));
    let (amount, time) = parted.ok_or_else(|| refuse("does not say in which time"))?;
    let misread = |e: QuantityError| Unread::new(format!("`{text}`: {e}"), hint);
    let amount = amount.trim().parse::<Quantity>().map_err(misread)?;
    let amount = amount
        .volume()
        .ok_or_else(|| refuse("is no volume in a time: weigh it, and divide by the density"))?;
    let time = time.trim();
    // `mL/s` is of one second.
    let time =
        if time.starts_with(char::is_alphabetic) { format!("1 {time}") } else { time.to_owned() };
    let seconds = time
        .parse::<Quantity>()
        .ok()
        .and_then(Quantity::duration)
        .filter(|seconds| seconds.0 > 0.0)
        .ok_or_else(|| refuse("does not say in which time"))?;
    Ok(MlPerSecond(amount.0 / seconds.0))
}

impl Millimetres {
    /// The same, if a line can have such a bore.
    ///
    /// # Errors
    /// A bore that is out of range.
    pub fn of_a_bore(self) -> Result<Self, FlowError> {
        BORE.check(self.0).map(Self)
    }
}

impl Metres {
    /// The same, if a tube can have such a length.
    ///
    /// # Errors
    /// A length that is out of range.
    pub fn of_a_tube(self) -> Result<Self, FlowError> {
        LENGTH.check(self.0).map(Self)
    }
}

impl MlPerSecond {
    /// The same, if a line can be flushed so.
    ///
    /// # Errors
    /// A flow that is out of range.
    pub fn of_a_flush(self) -> Result<Self, FlowError> {
        FLOW.check(self.0).map(Self)
    }
}

impl Fitting {
    /// The same, if a fitting can hold so much.
    ///
    /// # Errors
    /// A volume that is out of range.
    pub fn that_can_be(self) -> Result<Self, FlowError> {
        HELD.check(self.holds.map_or(0.0, |holds| holds.0)).map(|_| self)
    }
}
