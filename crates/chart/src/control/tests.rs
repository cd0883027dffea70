//! A control chart: what it looks like, what it says, and what holds for any.

use jiff::civil::date;
use proptest::prelude::*;

use super::*;
use crate::tests::svg::Svg;

fn point(day: i8, value: f64, out: bool) -> ControlPoint {
    let at = date(2026, 3, day).at(7, 0, 0, 0);
    ControlPoint { at, value, limits: (Some(-6.0), Some(6.0)), out, anew: false }
}

/// Four readings, the third beyond its limit, the fourth after the line was adjusted.
fn readings() -> ControlChart {
    let mut last = point(23, 0.5, false);
    last.anew = true;
    ControlChart {
        finding: "One signal in 4 readings, on 16 Mar 2026".to_owned(),
        what: "single readings, in % off the target".to_owned(),
        middle: Some((0.0, "target".to_owned())),
        curves: vec![vec![
            point(9, 2.0, false),
            point(2, -1.0, false),
            point(16, 8.25, true),
            last,
        ]],
    }
}

#[test]
fn what_signals_is_larger_and_ringed_and_a_new_beginning_is_not_joined() {
    let svg = Svg::of(&control_chart(&readings(), Theme::Css, Size::WIDE));
    assert_eq!(svg.with_class("pt").count(), 3);
    let off = svg.with_class("pt-off").next().unwrap();
    let ring = svg.with_class("ring").next().unwrap();
    assert_eq!(off.number("cx"), ring.number("cx"));
    assert!(off.number("r") > svg.with_class("pt").next().unwrap().number("r"));
    // One join, through the first three in order of time: three places.
    let joins: Vec<_> = svg.with_class("join").collect();
    assert_eq!(joins.len(), 1);
    assert_eq!(joins[0].attribute("d").matches('L').count(), 2);
    // Upper and lower limits, before and after.
    assert_eq!(svg.with_class("limit").count(), 4);
    assert!(svg.words().contains("target"), "{}", svg.words());
    // Beyond the limit is beyond it in the picture: higher is further up.
    let limit = svg
        .with_class("limit")
        .map(crate::tests::svg::Element::first_y)
        .fold(f64::INFINITY, f64::min);
    assert!(off.number("cy") < limit);
}

#[test]
fn a_control_chart_is_told_in_words() {
    assert_eq!(
        describe_control(&readings()),
        "Control chart of single readings, in % off the target; 4 values, the latest 0.5 on 23 Mar 2026 (limits −6 and 6); \
         beyond a limit: 8.25 on 16 Mar 2026."
    );
    let none = ControlChart::default();
    assert_eq!(describe_control(&none), "Control chart of values; no reading yet.");
    let svg = Svg::of(&control_chart(&none, Theme::Flat, Size::NARROW));
    assert!(svg.words().contains("No reading yet"));
}

fn number() -> impl Strategy<Value = f64> {
    let odd = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, -0.0, 0.0];
    prop_oneof![
        8 => -30.0..30.0f64,
        1 => prop::num::f64::ANY,
        1 => prop::sample::select(odd.to_vec()),
    ]
}

fn any_point() -> impl Strategy<Value = ControlPoint> {
    let limit = || prop::option::of(number());
    (0i64..20_000, number(), (limit(), limit()), any::<bool>(), any::<bool>()).prop_map(
        |(days, value, limits, out, anew)| {
            let at = date(2000, 1, 1).at(7, 0, 0, 0) + jiff::Span::new().days(days);
            ControlPoint { at, value, limits, out, anew }
        },
    )
}

proptest! {
    #[test]
    fn a_control_chart_of_anything_is_drawn_with_numbers_and_inside(
        finding in any::<String>(), what in any::<String>(),
        middle in prop::option::of((number(), any::<String>())),
        curves in prop::collection::vec(prop::collection::vec(any_point(), 0..20), 0..3),
        width in any::<u16>(), plot in any::<u16>()
    ) {
        let chart = ControlChart { finding, what, middle, curves };
        for theme in [Theme::Css, Theme::Flat] {
            crate::tests::properties::sound(&Svg::of(&control_chart(&chart, theme, Size { width, plot })))?;
        }
        prop_assert!(!describe_control(&chart).contains("NaN"));
    }
}
