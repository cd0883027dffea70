//! The documents with their pictures. Those about flushing and strength are made here, from what the program computes:
//! `UPDATE_DOCS=1 cargo test -p ouncewise-web` writes them anew.

mod strength;

use std::path::{Path, PathBuf};

use axum::http::StatusCode;
use ouncewise_chart::{ResidueChart, ResidueWay, Size, Theme, residue_chart};
use ouncewise_measure::print::{Units, percent};
use ouncewise_report::{CurveReport, FlushReport, FlushWords, calculate_flush};

use super::{ALL, PICTURES};
use crate::testing::{empty, get};

/// As wide as a telephone nearly shows it, so that its texts keep their size.
const SIZE: Size = Size { width: 360, plot: 200 };

/// 3 m of 6.35 mm at 5 mL/s and 20 °C, full of what is as thin as water and spreads like sugar.
fn line() -> FlushWords {
    FlushWords {
        bore: some("6.35 mm"),
        length: some("3 m"),
        flow: some("5 mL/s"),
        temperature: some("20 °C"),
        ..FlushWords::default()
    }
}

fn some(text: &str) -> Option<String> {
    Some(text.to_owned())
}

/// The same line, which may be opened.
fn drains() -> FlushWords {
    FlushWords { holds_pressure: some("no"), top_opens: some("yes"), ..line() }
}

fn told(words: &FlushWords) -> FlushReport {
    calculate_flush(words, Units::Metric).unwrap().report
}

fn way(name: &str, curve: CurveReport) -> ResidueWay {
    let CurveReport { reaches_s, time, points, .. } = curve;
    ResidueWay { name: name.to_owned(), reaches: reaches_s, time, points }
}

/// The curve of running without a stop.
fn running(name: &str, words: &FlushWords) -> ResidueWay {
    way(name, told(words).chart.unwrap().curves.swap_remove(0))
}

/// The share that a curve comes to at a time.
fn at(way: &ResidueWay, seconds: f64) -> f64 {
    way.points.iter().find(|point| point.0 >= seconds).map_or(0.0, |point| point.1)
}

fn chart(finding: String, what: &str, wanted: f64, ways: Vec<ResidueWay>) -> String {
    let chart = ResidueChart { finding, what: what.to_owned(), wanted, ways };
    residue_chart(&chart, Theme::Flat, SIZE).into_string() + "\n"
}

/// Each picture by its name.
fn pictures() -> Vec<(&'static str, String)> {
    let place = |place: &str| FlushWords { want: some(&format!("1 % {place}")), ..line() };
    let outlet = running("in what comes out", &place("at the outlet"));
    let inside = running("left in the line", &place("in the line"));
    let left = percent(at(&inside, outlet.reaches));
    let clear = chart(
        format!("When 1 % is left in what comes out, {left} is still in the line"),
        "old content",
        0.01,
        vec![outlet, inside],
    );

    let fast = FlushWords { flow: some("25 mL/s"), ..line() };
    let (slow, quick) = (running("5 mL/s, laminar", &line()), running("25 mL/s, turbulent", &fast));
    let (volumes, fewer) = (told(&line()).plans[0].volumes, told(&fast).plans[0].volumes);
    let finding = format!(
        "Fast flow mixes: {fewer:.1} line volumes to 1 %, where slow flow takes {volumes:.1}"
    );
    let flow = chart(finding, "old content left in the line", 0.01, vec![slow, quick]);

    let all = told(&FlushWords { pause: some("3 min"), ..drains() }).chart.unwrap();
    let named = all.curves.into_iter().map(|curve| way(&curve.way.clone(), curve));
    let ways = chart(all.finding, "old content left in the line", 0.01, named.collect());

    let thick = |name: &str, contents: &str, temperature: &str| {
        let (contents, temperature) = (some(contents), some(temperature));
        let mut told = told(&FlushWords { contents, temperature, ..drains() });
        way(name, told.chart.take().unwrap().curves.swap_remove(1))
    };
    let syrups = vec![
        thick("as thin as water, 20 °C", "water", "20 °C"),
        thick("syrup of 60 °Bx, 20 °C", "syrup 60 Bx", "20 °C"),
        thick("syrup of 60 °Bx, 5 °C", "syrup 60 Bx", "5 °C"),
    ];
    let first = |way: &ResidueWay| percent(way.points[1].1);
    let finding = format!(
        "One drain leaves {} of water on the wall, {} of cold syrup",
        first(&syrups[0]),
        first(&syrups[2])
    );
    let syrup = chart(finding, "old content left in the line", 0.01, syrups);

    let sanitiser = FlushWords { contents: some("200 ppm"), ..line() };
    let told = told(&sanitiser);
    let purge = running("run", &sanitiser);
    let finding = format!(
        "200 mg/L down to the 4 mg/L of drinking water: {:.1} line volumes, {}",
        told.plans[0].volumes, purge.time
    );
    let sanitiser = chart(finding, "sanitiser in what comes out", told.wanted.share, vec![purge]);

    vec![
        ("flush-wall.svg", wall()),
        ("flush-clear.svg", clear),
        ("flush-flow.svg", flow),
        ("flush-ways.svg", ways),
        ("flush-syrup.svg", syrup),
        ("flush-sanitiser.svg", sanitiser),
        ("strength-gallon.svg", strength::gallon()),
        ("strength-strip.svg", strength::strip()),
    ]
}

/// A tube cut open after a quarter, a half and one volume: what is laminar runs twice as fast in the middle as on average, and
/// stands at the wall, so the new water is a tongue of `x = 2·V·(1 − r²)` (HY-110, PKG).
fn wall() -> String {
    let (left, long, half, gap) = (12.0, 336.0, 26.0, 96.0);
    let mut svg = String::from(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"360\" height=\"352\" viewBox=\"0 0 360 352\" font-family=\"Helvetica, Arial, Liberation Sans, DejaVu Sans, sans-serif\">\
         <title>Water runs through the middle, and old syrup stays at the wall</title>\
         <desc>A tube cut open, after a quarter of its volume, a half and a whole one has run in: the new water is a tongue in the middle; old content is left around it, most at the wall and towards the outlet.</desc>\n\
         <text x=\"4\" y=\"16\" fill=\"#1b1b1b\" font-size=\"16\" font-weight=\"700\">Water runs through the middle,</text>\n\
         <text x=\"4\" y=\"36\" fill=\"#1b1b1b\" font-size=\"16\" font-weight=\"700\">and the old stays at the wall</text>\n",
    );
    let cases = [
        (0.25, "A quarter of a volume has run in: nothing new comes out"),
        (0.5, "Half a volume: the first water comes out"),
        (1.0, "One volume: a quarter of the old is still in"),
    ];
    for (row, (volumes, words)) in cases.into_iter().enumerate() {
        let top = 66.0 + gap * row as f64;
        let middle = top + 10.0 + half;
        svg += &format!(
            "<text x=\"4\" y=\"{top:.0}\" fill=\"#1b1b1b\" font-size=\"12\">{words}</text>\n\
             <path d=\"M{left:.0} {:.0}H{:.0}V{:.0}H{left:.0}Z\" fill=\"#0072b2\" opacity=\"0.45\"/>\n",
            middle - half,
            left + long,
            middle + half
        );
        // From the upper wall to the lower one, cut at the outlet.
        let edge = (0..=80).map(|step| {
            let r = f64::from(step) / 40.0 - 1.0;
            let x = (2.0 * volumes * (1.0 - r * r)).min(1.0);
            format!("{:.1} {:.1}", left + long * x, middle + half * r)
        });
        let edge: Vec<String> = edge.collect();
        svg += &format!(
            "<path d=\"M{}Z\" fill=\"#fff\" stroke=\"#0072b2\" stroke-width=\"1.5\"/>\n",
            edge.join("L")
        );
        for wall in [middle - half, middle + half] {
            svg += &format!(
                "<path d=\"M{left:.0} {wall:.0}H{:.0}\" stroke=\"#1b1b1b\" stroke-width=\"2.5\"/>\n",
                left + long
            );
        }
        svg += &format!(
            "<text x=\"{:.0}\" y=\"{:.0}\" fill=\"#1b1b1b\" font-size=\"12\">new</text>\n",
            left + 10.0,
            middle + 4.0
        );
    }
    svg + "</svg>\n"
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/pictures")
}

#[test]
fn pictures_are_what_the_program_computes() {
    let made = pictures();
    let names: Vec<&str> = made.iter().map(|(name, _)| *name).collect();
    assert_eq!(names, PICTURES.iter().map(|(name, _)| *name).collect::<Vec<_>>());
    for (name, text) in made {
        let path = folder().join(name);
        if std::env::var_os("UPDATE_DOCS").is_some() {
            std::fs::write(&path, &text).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            kept == text,
            "docs/pictures/{name} is not what is computed; set UPDATE_DOCS=1 to write it anew"
        );
    }
}

#[tokio::test]
async fn each_document_is_a_page_and_its_pictures_are_served() {
    let here = empty().await;
    for (name, ..) in ALL {
        let (status, page) = get(&here.app, &format!("/docs/{name}")).await;
        assert_eq!((status, page.matches("<h1>").count()), (StatusCode::OK, 1), "{name}");
    }
    let (_, hygiene) = get(&here.app, "/docs/hygiene").await;
    let (_, strength) = get(&here.app, "/docs/strength").await;
    for (name, _) in PICTURES {
        let page = if name.starts_with("strength-") { &strength } else { &hygiene };
        assert!(
            page.contains(&format!("<img src=\"/docs/pictures/{name}\" alt=\"")),
            "{name}: {page}"
        );
        let (status, picture) = get(&here.app, &format!("/docs/pictures/{name}")).await;
        assert!(status == StatusCode::OK && picture.starts_with("<svg"), "{name}");
    }
    assert_eq!(get(&here.app, "/docs/pictures/none.svg").await.0, StatusCode::NOT_FOUND);
}

/// What the document says of the line of its pictures, as it is computed.
#[test]
fn figures_in_the_document_are_what_the_program_computes() {
    let (_, _, text) = ALL.iter().find(|(name, ..)| *name == "hygiene").unwrap();
    for (words, way) in [
        (FlushWords { want: some("1 % at the outlet"), ..line() }, 0),
        (line(), 0),
        (FlushWords { flow: some("25 mL/s"), ..line() }, 0),
        (FlushWords { pause: some("3 min"), ..line() }, 1),
        (drains(), 1),
        (FlushWords { contents: some("200 ppm"), ..line() }, 0),
        (FlushWords { contents: some("100 ppm"), ..line() }, 0),
    ] {
        let plan = told(&words).plans.swap_remove(way);
        let figure = format!("{:.1} line volumes, {}", plan.volumes, plan.time);
        assert!(text.contains(&figure), "docs/hygiene.md does not say `{figure}` for {words:?}");
    }
}
