//! Strength: arithmetic, chemistry, doubt, verdicts, vessels, and properties of all of them.

mod arithmetic;
mod chemistry;
mod conflicts;
mod doubt;
mod properties;
mod strips;
mod verdicts;
mod vessels;

use ouncewise_measure::{Grams, Millilitres, Quantity, Seconds};

use super::*;
use crate::label::{Chemistry, Label, LabelStrength};
use crate::profile::{Applied, Profile};
use crate::strip::{InDate, StripKind, StripRead, StripReads};

fn read(text: &str) -> Quantity {
    text.parse().unwrap_or_else(|error| panic!("{text}: {error}"))
}

fn dose(text: &str) -> DoseRead {
    text.parse().unwrap_or_else(|error| panic!("{text}: {error}"))
}

fn shipped(id: &str) -> Profile {
    Profile::shipped(id).unwrap_or_else(|| panic!("{id} does not read"))
}

fn near(found: f64, expected: f64, tolerance: f64, what: &str) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: {found}, and not {expected} within {tolerance}"
    );
}

/// The packet of HY-49 (CALC): 0.94635 g of available chlorine, 100 mg/L in 2.5 US gal.
const PACKET: Product = Product::Pieces(Piece::Available(Grams(0.946_352_946)));

fn packet_in(water: &str) -> Mix {
    Mix { product: PACKET, dose: DoseRead::Pieces(1), water: read(water), fill: Fill::UpTo }
}

fn made(mix: &Mix) -> Made {
    mix.made(None).unwrap_or_else(|faults| panic!("{faults:?}"))
}

fn range(from: f64, to: f64) -> LabelStrength {
    LabelStrength::Range { from: MgPerLitre(from), to: MgPerLitre(to) }
}

fn one(mg_per_l: &str) -> LabelStrength {
    LabelStrength::One { mg_per_l: mg_per_l.parse().unwrap(), within: None }
}

fn label(chemistry: Chemistry, strength: LabelStrength) -> Label {
    Label::new("a sanitiser", chemistry, strength, Seconds(60.0))
}

fn at(temperature: &str, ph: f64) -> Conditions {
    Conditions { temperature: Some(read(temperature)), ph: Some(ph), ..Conditions::default() }
}

fn classes(reads: StripReads, classes: &[f64]) -> StripKind {
    let classes: Vec<MgPerLitre> = classes.iter().map(|class| MgPerLitre(*class)).collect();
    StripKind::new(reads, &classes).unwrap()
}

fn chlorine_strip() -> StripKind {
    classes(StripReads::Chlorine, &[10.0, 50.0, 100.0, 200.0])
}

fn reading(kind: &StripKind, class: f64) -> StripRead<'_> {
    StripRead { kind, class: MgPerLitre(class), in_date: InDate::Yes }
}

/// A verdict on a solution of known strength, with a strip that agrees where one is given.
fn verdict<'a>(
    profile: &'a Profile,
    label: &'a Label,
    strength: &'a Made,
    conditions: Conditions,
    strip: Option<StripRead<'a>>,
) -> StrengthVerdict<'a> {
    judge(&Question {
        profile,
        label: Some(label),
        made: Some(strength),
        conditions,
        strip,
        product: InDate::Yes,
    })
}
