//! Rounding to a decimal place, in decimal: the digits come from the exact binary value, once.

/// How much an uncertainty may be understated by rounding it to two digits.
const UNDERSTATED: f64 = 0.03;

/// A finite value's sign, its digits to so many, and the power of ten of the first of them.
fn scientific(value: f64, digits: u8) -> (String, i32) {
    let text = format!("{value:.*e}", usize::from(digits.max(1)) - 1);
    let (mantissa, exponent) = text.split_once('e').expect("Rust prints an exponent");
    (mantissa.replace('.', ""), exponent.parse().expect("an exponent is a whole number"))
}

/// The power of ten of the last of so many significant digits of a value.
pub(super) fn place_of(value: f64, digits: u8) -> i32 {
    scientific(value, digits).1 - i32::from(digits) + 1
}

/// A positive uncertainty to two digits, and the power of ten of the second.
pub(super) fn uncertainty_digits(uncertainty: f64) -> (String, i32) {
    let (digits, first) = scientific(uncertainty, 2);
    let place = first - 1;
    let nearest: i64 = digits.parse().expect("two figures");
    let unit = libm::exp10(f64::from(place));
    #[expect(clippy::cast_precision_loss, reason = "two figures")]
    let understated = 1.0 - nearest as f64 * unit / uncertainty;
    if understated > UNDERSTATED {
        // Only 1.05 and the like are understated so far: one more never needs a third digit.
        return (at_place(&(nearest + 1).to_string(), place), place);
    }
    (at_place(&digits, place), place)
}

/// A finite value rounded to a power of ten, without an exponent.
pub(super) fn plain(value: f64, place: i32) -> String {
    if place <= 0 {
        let decimals = usize::try_from(-place).expect("not positive");
        return unsigned_zero(format!("{value:.decimals$}"));
    }
    let (_, first) = scientific(value, 1);
    let kept = first - place + 1;
    if kept <= 0 {
        // Less than one step: nothing, or one step where it is over the half of it.
        let over_half = value.abs() > 0.5 * libm::exp10(f64::from(place));
        let sign = if value < 0.0 { "-" } else { "" };
        return if over_half { format!("{sign}{}", at_place("1", place)) } else { "0".into() };
    }
    // An f64 has no more than 17 digits worth keeping.
    let kept = u8::try_from(kept.min(17)).expect("from 1 to 17");
    let (digits, first) = scientific(value, kept);
    unsigned_zero(at_place(&digits, first - i32::from(kept) + 1))
}

/// Whole digits, whose last stands at a power of ten, as plain text.
fn at_place(digits: &str, place: i32) -> String {
    let (sign, digits) = digits.strip_prefix('-').map_or(("", digits), |rest| ("-", rest));
    if place >= 0 {
        let zeros = usize::try_from(place).expect("not negative");
        return format!("{sign}{digits}{}", "0".repeat(zeros));
    }
    let decimals = usize::try_from(-place).expect("negative");
    let padded = format!("{digits:0>width$}", width = decimals + 1);
    let (whole, decimals) = padded.split_at(padded.len() - decimals);
    format!("{sign}{whole}.{decimals}")
}

/// `-0.00` says nothing that `0.00` does not.
fn unsigned_zero(text: String) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        _ => text,
    }
}
