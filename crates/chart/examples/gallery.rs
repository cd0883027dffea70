//! Writes a page with one of every chart, light and dark, to look at: `target/charts/index.html`, and the flat pictures
//! beside it.

use std::fs;
use std::path::Path;

use jiff::civil::{DateTime, date};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use ouncewise_chart::{
    CSS, Catch, DARK, Dots, Event, Happening, History, LIGHT, LineChart, MachineChart, Reading,
    Recipe, ResidueChart, ResidueWay, Row, Side, Size, State, Theme, Verdict, Way, dots,
    line_chart, machine_chart, residue_chart, responsive, table,
};

fn main() -> std::io::Result<()> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target/charts");
    fs::create_dir_all(&folder)?;
    let lines = lines();
    let machine = machine();
    fs::write(folder.join("index.html"), page(&lines, &machine).into_string())?;
    for (i, chart) in lines.iter().enumerate() {
        let picture = line_chart(chart, Theme::Flat, Size::WIDE).into_string();
        fs::write(folder.join(format!("line-{i}.svg")), picture)?;
    }
    let picture = machine_chart(&machine, Theme::Flat, Size::WIDE).into_string();
    fs::write(folder.join("machine.svg"), picture)?;
    let picture = residue_chart(&flush(), Theme::Flat, Size::WIDE).into_string();
    fs::write(folder.join("residue.svg"), picture)
}

fn page(lines: &[LineChart], machine: &MachineChart) -> Markup {
    let style = format!(
        "body{{margin:0;font-family:system-ui,sans-serif}}section{{padding:1rem;background:var(--surface);color:var(--ink)}}\
         .light{{{LIGHT}}}.dark{{{DARK}}}td,th{{padding:2px 10px;text-align:left}}figure{{margin:0 0 2rem}}{CSS}"
    );
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "Charts" }
                style { (PreEscaped(style)) }
            }
            body {
                @for look in ["light", "dark"] {
                    section class=(look) {
                        (list())
                        figure { (responsive(|size| machine_chart(machine, Theme::Css, size))) }
                        figure { (responsive(|size| residue_chart(&flush(), Theme::Css, size))) }
                        @for chart in lines {
                            figure { (responsive(|size| line_chart(chart, Theme::Css, size))) }
                        }
                        (rows(&lines[0].history))
                    }
                }
            }
        }
    }
}

fn rows(history: &History) -> Markup {
    let rows = table(history);
    html! {
        table {
            thead { tr { @for heading in Row::HEADINGS { th { (heading) } } } }
            tbody {
                @for row in rows.iter().rev().take(12) { tr { @for cell in row.cells() { td { (cell) } } } }
            }
        }
    }
}

fn list() -> Markup {
    use Verdict::{OffTarget, OnTarget, Undecided};
    let portion = |value, u| Some(Reading::Portion { value, u });
    let mark = |side, portion| Some(Reading::Mark { side, portion });
    let all = [
        ("Gooseberry", portion(30.2, 0.3), Some(OnTarget)),
        ("Smoked honey", portion(31.3, 0.8), Some(Undecided)),
        ("Cardamom", portion(32.9, 0.4), Some(OffTarget)),
        ("Black sesame", portion(14.0, 0.4), Some(OffTarget)),
        ("Pandan", mark(Side::Over, 30.0), Some(Undecided)),
        ("Sour cherry", mark(Side::Under, 28.0), Some(OffTarget)),
        ("Oat malt", None, None),
    ];
    html! {
        table {
            @for (name, reading, verdict) in all {
                @let dot = Dots { unit: "mL".into(), target: 30.0, tolerance: 0.05, reading, verdict };
                tr { td { (name) } td { (dots(&dot, Theme::Css)) } td { (verdict.map_or("", Verdict::words)) } }
            }
        }
    }
}

/// Small, repeatable noise between −1 and 1.
fn noise(i: u32) -> f64 {
    let mixed = i.wrapping_mul(2_654_435_761).wrapping_add(0x9e37_79b9);
    let mixed = (mixed ^ (mixed >> 15)).wrapping_mul(0x85eb_ca6b);
    f64::from((mixed ^ (mixed >> 13)) >> 8) / f64::from(1u32 << 23) - 1.0
}

fn week(from: DateTime, weeks: i64) -> DateTime {
    from.checked_add(jiff::Span::new().weeks(weeks)).expect("within all dates")
}

fn judged(value: f64, u: f64, target: f64, tolerance: f64) -> Verdict {
    let off = (value / target - 1.0).abs() * target;
    match tolerance * target - off {
        room if room > 1.7 * u => Verdict::OnTarget,
        room if room < -1.7 * u => Verdict::OffTarget,
        _ => Verdict::Undecided,
    }
}

fn caught(at: DateTime, state: State, value: f64, u: f64) -> Catch {
    let read = format!("{value:.1} mL in 7.0 s");
    let verdict = Some(judged(value, u, 30.0, 0.05));
    Catch { at, state, read, reading: Reading::Portion { value, u }, verdict }
}

fn event(at: DateTime, what: Happening, words: &str) -> Event {
    Event { at, what, words: words.to_owned() }
}

fn lines() -> Vec<LineChart> {
    vec![drifting(), marks(), changed(), busy(), empty(), one()]
}

fn thirty() -> Vec<Recipe> {
    vec![Recipe { from: None, target: 30.0, tolerance: 0.05 }]
}

fn drifting() -> LineChart {
    let start = date(2026, 1, 5).at(6, 40, 0, 0);
    let mut history = History {
        name: "Fernhollow, counter 1, line 3: gooseberry".into(),
        unit: "mL".into(),
        recipes: thirty(),
        ..History::default()
    };
    let mut level = 30.1;
    for w in 0..26u32 {
        let at = week(start, i64::from(w));
        if (9..12).contains(&w) {
            continue;
        }
        level += if w < 8 { 0.06 } else { 0.13 };
        let value = level + 0.5 * noise(w);
        history.events.push(event(at, Happening::Cleaned, ""));
        history.catches.push(caught(at, State::Found, value, 0.45));
        if w == 8 {
            level = 30.0;
            history.events.push(event(at, Happening::Adjusted(Some(Way::Less)), "1/8 turn less"));
            history.catches.push(caught(at, State::Left, 30.1, 0.45));
        }
        if w == 16 {
            history.events.push(event(at, Happening::PartReplaced, "nozzle tip"));
            level = 30.4;
            history.catches.push(caught(at, State::Left, 30.3, 0.45));
        }
    }
    history.catches.push(Catch {
        verdict: Some(Verdict::OffTarget),
        ..caught(date(2026, 5, 20).at(6, 0, 0, 0), State::Found, 11.0, 0.45)
    });
    let finding =
        "Drifting up about 0.4 % a week since the new nozzle tip: likely over 31.5 mL now".into();
    LineChart { finding, history, until: Some(date(2026, 7, 2).at(12, 0, 0, 0)), stood: Vec::new() }
}

fn marks() -> LineChart {
    let start = date(2026, 3, 2).at(7, 0, 0, 0);
    let sides = [Side::At, Side::Over, Side::At, Side::Over, Side::Over, Side::Under, Side::At];
    let catches = sides.iter().enumerate().map(|(w, &side)| {
        let state = if w == 5 { State::Left } else { State::Found };
        let verdict = Some(if w == 4 { Verdict::OffTarget } else { Verdict::Undecided });
        let portion = if w == 4 { 32.0 } else { 30.0 };
        let read = format!("{} the {portion} mL mark in 7 s", side.words());
        Catch {
            at: week(start, w as i64),
            state,
            read,
            reading: Reading::Mark { side, portion },
            verdict,
        }
    });
    let events = vec![
        event(week(start, 4), Happening::Adjusted(Some(Way::Less)), "1 notch less"),
        event(week(start, 2), Happening::Paused, ""),
        event(week(start, 3), Happening::Reopened, ""),
        event(week(start, 5), Happening::TechnicianCalled, "no cooling, €180"),
    ];
    let history = History {
        name: "Mossgate, counter 2, line 1: pandan".into(),
        unit: "mL".into(),
        recipes: thirty(),
        catches: catches.collect(),
        events,
    };
    let finding = "Only marks were read: this cup cannot show whether the line is on target".into();
    LineChart {
        finding,
        history,
        until: Some(date(2026, 4, 15).at(12, 0, 0, 0)),
        stood: Vec::new(),
    }
}

fn changed() -> LineChart {
    let start = date(2025, 9, 1).at(6, 30, 0, 0);
    let recipes = vec![
        Recipe { from: None, target: 25.0, tolerance: 0.03 },
        Recipe { from: Some(week(start, 20)), target: 36.0, tolerance: 0.03 },
    ];
    let mut history = History {
        name: "Ashby Halt, counter 1, line 2: black sesame".into(),
        unit: "g".into(),
        recipes,
        ..History::default()
    };
    for w in 0..40u32 {
        let at = week(start, i64::from(w));
        if w == 12 {
            history.events.push(event(
                at,
                Happening::ProductChanged,
                "black sesame, was smoked honey",
            ));
        }
        if w == 30 {
            history.events.push(event(at, Happening::MachineSwapped, "serial LC-2207"));
        }
        let target = if w < 20 { 25.0 } else { 36.0 };
        let value = target * (1.0 + 0.025 * noise(w + 77));
        let verdict = Some(judged(value, 0.2, target, 0.03));
        let reading = Reading::Portion { value, u: 0.2 };
        let read = format!("{value:.1} g in 6.0 s");
        history.catches.push(Catch { at, state: State::Found, read, reading, verdict });
    }
    let finding = "On target since the recipe was changed to 36 g".into();
    LineChart { finding, history, until: None, stood: Vec::new() }
}

/// Two years, twice a visit, adjusted after every reading.
fn busy() -> LineChart {
    let start = date(2024, 7, 1).at(6, 30, 0, 0);
    let mut history = History {
        name: "Larch Siding, counter 1, line 4: sour cherry".into(),
        unit: "mL".into(),
        recipes: thirty(),
        ..History::default()
    };
    for w in 0..104u32 {
        let at = week(start, i64::from(w));
        let found = 30.0 + 1.9 * noise(3 * w);
        let way = if found > 30.0 { Way::Less } else { Way::More };
        history.catches.push(caught(at, State::Found, found, 0.5));
        history.events.push(event(at, Happening::Adjusted(Some(way)), "1/16 turn"));
        history.events.push(event(at, Happening::Cleaned, ""));
        history.catches.push(caught(at, State::Left, 30.0 + 0.8 * noise(3 * w + 1), 0.5));
        if w % 25 == 12 {
            history.events.push(event(at, Happening::PartReplaced, "seal kit"));
        }
    }
    let finding =
        "Adjusted after every reading for two years, and no nearer to target for it".into();
    LineChart { finding, history, until: None, stood: Vec::new() }
}

fn empty() -> LineChart {
    let history = History {
        name: "Fernhollow, counter 1, line 5: oat malt".into(),
        unit: "mL".into(),
        recipes: thirty(),
        ..History::default()
    };
    let until = Some(date(2026, 7, 2).at(12, 0, 0, 0));
    LineChart { finding: "Never caught".into(), history, until, stood: Vec::new() }
}

fn one() -> LineChart {
    let mut chart = empty();
    chart.finding = "One catch, and it cannot decide".into();
    chart.history.catches.push(caught(date(2026, 6, 29).at(7, 0, 0, 0), State::Found, 31.0, 0.6));
    chart
}

fn machine() -> MachineChart {
    let start = date(2026, 3, 2).at(6, 40, 0, 0);
    let names = ["1 Gooseberry", "2 Smoked honey", "3 Cardamom", "4 Black sesame", "5 Sour cherry"];
    let lines = names.iter().enumerate().map(|(l, name)| {
        let l = u32::try_from(l).expect("five");
        let shift = |w| if w >= 11 { 1.4 } else { 0.0 };
        let catches = (0..16u32).map(|w| {
            let value = 30.0 + 0.5 * noise(100 * l + w) + shift(w);
            caught(week(start, i64::from(w)), State::Found, value, 0.25)
        });
        let catches: Vec<_> = if l == 4 { Vec::new() } else { catches.collect() };
        let events = if l == 1 {
            vec![event(week(start, 5), Happening::Adjusted(Some(Way::More)), "1/8 turn more")]
        } else {
            Vec::new()
        };
        History { name: (*name).into(), unit: "mL".into(), recipes: thirty(), catches, events }
    });
    MachineChart {
        finding: "Every line moved up on 18 May: look for what they share, and adjust none".into(),
        name: "Fernhollow, counter 1".into(),
        lines: lines.collect(),
        events: vec![event(week(start, 8), Happening::TechnicianCalled, "pressure regulator")],
        until: Some(date(2026, 6, 20).at(12, 0, 0, 0)),
    }
}

/// A flush of a volume in two seconds: run in the convective limit, and drained twice.
fn flush() -> ResidueChart {
    let run = (0..=112).map(|half| {
        let volumes = f64::from(half) / 4.0;
        (f64::from(half) / 2.0, if volumes <= 0.5 { 1.0 - volumes } else { 0.25 / volumes })
    });
    let drained = [(0.0, 1.0), (4.0, 0.032), (6.0, 0.032), (10.0, 0.001), (12.0, 0.001)];
    let paused = [
        (0.0, 1.0),
        (0.5, 0.75),
        (1.0, 0.5),
        (2.0, 0.25),
        (4.0, 0.125),
        (24.0, 0.125),
        (26.0, 0.04),
        (32.0, 0.01),
    ];
    let way = |name: &str, reaches: f64, points: Vec<(f64, f64)>| ResidueWay {
        name: name.to_owned(),
        reaches,
        time: format!("{reaches} s"),
        points,
    };
    ResidueChart {
        finding: "Drain and refill twice: 12 s to 1 % left in the line, where running takes 50 s"
            .into(),
        what: "old content left in the line".into(),
        wanted: 0.01,
        ways: vec![
            way("run", 50.0, run.collect()),
            way("run, wait, run", 32.0, paused.to_vec()),
            way("drain and refill twice", 12.0, drained.to_vec()),
        ],
    }
}
