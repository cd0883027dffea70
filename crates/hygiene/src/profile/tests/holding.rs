//! Time, temperature, and how often things are cleaned.

use super::*;

/// HY-18 (READ, FC 3-501.16): cold at 5 °C (41 °F) or under, hot at 57 °C (135 °F) or over.
#[test]
fn cold_and_hot_food_is_held_to_the_profile() {
    let holding = model().holding;
    for (text, holds) in
        [("5 °C", true), ("5.1 °C", false), ("41 °F", true), ("41.1 °F", false), ("-18 °C", true)]
    {
        assert_eq!(matches!(holding.cold(read(text)), HoldingJudged::Holds(_)), holds, "{text}");
    }
    for (text, holds) in [("57 °C", true), ("56.9 °C", false), ("135 °F", true), ("134 °F", false)]
    {
        assert_eq!(matches!(holding.hot(read(text)), HoldingJudged::Holds(_)), holds, "{text}");
    }
    assert_eq!(holding.cold(read("5 mL")), HoldingJudged::NotCovered);
    assert_eq!(Holding::default().cold(read("2 °C")), HoldingJudged::NotCovered);
}

/// New York keeps 45 °F and 140 °F (READ, 10 NYCRR 14-1.40), Wales 8 °C and 63 °C (READ, SI 2006/31 (W.5), schedule 4): the
/// same fridge, other verdicts.
#[test]
fn the_same_fridge_is_judged_by_its_own_place() {
    let seven = read("7 °C");
    let cold = |id: &str| matches!(shipped(id).holding.cold(seven), HoldingJudged::Holds(_));
    assert!(!cold("model-code") && !cold("california") && cold("new-york") && cold("uk-rinse"));
    let sixty = read("60 °C");
    let hot = |id: &str| matches!(shipped(id).holding.hot(sixty), HoldingJudged::Holds(_));
    assert!(hot("model-code") && hot("california") && hot("new-york") && !hot("uk-rinse"));
}

/// HY-19 (READ, FC 3-501.19): thrown away 4 hours after it left the cold.
#[test]
fn time_alone_ends_after_its_hours() {
    let holding = model().holding;
    for (hours, expected) in [(0.0, true), (4.0, true), (4.01, false)] {
        assert_eq!(
            matches!(holding.out_of_cold(hours), HoldingJudged::Holds(_)),
            expected,
            "{hours}"
        );
    }
    assert!(matches!(holding.out_of_cold(5.0), HoldingJudged::Broken(_)));
    assert_eq!(holding.out_of_cold(f64::NAN), HoldingJudged::NotCovered);
    assert_eq!(holding.out_of_cold(-1.0), HoldingJudged::NotCovered);
    assert_eq!(shipped("uk-rinse").holding.out_of_cold(1.0), HoldingJudged::NotCovered);
}

/// HY-20 (READ-2): 7 days, the day of opening being day 1: opened on 1 April, used by 7 April.
#[test]
fn the_day_of_opening_is_the_first() {
    assert_eq!(model().holding.last_day_after_opening(), Some(6));
    assert_eq!(Holding::default().last_day_after_opening(), None);
}

/// HY-12, HY-13 (READ, FC 4-602.11(C), (D)(2)): every 4 h; in a refrigerated room 24, 20, 16, 10 h by its temperature, and over
/// 12.8 °C (55 °F) no row but the 4 h.
#[test]
fn a_cold_room_stretches_the_hours() {
    let model = model();
    let hours =
        |room: Option<&str>| match model.cleaned_every(CleaningOf::TcsSurface, room.map(read)) {
            CleaningEvery::Hours(hours, _) => hours,
            other => panic!("{room:?}: {other:?}"),
        };
    for (room, expected) in [
        ("4 °C", 24.0),
        ("5.0 °C", 24.0),
        ("41 °F", 24.0),
        ("5.1 °C", 20.0),
        ("45 °F", 20.0),
        ("7.2 °C", 20.0),
        ("7.3 °C", 16.0),
        ("50 °F", 16.0),
        ("10.1 °C", 10.0),
        ("55 °F", 10.0),
        ("12.8 °C", 10.0),
        ("12.9 °C", 4.0),
        ("55.1 °F", 4.0),
        ("22 °C", 4.0),
    ] {
        assert!((hours(Some(room)) - expected).abs() < 1e-12, "{room}: {}", hours(Some(room)));
    }
    assert!((hours(None) - 4.0).abs() < 1e-12);
}

/// HY-14 (READ): iced tea every 24 h. HY-15 (READ): lines for drinks as their maker says; no number is the code's, so none is
/// given here, and "weekly" least of all.
#[test]
fn the_code_has_no_number_for_lines_of_drinks() {
    let model = model();
    assert!(
        matches!(model.cleaned_every(CleaningOf::DrinkLine, None), CleaningEvery::AsMaker(basis) if basis.row.as_deref() == Some("HY-15"))
    );
    assert!(
        matches!(model.cleaned_every(CleaningOf::IcedTea, None), CleaningEvery::Hours(hours, _) if (hours - 24.0).abs() < 1e-12)
    );
    assert_eq!(model.cleaned_every(CleaningOf::DispensingFreezer, None), CleaningEvery::NotCovered);
    assert!(model.cleaning.iter().all(|row| row.every_hours.is_none_or(|hours| hours < 168.0)));
}
