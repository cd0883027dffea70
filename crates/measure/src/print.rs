//! Printing a number with the digits that its uncertainty allows (JCGM 100:2008, 7.2.2 and 7.2.6),
//! and quantities in the units that people use.

mod digits;
mod people;
mod sentence;
#[cfg(test)]
mod tests;

pub use people::{Units, amount_per_second, mass, mass_with, temperature, volume, volume_with};
pub use sentence::{Figure, Sentence};

use digits::{place_of, plain, uncertainty_digits};

/// A value and its uncertainty, both to the place of two digits of the uncertainty:
/// `(100.02147 ± 0.00079)`. Add the unit after it.
///
/// An uncertainty of zero leaves the value as it is; one that is no number is printed as `?`.
///
/// ```
/// use ouncewise_measure::print::with_uncertainty;
/// assert_eq!(with_uncertainty(10.05762, 0.027), "(10.058 ± 0.027)");
/// ```
#[must_use]
pub fn with_uncertainty(value: f64, uncertainty: f64) -> String {
    let (value, uncertainty, _) = rounded(value, uncertainty);
    format!("({value} ± {uncertainty})")
}

/// A value in a base unit (or so much by something: `mL/s`) and its doubt as people read it, in their units: two standard
/// uncertainties each way, and how often the true value lies within.
///
/// ```
/// use ouncewise_measure::print::{Units, with_doubt};
/// let told = with_doubt(29.62, 0.21, "mL", Units::Metric);
/// assert_eq!(told, "(29.62 ± 0.42) mL, 19 times in 20");
/// let told = with_doubt(29.62, 0.21, "mL", Units::Us);
/// assert_eq!(told, "(1.002 ± 0.014) fl oz (US), 19 times in 20");
/// ```
#[must_use]
pub fn with_doubt(value: f64, standard_uncertainty: f64, unit: &str, units: Units) -> String {
    format!("{}, 19 times in 20", within(value, 2.0 * standard_uncertainty, unit, units))
}

/// A value in a base unit and an uncertainty of it, in the reader's units: `(29.62 ± 0.42) mL`.
#[must_use]
pub fn within(value: f64, uncertainty: f64, unit: &str, units: Units) -> String {
    let (factor, unit) = units.in_place_of(unit);
    format!("{} {unit}", with_uncertainty(factor * value, factor * uncertainty))
}

/// A value in a base unit to so many digits, in the reader's units: `29.6 mL`, `0.143 fl oz (US)/s`.
#[must_use]
pub fn amount(value: f64, digits: u8, unit: &str, units: Units) -> String {
    let (factor, unit) = units.in_place_of(unit);
    format!("{} {unit}", significant(factor * value, digits))
}

/// A value with the last digits of its standard uncertainty in brackets: `100.02147(35)`.
///
/// ```
/// use ouncewise_measure::print::concise;
/// assert_eq!(concise(100.021_47, 0.000_35), "100.02147(35)");
/// ```
#[must_use]
pub fn concise(value: f64, uncertainty: f64) -> String {
    let (value, uncertainty, place) = rounded(value, uncertainty);
    // Where the digits straddle the decimal point, or stand left of it, they are printed whole.
    let digits = match place {
        Some(place) if place < -1 => uncertainty.trim_start_matches(['0', '.']).to_owned(),
        _ => uncertainty,
    };
    format!("{value}({digits})")
}

/// A value alone, to the place that its uncertainty allows.
#[must_use]
pub fn value(value: f64, uncertainty: f64) -> String {
    rounded(value, uncertainty).0
}

/// An uncertainty alone, to two digits; rounded up where rounding to the nearest would understate it
/// by more than 3 % (`10.47` becomes `11`, and `28.05` becomes `28`: JCGM 100, 7.2.6).
#[must_use]
pub fn uncertainty(uncertainty: f64) -> String {
    rounded(0.0, uncertainty).1
}

/// Value, uncertainty, and the power of ten of the last digit of both.
fn rounded(value: f64, uncertainty: f64) -> (String, String, Option<i32>) {
    if !value.is_finite() {
        return ("?".into(), "?".into(), None);
    }
    if !uncertainty.is_finite() || uncertainty < 0.0 {
        return (significant(value, 3), "?".into(), None);
    }
    if uncertainty == 0.0 {
        return (value.to_string(), "0".into(), None);
    }
    let (digits, place) = uncertainty_digits(uncertainty);
    (plain(value, place), digits, Some(place))
}

/// A value to so many significant digits, without an exponent.
#[must_use]
pub fn significant(value: f64, digits: u8) -> String {
    if !value.is_finite() {
        return "?".into();
    }
    if value == 0.0 {
        return "0".into();
    }
    plain(value, place_of(value, digits.max(1)))
}

/// A fraction as percent, to two digits: `2.2 %`, `0.35 %`, `12 %`.
#[must_use]
pub fn percent(fraction: f64) -> String {
    format!("{} %", two_digits(fraction * 100.0))
}

/// A fraction as percent with its sign: `+12 %`, `−8.0 %`.
#[must_use]
pub fn signed_percent(fraction: f64) -> String {
    let digits = two_digits((fraction * 100.0).abs());
    let sign = if !fraction.is_finite() || digits == "0" {
        ""
    } else if fraction < 0.0 {
        "−"
    } else {
        "+"
    };
    format!("{sign}{digits} %")
}

/// Percent to two significant digits, and never finer than a hundredth.
fn two_digits(percent: f64) -> String {
    if !percent.is_finite() {
        return "?".into();
    }
    if percent.abs() < 0.005 {
        return "0".into();
    }
    plain(percent, place_of(percent, 2).clamp(-2, 0))
}

/// A probability as people say it: `97 %`, `94.9 %`, `over 99.9 %`. Never rounded to certainty, nor over
/// the `risk` that the group accepts of being wrong.
///
/// ```
/// use ouncewise_measure::print::probability;
/// assert_eq!(probability(0.9496, 0.05), "94.9 %");
/// ```
#[must_use]
pub fn probability(probability: f64, risk: f64) -> String {
    let p = 100.0 * probability;
    if p.is_nan() {
        return "? %".into();
    }
    if p > 99.9 {
        return "over 99.9 %".into();
    }
    if p < 0.1 {
        return "under 0.1 %".into();
    }
    let near = |limit: f64| (p - limit).abs() < 1.0;
    if near(100.0 * risk) || near(100.0 - 100.0 * risk) || !(1.0..=99.0).contains(&p) {
        // Cut, not rounded: 94.96 % is not the 95 % that was asked for.
        return format!("{:.1} %", libm::floor(10.0 * p + 1e-9) / 10.0);
    }
    format!("{p:.0} %")
}
