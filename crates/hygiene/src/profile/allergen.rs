//! A change of product off a line that carried an allergen: what flushing cannot show.

use ouncewise_measure::Grams;
use serde::Serialize;

use super::Basis;

/// The allergens that a jurisdiction names.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AllergenList {
    /// Their names.
    pub names: Vec<String>,
    /// Where the list comes from.
    pub basis: Basis,
}

/// A part that product touches between its container and the guest's cup.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct WettedPart {
    /// Its name.
    pub name: String,
    /// Whether the old product touches or touched it, and the new one will.
    pub shared: bool,
    /// Whether it was replaced by a new one since the old product.
    pub replaced: bool,
    /// Whether a product with the allergen still runs through it, as through a nozzle that several lines end in: a new one is
    /// touched by it at the next draw.
    pub still_shared: bool,
}

/// What can be said of a change of product.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum AllergenChange {
    /// The new product has every allergen that the old one had.
    NothingToLeave,
    /// An allergen stays behind in parts that both touch.
    CannotBeShownClean {
        /// Which allergens; empty where the old product's were not entered.
        allergens: Vec<String>,
        /// The shared parts that were not replaced; empty where no parts were entered.
        parts: Vec<String>,
        /// Whether a product with the allergen still runs through one of them.
        still_shared: bool,
    },
    /// Every shared wetted part was replaced.
    PartsReplaced {
        /// The allergens that were in the line.
        allergens: Vec<String>,
    },
    /// The two share no part at all.
    NothingShared,
}

impl AllergenChange {
    /// Whether the line may be offered as free of what was in it, as far as its parts go.
    #[must_use]
    pub fn may_serve(&self) -> bool {
        !matches!(self, Self::CannotBeShownClean { .. })
    }

    /// In words for the lead (HY-34, CALC: at 0.1 % carried over, a portion still holds about what reference doses are, and
    /// flushing to that takes some 16 line volumes where nothing goes wrong).
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::NothingToLeave => "the new product has the same allergens; nothing is left behind that it does not have".into(),
            Self::PartsReplaced { allergens } => {
                format!("every part that {} touched was replaced", list(allergens))
            }
            Self::NothingShared => "the two products share no part".into(),
            Self::CannotBeShownClean { allergens, parts, still_shared } => {
                let what = if allergens.is_empty() {
                    "cannot be shown clean: the old product's allergens are not entered".to_owned()
                } else {
                    format!("cannot be shown clean of {}: flushing leaves some at the wall", list(allergens))
                };
                let which = match (parts.is_empty(), still_shared) {
                    (true, _) => "; enter the parts that both products touch, and replace every one".to_owned(),
                    (false, false) => format!("; replace {}, or keep this line for one product", list(parts)),
                    (false, true) => format!(
                        "; give it {} of its own: a nozzle that several lines share carries it over even from a line kept for one product",
                        list(parts)
                    ),
                };
                what + &which
            }
        }
    }
}

/// Judges a change of product by its allergens and the parts that both touch. What was not entered counts against it: without
/// the old product's allergens, or without parts, nothing is shown.
#[must_use]
pub fn allergen_change(
    old: Option<&[&str]>,
    new: Option<&[&str]>,
    parts: &[WettedPart],
) -> AllergenChange {
    let same = |one: &str, other: &str| one.trim().eq_ignore_ascii_case(other.trim());
    let left: Option<Vec<String>> = old.map(|old| {
        old.iter()
            .filter(|allergen| !new.unwrap_or_default().iter().any(|own| same(own, allergen)))
            .map(|allergen| allergen.trim().to_owned())
            .collect()
    });
    if left.as_ref().is_some_and(Vec::is_empty) {
        return AllergenChange::NothingToLeave;
    }
    let kept: Vec<&WettedPart> =
        parts.iter().filter(|part| part.still_shared || (part.shared && !part.replaced)).collect();
    if parts.is_empty() || !kept.is_empty() {
        return AllergenChange::CannotBeShownClean {
            allergens: left.unwrap_or_default(),
            still_shared: kept.iter().any(|part| part.still_shared),
            parts: kept.iter().map(|part| part.name.clone()).collect(),
        };
    }
    if parts.iter().any(|part| part.shared) {
        AllergenChange::PartsReplaced {
            allergens: left.unwrap_or_else(|| vec!["the old product".into()]),
        }
    } else {
        AllergenChange::NothingShared
    }
}

/// Allergen protein in one portion, in mg: protein in the old product and the share carried over as fractions. HY-34 (CALC):
/// 1 % protein, 0.1 % carried over and 39 g of portion are 0.39 mg.
#[must_use]
pub fn carried_protein(protein: f64, carried_over: f64, portion: Grams) -> f64 {
    protein * carried_over * portion.0 * 1000.0
}

/// `a`, `a and b`, `a, b and c`.
fn list(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
