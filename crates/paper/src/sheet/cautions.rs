//! How a sheet is used, and what holds whatever it says.

use ouncewise_measure::Adjuster;

use super::row::{Made, PenAmount, Says};

/// How the sheet is used, in order.
pub(super) fn steps(made: &[Made], adjuster: &Adjuster) -> Vec<String> {
    let any = |what: fn(&Made) -> bool| made.iter().any(what);
    let mut steps = vec!["Catch every line as found before anything is touched.".to_owned()];
    if any(|m| m.row.water.is_some()) {
        steps.push("Water first: if it is not right, see to it and adjust no syrup.".to_owned());
    }
    if any(|m| matches!(m.row.pen.amount, PenAmount::Side)) {
        steps.push("Circle under, at or over the mark.".to_owned());
    }
    if any(|m| matches!(m.row.says, Says::Windows(_))) {
        steps.push("Between two windows: catch again; still between: leave it.".to_owned());
    }
    let after = match adjuster {
        Adjuster::None => "Too little or too much: adjust nothing, call the technician.",
        _ => "Adjust, catch again, write it as left.",
    };
    steps.push(after.to_owned());
    steps.push("All off the same way: adjust none, tell the lead.".to_owned());
    steps.push("Nothing, or under half: a fault, adjust nothing.".to_owned());
    steps.push("Not done? Tick why.".to_owned());
    steps
}

/// What holds whatever the sheet says.
pub(super) fn standing() -> Vec<String> {
    [
        "Follow the product's label, the machine's manual and the local code; the stricter applies. This sheet is none of them.",
        "Electrical, refrigeration, gas and pressure work: licensed technicians only.",
        "Vent or open nothing that holds pressure.",
        "A panel's lock isolates nothing.",
        "If a line seems unsafe, stop it: you always may.",
    ]
    .map(str::to_owned)
    .to_vec()
}

/// How what was written becomes records.
pub(super) fn key_in(made: &[Made]) -> String {
    let mut words = "To key in, as it stands here: “Record catches” on the machine’s page, or catches.csv and adjustments.csv. Nothing for a line not done.".to_owned();
    if made.iter().any(|m| m.row.water.is_some()) {
        words.push_str(" The water goes with both catches.");
    }
    words
}
