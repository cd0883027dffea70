//! Reading a quantity as people type it: one number, then one unit.

use std::ops::Range;

use rust_decimal::Decimal;

use super::error::{Fault, QuantityError, quoted};
use super::unit::{Unit, blank};
use super::{Dimension, Quantity};

/// Fractions with a sign of their own, in ten-thousandths where that is exact.
const FRACTIONS: &[(char, Option<i64>)] = &[
    ('½', Some(5000)),
    ('¼', Some(2500)),
    ('¾', Some(7500)),
    ('⅕', Some(2000)),
    ('⅖', Some(4000)),
    ('⅗', Some(6000)),
    ('⅘', Some(8000)),
    ('⅛', Some(1250)),
    ('⅜', Some(3750)),
    ('⅝', Some(6250)),
    ('⅞', Some(8750)),
    ('⅒', Some(1000)),
    ('⅓', None),
    ('⅔', None),
    ('⅙', None),
    ('⅚', None),
    ('⅐', None),
    ('⅑', None),
];

pub(super) fn quantity(text: &str) -> Result<Quantity, QuantityError> {
    let (number, end) = number(text)?;
    let rest = &text[end..];
    if rest.trim_matches(blank).is_empty() {
        let shown = quoted(text.trim_matches(blank));
        return Err(QuantityError::new(
            Fault::NoUnit,
            text.trim_end_matches(blank).len()..text.len(),
            format!("{shown} has no unit"),
            "write the unit after the number, such as `30 mL`, `31 g`, `7.1 s` or `4 °C`".into(),
        ));
    }
    if let Some(error) = not_a_unit(text, end) {
        return Err(error);
    }
    let unit: Unit = rest.parse().map_err(|error: QuantityError| error.moved(end))?;
    Ok(Quantity::new(number, unit))
}

/// The number at the start of a text, and where it ends.
pub(crate) fn number(text: &str) -> Result<(Decimal, usize), QuantityError> {
    let start = skip(text, 0, blank);
    if start == text.len() {
        return Err(QuantityError::new(
            Fault::Empty,
            0..text.len(),
            "nothing is written".into(),
            "write a number and a unit, such as `30 mL` or `7.1 s`".into(),
        ));
    }
    let (negative, first) = sign(text, start);
    let end = skip(text, first, in_number);
    let written = &text[first..end];
    let (magnitude, end) = if let Some(found) = fraction(text, first, end) {
        found?
    } else if written.contains(|c: char| c.is_ascii_digit()) {
        (plain(written, first..end)?, end)
    } else {
        return Err(QuantityError::new(
            Fault::NoNumber,
            start..text.trim_end_matches(blank).len(),
            format!("{} does not start with a number", quoted(text.trim_matches(blank))),
            "write the number first, in figures, then the unit, such as `30 mL`".into(),
        ));
    };
    second_number(text, first, end)?;
    // Minus nothing is nothing: a sign on zero would make two texts of one quantity.
    let number = if negative && !magnitude.is_zero() { -magnitude } else { magnitude };
    Ok((number, end))
}

/// Where the run of matching characters that begins at `from` ends.
fn skip(text: &str, from: usize, matching: impl Fn(char) -> bool) -> usize {
    text[from..].find(|c| !matching(c)).map_or(text.len(), |length| from + length)
}

fn in_number(c: char) -> bool {
    c.is_ascii_digit() || separator(c)
}

fn separator(c: char) -> bool {
    matches!(c, '.' | ',' | '\'' | '’' | '_' | '٫' | '·')
}

/// Whether the number is negative, and where its digits begin.
fn sign(text: &str, start: usize) -> (bool, usize) {
    match text[start..].chars().next() {
        // The minus sign, and the dash that word processors put in its place.
        Some(c @ ('-' | '−' | '–')) => (true, start + c.len_utf8()),
        Some('+') => (false, start + 1),
        _ => (false, start),
    }
}

/// Digits with at most one decimal point or comma.
fn plain(written: &str, span: Range<usize>) -> Result<Decimal, QuantityError> {
    let mut separators = written.char_indices().filter(|(_, c)| separator(*c));
    let digits = match (separators.next(), separators.next()) {
        (None, _) => written.to_owned(),
        (Some((_, '.')), None) => written.to_owned(),
        (Some((at, ',')), None) => {
            let (whole, decimals) = (&written[..at], &written[at + 1..]);
            if decimals.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0') {
                return Err(QuantityError::new(
                    Fault::Separator,
                    span,
                    format!(
                        "the comma in `{written}` may be a decimal comma or a thousands separator"
                    ),
                    format!("write `{whole}{decimals}` or `{whole}.{decimals}`"),
                ));
            }
            format!("{whole}.{decimals}")
        }
        _ => {
            return Err(QuantityError::new(
                Fault::Separator,
                span,
                format!("{} has a thousands separator", quoted(written)),
                format!("write it without one: {}", quoted(&without_separators(written))),
            ));
        }
    };
    // `.5` and `5.` are clear enough, and the decimal reader may not take them.
    let digits = digits.trim_start_matches('0');
    let digits = format!(
        "{}{digits}",
        if digits.starts_with(|c: char| c.is_ascii_digit()) { "" } else { "0" }
    );
    Decimal::from_str_exact(digits.trim_end_matches('.')).map_err(|_| too_long(written, span))
}

fn too_long(written: &str, span: Range<usize>) -> QuantityError {
    QuantityError::new(
        Fault::TooLong,
        span,
        format!("{} has more digits than can be kept", quoted(written)),
        "write at most 28 digits, as many as the measure shows".into(),
    )
}

/// The likeliest meaning of a number with thousands separators: the last one is a decimal
/// point if it stands alone among its kind, or is a full stop.
fn without_separators(written: &str) -> String {
    let last = written.rfind(separator);
    let decimal = last.filter(|&at| {
        let mark = written[at..].chars().next();
        matches!(mark, Some('.' | ',' | '٫' | '·'))
            && written.chars().filter(|c| Some(*c) == mark).count() == 1
    });
    written
        .char_indices()
        .filter_map(|(at, c)| match separator(c) {
            true if Some(at) == decimal => Some('.'),
            true => None,
            false => Some(c),
        })
        .collect()
}

/// A fraction (`½`, `1½`, `1/2`, `1 1/2`) whose first digits are at `first..end`; `None` if there is none.
fn fraction(
    text: &str,
    first: usize,
    end: usize,
) -> Option<Result<(Decimal, usize), QuantityError>> {
    let whole = &text[first..end];
    let next = skip(text, end, blank);
    // One sign: ½, or a whole number and one.
    if let Some(sign) =
        text[next..].chars().next().filter(|c| FRACTIONS.iter().any(|(known, _)| known == c))
    {
        let until = next + sign.len_utf8();
        let part = FRACTIONS.iter().find(|(known, _)| *known == sign).and_then(|(_, part)| *part);
        let part = part.map(|part| Decimal::new(part, 4).normalize());
        return Some(sum(text, first..until, whole, part));
    }
    // A numerator over a denominator, alone or after a whole number.
    let (whole, numerator, slash) = if is_slash(text, end) {
        ("", whole, end)
    } else if next > end && digit_at(text, next) {
        let slash = skip(text, next, |c| c.is_ascii_digit());
        if !is_slash(text, slash) {
            return None;
        }
        (whole, &text[next..slash], slash)
    } else {
        return None;
    };
    let below = slash + text[slash..].chars().next().map_or(0, char::len_utf8);
    let until = skip(text, below, |c| c.is_ascii_digit());
    let part = (|| {
        let above = Decimal::from_str_exact(numerator).ok()?;
        let below = Decimal::from_str_exact(&text[below..until]).ok()?;
        let part = above.checked_div(below)?.normalize();
        (part.checked_mul(below)? == above && part.scale() <= 12).then_some(part)
    })();
    Some(sum(text, first..until, whole, part))
}

/// A whole number, which may be absent, plus a part of one.
fn sum(
    text: &str,
    span: Range<usize>,
    whole: &str,
    part: Option<Decimal>,
) -> Result<(Decimal, usize), QuantityError> {
    let fault = || {
        QuantityError::new(
            Fault::Fraction,
            span.clone(),
            format!(
                "{} is not a fraction that can be written exactly in decimals",
                quoted(&text[span.clone()])
            ),
            "write it in decimals, or in mL".into(),
        )
    };
    let part = part.ok_or_else(fault)?;
    let whole = if whole.is_empty() {
        Decimal::ZERO
    } else {
        Decimal::from_str_exact(whole).map_err(|_| fault())?
    };
    if !whole.is_integer() {
        return Err(fault());
    }
    let number = whole.checked_add(part).ok_or_else(fault)?;
    Ok((number, span.end))
}

fn is_slash(text: &str, at: usize) -> bool {
    text[at..].starts_with(['/', '⁄'])
        && at > 0
        && text[..at].ends_with(|c: char| c.is_ascii_digit())
}

fn digit_at(text: &str, at: usize) -> bool {
    text[at..].starts_with(|c: char| c.is_ascii_digit())
}

/// Refuses a second number after the first: `1 234 mL`, `30 31 mL`.
fn second_number(text: &str, first: usize, end: usize) -> Result<(), QuantityError> {
    let next = skip(text, end, blank);
    if next == end || !digit_at(text, next) {
        return Ok(());
    }
    let until = skip(text, next, in_number);
    Err(QuantityError::new(
        Fault::Separator,
        first..until,
        format!("{} is two numbers, or one with a space in it", quoted(&text[first..until])),
        format!(
            "write one number without a space, such as {}",
            quoted(&format!("{}{}", &text[first..end], &text[next..until]))
        ),
    ))
}

/// Things after a number that are no unit, and deserve their own hint.
fn not_a_unit(text: &str, end: usize) -> Option<QuantityError> {
    let rest = &text[end..];
    let exponent = rest.strip_prefix(['e', 'E']).is_some_and(|power| {
        power
            .strip_prefix(['+', '-', '−'])
            .unwrap_or(power)
            .starts_with(|c: char| c.is_ascii_digit())
    });
    let until = text.trim_end_matches(blank).len();
    if exponent {
        return Some(QuantityError::new(
            Fault::Exponent,
            end..until,
            format!("{} is a number with an exponent", quoted(text.trim_matches(blank))),
            "write the number in full, such as `0.03 L` or `30 mL`".into(),
        ));
    }
    if rest.starts_with(':') {
        return Some(QuantityError::new(
            Fault::UnknownUnit,
            end..until,
            format!("{} looks like minutes and seconds", quoted(text.trim_matches(blank))),
            "write it in seconds, such as `70 s`".into(),
        ));
    }
    None
}

/// The error for a quantity of the wrong dimension.
pub(crate) fn wrong(quantity: Quantity, span: Range<usize>, wanted: &str) -> QuantityError {
    let is = match quantity.unit.dimension() {
        Dimension::Volume => "a volume",
        Dimension::Mass => "a weight",
        Dimension::Duration => "a time",
        Dimension::Temperature => "a temperature",
    };
    QuantityError::new(
        Fault::WrongDimension,
        span,
        format!("`{quantity}` is {is}"),
        format!("write {wanted}"),
    )
}
