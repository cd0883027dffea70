//! Who does the rounds, and how they turn the adjuster.

use ouncewise_measure::Adjuster;

use crate::chance::Chance;
use crate::flow::Flow;
use crate::kitchen::decimals;
use crate::world::World;

const NAMES: [&str; 36] = [
    "Amara", "Bence", "Chidi", "Dilnoza", "Edda", "Farid", "Greta", "Hana", "Idris", "Jonas",
    "Kalina", "Lwazi", "Mirela", "Noor", "Oskar", "Priya", "Quim", "Rosa", "Soraya", "Tomasz",
    "Ulla", "Viktor", "Wen", "Ximena", "Yusuf", "Zofia", "Anselm", "Bahar", "Ciara", "Dragan",
    "Elif", "Femi", "Gwen", "Henrik", "Ines", "Joaquim",
];

/// One person of a crew.
#[derive(Debug, Clone)]
pub(crate) struct Person {
    pub(crate) name: String,
    /// What their stopwatch shows beyond the true seconds.
    pub(crate) timing_bias: f64,
    /// Relative deviation at which they adjust; `None` stands for the line's tolerance.
    pub(crate) adjusts_at: Option<f64>,
}

impl Person {
    /// Somebody new.
    pub(crate) fn new(world: &World, chance: &mut Chance) -> Self {
        let first = *chance.pick(&NAMES);
        let initial = char::from(b'A' + u8::try_from(chance.below(26)).expect("below 26"));
        Self {
            name: format!("{first} {initial}."),
            timing_bias: chance.normal(world.person_bias),
            adjusts_at: chance.happens(world.fiddlers).then_some(world.fiddle_at),
        }
    }
}

/// What was done to an adjuster, as it is written down.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Done {
    /// In the adjuster's own terms.
    pub(crate) text: String,
    /// The panel's new number or percent.
    pub(crate) setting: Option<f64>,
    /// The change that was meant, as a fraction.
    pub(crate) meant: f64,
}

/// Moves `flow` by what a person does who wants it changed by `wanted` (a fraction). Nothing is
/// done where the adjuster cannot be set, or its smallest step is too coarse.
pub(crate) fn adjust(
    adjuster: &Adjuster,
    flow: &mut Flow,
    setting: Option<f64>,
    wanted: f64,
    world: &World,
    chance: &mut Chance,
) -> Option<Done> {
    let wrong = chance.happens(world.wrong_way);
    let turned = if wrong { -wanted } else { wanted };
    match adjuster {
        Adjuster::Screw { per_turn, anticlockwise_gives_more, slack_turns } => {
            // 20 % a turn is what a person assumes who was told nothing.
            let per_turn = per_turn.unwrap_or(0.20);
            let eighths = (turned.abs() / per_turn * 8.0).round();
            if eighths < 1.0 {
                return None;
            }
            let change = (eighths / 8.0 * per_turn).copysign(turned);
            flow.adjust(change, slack_turns * per_turn);
            let anticlockwise = (turned > 0.0) == *anticlockwise_gives_more;
            let way = if anticlockwise { "anticlockwise" } else { "clockwise" };
            Some(Done { text: format!("{} {way}", turns(eighths)), setting: None, meant: wanted })
        }
        Adjuster::Notches { per_notch, more } => {
            let notches = (turned.abs() / per_notch).round();
            if notches < 1.0 {
                return None;
            }
            flow.adjust((notches * per_notch).copysign(turned), 0.0);
            let plural = if notches > 1.0 { "es" } else { "" };
            let way = if turned > 0.0 { more.clone() } else { format!("against {more}") };
            Some(Done {
                text: format!("{notches} notch{plural} {way}"),
                setting: None,
                meant: wanted,
            })
        }
        Adjuster::Number { step, range } => panel(
            flow,
            setting.unwrap_or((range.0 + range.1) / 2.0),
            *step,
            *range,
            turned,
            wanted,
            "",
        ),
        Adjuster::Percent { step, range } => {
            panel(flow, setting.unwrap_or(100.0), *step, *range, turned, wanted, " %")
        }
        // The mark is known to the round, which teaches by it.
        Adjuster::Taught | Adjuster::None => None,
    }
}

/// Types a new number into a panel: the portion is proportional to it.
fn panel(
    flow: &mut Flow,
    old: f64,
    step: f64,
    range: (f64, f64),
    turned: f64,
    wanted: f64,
    unit: &str,
) -> Option<Done> {
    let new = ((old * (1.0 + turned) / step).round() * step).clamp(range.0, range.1);
    if (new - old).abs() < step / 2.0 || old <= 0.0 {
        return None;
    }
    flow.adjust(new / old - 1.0, 0.0);
    Some(Done {
        text: format!("set to {new:.*}{unit}", decimals(step)),
        setting: Some(new),
        meant: wanted,
    })
}

/// A number of eighths as a turn: `1/8 turn`, `3/4 turn`, `1 1/4 turns`.
fn turns(eighths: f64) -> String {
    let whole = (eighths / 8.0).floor();
    let fraction = match (eighths - whole * 8.0) as u8 {
        0 => "",
        1 => "1/8",
        2 => "1/4",
        3 => "3/8",
        4 => "1/2",
        5 => "5/8",
        6 => "3/4",
        _ => "7/8",
    };
    let plural = if eighths > 8.0 { "s" } else { "" };
    match (whole >= 1.0, fraction) {
        (true, "") => format!("{whole} turn{plural}"),
        (true, fraction) => format!("{whole} {fraction} turn{plural}"),
        (false, fraction) => format!("{fraction} turn"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exact() -> World {
        World { wrong_way: 0.0, response_spread: 0.0, ..World::default() }
    }

    fn change(adjuster: &Adjuster, setting: Option<f64>, wanted: f64) -> (f64, Option<Done>) {
        let mut chance = Chance::new(1, "crew");
        let mut flow = Flow::start(&exact(), 0.0, &mut chance);
        let begin = flow.level();
        let done = adjust(adjuster, &mut flow, setting, wanted, &exact(), &mut chance);
        ((flow.level() - begin).exp() - 1.0, done)
    }

    #[test]
    fn turns_are_written_as_people_say_them() {
        assert_eq!(
            [1.0, 6.0, 8.0, 10.0, 16.0].map(turns),
            ["1/8 turn", "3/4 turn", "1 turn", "1 1/4 turns", "2 turns"]
        );
    }

    #[test]
    fn a_screw_turns_by_eighths() {
        let screw = Adjuster::Screw {
            per_turn: Some(0.2),
            anticlockwise_gives_more: true,
            slack_turns: 0.0,
        };
        let (moved, done) = change(&screw, None, -0.06);
        assert!((moved + 0.05).abs() < 1e-9);
        assert_eq!(done.map(|d| d.text).as_deref(), Some("1/4 turn clockwise"));
        assert_eq!(change(&screw, None, 0.01).1, None, "less than an eighth is not turned");
    }

    #[test]
    fn a_panel_takes_a_new_number_within_its_range() {
        let number = Adjuster::Number { step: 1.0, range: (20.0, 60.0) };
        let (moved, done) = change(&number, Some(40.0), 0.10);
        let done = done.expect("a step is enough");
        assert!((moved - 0.10).abs() < 1e-9);
        assert_eq!((done.text.as_str(), done.setting), ("set to 44", Some(44.0)));
        assert_eq!(change(&number, Some(60.0), 0.10).1, None, "the panel ends at 60");
    }

    #[test]
    fn notches_go_both_ways_and_none_cannot_be_set() {
        let ring = Adjuster::Notches { per_notch: 0.03, more: "up".to_owned() };
        assert_eq!(change(&ring, None, 0.06).1.map(|d| d.text).as_deref(), Some("2 notches up"));
        assert_eq!(
            change(&ring, None, -0.03).1.map(|d| d.text).as_deref(),
            Some("1 notch against up")
        );
        assert_eq!(change(&Adjuster::None, None, 0.2), (0.0, None));
    }
}
