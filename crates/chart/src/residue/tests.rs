//! A residue's chart: what it looks like, and what holds for any.

use insta::assert_snapshot;
use proptest::prelude::*;

use super::*;
use crate::tests::svg::Svg;

/// A flush of a volume a second: run in the convective limit, and drain twice at a film of 3.2 % (HY-112 and HY-123, CALC).
fn flush() -> ResidueChart {
    let run = (0..=56).map(|s| {
        let volumes = f64::from(s) / 2.0;
        (f64::from(s), if volumes <= 0.5 { 1.0 - volumes } else { 0.25 / volumes })
    });
    let drained = [(0.0, 1.0), (4.0, 0.032), (6.0, 0.032), (10.0, 0.001), (12.0, 0.001)];
    let way = |name: &str, reaches, points: Vec<(f64, f64)>| ResidueWay {
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
            way(
                "run, wait, run",
                32.0,
                vec![(0.0, 1.0), (4.0, 0.0625), (24.0, 0.0625), (32.0, 0.01)],
            ),
            way("drain and refill twice", 12.0, drained.to_vec()),
        ],
    }
}

#[test]
fn a_residue_is_drawn_with_classes_and_flat() {
    let lines = |markup: &Markup| markup.0.replace("><", ">\n<");
    assert_snapshot!("residue", lines(&residue_chart(&flush(), Theme::Css, Size::WIDE)));
    let flat = residue_chart(&flush(), Theme::Flat, Size::NARROW);
    assert_snapshot!("residue-flat", lines(&flat));
    assert!(!flat.0.contains("var(") && !flat.0.contains("style"));
    let css = residue_chart(&flush(), Theme::Css, Size::WIDE).0;
    assert!(!css.contains("fill=") && !css.contains("stroke=") && !css.contains("style"));
}

#[test]
fn a_residue_is_told_in_one_sentence_and_in_rows() {
    assert_eq!(
        describe_residue(&flush()),
        "How the share of old content left in the line falls from 100 % with time; wanted is 1 %; run reaches it after 50 s; \
         run, wait, run reaches it after 32 s; drain and refill twice reaches it after 12 s."
    );
    let table = residue_table(&flush());
    assert_eq!(table.headings, ["After", "run", "run, wait, run", "drain and refill twice"]);
    let told: Vec<String> = table.rows.iter().map(|row| row.join(" | ")).collect();
    assert_eq!(
        told,
        [
            "0 | 100 % | 100 % | 100 %",
            "10 s | 5 % | 6.3 % | 0.1 %",
            "20 s | 2.5 % | 6.3 % | –",
            "30 s | 1.7 % | 1.6 % | –",
            "40 s | 1.3 % | – | –",
            "50 s | 1 % | – | –",
            "reaches 1 % | 50 s | 32 s | 12 s",
        ]
    );
}

#[test]
fn each_way_has_its_own_stroke_and_shape_and_ends_where_it_is_wanted() {
    let svg = Svg::of(&residue_chart(&flush(), Theme::Css, Size::WIDE));
    // A curve and a bar of each.
    for look in LOOKS {
        assert_eq!(svg.with_class(look).count(), 2, "{look}");
    }
    for shape in ["pt", "pt-open", "way-point"] {
        assert_eq!(svg.with_class(shape).count(), 2, "{shape}");
    }
    let x: Vec<f64> = svg.with_class("pt").map(|point| point.number("cx")).collect();
    assert_eq!(x[0], x[1], "the bar under the plot ends below the point");
    let y = svg.with_class("pt").next().unwrap().number("cy");
    let target = svg.with_class("target").next().unwrap().first_y();
    assert!(
        (y - target).abs() < 5.0,
        "the point is on its curve, where that comes to what is wanted"
    );
    // What is wanted is named where no curve is: below its line, right of the drain, which comes down to it at 8 s.
    let wanted = svg.texts().find(|text| text.text == "wanted: 1 %").unwrap();
    let target = svg.with_class("target").next().unwrap().first_y();
    assert!(wanted.number("y") > target, "{wanted:?}");
    let drain = svg.with_class("way-third").next().unwrap().attribute("d").replace('M', "");
    let places: Vec<(f64, f64)> = drain
        .split('L')
        .map(|place| place.split_once(' ').unwrap())
        .map(|(x, y)| (x.parse().unwrap(), y.parse().unwrap()))
        .collect();
    let ((x, y), (x2, y2)) = (places[2], places[3]);
    let down = x + (x2 - x) * (wanted.number("y") - y) / (y2 - y);
    assert!(wanted.number("x") > down, "{wanted:?} {drain}");
    let mut steep = flush();
    steep.ways[2].points = vec![(0.0, 1.0), (0.6, 0.5), (0.9, 1e-5)];
    steep.ways.drain(..2);
    let svg = Svg::of(&residue_chart(&steep, Theme::Css, Size::WIDE));
    let moved = svg.texts().find(|text| text.text == "wanted: 1 %").unwrap();
    assert!((90.0..200.0).contains(&moved.number("x")), "{moved:?}");
    let mut four = flush();
    four.ways.push(four.ways[0].clone());
    let svg = Svg::of(&residue_chart(&four, Theme::Css, Size::WIDE));
    assert!(svg.words().contains("1 more in the table"), "{}", svg.words());
    assert_eq!(residue_table(&four).headings.len(), 5);
}

fn number() -> impl Strategy<Value = f64> {
    let odd = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, f64::MIN_POSITIVE, -0.0, 0.0];
    prop_oneof![
        8 => 0.0..1.0f64,
        4 => 0.0..5000.0f64,
        1 => prop::num::f64::ANY,
        1 => prop::sample::select(odd.to_vec()),
    ]
}

fn way() -> impl Strategy<Value = ResidueWay> {
    let points = prop::collection::vec((number(), number()), 0..20);
    ("\\PC{0,60}", number(), any::<String>(), points)
        .prop_map(|(name, reaches, time, points)| ResidueWay { name, reaches, time, points })
}

proptest! {
    #[test]
    fn a_residue_of_anything_is_drawn_with_numbers_and_inside(
        finding in any::<String>(), what in any::<String>(), wanted in number(),
        ways in prop::collection::vec(way(), 0..6), width in any::<u16>(), plot in any::<u16>()
    ) {
        let chart = ResidueChart { finding, what, wanted, ways };
        for theme in [Theme::Css, Theme::Flat] {
            crate::tests::properties::sound(&Svg::of(&residue_chart(&chart, theme, Size { width, plot })))?;
        }
        let table = residue_table(&chart);
        prop_assert!(table.rows.iter().all(|row| row.len() == table.headings.len()));
    }
}
