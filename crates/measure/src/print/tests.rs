//! The cases of JCGM 100:2008, 7.2.2 and 7.2.6, and what people see.

use super::*;
use crate::quantity::{Celsius, Grams, Millilitres};
use proptest::prelude::*;

/// JCGM 100:2008, 7.2.2 (the four ways to state a result) and 7.2.4: m_S = 100.021 47 g, u_c = 0.35 mg,
/// U = 0.79 mg.
#[test]
fn results_are_stated_as_in_7_2_2() {
    assert_eq!(concise(100.021_47, 0.000_35), "100.02147(35)");
    assert_eq!(with_uncertainty(100.021_47, 0.000_35), "(100.02147 ± 0.00035)");
    assert_eq!(with_uncertainty(100.021_47, 0.000_79), "(100.02147 ± 0.00079)");
}

/// JCGM 100:2008, 7.2.6: 10.47 mΩ may be rounded up to 11 mΩ; 28.05 kHz is rounded down to 28 kHz;
/// y = 10.057 62 Ω with u_c = 27 mΩ is rounded to 10.058 Ω.
#[test]
fn rounding_follows_7_2_6() {
    assert_eq!(uncertainty(10.47), "11");
    assert_eq!(uncertainty(28.05), "28");
    assert_eq!(value(10.057_62, 0.027), "10.058");
    assert_eq!(with_uncertainty(10.057_62, 0.027), "(10.058 ± 0.027)");
}

#[test]
fn digits_follow_the_uncertainty_wherever_it_stands() {
    for (given, doubt, expected, brief) in [
        (12_345.0, 234.0, "(12340 ± 230)", "12340(230)"),
        (12_345.0, 23.4, "(12345 ± 23)", "12345(23)"),
        (12_345.67, 2.34, "(12345.7 ± 2.3)", "12345.7(2.3)"),
        (7.4, 0.164_080_021_1, "(7.40 ± 0.16)", "7.40(16)"),
        (0.0, 0.0996, "(0.00 ± 0.10)", "0.00(10)"),
        (-0.000_1, 0.2, "(0.00 ± 0.20)", "0.00(20)"),
        (0.4, 995.0, "(0 ± 1000)", "0(1000)"),
        (60.0, 1400.0, "(100 ± 1400)", "100(1400)"),
        (-60.0, 1400.0, "(-100 ± 1400)", "-100(1400)"),
        (9.996, 0.05, "(9.996 ± 0.050)", "9.996(50)"),
        (5.25, 0.0, "(5.25 ± 0)", "5.25(0)"),
        (5.25, f64::INFINITY, "(5.25 ± ?)", "5.25(?)"),
        (5.25, f64::NAN, "(5.25 ± ?)", "5.25(?)"),
        (5.25, -1.0, "(5.25 ± ?)", "5.25(?)"),
        (f64::NAN, 1.0, "(? ± ?)", "?(?)"),
    ] {
        assert_eq!(with_uncertainty(given, doubt), expected, "{given} ± {doubt}");
        assert_eq!(concise(given, doubt), brief, "{given} ± {doubt}");
    }
}

#[test]
fn percents_and_probabilities_claim_no_more_than_they_know() {
    assert_eq!(percent(0.038_49), "3.8 %");
    assert_eq!(percent(0.12), "12 %");
    assert_eq!(percent(1.234), "123 %");
    assert_eq!(percent(0.000_012), "0 %");
    assert_eq!(percent(0.003_5), "0.35 %");
    assert_eq!(signed_percent(0.12), "+12 %");
    assert_eq!(signed_percent(-0.08), "−8.0 %");
    assert_eq!(signed_percent(-0.000_001), "0 %");
    assert_eq!(signed_percent(f64::NAN), "? %");
    assert_eq!(probability(0.81, 0.05), "81 %");
    assert_eq!(probability(0.947, 0.05), "94.7 %");
    assert_eq!(probability(0.947, 0.2), "95 %");
    assert_eq!(probability(0.999_99, 0.05), "over 99.9 %");
    assert_eq!(probability(0.004, 0.05), "0.4 %");
    assert_eq!(probability(1.0, 0.05), "over 99.9 %");
    assert_eq!(probability(0.0, 0.05), "under 0.1 %");
    assert_eq!(probability(f64::NAN, 0.05), "? %");
}

#[test]
fn quantities_are_printed_in_the_units_of_the_group() {
    let ounce = Millilitres(29.573_529_562_5);
    assert_eq!(volume(ounce, Units::Metric), "29.6 mL");
    assert_eq!(volume(ounce, Units::Us), "1.00 fl oz (US)");
    assert_eq!(volume(Millilitres(3_785.411_784), Units::Us), "1.00 gal (US)");
    assert_eq!(volume(Millilitres(2500.0), Units::Metric), "2.50 L");
    assert_eq!(volume_with(ounce, Millilitres(1.183), Units::Us), "(1.000 ± 0.040) fl oz (US)");
    assert_eq!(mass(Grams(28.349_523_125), Units::Us), "1.00 oz (weight)");
    assert_eq!(mass_with(Grams(39.5), Grams(0.040_824_8), Units::Metric), "(39.500 ± 0.041) g");
    assert_eq!(temperature(Celsius(4.0), Units::Us), "39 °F");
    assert_eq!(temperature(Celsius(-0.2), Units::Metric), "0 °C");
    // Common practice, no source: one US fluid ounce in seven seconds, or in five.
    assert_eq!(amount_per_second(Millilitres(29.573_529_562_5 / 7.0), Units::Metric), "4.22 mL/s");
    let five = amount_per_second(Millilitres(29.573_529_562_5 / 5.0), Units::Metric);
    assert_eq!(five, "5.91 mL/s");
}

proptest! {
    #[test]
    fn any_two_numbers_print(value in any::<f64>(), doubt in any::<f64>()) {
        prop_assert!(!with_uncertainty(value, doubt).is_empty());
        prop_assert!(!concise(value, doubt).contains('e'));
        for text in [percent(value), signed_percent(value), probability(value, 0.05), significant(value, 3)] {
            prop_assert!(!text.is_empty());
        }
        for units in [Units::Metric, Units::Us] {
            prop_assert!(!volume_with(Millilitres(value), Millilitres(doubt), units).is_empty());
            prop_assert!(!temperature(Celsius(value), units).is_empty());
        }
    }

    /// What is printed is within half a digit of the value, and an uncertainty is stated within 5 %
    /// above and 3 % below.
    #[test]
    fn the_printed_is_near_the_true(value in -1e6..1e6_f64, doubt in 1e-6..1e4_f64) {
        let (shown, shown_doubt, place) = rounded(value, doubt);
        let step = 10_f64.powi(place.unwrap());
        prop_assert!((shown.parse::<f64>().unwrap() - value).abs() <= 0.5 * step * (1.0 + 1e-9));
        let ratio = shown_doubt.parse::<f64>().unwrap() / doubt;
        prop_assert!((0.97..1.1).contains(&ratio), "{doubt} as {shown_doubt}");
    }
}
