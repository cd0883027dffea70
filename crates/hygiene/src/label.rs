//! A product's label, as far as a mix is held to it, and the cautions that go with the work.

mod caution;
#[cfg(test)]
mod tests;

pub use caution::{
    Caution, Hazard, Lubricate, STANDING, SignalWord, cautions, film_allowance, film_share,
};

use std::str::FromStr;

use ouncewise_measure::quantity::{Fault, QuantityError};
use ouncewise_measure::{Quantity, Seconds};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;

use crate::profile::{FieldFault, Sanitiser};
use crate::strength::MgPerLitre;

/// What the active is, as far as rows of a code, strips and arithmetic differ by it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Chemistry {
    /// Sodium or calcium hypochlorite, and hypochlorous acid made on site.
    Hypochlorite,
    /// NaDCC and TCCA: part of the chlorine is held by cyanurate.
    Isocyanurate,
    /// Another chlorine, or one that the label does not name.
    OtherChlorine,
    /// Iodine.
    Iodine,
    /// A product of one quaternary ammonium compound.
    QuatSingle,
    /// A product of several; its strips differ from those of a single one (HY-62, READ).
    QuatMulti,
    /// A quat whose label does not say which.
    QuatUnstated,
    /// Anything else, such as peracids.
    Other,
}

impl Chemistry {
    /// The heading in a code that it falls under.
    #[must_use]
    pub fn sanitiser(self) -> Sanitiser {
        match self {
            Self::Hypochlorite | Self::Isocyanurate | Self::OtherChlorine => Sanitiser::Chlorine,
            Self::Iodine => Sanitiser::Iodine,
            Self::QuatSingle | Self::QuatMulti | Self::QuatUnstated => Sanitiser::Quat,
            Self::Other => Sanitiser::Other,
        }
    }
}

/// The strength that a label allows on surfaces that touch food.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LabelStrength {
    /// One dilution and no range: more is not better, and is against the label.
    One {
        /// As printed: `100` counts as met by what rounds to 100.
        mg_per_l: Decimal,
        /// How near counts as it, as a fraction, where the lead has decided that: 0.05 is ±5 %.
        within: Option<f64>,
    },
    /// A range, both ends included.
    Range {
        /// The least.
        from: MgPerLitre,
        /// The most.
        to: MgPerLitre,
    },
}

impl FromStr for LabelStrength {
    type Err = QuantityError;

    /// Reads `100 to 200 ppm`, `100–200 ppm`, `100-200 ppm` or the one dilution, `100 ppm`.
    ///
    /// # Errors
    /// As a strength; also a range that falls.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        // A hyphen at the beginning is a minus.
        let hyphen = || text.split_once('-').filter(|(from, _)| !from.trim().is_empty());
        let parts = text.split_once(" to ").or_else(|| text.split_once('–')).or_else(hyphen);
        if let Some((from, to)) = parts {
            let from = from.trim();
            let unit = if from.chars().any(char::is_alphabetic) { "" } else { " ppm" };
            let from: MgPerLitre = format!("{from}{unit}").parse()?;
            let to: MgPerLitre = to.parse()?;
            if from > to {
                return Err(QuantityError {
                    fault: Fault::TooSmall,
                    span: 0..text.len(),
                    what: "the range falls".to_owned(),
                    mend: "write the lower strength first, such as `100 to 200 ppm`".to_owned(),
                });
            }
            return Ok(Self::Range { from, to });
        }
        let read: MgPerLitre = text.parse()?;
        let digits =
            text.trim_end_matches(|c: char| c.is_alphabetic() || c == '/' || c.is_whitespace());
        // As it is printed: how it rounds is in its digits.
        let mg_per_l = digits.trim().replace(',', ".").parse().ok();
        let mg_per_l = mg_per_l.or_else(|| Decimal::try_from(read.0).ok()).unwrap_or_default();
        Ok(Self::One { mg_per_l, within: None })
    }
}

impl LabelStrength {
    /// The least and the most that count as the label's strength.
    #[must_use]
    pub fn ends(self) -> (MgPerLitre, MgPerLitre) {
        match self {
            Self::Range { from, to } => (from, to),
            Self::One { mg_per_l, within } => {
                let at = mg_per_l.to_f64().unwrap_or(f64::NAN);
                let rounding = 0.5 * libm::exp10(-f64::from(mg_per_l.scale()));
                let half = within.map_or(rounding, |within| rounding.max(within * at));
                (MgPerLitre(at - half), MgPerLitre(at + half))
            }
        }
    }

    /// What to aim at where no doubt was stated: the one dilution, or the middle of the range.
    #[must_use]
    pub fn middle(self) -> MgPerLitre {
        match self {
            Self::One { mg_per_l, .. } => MgPerLitre(mg_per_l.to_f64().unwrap_or(f64::NAN)),
            Self::Range { from, to } => MgPerLitre(0.5 * (from.0 + to.0)),
        }
    }
}

/// What a label says of a rinse after sanitising.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LabelRinse {
    /// Nothing.
    #[default]
    Silent,
    /// It asks for one.
    Asks,
    /// It says not to.
    Forbids,
}

/// A component of the active that a code limits by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// As the profile names it.
    pub name: String,
    /// Its share of all active, 0 to 1.
    pub share: f64,
}

/// A product's label. What it does not state stays empty; nothing is assumed for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// The product, as the label names it.
    pub name: String,
    /// What the active is.
    pub chemistry: Chemistry,
    /// EPA or another registration number.
    pub registration: Option<String>,
    /// The label's own signal word, printed as it stands there and never graded again.
    pub signal_word: Option<String>,
    /// The strength for surfaces that touch food; nothing if the label gives none.
    pub strength: Option<LabelStrength>,
    /// The least contact time.
    pub contact: Option<Seconds>,
    /// The coldest solution.
    pub temperature_from: Option<Quantity>,
    /// The warmest solution.
    pub temperature_to: Option<Quantity>,
    /// The highest pH at which it works.
    pub ph_to: Option<f64>,
    /// The hardest water, as calcium carbonate.
    pub hardness_to: Option<MgPerLitre>,
    /// The pH of the mixed solution, where the maker states it; used where nobody measured it.
    pub solution_ph: Option<f64>,
    /// A rinse after sanitising.
    pub rinse: LabelRinse,
    /// Whether it is a detergent too, so that washing and sanitising may be with the same agent.
    pub detergent: bool,
    /// Components that a code may limit.
    pub components: Vec<Component>,
}

impl Label {
    /// A label of which only name, chemistry, strength and contact time are entered.
    #[must_use]
    pub fn new(
        name: impl Into<String>,
        chemistry: Chemistry,
        strength: LabelStrength,
        contact: Seconds,
    ) -> Self {
        Self {
            name: name.into(),
            chemistry,
            registration: None,
            signal_word: None,
            strength: Some(strength),
            contact: Some(contact),
            temperature_from: None,
            temperature_to: None,
            ph_to: None,
            hardness_to: None,
            solution_ph: None,
            rinse: LabelRinse::Silent,
            detergent: false,
            components: Vec::new(),
        }
    }

    /// Everything in it that no label can say, each with its field and how to mend it; nothing if it can be used.
    #[must_use]
    pub fn faults(&self) -> Vec<FieldFault> {
        let mut faults = Vec::new();
        let mut need = |good: bool, key, what: &str, mend: &str| {
            if !good {
                faults.push(FieldFault::new(key, what, mend));
            }
        };
        if let Some(strength) = self.strength {
            let (from, to) = strength.ends();
            need(
                from.0 > 0.0 && to.0 >= from.0 && to.0.is_finite(),
                "strength",
                "the label's strengths are not in order over zero",
                "write the least and the most in mg/L, or the one dilution that the label gives",
            );
        }
        let positive =
            |value: Option<f64>| value.is_none_or(|value| value > 0.0 && value.is_finite());
        let as_label = "write it as the label does, or leave it out";
        need(
            positive(self.contact.map(|time| time.0)),
            "contact",
            "the contact time is not over zero",
            as_label,
        );
        need(
            positive(self.hardness_to.map(|most| most.0)),
            "hardness_to",
            "the hardness is not over zero",
            as_label,
        );
        let ph = |value: Option<f64>| value.is_none_or(|value| (0.0..=14.0).contains(&value));
        need(ph(self.ph_to), "ph_to", "a pH is from 0 to 14", as_label);
        need(ph(self.solution_ph), "solution_ph", "a pH is from 0 to 14", as_label);
        let celsius = |limit: Option<Quantity>| limit.map(Quantity::temperature);
        for (key, limit) in
            [("temperature_from", self.temperature_from), ("temperature_to", self.temperature_to)]
        {
            need(
                celsius(limit) != Some(None),
                key,
                "it is no temperature",
                "write it as `24 °C` or `75 °F`",
            );
        }
        if let (Some(Some(from)), Some(Some(to))) =
            (celsius(self.temperature_from), celsius(self.temperature_to))
        {
            need(
                from.0 <= to.0,
                "temperature_to",
                "the warmest is colder than the coldest",
                as_label,
            );
        }
        let shares = self.components.iter().all(|component| (0.0..=1.0).contains(&component.share));
        need(
            shares,
            "components",
            "a share is from 0 to 1",
            "write what part of all active the component is",
        );
        faults
    }
}
