//! Numbers in words: a value to the place of two digits of its doubt (JCGM 100:2008, 7.2.6).

use crate::range::drawable;

/// A value and its doubt, both to the place of two digits of the doubt: `("29.6", "1.2")`. Without a doubt the value is
/// printed to four digits, and the doubt is empty. What cannot be drawn is `?`.
pub(crate) fn rounded(value: f64, doubt: f64) -> (String, String) {
    if !drawable(value) {
        return ("?".to_owned(), String::new());
    }
    if !drawable(doubt) || doubt <= 0.0 {
        return (plain(value), String::new());
    }
    let place = place(doubt);
    (at_place(value, place), at_place(doubt, place))
}

/// A value that is exact, such as a target: to four digits, without zeros at the end.
pub(crate) fn plain(value: f64) -> String {
    if !drawable(value) {
        return "?".to_owned();
    }
    if value == 0.0 {
        return "0".to_owned();
    }
    let first = exponent(&format!("{value:.3e}"));
    let text = at_place(value, first - 3);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// A fraction as percent: `5 %`, `2.5 %`.
pub(crate) fn percent(fraction: f64) -> String {
    format!("{} %", plain(fraction * 100.0))
}

/// A number of percent with its sign, whole: `+40 %`, `−120 %`.
pub(crate) fn signed_percent(percent: f64) -> String {
    let text = at_place(percent.abs(), 0);
    match text.as_str() {
        "0" => "0 %".to_owned(),
        _ if percent < 0.0 => format!("−{text} %"),
        _ => format!("+{text} %"),
    }
}

/// The power of ten of the second digit of a doubt, after rounding.
fn place(doubt: f64) -> i32 {
    exponent(&format!("{doubt:.1e}")) - 1
}

fn exponent(scientific: &str) -> i32 {
    scientific.split_once('e').and_then(|(_, e)| e.parse().ok()).unwrap_or(0)
}

/// Rounded to a power of ten, without an exponent; a minus is a minus sign.
fn at_place(value: f64, place: i32) -> String {
    let decimals = usize::try_from(-place).unwrap_or(0).min(12);
    let step = 10f64.powi(place.max(0));
    let text = format!("{:.decimals$}", (value / step).round_if(place > 0) * step);
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

trait RoundIf {
    fn round_if(self, whole: bool) -> Self;
}

impl RoundIf for f64 {
    fn round_if(self, whole: bool) -> Self {
        if whole { self.round() } else { self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // JCGM 100:2008, 7.2.2 and 7.2.6: m = (100.02147 ± 0.00079) g, and R = 10.058 Ω for u = 27 mΩ.
    #[test]
    fn values_end_at_the_second_digit_of_their_doubt() {
        let pair = |v: &str, u: &str| (v.to_owned(), u.to_owned());
        assert_eq!(rounded(100.021_47, 0.000_79), pair("100.02147", "0.00079"));
        assert_eq!(rounded(10.057_62, 0.027), pair("10.058", "0.027"));
        assert_eq!(rounded(1234.0, 123.0), pair("1230", "120"));
        assert_eq!(rounded(29.6, 0.0996), pair("29.60", "0.10"));
        assert_eq!(rounded(-0.01, 1.2), pair("0.0", "1.2"));
    }

    #[test]
    fn exact_values_have_no_zeros_at_the_end() {
        let said = plain;
        assert_eq!(
            (said(30.0), said(29.573_53), said(-2.5)),
            ("30".into(), "29.57".into(), "−2.5".into())
        );
        assert_eq!(
            (said(0.0), said(f64::NAN), said(123_456.0)),
            ("0".into(), "?".into(), "123500".into())
        );
        assert_eq!((percent(0.05), percent(0.025)), ("5 %".to_owned(), "2.5 %".to_owned()));
        assert_eq!((signed_percent(-120.4), signed_percent(0.2)), ("−120 %".into(), "0 %".into()));
    }
}
