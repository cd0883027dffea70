//! Small histories that the tests draw.

use jiff::civil::{DateTime, date};

use crate::*;

pub(super) fn catch(at: DateTime, state: State, value: f64) -> Catch {
    let off = (value - 30.0f64).abs();
    let verdict = match off {
        off if off < 0.7 => Verdict::OnTarget,
        off if off > 2.3 => Verdict::OffTarget,
        _ => Verdict::Undecided,
    };
    Catch {
        at,
        state,
        read: format!("{value} mL in 7.0 s"),
        reading: Reading::Portion { value, u: 0.5 },
        verdict: Some(verdict),
    }
}

pub(super) fn event(at: DateTime, what: Happening, words: &str) -> Event {
    Event { at, what, words: words.to_owned() }
}

fn thirty() -> Vec<Recipe> {
    vec![Recipe { from: None, target: 30.0, tolerance: 0.05 }]
}

pub(super) fn drifting() -> LineChart {
    let day = |month, day| date(2026, month, day).at(6, 40, 0, 0);
    let found = |at, value| catch(at, State::Found, value);
    let history = History {
        name: "Fernhollow, counter 1, line 3: gooseberry".into(),
        unit: "mL".into(),
        recipes: thirty(),
        catches: vec![
            found(day(1, 5), 30.1),
            found(day(1, 12), 30.4),
            found(day(1, 19), 31.2),
            catch(day(1, 19), State::Left, 30.0),
            found(day(2, 2), 30.6),
            found(day(2, 9), 31.6),
            found(day(2, 16), 32.9),
        ],
        events: vec![
            event(day(1, 19), Happening::Adjusted(Some(Way::Less)), "1/8 turn less"),
            event(day(1, 5), Happening::Cleaned, ""),
            event(day(1, 12), Happening::Cleaned, ""),
            event(day(2, 2), Happening::PartReplaced, "nozzle <tip> & seal"),
        ],
    };
    let until = Some(date(2026, 2, 18).at(12, 0, 0, 0));
    let stood = |at, middle: f64, doubt, ahead| Stood {
        at,
        low: middle - doubt,
        middle,
        high: middle + doubt,
        ahead,
    };
    let stood = vec![
        stood(day(1, 5), 30.0, 0.9, false),
        stood(day(1, 19), 30.8, 0.6, false),
        stood(day(2, 2), 30.4, 0.8, false),
        stood(day(2, 16), 32.4, 0.7, false),
        stood(day(3, 2), 32.6, 1.1, true),
        stood(day(3, 16), 32.8, 1.5, true),
    ];
    let finding = "Drifting up since the new nozzle tip".into();
    LineChart { finding, history, until, stood }
}

pub(super) fn marks() -> LineChart {
    let day = |day| date(2026, 3, day).at(7, 0, 0, 0);
    let mark = |at, state, side: Side, verdict| Catch {
        at,
        state,
        read: format!("{} the 30 mL mark in 7 s", side.words()),
        reading: Reading::Mark { side, portion: 30.0 },
        verdict: Some(verdict),
    };
    let history = History {
        name: "Mossgate, counter 2, line 1: pandan".into(),
        unit: "mL".into(),
        recipes: thirty(),
        catches: vec![
            mark(day(2), State::Found, Side::At, Verdict::Undecided),
            mark(day(9), State::Found, Side::Over, Verdict::Undecided),
            mark(day(16), State::Found, Side::Under, Verdict::OffTarget),
            mark(day(16), State::Left, Side::At, Verdict::Undecided),
        ],
        events: vec![
            event(day(10), Happening::Paused, ""),
            event(day(12), Happening::Reopened, ""),
            event(day(16), Happening::Adjusted(Some(Way::More)), "1 notch more"),
            event(day(23), Happening::TechnicianCalled, "no cooling"),
        ],
    };
    LineChart {
        finding: "Only marks were read: this cup cannot decide".into(),
        history,
        until: None,
        stood: Vec::new(),
    }
}

pub(super) fn machine() -> MachineChart {
    let day = |day| date(2026, 3, day).at(7, 0, 0, 0);
    let line = |name: &str, values: &[f64]| History {
        name: name.into(),
        unit: "mL".into(),
        recipes: thirty(),
        catches: (0..).zip(values).map(|(w, v)| catch(day(2 + 7 * w), State::Found, *v)).collect(),
        events: Vec::new(),
    };
    MachineChart {
        finding: "Both lines moved up on 16 March".into(),
        name: "Fernhollow, counter 1".into(),
        lines: vec![
            line("1 Gooseberry", &[30.1, 29.8, 31.4, 31.3]),
            line("2 Pandan", &[30.4, 30.3, 31.7, 31.8]),
            line("3 Sour cherry", &[]),
        ],
        events: vec![event(day(14), Happening::TechnicianCalled, "regulator")],
        until: None,
    }
}
