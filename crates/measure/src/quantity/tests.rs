//! Units, quantities as people type them, and what is refused.

use super::*;
use proptest::prelude::*;

fn read(text: &str) -> Quantity {
    text.parse().unwrap_or_else(|error| panic!("{text:?}: {error}"))
}

fn refused(text: &str) -> QuantityError {
    match text.parse::<Quantity>() {
        Ok(quantity) => panic!("{text:?} was read as {quantity}"),
        Err(error) => error,
    }
}

/// A decimal as an exact fraction.
fn decimal(text: &str) -> Exact {
    let number: Decimal = text.parse().unwrap();
    Exact::scaled(number, (0, 1, 1)).unwrap()
}

#[test]
fn the_table_is_in_the_order_of_the_enum() {
    for (index, unit) in Unit::all().enumerate() {
        assert_eq!(unit as usize, index, "{unit}");
    }
    assert_eq!(Unit::all().last(), Some(Unit::Hour));
}

/// NIST Handbook 44, appendix C: a US gallon is 231 cubic inches exactly, 128 fluid ounces, 16 cups;
/// an inch is 2.54 cm. A fluid ounce of nutrition labels is 30 mL (FDA guidance on household measures).
/// The imperial gallon of 4546.09 mL and 160 fluid ounces, and the pound of 453.592 37 g and 16 ounces,
/// are as in the constants of SciPy (the acts that fix them: from memory). All exact.
#[test]
fn factors_are_exact() {
    for (written, base) in [
        ("1 gal (US)", "3785.411784"),
        ("1 fl oz (US)", "29.5735295625"),
        ("1 cup (US)", "236.5882365"),
        ("1 tbsp (US)", "14.78676478125"),
        ("1 tsp (US)", "4.92892159375"),
        ("1 pint (US)", "473.176473"),
        ("1 quart (US)", "946.352946"),
        ("1 gal (imperial)", "4546.09"),
        ("1 fl oz (imperial)", "28.4130625"),
        ("1 pint (imperial)", "568.26125"),
        ("1 quart (imperial)", "1136.5225"),
        ("1 fl oz (30 mL)", "30"),
        ("1 oz (weight)", "28.349523125"),
        ("1 lb", "453.59237"),
        ("1 µL", "0.001"),
        ("1 cL", "10"),
        ("1 dL", "100"),
        ("1 L", "1000"),
        ("1 mg", "0.001"),
        ("1 kg", "1000"),
        ("1 ms", "0.001"),
        ("1 min", "60"),
        ("8 h", "28800"),
        ("212 °F", "100"),
        ("-40 °F", "-40"),
        ("32 °F", "0"),
    ] {
        assert_eq!(read(written).exact(), decimal(base), "{written}");
    }
    // 231 cubic inches, from the inch itself.
    let inch: Decimal = "2.54".parse().unwrap();
    let gallon = Decimal::from(231) * inch * inch * inch;
    assert_eq!(Exact::scaled(gallon, (0, 1, 1)), Some(read("1 gal (US)").exact()));
}

/// The label's ounce is 1.442 % more than the US fluid ounce (FDA guidance on household measures, against Handbook 44).
#[test]
fn three_ounces_differ() {
    let ml = |text| read(text).volume().unwrap().0;
    let label = ml("1 fl oz (30 mL)") / ml("1 fl oz (US)");
    assert!((label - 1.01442).abs() < 5e-6);
    let imperial = ml("1 fl oz (imperial)") / ml("1 fl oz (US)");
    assert!((imperial - 0.96076).abs() < 5e-6);
}

#[test]
fn conversions_are_the_nearest_double() {
    assert_eq!(read("0.1 mL").volume(), Some(Millilitres(0.1)));
    assert_eq!(read("1 fl oz (US)").volume(), Some(Millilitres(29.573_529_562_5)));
    assert_eq!(read("100 °F").temperature(), Some(Celsius(340.0 / 9.0)));
    assert_eq!(read("7100 ms").duration(), Some(Seconds(7.1)));
    assert_eq!(read("3 lb").mass(), Some(Grams(1_360.777_11)));
    assert_eq!(read("30 mL").mass(), None);
}

#[test]
fn what_people_type_is_read() {
    for (typed, canonical) in [
        ("29,6 ml", "29.6 mL"),
        ("29.60mL", "29.60 mL"),
        ("30ML", "30 mL"),
        ("  30 mls. ", "30 mL"),
        ("30\u{a0}mL", "30 mL"),
        ("30\u{202f}ml\u{200b}", "30 mL"),
        ("\u{feff}30 cc", "30 mL"),
        ("500 µl", "500 µL"),
        ("500 μL", "500 µL"),
        ("500 uL", "500 µL"),
        ("3 cl", "3 cL"),
        (".5 l", "0.5 L"),
        ("5. l", "5 L"),
        ("007 s", "7 s"),
        ("0,125 ml", "0.125 mL"),
        ("1.234 mL", "1.234 mL"),
        ("1 fl oz (US)", "1 fl oz (US)"),
        ("1 US fl. oz.", "1 fl oz (US)"),
        ("1 U.S. fluid ounce", "1 fl oz (US)"),
        ("1 floz-us", "1 fl oz (US)"),
        ("1 fl oz (UK)", "1 fl oz (imperial)"),
        ("1 imp fl oz", "1 fl oz (imperial)"),
        ("1 fl oz (30mL)", "1 fl oz (30 mL)"),
        ("2 label fl oz", "2 fl oz (30 mL)"),
        ("1 US gal", "1 gal (US)"),
        ("2 gallons (imperial)", "2 gal (imperial)"),
        ("½ cup (US)", "0.5 cup (US)"),
        ("1½ US cups", "1.5 cup (US)"),
        ("1 ½ US cups", "1.5 cup (US)"),
        ("1 1/2 US cups", "1.5 cup (US)"),
        ("3/4 tsp US", "0.75 tsp (US)"),
        ("3⁄8 tsp US", "0.375 tsp (US)"),
        ("1.1 oz wt", "1.1 oz (weight)"),
        ("1.1 oz by weight", "1.1 oz (weight)"),
        ("2 lbs", "2 lb"),
        ("31g", "31 g"),
        ("7.1s", "7.1 s"),
        ("7,1 sec", "7.1 s"),
        ("1 minute", "1 min"),
        ("1.5 hours", "1.5 h"),
        ("4 C", "4 °C"),
        ("4℃", "4 °C"),
        ("4 º C", "4 °C"),
        ("39 deg F", "39 °F"),
        ("39 degrees fahrenheit", "39 °F"),
        ("−18 °C", "-18 °C"),
        ("–18 °C", "-18 °C"),
        ("+4 °C", "4 °C"),
        ("-0 mL", "0 mL"),
        ("-0,00 °C", "0.00 °C"),
        ("0 mL", "0 mL"),
        ("79228162514264337593543950335 gal (US)", "79228162514264337593543950335 gal (US)"),
        ("0.0000000000000000000000000001 tsp (US)", "0.0000000000000000000000000001 tsp (US)"),
    ] {
        assert_eq!(read(typed).to_string(), canonical, "{typed:?}");
    }
}

#[test]
fn what_is_refused_says_where_and_how_to_mend_it() {
    for (typed, fault, faulty, mend) in [
        ("", Fault::Empty, "", "`30 mL`"),
        (" \u{a0} ", Fault::Empty, " \u{a0} ", "`30 mL`"),
        ("mL", Fault::NoNumber, "mL", "number first"),
        ("🍹", Fault::NoNumber, "🍹", "number first"),
        ("NaN mL", Fault::NoNumber, "NaN mL", "number first"),
        ("-inf s", Fault::NoNumber, "-inf s", "number first"),
        ("~30 mL", Fault::NoNumber, "~30 mL", "number first"),
        (". mL", Fault::NoNumber, ". mL", "number first"),
        ("30", Fault::NoUnit, "", "`30 mL`"),
        ("30 🍹", Fault::UnknownUnit, "🍹", "fl oz (US)"),
        ("30 mL or so", Fault::UnknownUnit, "mL or so", "fl oz (US)"),
        ("30 US mL", Fault::WhichUnit, "US mL", "`mL` (1 mL)"),
        ("1,234 ml", Fault::Separator, "1,234", "`1234` or `1.234`"),
        ("12,345,678 ml", Fault::Separator, "12,345,678", "`12345678`"),
        ("1,234.5 ml", Fault::Separator, "1,234.5", "`1234.5`"),
        ("1.234,5 ml", Fault::Separator, "1.234,5", "`1234.5`"),
        ("1'234 ml", Fault::Separator, "1'234", "`1234`"),
        ("1 234 ml", Fault::Separator, "1 234", "`1234`"),
        ("1\u{202f}234,5 ml", Fault::Separator, "1\u{202f}234,5", "`1234,5`"),
        ("1e5 mL", Fault::Exponent, "e5 mL", "in full"),
        ("1E-999999999 mL", Fault::Exponent, "E-999999999 mL", "in full"),
        ("1:10", Fault::UnknownUnit, ":10", "in seconds"),
        ("⅓ cup", Fault::Fraction, "⅓", "in decimals"),
        ("1/3 cup", Fault::Fraction, "1/3", "in decimals"),
        ("1/0 cup", Fault::Fraction, "1/0", "in decimals"),
        ("1/ cup", Fault::Fraction, "1/", "in decimals"),
        ("1.5½ cup", Fault::Fraction, "1.5½", "in decimals"),
        (
            "999999999999999999999999999999 mL",
            Fault::TooLong,
            "999999999999999999999999999999",
            "28 digits",
        ),
        (
            "0.00000000000000000000000000001 mL",
            Fault::TooLong,
            "0.00000000000000000000000000001",
            "28 digits",
        ),
        (
            "1 oz",
            Fault::WhichUnit,
            "oz",
            "`fl oz (US)` (29.574 mL), `fl oz (imperial)` (28.413 mL), `fl oz (30 mL)` (30 mL) or `oz (weight)`",
        ),
        (
            "1 fl. oz.",
            Fault::WhichUnit,
            "fl. oz.",
            "`fl oz (US)` (29.574 mL), `fl oz (imperial)` (28.413 mL) or `fl oz (30 mL)` (30 mL)",
        ),
        ("1 oz (US)", Fault::WhichUnit, "oz (US)", "`fl oz (US)`"),
        (
            "5 gal",
            Fault::WhichUnit,
            "gal",
            "`gal (US)` (3785.4 mL) or `gal (imperial)` (4546.1 mL)",
        ),
        ("1 cup", Fault::WhichUnit, "cup", "`cup (US)` (236.59 mL), or the amount in mL"),
        ("1 T", Fault::WhichUnit, "T", "`tsp (US)` (4.9289 mL) or `tbsp (US)` (14.787 mL)"),
        ("1 c", Fault::WhichUnit, "c", "`cup (US)` (236.59 mL) or `°C`"),
    ] {
        let error = refused(typed);
        assert_eq!(error.fault, fault, "{typed:?}: {error}");
        assert_eq!(&typed[error.span.clone()], faulty, "{typed:?}: {error}");
        assert!(error.mend.contains(mend), "{typed:?}: {}", error.mend);
    }
}

#[test]
fn a_long_text_is_not_repeated_whole() {
    let long = "9".repeat(100_000);
    assert!(refused(&long).to_string().len() < 300);
    assert!(refused(&format!("30 {long}x")).to_string().len() < 300);
    assert!(
        refused(&format!("{}1 mL\u{7}\u{1b}", " ".repeat(1000)))
            .to_string()
            .chars()
            .all(|c| !c.is_control())
    );
}

#[test]
fn a_computed_value_is_read_like_a_typed_one() {
    assert_eq!(Quantity::rounded(29.649, 1, Unit::Millilitre), Some(read("29.6 mL")));
    assert_eq!(Quantity::rounded(-0.01, 1, Unit::Gram).unwrap().to_string(), "0.0 g");
    assert_eq!(Quantity::rounded(f64::NAN, 1, Unit::Gram), None);
    assert_eq!(Quantity::rounded(f64::INFINITY, 1, Unit::Gram), None);
    assert_eq!(Quantity::rounded(1e300, 1, Unit::Gram), None);
    assert_eq!(Quantity::rounded(1.0, 29, Unit::Gram), None);
}

fn any_unit() -> impl Strategy<Value = Unit> {
    proptest::sample::select(Unit::all().collect::<Vec<_>>())
}

fn any_number() -> impl Strategy<Value = Decimal> {
    (-(1_i128 << 96) + 1..1_i128 << 96, 0..=28_u32)
        .prop_map(|(mantissa, scale)| Decimal::from_i128_with_scale(mantissa, scale))
}

/// Pieces of what people type, in any order.
fn nearly() -> impl Strategy<Value = String> {
    let pieces = [
        "1", "30", "0", "234", ",", ".", "'", " ", "\u{a0}", "-", "−", "½", "⅓", "/", "⁄", "e",
        "E9", ":", "ml", "mL", "fl oz", "oz", "(", ")", "US", "imperial", "30 ml", "weight", "gal",
        "cup", "°", "C", "µ", "l", "s", "over", "the", "mark", "at", ">", "≥", "doses", "x", "🍹",
        "\u{feff}", "٣", "İ", "ẞ",
    ];
    proptest::collection::vec(proptest::sample::select(pieces.to_vec()), 0..9)
        .prop_map(|parts| parts.concat())
}

proptest! {
    #[test]
    fn the_canonical_form_reads_back(number in any_number(), unit in any_unit()) {
        let quantity = Quantity::new(number, unit);
        let again = read(&quantity.to_string());
        prop_assert_eq!(again, quantity);
        prop_assert_eq!(again.number.scale(), quantity.number.scale());
        prop_assert!(quantity.exact().to_f64().is_finite());
    }

    #[test]
    fn a_unit_reads_back(unit in any_unit()) {
        for text in [unit.symbol().to_owned(), unit.symbol().to_uppercase(), format!(" {unit}\u{a0}")] {
            prop_assert_eq!(text.parse::<Unit>(), Ok(unit));
        }
    }

    /// To a base unit and back: within two roundings, and the offset of °F.
    #[test]
    fn a_value_survives_its_base_unit(number in -10_000_000..10_000_000_i64, unit in any_unit()) {
        let quantity = Quantity::new(Decimal::new(number, 3), unit);
        let written = number as f64 / 1000.0;
        prop_assert!((unit.of_base(quantity.exact().to_f64()) - written).abs() <= 4e-16 * (written.abs() + 100.0));
    }

    /// More of a unit is more in its base unit, exactly in proportion.
    #[test]
    fn conversion_is_linear(number in 1..1_000_000_000_i64, factor in 1..1000_i64, unit in any_unit()) {
        prop_assume!(unit != Unit::Fahrenheit);
        let one = Quantity::new(Decimal::new(number, 4), unit).exact();
        let many = Quantity::new(Decimal::new(number * factor, 4), unit).exact();
        prop_assert_eq!(Exact::new(one.numerator() * i128::from(factor), one.denominator()), Some(many));
    }

    /// The nearest double: no neighbour is nearer. Checked against the decimal reader of the standard library.
    #[test]
    fn rounding_agrees_with_the_standard_library(number in any_number()) {
        let quantity = Quantity::new(number, Unit::Millilitre);
        let expected: f64 = quantity.number.to_string().parse().unwrap();
        prop_assert_eq!(quantity.exact().to_f64().to_bits(), expected.to_bits());
    }

    #[test]
    fn any_text_is_read_or_refused(text in ".*") {
        fuzz_quantity(text.as_bytes());
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..64)) {
        fuzz_quantity(&bytes);
    }

    #[test]
    fn nearly_right_text_is_read_or_refused(text in nearly()) {
        fuzz_quantity(text.as_bytes());
        crate::reading::fuzz_reading(text.as_bytes());
    }
}
