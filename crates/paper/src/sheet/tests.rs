//! The sheet of a small estate: as it looks, and that it says what the program says.

mod estate;
#[cfg(feature = "pdf")]
mod pdf;

use ouncewise_estate::{Address, Estate, Units};
use ouncewise_estimate::{ActKind, Basis, Standing, Told, standing::Dated};
use ouncewise_measure::{
    Act, Amount, Catch, Draw, Grams, Measure, Millilitres, Seconds, Setup, Verdict, showing,
};

use super::row::PenAmount;
use super::*;

const PRINT: Print<'static> =
    Print { paper: Paper::A4, units: Units::Metric, printed_on: "8 June 2026", measure: None };

const MACHINES: [&str; 7] = ["screw", "ring", "fixed", "number", "percent", "taught", "twin"];

fn sheet(estate: &Estate, site: &str, machine: &str) -> MachineSheet {
    MachineSheet::new(estate, site, machine, &[], &PRINT).unwrap()
}

#[test]
fn each_adjuster_and_metering_as_text() {
    let estate = estate::small();
    for machine in MACHINES {
        let text = sheet(&estate, "fernhollow", machine).to_text(80);
        insta::assert_snapshot!(format!("text-{machine}"), text);
    }
    for machine in ["screw", "bare"] {
        let text = sheet(&estate, "mossgate", machine).to_text(80);
        insta::assert_snapshot!(format!("text-mossgate-{machine}"), text);
    }
}

#[test]
fn each_adjuster_and_metering_as_html() {
    let estate = estate::small();
    for machine in MACHINES {
        let html = sheet(&estate, "fernhollow", machine).to_html();
        // The style is the same for all of them, and stands in a file of its own.
        let html = html.replace("><", ">\n<").replace(include_str!("html/style.css"), "…");
        insta::assert_snapshot!(format!("html-{machine}"), html);
    }
}

/// What the program says of a reading that a sheet prints, when it is keyed in.
struct Keyed<'a> {
    setup: &'a Setup,
    row: &'a Row,
    window: &'a Window,
}

impl Keyed<'_> {
    fn show(&self, number: f64, catches: usize) -> showing::Showing {
        let (amount, draw) = match (&self.row.pen.amount, &self.setup.measure) {
            (PenAmount::Given { amount }, _) => {
                let given: ouncewise_measure::Quantity = amount.parse().unwrap();
                (Amount::Volume(given.volume().unwrap()), Draw::Time(Seconds(number)))
            }
            (_, measure) => {
                let unit: ouncewise_measure::Unit = self.window.unit.parse().unwrap();
                let (_, numerator, denominator) = unit.factor();
                let base = number * numerator as f64 / denominator as f64;
                let amount = match measure {
                    Measure::Scale(_) => Amount::Mass(Grams(base)),
                    Measure::Vessel(_) => Amount::Volume(Millilitres(base)),
                };
                let times: u32 =
                    self.row.asks.split_once(" × ").map_or(1, |(n, _)| n.parse().unwrap());
                let draw = match self.setup.aim.draw {
                    Draw::Doses(doses) => Draw::Doses(doses * times),
                    Draw::Time(seconds) => Draw::Time(Seconds(seconds.0 * f64::from(times))),
                };
                (amount, draw)
            }
        };
        let water =
            self.setup.aim.water.map(|(water, _)| (Amount::Volume(water), self.setup.aim.draw));
        showing::show(self.setup, &vec![Catch { amount, draw, temperature: None, water }; catches])
            .unwrap()
    }
}

fn step(text: &str) -> f64 {
    let decimals = text.split_once('.').map_or(0, |(_, d)| d.len());
    libm::exp10(-(decimals as f64))
}

#[test]
fn the_sheet_says_what_the_program_says_of_the_same_reading() {
    let estate = estate::small();
    let (mut shown, mut adjusted) = (0, 0);
    for machine in MACHINES.into_iter().chain(["twelve"]) {
        for row in sheet(&estate, "fernhollow", machine).rows {
            let Says::Windows(window) = &row.says else { continue };
            let address = Address::new("fernhollow", machine, &row.line).unwrap();
            let setup = estate.setup(&address, None).unwrap();
            let keyed = Keyed { setup: &setup, row: &row, window };
            let who = format!("{address} {window:?}");
            let window_of = match &window.leave {
                Leave::Between { least, most } => Some((least, most, 1)),
                Leave::Mean { catches, least, most } => Some((least, most, *catches as usize)),
                Leave::With { .. } | Leave::Never => None,
            };
            if let Some((least, most, catches)) = window_of {
                let verdict = |text: &str, by: f64| {
                    keyed.show(text.parse::<f64>().unwrap() + by, catches).verdict
                };
                assert_eq!(verdict(least, 0.0), Verdict::OnTarget, "{who}");
                assert_eq!(verdict(most, 0.0), Verdict::OnTarget, "{who}");
                assert_ne!(verdict(least, -step(least)), Verdict::OnTarget, "{who}");
                assert_ne!(verdict(most, step(most)), Verdict::OnTarget, "{who}");
                shown += 1;
            }
            let adjust =
                |number: f64| matches!(keyed.show(number, 1).act, Act::Adjust(_) | Act::Call);
            let outwards = if window.fewer_is_more { -1.0 } else { 1.0 };
            for (at, outwards) in [(&window.too_little, -outwards), (&window.too_much, outwards)] {
                let Some(text) = at else { continue };
                let number: f64 = text.parse().unwrap();
                assert!(adjust(number), "{who}: {text}");
                assert!(!adjust(number - outwards * step(text)), "{who}: {text}");
                adjusted += 1;
            }
        }
    }
    assert!(shown >= 15 && adjusted >= 30, "{shown} and {adjusted}");
}

#[test]
fn a_measure_that_cannot_decide_is_said_once_and_the_one_that_can_is_named() {
    let estate = estate::small();
    let alone = sheet(&estate, "mossgate", "screw");
    assert_eq!(alone.rows[0].says, alone.rows[1].says);
    assert!(alone.rows.iter().all(|row| matches!(
        &row.says,
        Says::Windows(Window { leave: Leave::Never, too_much: Some(_), .. })
    )));
    assert_eq!(alone.notes.len(), 1, "{:?}", alone.notes);
    assert!(alone.notes[0].contains("any line") && alone.notes[0].contains("a scale that reads"));

    let kitchen = sheet(&estate, "fernhollow", "screw");
    let jigger = kitchen.rows.iter().find(|row| row.line == "4").unwrap();
    assert!(matches!(
        &jigger.says,
        Says::Windows(Window { leave: Leave::With { measure }, .. }) if measure == "scale"
    ));
}

#[test]
fn the_mean_of_a_few_catches_is_read_where_one_is_too_rough() {
    let sheet = sheet(&estate::small(), "fernhollow", "screw");
    let hurried = sheet.rows.iter().find(|row| row.line == "7").unwrap();
    assert!(
        matches!(
            &hurried.says,
            Says::Windows(Window { leave: Leave::Mean { catches: 2..=3, .. }, .. })
        ),
        "{:?}",
        hurried.says
    );
}

#[test]
fn a_cup_with_one_mark_is_filled_to_it() {
    let sheet = sheet(&estate::small(), "fernhollow", "taught");
    let row = |line: &str| sheet.rows.iter().find(|row| row.line == line).unwrap();
    assert_eq!(row("2").draw, "1 dose into cup");
    assert_eq!(
        (row("4").draw.as_str(), row("4").asks.as_str()),
        ("2 doses at once into cup", "2 × 15 mL ± 8 %")
    );
    assert!(matches!(&row("4").says, Says::Marks { at, .. } if at == "leave it"));
}

#[test]
fn a_line_that_cannot_be_judged_keeps_its_boxes() {
    let sheet = sheet(&estate::small(), "fernhollow", "screw");
    let troubled: Vec<&Row> =
        sheet.rows.iter().filter(|row| matches!(row.says, Says::Trouble { .. })).collect();
    let lines: Vec<&str> = troubled.iter().map(|row| row.line.as_str()).collect();
    assert_eq!(lines, ["5", "6", "10"], "in the order in which people list them");
    assert!(troubled.iter().all(|row| row.pen.amount == PenAmount::Any));
}

#[test]
fn a_measure_is_read_in_its_own_unit_whatever_the_units() {
    let estate = estate::small();
    let us = Print { units: Units::Us, ..PRINT };
    let sheet = MachineSheet::new(&estate, "fernhollow", "screw", &[], &us).unwrap();
    let unit = |row: &Row| match &row.says {
        Says::Windows(window) => window.unit,
        _ => "",
    };
    assert_eq!((unit(&sheet.rows[0]), unit(&sheet.rows[3])), ("mL", "fl oz (US)"));
    assert_eq!(sheet.rows[0].asks, "30 mL ± 5 %");
    assert_eq!(sheet.rows[3].asks, "1 fl oz (US) ± 5 %");
    // The recipe is in other units than those wanted, and so than the cup.
    let jigger = Print { measure: Some("jigger"), ..us };
    let sheet = MachineSheet::new(&estate, "fernhollow", "ring", &[], &jigger).unwrap();
    assert_eq!(sheet.rows[0].asks, "30 mL = 1.01 fl oz (US) ± 5 %");
}

#[test]
fn another_measure_of_the_site_can_stand_in() {
    let print = Print { measure: Some("scale"), ..PRINT };
    let sheet = MachineSheet::new(&estate::small(), "fernhollow", "ring", &[], &print).unwrap();
    assert_eq!(sheet.rows[0].draw, "7 s onto scale");
    assert!(matches!(&sheet.rows[0].says, Says::Windows(window) if window.unit == "g"));
}

fn standing(line: &str, act: ActKind) -> Standing {
    Standing {
        address: Address::new("fernhollow", "screw", line).unwrap(),
        site: String::new(),
        machine: String::new(),
        line: String::new(),
        basis: Basis::Catch,
        verdict: Some(Told::OffTarget),
        probability_on_target: Some(0.01),
        act,
        advice: "turn the screw 1/2 turn clockwise for less".into(),
        reason: "it is off".into(),
        over_per_100: None,
        latest: Some(ouncewise_estimate::standing::VisitShown {
            at: "2026-06-01T06:41:00+02:00".to_owned(),
            state: serde_json::from_str("\"as-found\"").unwrap(),
            measure: "cylinder".to_owned(),
            read: vec!["33.4 mL in 7.1 s".to_owned()],
            shown: None,
            trouble: None,
        }),
        found: None,
        touched: None,
        claimed: None,
        in_use: true,
        history: None,
        by_catch: None,
    }
}

#[test]
fn the_last_catch_is_told_where_it_asks_for_something() {
    let estate = estate::small();
    let touched = Dated { at: "2026-06-03T06:00:00Z".to_owned(), words: "cleaned".to_owned() };
    let mut other = standing("2", ActKind::Adjust);
    other.address = Address::new("mossgate", "screw", "2").unwrap();
    let standings = [
        standing("1", ActKind::Adjust),
        other,
        standing("3", ActKind::LeaveAlone),
        Standing { touched: Some(touched), ..standing("4", ActKind::CatchAgain) },
    ];
    let sheet = MachineSheet::new(&estate, "fernhollow", "screw", &standings, &PRINT).unwrap();
    let last: Vec<Option<&str>> = sheet.rows[..4].iter().map(|row| row.last.as_deref()).collect();
    assert_eq!(
        last,
        [
            Some(
                "Last catch 2026-06-01: off. If it still reads so: turn the screw 1/2 turn clockwise for less."
            ),
            None,
            None,
            Some(
                "Cleaned on 2026-06-03, and not caught since: only a catch shows whether it is right."
            ),
        ]
    );
    // What was read is not printed: it would be copied.
    assert!(!sheet.to_html().contains("33.4"));
}

#[test]
fn a_history_is_not_called_a_catch_and_turns_nothing_that_stands_well() {
    let estate = estate::small();
    let by_history = |line: &str, verdict: Told| Standing {
        basis: Basis::History,
        verdict: Some(verdict),
        ..standing(line, ActKind::Adjust)
    };
    let standings = [by_history("1", Told::Undecided), by_history("2", Told::OnTarget)];
    let sheet = MachineSheet::new(&estate, "fernhollow", "screw", &standings, &PRINT).unwrap();
    assert_eq!(
        sheet.rows[0].last.as_deref(),
        Some(
            "By its history it stood off on 2026-06-01. If this catch is off the same way: turn the screw 1/2 turn clockwise for less."
        )
    );
    assert_eq!(sheet.rows[1].last, None);
}

#[test]
fn names_are_text_wherever_they_stand() {
    let mut estate = estate::small();
    let site = estate.sites.get_mut("fernhollow").unwrap();
    site.name = "<b>\"</style><script>alert(1)</script>\\ \n{}".to_owned();
    let print = Print { printed_on: "</style>\"}@import", ..PRINT };
    let html = MachineSheet::new(&estate, "fernhollow", "screw", &[], &print).unwrap().to_html();
    assert_eq!(html.matches("</style>").count(), 1);
    for refused in ["<script", "<b>\"", "@import", "url(", "http:", "https:", " src=", " href="] {
        assert!(!html.contains(refused), "{refused}");
    }
}

#[test]
fn every_width_holds_and_loses_nothing() {
    let sheet = sheet(&estate::small(), "fernhollow", "screw");
    let words = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
    let wide = sheet.to_text(10_000);
    for width in [0, 40, 57, 80, 120] {
        let text = sheet.to_text(width);
        let rules = |words: Vec<String>| {
            words.into_iter().filter(|w| !w.starts_with("---")).collect::<Vec<_>>()
        };
        assert_eq!(rules(words(&text)), rules(words(&wide)), "{width}");
        let long = text.lines().find(|line| line.chars().count() > width.max(40));
        assert!(long.is_none_or(|line| !line.trim().contains(' ')), "{long:?}");
    }
}

#[test]
fn what_is_not_there_is_named_with_what_was_meant() {
    let estate = estate::small();
    let error = |site: &str, machine: &str| {
        MachineSheet::new(&estate, site, machine, &[], &PRINT).unwrap_err().to_string()
    };
    assert_eq!(
        error("fernholow", "screw"),
        "there is no site `fernholow`; did you mean `fernhollow`?"
    );
    assert_eq!(
        error("fernhollow", "scew"),
        "there is no machine at fernhollow `scew`; did you mean `screw`?"
    );
}
