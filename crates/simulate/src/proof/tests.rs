//! What holds of worlds, visits and practices.

mod acts;
mod doubted;
mod forecasts;
mod made_up;
mod ours;
mod readings;
mod table;
mod truths;

use super::facts::{Adjuster, DrawFacts, Marks, MeasureFacts};
use super::machine::Machine;
use super::nature::Nature;

/// A plain world in which nothing moves by itself.
pub(super) fn still() -> Nature {
    Nature {
        line_walk: 0.0,
        wear_valve: 0.0,
        wear_pump: 0.0,
        new_part_spread: 0.0,
        machine_walk: 0.0,
        machine_day: 0.0,
        clean_spread: 0.0,
        teach_spread: 0.0,
        screw_response: 0.0,
        panel_response: 0.0,
        ..Nature::plain()
    }
}

/// A machine whose lines all draw doses of 30 mL, are set by `adjuster`, and are read with a fine
/// cylinder.
pub(super) fn machine(nature: &Nature, seed: u64, lines: usize, adjuster: Adjuster) -> Machine {
    let mut machine = Machine::new(nature, seed, 0, lines);
    machine.facts.measures = vec![MeasureFacts { marks: Marks::Every(0.1), tolerance: 0.5 }; 2];
    machine.errors = vec![0.0; 2];
    machine.facts.scale = None;
    for (line, known) in machine.lines.iter_mut().zip(&mut machine.facts.lines) {
        known.adjuster = adjuster;
        known.target = 30.0;
        known.tolerance = 0.05;
        known.measure = 0;
        known.draw = DrawFacts::Doses { portions: 1.0 };
        line.response = 1.0;
        line.slack = 0.0;
    }
    machine
}

/// A screw that takes any turn.
pub(super) const ANY: Adjuster = Adjuster::Screw { step: 0.0, known: true };

/// Mean and variance.
pub(super) fn moments(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    (mean, values.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0))
}
