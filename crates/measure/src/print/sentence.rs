//! Sentences whose amounts stay amounts until somebody reads them, so that each reader gets them in their own units.

use serde::{Deserialize, Deserializer, Serialize};

use super::{Units, plain, value};
use crate::quantity::{Dimension, Grams, Millilitres, Unit};

/// A sentence for people, or a part of one: words, and amounts among them.
///
/// ```
/// use ouncewise_measure::Millilitres;
/// use ouncewise_measure::print::{Figure, Sentence, Units};
///
/// let said = Sentence::from("it pours ").then(Figure::volume(Millilitres(29.573_529_562_5))).then(" a draw");
/// assert_eq!(said.words(Units::Metric), "it pours 29.6 mL a draw");
/// assert_eq!(said.words(Units::Us), "it pours 1 fl oz (US) a draw");
/// ```
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Sentence(#[serde(deserialize_with = "kept")] Vec<Piece>);

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
enum Piece {
    Words(String),
    Figure(Figure),
}

/// A bare string is a sentence of words: so sentences were kept before their amounts were.
fn kept<'de, D: Deserializer<'de>>(kept: D) -> Result<Vec<Piece>, D::Error> {
    #[derive(Deserialize)]
    #[serde(untagged)]
    enum Kept {
        Pieces(Vec<Piece>),
        Words(String),
    }
    Ok(match Kept::deserialize(kept)? {
        Kept::Pieces(pieces) => pieces,
        Kept::Words(words) => Sentence::from(words).0,
    })
}

/// An amount in a sentence, and with which digits it is printed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Figure {
    /// In the base unit, which says what it measures.
    value: f64,
    unit: Unit,
    digits: Digits,
    /// It stands in this unit on a measure, and is printed in it whoever reads it; in the reader's own beside it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    marked: Option<Unit>,
}

/// To which place an amount is printed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Digits {
    /// As fine as so many significant digits in its base unit, without idle zeros.
    Fine(u8),
    /// To what this standard uncertainty allows.
    Doubt(f64),
    /// Two digits, downwards: what is asked of a measure is never rounded into too little.
    Down,
}

impl Units {
    /// The unit of an amount in a sentence. One for all sizes: two amounts of one sentence are to be compared.
    #[must_use]
    pub fn spoken(self, dimension: Dimension) -> Unit {
        match (self, dimension) {
            (_, Dimension::Duration) => Unit::Second,
            (Units::Metric, Dimension::Volume) => Unit::Millilitre,
            (Units::Metric, Dimension::Mass) => Unit::Gram,
            (Units::Us, Dimension::Volume) => Unit::FluidOunceUs,
            (Units::Us, Dimension::Mass) => Unit::OunceWeight,
            (units, Dimension::Temperature) => units.for_temperature(),
        }
    }
}

impl Figure {
    /// A volume, as fine as three digits of its millilitres: `29.6 mL`.
    #[must_use]
    pub fn volume(volume: Millilitres) -> Figure {
        Figure { value: volume.0, unit: Unit::Millilitre, digits: Digits::Fine(3), marked: None }
    }

    /// A mass, as fine as three digits of its grams: `31.2 g`.
    #[must_use]
    pub fn mass(mass: Grams) -> Figure {
        Figure { value: mass.0, unit: Unit::Gram, digits: Digits::Fine(3), marked: None }
    }

    /// The same, as fine as so many digits in its base unit.
    #[must_use]
    pub fn fine(self, digits: u8) -> Figure {
        Figure { digits: Digits::Fine(digits), ..self }
    }

    /// The same, to the place that its standard uncertainty allows, which is in its base unit.
    #[must_use]
    pub fn doubted(self, standard_uncertainty: f64) -> Figure {
        Figure { digits: Digits::Doubt(standard_uncertainty), ..self }
    }

    /// The same, to two digits and never more than it is.
    #[must_use]
    pub fn at_most(self) -> Figure {
        Figure { digits: Digits::Down, ..self }
    }

    /// The same, as it stands on a measure that is marked in `unit`.
    #[must_use]
    pub fn marked(self, unit: Unit) -> Figure {
        let marked = (unit.dimension() == self.unit.dimension()).then_some(unit);
        Figure { marked, ..self }
    }

    /// With its unit: `31 mL`, `1.05 fl oz (US)`; where it is marked in another, `31 mL = 1.048 fl oz (US)`.
    #[must_use]
    pub fn words(&self, units: Units) -> String {
        let spoken = units.spoken(self.unit.dimension());
        match self.marked {
            Some(marked) if !alike(marked, spoken) => {
                format!("{} {marked} = {} {spoken}", self.number(marked), self.number(spoken))
            }
            Some(marked) => format!("{} {marked}", self.number(marked)),
            None => format!("{} {spoken}", self.number(spoken)),
        }
    }

    fn number(&self, unit: Unit) -> String {
        let number = unit.of_base(self.value);
        if number == 0.0 || !number.is_finite() {
            return format!("{number}");
        }
        let ten = |value: f64| libm::floor(libm::log10(value.abs()) + 1e-9);
        match self.digits {
            Digits::Fine(digits) => {
                // The step in the base unit, and then the decimal step in this one that is no coarser.
                let step = libm::exp10((ten(self.value) + 1.0 - f64::from(digits)).min(0.0));
                let place = ten(unit.of_base(step)).clamp(-12.0, 0.0);
                without_idle_zeros(plain(number, place as i32))
            }
            Digits::Doubt(doubt) => value(number, unit.of_base(doubt)),
            Digits::Down => {
                let place = ten(number) - 1.0;
                let step = libm::exp10(place);
                let down = libm::floor(number / step + 1e-9) * step;
                without_idle_zeros(plain(down, place as i32))
            }
        }
    }
}

/// Whether whoever reads one of two units reads the other: both metric, or both of one country.
fn alike(a: Unit, b: Unit) -> bool {
    let family = |unit: Unit| match unit {
        Unit::FluidOunceImperial | Unit::PintImperial | Unit::QuartImperial => 2,
        Unit::GallonImperial => 2,
        Unit::FluidOunceUs | Unit::FluidOunceLabel | Unit::Teaspoon | Unit::Tablespoon => 1,
        Unit::Cup | Unit::PintUs | Unit::QuartUs | Unit::GallonUs => 1,
        Unit::OunceWeight | Unit::Pound | Unit::Fahrenheit => 1,
        _ => 0,
    };
    family(a) == family(b)
}

fn without_idle_zeros(text: String) -> String {
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text,
    }
}

impl Sentence {
    /// Goes on with words, an amount, or another part.
    #[must_use]
    pub fn then(mut self, more: impl Into<Sentence>) -> Sentence {
        for piece in more.into().0 {
            match (self.0.last_mut(), piece) {
                (Some(Piece::Words(words)), Piece::Words(more)) => words.push_str(&more),
                (_, piece) => self.0.push(piece),
            }
        }
        self
    }

    /// As these readers read it.
    #[must_use]
    pub fn words(&self, units: Units) -> String {
        let mut words = String::new();
        for piece in &self.0 {
            match piece {
                Piece::Words(more) => words.push_str(more),
                Piece::Figure(figure) => words.push_str(&figure.words(units)),
            }
        }
        words
    }
}

impl From<&str> for Sentence {
    fn from(words: &str) -> Sentence {
        Sentence::from(words.to_owned())
    }
}

impl From<String> for Sentence {
    fn from(words: String) -> Sentence {
        Sentence(if words.is_empty() { Vec::new() } else { vec![Piece::Words(words)] })
    }
}

impl From<Figure> for Sentence {
    fn from(figure: Figure) -> Sentence {
        Sentence(vec![Piece::Figure(figure)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const OUNCE: Millilitres = Millilitres(29.573_529_562_5);

    // Common practice, no source: a US reader is told no less than a metric one. The factors are those of NIST Handbook 44.
    #[test]
    fn an_amount_is_as_fine_in_ounces_as_in_millilitres() {
        let words = |ml: f64| Figure::volume(Millilitres(ml)).words(Units::Us);
        assert_eq!(words(30.0), "1.014 fl oz (US)");
        assert_eq!(words(OUNCE.0), "1 fl oz (US)");
        assert_eq!(words(1.375 * OUNCE.0), "1.375 fl oz (US)");
        assert_eq!(words(150.0), "5.07 fl oz (US)");
        assert_eq!(words(9.5), "0.3212 fl oz (US)");
        assert_eq!(words(0.0), "0 fl oz (US)");
        assert_eq!(words(f64::NAN), "NaN fl oz (US)");
        assert_eq!(Figure::mass(Grams(36.0)).words(Units::Us), "1.27 oz (weight)");
        assert_eq!(Figure::volume(OUNCE).fine(4).words(Units::Metric), "29.57 mL");
        assert_eq!(Figure::volume(Millilitres(1234.5)).words(Units::Metric), "1234 mL");
        assert_eq!(Figure::volume(Millilitres(99.97)).words(Units::Metric), "100 mL");
    }

    // JCGM 100:2008, 7.2.6: two digits of the uncertainty, in whatever unit it stands.
    #[test]
    fn a_doubted_amount_has_the_digits_that_its_doubt_allows_in_either_unit() {
        let read = Figure::volume(Millilitres(31.94)).doubted(0.59);
        assert_eq!(read.words(Units::Metric), "31.94 mL");
        assert_eq!(read.words(Units::Us), "1.080 fl oz (US)");
    }

    // Common practice, no source.
    #[test]
    fn what_a_measure_must_manage_is_never_rounded_into_too_little() {
        let good_to = Figure::volume(Millilitres(0.499)).at_most();
        assert_eq!(good_to.words(Units::Metric), "0.49 mL");
        assert_eq!(good_to.words(Units::Us), "0.016 fl oz (US)");
        let whole = Figure::volume(Millilitres(2.0)).at_most();
        assert_eq!(whole.words(Units::Metric), "2 mL");
    }

    // Common practice, no source: a cylinder keeps its own marks, whoever reads it.
    #[test]
    fn a_mark_stands_as_it_is_on_the_measure_and_beside_it_as_the_reader_reads() {
        let mark = Figure::volume(Millilitres(31.0)).marked(Unit::Millilitre);
        assert_eq!(mark.words(Units::Metric), "31 mL");
        assert_eq!(mark.words(Units::Us), "31 mL = 1.048 fl oz (US)");
        let ounce = Figure::volume(OUNCE).marked(Unit::FluidOunceUs);
        assert_eq!(ounce.words(Units::Us), "1 fl oz (US)");
        assert_eq!(ounce.words(Units::Metric), "1 fl oz (US) = 29.6 mL");
        // A mark of another dimension is none of it.
        assert_eq!(Figure::volume(OUNCE).marked(Unit::Gram).words(Units::Us), "1 fl oz (US)");
    }

    #[test]
    fn a_bare_string_is_a_sentence_of_words() {
        let read = |json: &str| serde_json::from_str::<Sentence>(json);
        assert_eq!(read("\"leave it alone\"").unwrap(), Sentence::from("leave it alone"));
        assert_eq!(read("\"\"").unwrap(), Sentence::default());
        assert!(read("1").is_err());
    }

    #[test]
    fn a_sentence_is_kept_with_its_amounts_and_comes_back_the_same() {
        let said = Sentence::from("by ")
            .then("one reading ")
            .then(Figure::volume(OUNCE).doubted(0.5))
            .then(" and ")
            .then(Figure::mass(Grams(0.1)).marked(Unit::Gram).at_most());
        assert_eq!(said.0.len(), 4);
        let json = serde_json::to_string(&said).unwrap();
        let back: Sentence = serde_json::from_str(&json).unwrap();
        assert_eq!(back, said);
        assert_eq!(
            back.words(Units::Us),
            "by one reading 1.000 fl oz (US) and 0.1 g = 0.0035 oz (weight)"
        );
    }
}
