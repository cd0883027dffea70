//! Holding a solution to its label.

use ouncewise_measure::Quantity;

use super::{About, By, Conditions, Findings, Outcome, known_ph};
use crate::label::{Label, LabelStrength};
use crate::profile::at_least;
use crate::strength::MgPerLitre;
use crate::strip::InDate;

pub(super) fn held(
    label: &Label,
    strength: MgPerLitre,
    conditions: &Conditions,
    findings: &mut Findings<'_>,
) {
    let Some(own) = label.strength else {
        let mend = "enter the strength that the label gives for surfaces that touch food; if it gives none, it is not for them";
        findings.add(
            By::Label,
            About::Label,
            Outcome::NotCovered,
            "the label's strength is not entered",
            mend,
        );
        return;
    };
    let (low, high) = own.ends();
    let better = "measure the water better and mix again: the label names one dilution, and more is against it";
    let (outcome, say, mend) = match own {
        _ if at_least(strength.0, low.0) && at_least(high.0, strength.0) => {
            (Outcome::Accepted, format!("{strength} is what the label allows"), "")
        }
        LabelStrength::One { mg_per_l, .. } => (
            Outcome::Refused,
            format!("{strength} is not the label's one dilution of {mg_per_l} mg/L"),
            better,
        ),
        LabelStrength::Range { from, to } if strength.0 > to.0 => (
            Outcome::Refused,
            format!("{strength} is over the label's {from} to {to}"),
            "pour it away safely and mix again, weaker: more is against the label",
        ),
        LabelStrength::Range { from, to } => (
            Outcome::Refused,
            format!("{strength} is under the label's {from} to {to}"),
            "mix again, stronger, within the label",
        ),
    };
    findings.add(By::Label, About::Strength, outcome, say, mend);
    temperature(label, conditions.temperature, findings);
    state(label.ph_to, known_ph(conditions, label), About::Ph, "pH", findings);
    let hardness =
        conditions.hardness.map(|hardness| hardness.0).filter(|hardness| *hardness >= 0.0);
    state(
        label.hardness_to.map(|most| most.0),
        hardness,
        About::Hardness,
        "hardness in mg/L",
        findings,
    );
}

fn temperature(label: &Label, read: Option<Quantity>, findings: &mut Findings<'_>) {
    let celsius = |quantity: Option<Quantity>| {
        quantity.and_then(Quantity::temperature).map(|celsius| celsius.0)
    };
    let (from, to) = (celsius(label.temperature_from), celsius(label.temperature_to));
    if from.is_none() && to.is_none() {
        return;
    }
    let shown = |limit: Option<Quantity>| limit.map_or_else(String::new, |limit| limit.to_string());
    // A label prints its figure in one unit, so the reading is turned into it, exactly but for rounding.
    match (celsius(read), read) {
        (Some(value), Some(read)) if from.is_some_and(|from| value < from - 1e-9) => {
            let say = format!("{read} is under the label's {}", shown(label.temperature_from));
            findings.add(
                By::Label,
                About::Temperature,
                Outcome::Refused,
                say,
                "mix again with warmer water",
            );
        }
        (Some(value), Some(read)) if to.is_some_and(|to| value > to + 1e-9) => {
            let say = format!("{read} is over the label's {}", shown(label.temperature_to));
            let mend = "mix again with colder water: hot water drives the active off";
            findings.add(By::Label, About::Temperature, Outcome::Refused, say, mend);
        }
        (Some(_), Some(read)) => {
            findings.add(
                By::Label,
                About::Temperature,
                Outcome::Accepted,
                format!("{read} is what the label allows"),
                "",
            );
        }
        _ => {
            let mend = "measure the temperature of the solution";
            findings.add(
                By::Label,
                About::Temperature,
                Outcome::NotShown,
                "the label limits the temperature, and none is known",
                mend,
            );
        }
    }
}

/// The highest pH or hardness that the label states, if it states one.
fn state(
    most: Option<f64>,
    read: Option<f64>,
    about: About,
    what: &str,
    findings: &mut Findings<'_>,
) {
    let Some(most) = most else { return };
    match read {
        Some(value) if at_least(most, value) => {
            findings.add(
                By::Label,
                about,
                Outcome::Accepted,
                format!("a {what} of {value} is within the label's {most}"),
                "",
            );
        }
        Some(value) => {
            let mend = "mix again, with other water if the water is the cause";
            findings.add(
                By::Label,
                about,
                Outcome::Refused,
                format!("a {what} of {value} is over the label's {most}"),
                mend,
            );
        }
        None => {
            let say = format!("the label limits the {what} to {most}, and none is known");
            findings.add(
                By::Label,
                about,
                Outcome::NotShown,
                say,
                "measure it, or enter once what the maker or the water company states",
            );
        }
    }
}

pub(super) fn expiry(product: InDate, findings: &mut Findings<'_>) {
    match product {
        InDate::Yes => {}
        InDate::No => {
            let mend = "take a box that is in date; give the old one back or throw it away as its label says";
            findings.add(
                By::Label,
                About::Expiry,
                Outcome::Refused,
                "the product is past its date",
                mend,
            );
        }
        InDate::NotStated => findings.note("the product's expiry is not entered"),
    }
}
