//! The units that people write, as one table: symbol, exact factor, and the names each goes by.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use super::error::{Fault, QuantityError, quoted};

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Volume; its base unit is the millilitre.
    Volume,
    /// Mass; its base unit is the gram.
    Mass,
    /// Duration; its base unit is the second.
    Duration,
    /// Temperature; its base unit is the degree Celsius.
    Temperature,
}

/// A unit that people write beside a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unit {
    /// Microlitre.
    Microlitre,
    /// Millilitre.
    Millilitre,
    /// Centilitre.
    Centilitre,
    /// Decilitre.
    Decilitre,
    /// Litre.
    Litre,
    /// US fluid ounce, 29.573 529 562 5 mL.
    FluidOunceUs,
    /// Imperial fluid ounce, 28.413 062 5 mL.
    FluidOunceImperial,
    /// Fluid ounce of US nutrition labels, 30 mL.
    FluidOunceLabel,
    /// US teaspoon.
    Teaspoon,
    /// US tablespoon.
    Tablespoon,
    /// US cup.
    Cup,
    /// US liquid pint.
    PintUs,
    /// Imperial pint.
    PintImperial,
    /// US liquid quart.
    QuartUs,
    /// Imperial quart.
    QuartImperial,
    /// US gallon, 231 cubic inches.
    GallonUs,
    /// Imperial gallon.
    GallonImperial,
    /// Milligram.
    Milligram,
    /// Gram.
    Gram,
    /// Kilogram.
    Kilogram,
    /// Avoirdupois ounce, by weight.
    OunceWeight,
    /// Avoirdupois pound.
    Pound,
    /// Degree Celsius.
    Celsius,
    /// Degree Fahrenheit.
    Fahrenheit,
    /// Millisecond.
    Millisecond,
    /// Second.
    Second,
    /// Minute.
    Minute,
    /// Hour, as a bucket stands or food keeps.
    Hour,
}

/// Which of several units of one name is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Which {
    Us,
    Imperial,
    Label,
    Weight,
}

/// The words that say which, at the start or the end of a unit.
const WHICH: &[(Which, &[&str])] = &[
    (Which::Us, &["us", "u s", "usa", "american"]),
    (Which::Imperial, &["imperial", "imp", "uk", "u k", "british"]),
    (Which::Label, &["30 ml", "30ml", "label"]),
    (Which::Weight, &["by weight", "weight", "wt", "avoirdupois", "avdp", "av"]),
];

/// One unit.
struct Row {
    unit: Unit,
    dimension: Dimension,
    symbol: &'static str,
    /// In base units: `(number − offset) · numerator / denominator`.
    factor: (i128, i128, i128),
    /// What must be said beside the name, where one name has several units.
    which: Option<Which>,
    /// Names, as [`normal`] leaves them; a capital letter is matched as it is written.
    names: &'static [&'static str],
    /// Names that may mean this unit and never select it.
    may_mean: &'static [&'static str],
}

/// A US gallon is 231 cubic inches (NIST Handbook 44, appendix C) of 2.54 cm, 3785.411 784 mL: this many, over 125 000.
const GALLON: i128 = 473_176_473;
/// An avoirdupois pound is 453.592 37 g: this many, over 100 000.
const POUND: i128 = 45_359_237;
/// An imperial gallon is 4546.09 mL: this many, over 100.
const IMPERIAL: i128 = 454_609;

const FLUID_OUNCE: &[&str] =
    &["fl oz", "floz", "fl ounce", "fl ounces", "fluid oz", "fluid ounce", "fluid ounces", "oz fl"];
const OUNCE: &[&str] = &["oz", "ozs", "ounce", "ounces"];
const PINT: &[&str] = &["pint", "pints", "pt", "liquid pint", "liquid pints"];
const QUART: &[&str] = &["quart", "quarts", "qt", "qts", "liquid quart", "liquid quarts"];
const GALLONS: &[&str] = &["gal", "gals", "gallon", "gallons", "liquid gallon", "liquid gallons"];

macro_rules! rows {
    ($($unit:ident $dimension:ident $symbol:literal $factor:expr, $which:expr, $names:expr, $may_mean:expr;)*) => {
        &[$(Row { unit: Unit::$unit, dimension: Dimension::$dimension, symbol: $symbol, factor: $factor,
                  which: $which, names: $names, may_mean: $may_mean }),*]
    };
}

/// Every unit, in the order of [`Unit`].
#[rustfmt::skip]
const ROWS: &[Row] = rows! {
    Microlitre         Volume      "µL"               (0, 1, 1000),             None, &["ul", "microlitre", "microlitres", "microliter", "microliters"], &[];
    Millilitre         Volume      "mL"               (0, 1, 1),                None, &["ml", "mls", "millilitre", "millilitres", "milliliter", "milliliters", "cc", "cm3", "cm³"], &[];
    Centilitre         Volume      "cL"               (0, 10, 1),               None, &["cl", "centilitre", "centilitres", "centiliter", "centiliters"], &[];
    Decilitre          Volume      "dL"               (0, 100, 1),              None, &["dl", "decilitre", "decilitres", "deciliter", "deciliters"], &[];
    Litre              Volume      "L"                (0, 1000, 1),             None, &["l", "ltr", "litre", "litres", "liter", "liters"], &[];
    FluidOunceUs       Volume      "fl oz (US)"       (0, GALLON, 16_000_000),      Some(Which::Us), FLUID_OUNCE, OUNCE;
    FluidOunceImperial Volume      "fl oz (imperial)" (0, IMPERIAL, 16_000),    Some(Which::Imperial), FLUID_OUNCE, OUNCE;
    FluidOunceLabel    Volume      "fl oz (30 mL)"    (0, 30, 1),               Some(Which::Label), FLUID_OUNCE, OUNCE;
    Teaspoon           Volume      "tsp (US)"         (0, GALLON, 96_000_000),      Some(Which::Us), &["tsp", "tsps", "teaspoon", "teaspoons"], &["t"];
    Tablespoon         Volume      "tbsp (US)"        (0, GALLON, 32_000_000),      Some(Which::Us), &["tbsp", "tbsps", "tbs", "tablespoon", "tablespoons"], &["t"];
    Cup                Volume      "cup (US)"         (0, GALLON, 2_000_000),        Some(Which::Us), &["cup", "cups"], &["c"];
    PintUs             Volume      "pint (US)"        (0, GALLON, 1_000_000),        Some(Which::Us), PINT, &[];
    PintImperial       Volume      "pint (imperial)"  (0, IMPERIAL, 800),       Some(Which::Imperial), PINT, &[];
    QuartUs            Volume      "quart (US)"       (0, GALLON, 500_000),         Some(Which::Us), QUART, &[];
    QuartImperial      Volume      "quart (imperial)" (0, IMPERIAL, 400),       Some(Which::Imperial), QUART, &[];
    GallonUs           Volume      "gal (US)"         (0, GALLON, 125_000),         Some(Which::Us), GALLONS, &[];
    GallonImperial     Volume      "gal (imperial)"   (0, IMPERIAL, 100),       Some(Which::Imperial), GALLONS, &[];
    Milligram          Mass        "mg"               (0, 1, 1000),             None, &["mg", "milligram", "milligrams", "milligramme", "milligrammes"], &[];
    Gram               Mass        "g"                (0, 1, 1),                None, &["g", "gr", "gm", "gms", "gram", "grams", "gramme", "grammes"], &[];
    Kilogram           Mass        "kg"               (0, 1000, 1),             None, &["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"], &[];
    OunceWeight        Mass        "oz (weight)"      (0, POUND, 1_600_000),    Some(Which::Weight), OUNCE, &[];
    Pound              Mass        "lb"               (0, POUND, 100_000),      None, &["lb", "lbs", "pound", "pounds"], &[];
    Celsius            Temperature "°C"               (0, 1, 1),                None, &["°c", "° c", "C", "deg c", "degc", "degree c", "degrees c", "celsius", "degree celsius", "degrees celsius"], &["c"];
    Fahrenheit         Temperature "°F"               (32, 5, 9),               None, &["°f", "° f", "f", "deg f", "degf", "degree f", "degrees f", "fahrenheit", "degree fahrenheit", "degrees fahrenheit"], &[];
    Millisecond        Duration    "ms"               (0, 1, 1000),             None, &["ms", "msec", "millisecond", "milliseconds"], &[];
    Second             Duration    "s"                (0, 1, 1),                None, &["s", "sec", "secs", "second", "seconds"], &[];
    Minute             Duration    "min"              (0, 60, 1),               None, &["min", "mins", "minute", "minutes"], &[];
    Hour               Duration    "h"                (0, 3600, 1),             None, &["h", "hr", "hrs", "hour", "hours"], &[];
};

impl Unit {
    /// Every unit, by dimension and size.
    pub fn all() -> impl Iterator<Item = Unit> {
        ROWS.iter().map(|row| row.unit)
    }

    fn row(self) -> &'static Row {
        // The table is in the order of the enum; a test holds it to that.
        &ROWS[self as usize]
    }

    /// What the unit measures.
    #[must_use]
    pub fn dimension(self) -> Dimension {
        self.row().dimension
    }

    /// The canonical symbol, which always says which: `fl oz (US)`.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        self.row().symbol
    }

    /// Offset, numerator and denominator: in base units (mL, g, s, °C) a number is
    /// `(number − offset) · numerator / denominator`, exactly.
    #[must_use]
    pub fn factor(self) -> (i128, i128, i128) {
        self.row().factor
    }

    /// A value in base units (mL, g, s, °C) expressed in this unit, for printing.
    #[must_use]
    pub fn of_base(self, value: f64) -> f64 {
        let (offset, numerator, denominator) = self.factor();
        #[expect(clippy::cast_precision_loss, reason = "the table's factors are far below 2^53")]
        let (offset, numerator, denominator) =
            (offset as f64, numerator as f64, denominator as f64);
        value * denominator / numerator + offset
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.pad(self.symbol())
    }
}

impl FromStr for Unit {
    type Err = QuantityError;

    /// Reads a unit as people write it: `ml`, `fl. oz. (US)`, `US gal`, `deg F`.
    ///
    /// # Errors
    /// An unknown unit, or a name that several units share, with the choices.
    fn from_str(text: &str) -> Result<Unit, QuantityError> {
        let written = text.trim_matches(blank);
        let start = text.find(|c| !blank(c)).unwrap_or(0);
        let span = start..start + written.len();
        if written.is_empty() {
            return Err(QuantityError::new(
                Fault::NoUnit,
                0..text.len(),
                "no unit is written".into(),
                format!("the units are {}", symbols(ROWS)),
            ));
        }
        // What a ledger keeps is canonical, and is read by the million.
        if let Some(row) = ROWS.iter().find(|row| row.symbol == written) {
            return Ok(row.unit);
        }
        let phrase = normal(written);
        let (which, name) = split(&phrase);
        let named = |row: &&Row| row.names.iter().any(|known| *known == name || *known == written);
        if let Some(row) = ROWS.iter().find(|row| named(row) && row.which == which) {
            return Ok(row.unit);
        }
        let meant = || ROWS.iter().filter(|row| named(row) || row.may_mean.contains(&name));
        if meant().next().is_some() {
            let shown = quoted(written);
            return Err(QuantityError::new(
                Fault::WhichUnit,
                span,
                format!("{shown} does not say which unit is meant"),
                format!("write {}", one_of(meant())),
            ));
        }
        Err(QuantityError::new(
            Fault::UnknownUnit,
            span,
            format!("{} is not a unit known here", quoted(written)),
            format!("the units are {}", symbols(ROWS)),
        ))
    }
}

/// White space as people and office programs write it, visible or not.
pub(crate) fn blank(c: char) -> bool {
    c.is_whitespace() || matches!(c, '\u{200b}' | '\u{2060}' | '\u{feff}')
}

/// Lower case, no full stops, one space between words, one way to write µ and °.
fn normal(written: &str) -> String {
    let mut out = String::new();
    for c in written.chars().flat_map(char::to_lowercase) {
        match c {
            'µ' | 'μ' => out.push('u'),
            'º' | '˚' => out.push('°'),
            '℃' => out.push_str("°c"),
            '℉' => out.push_str("°f"),
            '.' => {}
            c if blank(c) || matches!(c, '(' | ')' | '[' | ']' | ',' | '-' | '_') => {
                if !out.is_empty() && !out.ends_with(' ') {
                    out.push(' ');
                }
            }
            c => out.push(c),
        }
    }
    out.truncate(out.trim_end().len());
    out
}

/// The word that says which, and the name without it.
fn split(phrase: &str) -> (Option<Which>, &str) {
    for (which, words) in WHICH {
        for word in *words {
            let before = phrase.strip_prefix(word).and_then(|rest| rest.strip_prefix(' '));
            let after = || phrase.strip_suffix(word).and_then(|rest| rest.strip_suffix(' '));
            if let Some(name) = before.or_else(after) {
                return (Some(*which), name);
            }
        }
    }
    (None, phrase)
}

fn symbols<'a>(rows: impl IntoIterator<Item = &'a Row>) -> String {
    rows.into_iter().map(|row| row.symbol).collect::<Vec<_>>().join(", ")
}

/// `a`, `b` or `c`, each with its size where it is a volume.
fn one_of<'a>(rows: impl Iterator<Item = &'a Row>) -> String {
    let choices: Vec<String> = rows
        .map(|row| match row.dimension {
            Dimension::Volume => format!("`{}` ({} mL)", row.symbol, round_size(row.factor)),
            _ => format!("`{}`", row.symbol),
        })
        .collect();
    match choices.as_slice() {
        [.., last] if choices.len() > 1 => {
            format!("{} or {last}", choices[..choices.len() - 1].join(", "))
        }
        // One choice means that a unit of this name in other countries is left out, not equal.
        _ => format!("{}, or the amount in mL", choices.concat()),
    }
}

/// A factor to five significant digits, for a hint.
fn round_size((_, numerator, denominator): (i128, i128, i128)) -> String {
    #[expect(clippy::cast_precision_loss, reason = "a hint, rounded")]
    let size = numerator as f64 / denominator as f64;
    let decimals = (4.0 - libm::floor(libm::log10(size))).max(0.0);
    let text = format!("{size:.*}", decimals as usize);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}
