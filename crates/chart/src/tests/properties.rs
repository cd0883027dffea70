//! What holds for a chart of anything at all.

use jiff::civil::{Date, DateTime};
use proptest::prelude::*;

use super::svg::Svg;
use crate::*;

fn time() -> impl Strategy<Value = DateTime> {
    // Mostly a year of a site's life, and now and then the ends of all dates.
    let usual = (0..400i64)
        .prop_map(|days| Date::new(2025, 6, 1).unwrap().checked_add(jiff::Span::new().days(days)));
    prop_oneof![
        20 => usual.prop_map(|date| date.unwrap().at(7, 0, 0, 0)),
        1 => Just(DateTime::MIN),
        1 => Just(DateTime::MAX),
    ]
}

fn number() -> impl Strategy<Value = f64> {
    let odd = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, f64::MIN_POSITIVE, -0.0];
    prop_oneof![
        12 => 20.0..40.0f64,
        4 => 0.0..0.2f64,
        1 => prop::num::f64::ANY,
        1 => prop::sample::select(odd.to_vec()),
    ]
}

fn words() -> impl Strategy<Value = String> {
    prop_oneof![2 => "[a-z ]{0,12}", 1 => "\\PC{0,60}", 1 => any::<String>()]
}

fn verdict() -> impl Strategy<Value = Option<Verdict>> {
    let some =
        prop_oneof![Just(Verdict::OnTarget), Just(Verdict::OffTarget), Just(Verdict::Undecided)];
    prop::option::weighted(0.9, some)
}

fn reading() -> impl Strategy<Value = Reading> {
    let side = prop_oneof![Just(Side::At), Just(Side::Over), Just(Side::Under)];
    prop_oneof![
        5 => (number(), number()).prop_map(|(value, u)| Reading::Portion { value, u }),
        2 => (side, number()).prop_map(|(side, portion)| Reading::Mark { side, portion }),
        1 => Just(Reading::Unread),
    ]
}

fn caught() -> impl Strategy<Value = Catch> {
    let state = prop_oneof![Just(State::Found), Just(State::Left)];
    (time(), state, words(), reading(), verdict())
        .prop_map(|(at, state, read, reading, verdict)| Catch { at, state, read, reading, verdict })
}

fn happened() -> impl Strategy<Value = Event> {
    let what = prop_oneof![
        Just(Happening::Adjusted(None)),
        Just(Happening::Adjusted(Some(Way::More))),
        Just(Happening::Adjusted(Some(Way::Less))),
        Just(Happening::Cleaned),
        Just(Happening::PartReplaced),
        Just(Happening::ProductChanged),
        Just(Happening::MachineSwapped),
        Just(Happening::Paused),
        Just(Happening::Reopened),
        Just(Happening::TechnicianCalled),
    ];
    (time(), what, words()).prop_map(|(at, what, words)| Event { at, what, words })
}

fn recipe() -> impl Strategy<Value = Recipe> {
    (prop::option::of(time()), number(), number()).prop_map(|(from, target, tolerance)| Recipe {
        from,
        target,
        tolerance,
    })
}

fn history() -> impl Strategy<Value = History> {
    let catches = prop::collection::vec(caught(), 0..40);
    let events = prop::collection::vec(happened(), 0..20);
    (words(), words(), prop::collection::vec(recipe(), 0..4), catches, events).prop_map(
        |(name, unit, recipes, catches, events)| History { name, unit, recipes, catches, events },
    )
}

fn line() -> impl Strategy<Value = LineChart> {
    (words(), history(), prop::option::of(time())).prop_map(|(finding, history, until)| LineChart {
        finding,
        history,
        until,
        stood: Vec::new(),
    })
}

fn machine() -> impl Strategy<Value = MachineChart> {
    let lines = prop::collection::vec(history(), 0..5);
    let events = prop::collection::vec(happened(), 0..6);
    (words(), words(), lines, events, prop::option::of(time())).prop_map(
        |(finding, name, lines, events, until)| MachineChart {
            finding,
            name,
            lines,
            events,
            until,
        },
    )
}

fn size() -> impl Strategy<Value = Size> {
    let any = (any::<u16>(), any::<u16>()).prop_map(|(width, plot)| Size { width, plot });
    prop_oneof![Just(Size::WIDE), Just(Size::NARROW), any]
}

/// What holds for every picture.
pub(crate) fn sound(svg: &Svg) -> Result<(), TestCaseError> {
    let (width, height) = svg.size();
    prop_assert!(width > 0.0 && height > 0.0);
    for element in &svg.elements {
        for value in element.attributes() {
            prop_assert!(!value.contains("NaN") && !value.contains("inf"), "{element:?}");
        }
        prop_assert!(element.text.chars().all(|c| !c.is_control()), "{element:?}");
    }
    for text in svg.texts() {
        let (from, to) = text.reach();
        prop_assert!(from >= -0.1 && to <= width + 0.1, "{from} to {to} of {width}: {text:?}");
        let y = text.number("y");
        prop_assert!(y >= 8.0 && y <= height, "{y} of {height}: {text:?}");
    }
    let names = ["title", "desc"].map(|name| svg.elements.iter().position(|e| e.name == name));
    prop_assert_eq!(names, [Some(1), Some(2)]);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn a_line_of_anything_is_drawn_with_numbers_and_inside(chart in line(), size in size()) {
        for theme in [Theme::Css, Theme::Flat] {
            let svg = Svg::of(&line_chart(&chart, theme, size));
            sound(&svg)?;
        }
    }

    #[test]
    fn what_is_no_number_is_not_drawn(values in prop::collection::vec(number(), 0..30)) {
        let at = Date::new(2026, 3, 2).unwrap().at(7, 0, 0, 0);
        let mut chart = LineChart::default();
        chart.history.catches = values
            .iter()
            .map(|&value| Catch {
                at,
                state: State::Found,
                read: String::new(),
                reading: Reading::Portion { value, u: 0.1 },
                verdict: None,
            })
            .collect();
        let svg = Svg::of(&line_chart(&chart, Theme::Css, Size::WIDE));
        let drawn = ["pt-none", "far"].map(|class| svg.with_class(class).count());
        let numbers = values.iter().filter(|v| v.abs() <= 1e9).count();
        // One more is in the key.
        prop_assert_eq!(drawn[0] + drawn[1], numbers + usize::from(numbers > 0));
    }

    #[test]
    fn labels_at_the_margin_stand_apart(chart in line(), size in size()) {
        let svg = Svg::of(&line_chart(&chart, Theme::Css, size));
        let starts: Vec<(f64, f64)> = svg
            .texts()
            .filter(|t| ["label", "last"].contains(&t.attribute("class")))
            .filter(|t| t.attribute("text-anchor").is_empty())
            .map(|t| (t.number("x"), t.number("y")))
            .collect();
        // Labels at the margin share the place at which they begin, and no other text lies so far at the right.
        let margin = starts.iter().map(|s| s.0).fold(0.0, f64::max);
        let mut places: Vec<f64> = starts.iter().filter(|s| s.0 == margin).map(|s| s.1).collect();
        places.sort_by(f64::total_cmp);
        prop_assert!(places.windows(2).all(|p| p[1] - p[0] >= 14.0), "{places:?}");
    }

    #[test]
    fn a_machine_of_anything_is_drawn_with_numbers_and_inside(chart in machine(), size in size()) {
        for theme in [Theme::Css, Theme::Flat] {
            sound(&Svg::of(&machine_chart(&chart, theme, size)))?;
        }
    }

    #[test]
    fn a_strip_of_anything_is_drawn_with_numbers_and_inside(
        unit in words(), target in number(), tolerance in number(), reading in prop::option::of(reading()), verdict in verdict()
    ) {
        let strip = Dots { unit, target, tolerance, reading, verdict };
        let svg = Svg::of(&dots(&strip, Theme::Flat));
        sound(&svg)?;
        prop_assert_eq!(svg.size(), (160.0, 28.0));
    }

    #[test]
    fn the_table_has_a_row_for_each_fact(history in history()) {
        let rows = table(&history);
        prop_assert_eq!(rows.len(), history.catches.len() + history.events.len());
        for row in rows {
            prop_assert!(!row.portion.contains("NaN") && !row.doubt.contains("NaN"), "{row:?}");
            let longest = row.portion.chars().filter(char::is_ascii_digit).count();
            prop_assert!(longest <= 24 + history.unit.chars().count(), "{row:?}");
        }
    }
}
