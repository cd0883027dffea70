//! Amounts in cells: the unit beside the number, in the heading, or asked.

use ouncewise_measure::quantity::Fault;
use ouncewise_measure::{AmountRead, DrawRead, Unit};

use super::super::code::{Code, Refusal};
use super::super::reading::{misread, plain, seconds};
use super::Mapping;

/// What a cell of readings says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Cell {
    pub(super) amount: AmountRead,
    pub(super) draw: Option<DrawRead>,
    pub(super) note: String,
}

/// The words for which several units stand: what may be added to tell them apart.
const TELLING: &[&str] = &["(US)", "(imperial)", "(30 mL)", "(weight)"];

/// The units that a word may stand for; one where it is clear.
pub(super) fn meanings(word: &str) -> Vec<Unit> {
    if let Ok(unit) = word.parse::<Unit>() {
        return vec![unit];
    }
    let mut units = Vec::new();
    for name in std::iter::once(word.to_owned()).chain(ounce(word).then(|| format!("fl {word}"))) {
        for telling in TELLING {
            if let Ok(unit) = format!("{name} {telling}").parse::<Unit>()
                && !units.contains(&unit)
            {
                units.push(unit);
            }
        }
    }
    units
}

fn ounce(word: &str) -> bool {
    word.trim().to_lowercase().trim_end_matches(['s', '.']).ends_with("oz")
        || word.to_lowercase().contains("ounce")
}

/// The id of the question which unit a word means: all ways to write an ounce are one question.
pub(super) fn question(word: &str) -> String {
    let lower = word.trim().to_lowercase();
    let word = if !ounce(&lower) {
        lower.trim_end_matches('.').to_owned()
    } else if lower.contains("fl") {
        "fl oz".to_owned()
    } else {
        "oz".to_owned()
    };
    format!("unit {word}")
}

/// The unit of a word, answered where it must be.
pub(super) fn unit(mapping: &Mapping, word: &str) -> Result<Unit, Refusal> {
    match word.parse::<Unit>() {
        Ok(unit) => Ok(unit),
        Err(error) if error.fault == Fault::WhichUnit => match mapping.answer(&question(word)) {
            Some(answer) => answer.parse().map_err(|e| misread(&e)),
            None => Err(waiting(&question(word))),
        },
        Err(error) => Err(misread(&error)),
    }
}

/// The refusal of a row that waits.
pub(super) fn waiting(id: &str) -> Refusal {
    Refusal::new(0, Code::Waiting, format!("the question {id:?} is open"))
        .hint("answer it, or take its default")
}

/// Reads a cell: `29.6`, `29.6ml`, `1 oz`, `> 30 ml`, `30 ml in 7s`, `29.6 (low)`. `column` is the unit
/// of numbers without one, and `missing` the question where there is none.
pub(super) fn cell(
    mapping: &Mapping,
    text: &str,
    column: Option<&str>,
    missing: &str,
) -> Result<Cell, Refusal> {
    let (text, note) = cut_note(text);
    let (text, draw) = cut_draw(text);
    let draw = draw.map(seconds).transpose()?;
    let amount = amount(mapping, text, column, missing)?;
    Ok(Cell { amount, draw, note: note.to_owned() })
}

/// An amount with the unit of the cell, the column or an answer.
pub(super) fn amount(
    mapping: &Mapping,
    text: &str,
    column: Option<&str>,
    missing: &str,
) -> Result<AmountRead, Refusal> {
    let error = match text.parse::<AmountRead>() {
        Ok(read) => return Ok(read),
        Err(error) => error,
    };
    match error.fault {
        Fault::NoUnit => {
            let unit = match column {
                Some(word) => unit(mapping, word)?,
                None => match mapping.answer(missing) {
                    Some(word) => unit(mapping, word)?,
                    None if mapping.question(missing).is_some() => return Err(waiting(missing)),
                    None => return Err(misread(&error)),
                },
            };
            format!("{text} {unit}").parse().map_err(|e| misread(&e))
        }
        Fault::WhichUnit => {
            let word = text.trim_start_matches(|c: char| !c.is_alphabetic());
            let word = text.get(error.span.clone()).filter(|w| !w.is_empty()).unwrap_or(word);
            let unit = unit(mapping, word)?;
            text.replacen(word, unit.symbol(), 1).parse().map_err(|e| misread(&e))
        }
        _ => Err(misread(&error)),
    }
}

/// The word of a cell that several units go by, where there is one.
pub(super) fn unclear_word(text: &str) -> Option<&str> {
    let text = core(text);
    match text.parse::<AmountRead>() {
        Err(error) if error.fault == Fault::WhichUnit => text.get(error.span),
        _ => None,
    }
}

/// Whether a cell is a number without a unit.
pub(super) fn is_bare(text: &str) -> bool {
    let text = core(text);
    plain(text).is_some()
        || matches!(text.parse::<AmountRead>(), Err(e) if e.fault == Fault::NoUnit)
}

/// A cell without its remark and without the time of its draw.
pub(super) fn core(text: &str) -> &str {
    cut_draw(cut_note(text).0).0
}

/// Cuts a remark after the reading: `29.6 (was low)`, `29.6 ml - low`, `29.6 ml; low`.
fn cut_note(text: &str) -> (&str, &str) {
    let text = text.trim();
    if let Some(open) = text.find(['(', '['])
        && open > 0
        && text.ends_with([')', ']'])
    {
        let inner = text[open + 1..text.len() - 1].trim();
        // `1 fl oz (US)` is a unit, not a remark.
        let (head, whole) = (text[..open].trim(), text.parse::<AmountRead>().is_ok());
        return if whole { (text, "") } else { (head, inner) };
    }
    for mark in [" - ", " – ", "; ", ", "] {
        if let Some((head, tail)) = text.split_once(mark)
            && head.starts_with(|c: char| c.is_ascii_digit())
            && tail.starts_with(char::is_alphabetic)
        {
            return (head.trim(), tail.trim());
        }
    }
    (text, "")
}

/// Cuts the time of a draw after the reading: `30 ml in 7s`, `30 ml / 7 s`, `30ml@7s`.
fn cut_draw(text: &str) -> (&str, Option<&str>) {
    for mark in [" in ", "/", "@", " per ", " en "] {
        if let Some((head, tail)) = text.split_once(mark)
            && tail.trim().parse::<DrawRead>().is_ok()
            && head.trim().starts_with(|c: char| c.is_ascii_digit())
        {
            return (head.trim(), Some(tail.trim()));
        }
    }
    (text, None)
}
