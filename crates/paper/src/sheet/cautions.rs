//! How a sheet is used, and what holds whatever it says.

use super::Header;
use super::row::{Made, PenAmount, Says};

/// How the sheet is used, in order.
pub(super) fn steps(made: &[Made]) -> Vec<String> {
    let any = |what: fn(&Made) -> bool| made.iter().any(what);
    let mut steps = vec![
        "Catch every line as found and write it down before anything is touched.".to_owned(),
    ];
    if any(|m| m.row.water.is_some()) {
        steps.push("Water first: outside its window, see to the water and adjust no syrup.".to_owned());
    }
    if any(|m| matches!(m.row.pen.amount, PenAmount::Side)) {
        steps.push("A cup with one mark: circle under, at or over.".to_owned());
    }
    if any(|m| matches!(m.row.says, Says::Windows(_))) {
        steps.push("Between two windows: catch once more. Still between: leave it.".to_owned());
    }
    steps.push("Adjust, then catch again and write it as left.".to_owned());
    steps.push(
        "All lines off the same way: adjust none, tell the lead. Nothing, or under half: a fault, adjust nothing."
            .to_owned(),
    );
    steps.push("Not done? Tick why: an empty box is better than a guess.".to_owned());
    steps
}

/// What holds whatever the sheet says.
pub(super) fn standing() -> Vec<String> {
    [
        "Follow the product's label, the machine's manual and the local code; where they differ, the stricter applies. This sheet is none of them.",
        "Electrical, refrigeration, gas and pressure work is for licensed technicians.",
        "Vent or open nothing that holds pressure.",
        "A panel's lock isolates nothing.",
        "You may always stop: if a line seems unsafe, stop it, whatever this sheet says.",
    ]
    .map(str::to_owned)
    .to_vec()
}

/// How what was written becomes records.
pub(super) fn key_in(header: &Header) -> String {
    format!(
        "Keying in: a row of catches.csv for each catch, with site {}, machine {}, the line, as-found or as-left, what was read, the measure, when and by whom; what was moved goes into adjustments.csv. Key in what stands here, mended by nobody. A line that was not done has no row.",
        header.site_key, header.machine_key
    )
}
