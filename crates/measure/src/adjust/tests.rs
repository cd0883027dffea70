//! One golden sentence for each kind of adjuster, and one for each of its awkward cases.

use super::*;
use crate::print::Units;
use crate::quantity::{Grams, Millilitres};

const STOP: (Amount, Unit) = (Amount::Volume(Millilitres(31.0)), Unit::Millilitre);

fn screw(per_turn: Option<f64>, slack_turns: f64) -> Adjuster {
    Adjuster::Screw { per_turn, anticlockwise_gives_more: true, slack_turns }
}

#[track_caller]
fn says(
    adjuster: &Adjuster,
    change: f64,
    setting: Option<f64>,
    last: Option<Direction>,
    want: &str,
) {
    let adjustment = adjuster.adjustment(change, setting, last, STOP).unwrap();
    assert_eq!(adjustment.instruction.words(Units::Metric), want);
    assert_eq!(adjustment.change, change);
}

#[test]
fn a_screw_is_turned_to_the_nearest_eighth() {
    use Direction::{Less, More};
    let known = screw(Some(0.20), 0.25);
    // 8 % less at 20 % a turn is 0.4 turn.
    says(&known, -0.08, None, Some(Less), "turn the screw 3/8 turn clockwise for less");
    says(&known, 0.08, None, Some(More), "turn the screw 3/8 turn anticlockwise for more");
    says(
        &known,
        -0.08,
        None,
        Some(More),
        "turn the screw 5/8 turn clockwise for less; the first 1/4 turn only takes up the slack",
    );
    says(
        &known,
        -0.08,
        None,
        None,
        "turn the screw 3/8 turn clockwise for less; if it was last turned the other way, turn 1/4 turn further for its slack",
    );
    says(&known, 0.25, None, Some(More), "turn the screw 1 1/4 turns anticlockwise for more");
    says(&known, 0.20, None, Some(More), "turn the screw 1 turn anticlockwise for more");
    says(&known, 0.40, None, Some(More), "turn the screw 2 turns anticlockwise for more");
    says(
        &known,
        0.005,
        None,
        Some(More),
        "turn the screw as little as you can anticlockwise for more: under 1/8 turn",
    );
    let other =
        Adjuster::Screw { per_turn: Some(0.20), anticlockwise_gives_more: false, slack_turns: 0.0 };
    says(&other, 0.08, None, None, "turn the screw 3/8 turn clockwise for more");
}

#[test]
fn an_unknown_screw_is_learnt_an_eighth_at_a_time() {
    says(
        &screw(None, 0.0),
        -0.30,
        None,
        None,
        "turn the screw 1/8 turn clockwise for less, and catch again: what a turn does is not known yet",
    );
    says(
        &screw(None, 0.125),
        0.30,
        None,
        Some(Direction::Less),
        "turn the screw 1/4 turn anticlockwise for more; the first 1/8 turn only takes up the slack, and catch again: what a turn does is not known yet",
    );
}

#[test]
fn notches_are_counted() {
    let ring = Adjuster::Notches { per_notch: 0.04, more: "towards +".into() };
    says(&ring, 0.08, None, None, "move it 2 notches towards + for more");
    says(&ring, -0.05, None, None, "move it 1 notch towards − for less");
    let maker = Adjuster::Notches { per_notch: 0.04, more: "to the sun".into() };
    says(&maker, -0.05, None, None, "move it 1 notch for less: the opposite of to the sun");
    says(
        &ring,
        0.01,
        None,
        None,
        "leave the notches: the change is under half of one, which does 4 %",
    );
}

#[test]
fn a_number_is_set_to_its_own_step_and_range() {
    let panel = Adjuster::Number { step: 0.5, range: (50.0, 150.0) };
    says(&panel, -0.08, Some(120.0), None, "set the number on the panel from 120.0 to 110.5");
    says(
        &panel,
        0.001,
        Some(120.0),
        None,
        "leave the number at 120.0: the change is under half a step of the panel",
    );
    says(
        &panel,
        -0.08,
        None,
        None,
        "set the number on the panel to 0.92 times what it shows now, to the nearest 0.5",
    );
    says(
        &panel,
        0.50,
        Some(120.0),
        None,
        "the panel goes only to 150.0, and this line needs 180.0: set it to 150.0, then call the technician",
    );
    let adjustment = panel.adjustment(-0.08, Some(120.0), None, STOP).unwrap();
    assert_eq!(adjustment.setting, Some(110.5));
}

#[test]
fn a_percent_is_set_to_its_own_step_and_range() {
    let panel = Adjuster::Percent { step: 1.0, range: (80.0, 120.0) };
    says(&panel, -0.08, Some(105.0), None, "set the percent on the panel from 105 % to 97 %");
    says(
        &panel,
        -0.50,
        Some(105.0),
        None,
        "the panel goes only to 80 %, and this line needs 53 %: set it to 80 %, then call the technician",
    );
}

#[test]
fn a_taught_line_loses_its_old_setting() {
    says(
        &Adjuster::Taught,
        -0.08,
        None,
        None,
        "teach it again: stop at 31 mL; the old setting is lost",
    );
    let by_weight = Adjuster::Taught
        .adjustment(0.1, None, None, (Amount::Mass(Grams(39.5)), Unit::Gram))
        .unwrap();
    assert_eq!(
        by_weight.instruction.words(Units::Metric),
        "teach it again: stop at 39.5 g; the old setting is lost"
    );
}

#[test]
fn a_line_without_adjuster_is_not_set() {
    assert_eq!(Adjuster::None.adjustment(0.1, None, None, STOP), None);
}

#[test]
fn nonsense_is_answered_without_panic() {
    for effect in [0.0, -0.2, f64::NAN, f64::INFINITY, 1e-300] {
        for change in [0.0, -1.0, 1e300, f64::NAN, f64::INFINITY] {
            for adjuster in [
                screw(Some(effect), effect),
                Adjuster::Notches { per_notch: effect, more: String::new() },
                Adjuster::Number { step: effect, range: (effect, 1.0) },
                Adjuster::Percent { step: effect, range: (120.0, 80.0) },
            ] {
                assert!(adjuster.adjustment(change, Some(100.0), None, STOP).is_some());
            }
        }
    }
}
