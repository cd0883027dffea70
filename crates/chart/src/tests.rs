//! Charts as a whole: what they look like, and what holds for all of them.

pub(crate) mod properties;
mod samples;
pub(crate) mod svg;

use insta::assert_snapshot;
use jiff::civil::date;

use crate::*;
use samples::{catch, drifting, event, machine, marks};
use svg::{Element, Svg};

/// A picture with an element a line, which can be compared.
fn lines(markup: &maud::Markup) -> String {
    markup.0.replace("><", ">\n<")
}

#[test]
fn a_line_is_drawn_with_classes() {
    let svg = line_chart(&drifting(), Theme::Css, Size::WIDE);
    assert_snapshot!("line", lines(&svg));
}

#[test]
fn marks_are_drawn_flat() {
    let svg = line_chart(&marks(), Theme::Flat, Size::NARROW);
    assert_snapshot!("marks-flat", lines(&svg));
}

#[test]
fn a_machine_is_drawn() {
    let svg = machine_chart(&machine(), Theme::Css, Size::WIDE);
    assert_snapshot!("machine", lines(&svg));
}

#[test]
fn where_lines_stand_is_drawn() {
    let portion = |value| Some(Reading::Portion { value, u: 0.4 });
    let over = Some(Reading::Mark { side: Side::Over, portion: 30.0 });
    let all = [
        (portion(30.2), Some(Verdict::OnTarget)),
        (portion(33.0), Some(Verdict::OffTarget)),
        (portion(12.0), Some(Verdict::OffTarget)),
        (over, Some(Verdict::Undecided)),
        (None, None),
    ];
    let all = all.map(|(reading, verdict)| {
        let strip = Dots { unit: "mL".into(), target: 30.0, tolerance: 0.05, reading, verdict };
        lines(&dots(&strip, Theme::Flat))
    });
    assert_snapshot!("dots", all.join("\n"));
}

#[test]
fn a_line_never_caught_says_what_to_do_next() {
    let mut chart = drifting();
    chart.history.catches.clear();
    chart.history.events.clear();
    let svg = Svg::of(&line_chart(&chart, Theme::Css, Size::NARROW));
    let words = svg.words();
    assert!(words.contains("No catch yet Catch this line once, as found."), "{words}");
    assert!(words.contains("target 30"), "{words}");
    assert_eq!(svg.with_class("band").count(), 1);
    // Nothing at all is a frame too.
    let svg = Svg::of(&line_chart(&LineChart::default(), Theme::Css, Size::WIDE));
    assert!(svg.words().contains("No catch yet") && svg.with_class("edge").count() == 1);
}

#[test]
fn lines_end_where_weeks_are_missing_and_where_the_line_begins_anew() {
    let day = |day: i8| date(2026, 3, day).at(7, 0, 0, 0);
    let mut chart = LineChart::default();
    let joins = |chart: &LineChart| {
        let svg = Svg::of(&line_chart(chart, Theme::Css, Size::WIDE));
        svg.with_class("join").map(|join| join.attribute("d").matches('L').count()).sum::<usize>()
    };
    chart.history.catches = [2, 9, 16].map(|d| catch(day(d), State::Found, 30.0)).to_vec();
    assert_eq!(joins(&chart), 2);
    chart.history.catches.push(catch(day(27), State::Found, 30.0));
    assert_eq!(joins(&chart), 2, "eleven days are a gap");
    chart.history.events.push(event(day(9), Happening::Cleaned, ""));
    assert_eq!(joins(&chart), 2, "a clean is no new beginning");
    chart.history.events.push(event(day(9), Happening::Adjusted(None), ""));
    assert_eq!(joins(&chart), 1, "as found on that day was caught before it");
    chart.history.catches.push(catch(day(9), State::Left, 30.0));
    assert_eq!(joins(&chart), 2, "as left on that day was caught after it");
}

#[test]
fn what_is_off_target_changes_shape_and_size() {
    let at = date(2026, 3, 2).at(7, 0, 0, 0);
    let drawn = |verdict| {
        let mut chart = LineChart::default();
        chart.history.catches = vec![Catch { verdict, ..catch(at, State::Found, 30.0) }];
        let svg = Svg::of(&line_chart(&chart, Theme::Css, Size::WIDE));
        let in_key =
            svg.with_class("note").map(|note| note.number("y") - 8.0).fold(f64::MAX, f64::min);
        let radius = svg.elements.iter().filter(|e| e.name == "circle" && e.number("cy") > in_key);
        (svg.with_class("ring").count(), radius.map(|e| e.number("r")).fold(0.0, f64::max))
    };
    let (ring, size) = drawn(Some(Verdict::OnTarget));
    let (ring_off, size_off) = drawn(Some(Verdict::OffTarget));
    assert_eq!(ring, 0);
    assert!(ring_off > 0 && size_off > size);
}

#[test]
fn the_band_moves_with_the_recipe() {
    let mut chart = drifting();
    let from = Some(date(2026, 2, 10).at(0, 0, 0, 0));
    chart.history.recipes.push(Recipe { from, target: 33.0, tolerance: 0.05 });
    let svg = Svg::of(&line_chart(&chart, Theme::Css, Size::WIDE));
    assert_eq!(svg.with_class("band").count(), 2);
    let words = svg.words();
    assert!(words.contains("target 30 mL") && words.contains("target 33 mL"), "{words}");
}

#[test]
fn a_fault_does_not_make_the_rest_flat() {
    let mut chart = drifting();
    let height = |chart: &LineChart| {
        let svg = Svg::of(&line_chart(chart, Theme::Css, Size::WIDE));
        let limits: Vec<f64> = svg.with_class("limit").map(Element::first_y).collect();
        (limits[1] - limits[0]).abs()
    };
    let before = height(&chart);
    chart.history.catches.push(catch(date(2026, 2, 24).at(7, 0, 0, 0), State::Found, 0.4));
    assert!((height(&chart) - before).abs() < 0.2);
    let svg = Svg::of(&line_chart(&chart, Theme::Css, Size::WIDE));
    assert!(svg.words().contains("0.4 mL") && svg.with_class("far-off").count() == 1);
}

#[test]
fn more_catches_than_can_be_told_apart_are_cut_and_it_is_said() {
    let mut chart = LineChart::default();
    let first = date(2020, 1, 6).at(7, 0, 0, 0);
    let week = |w| first.checked_add(jiff::Span::new().weeks(w)).unwrap();
    chart.history.catches = (0..300).map(|w| catch(week(w), State::Found, 30.0)).collect();
    let svg = Svg::of(&line_chart(&chart, Theme::Css, Size::NARROW));
    assert!(svg.words().contains("the latest 76 of 300 catches"), "{}", svg.words());
    assert_eq!(table(&chart.history).len(), 300, "the table holds them all");
}

#[test]
fn what_happened_long_before_the_first_catch_does_not_squeeze_it() {
    let mut chart = drifting();
    let first_label = |chart: &LineChart| {
        let svg = Svg::of(&line_chart(chart, Theme::Css, Size::WIDE));
        let axis = svg.with_class("axis").filter(|t| t.attribute("text-anchor") == "middle");
        axis.map(|t| t.text.clone()).next().unwrap()
    };
    let before = first_label(&chart);
    let long_ago = date(2019, 5, 6).at(7, 0, 0, 0);
    chart.history.events.push(event(long_ago, Happening::MachineSwapped, "LC-2207"));
    assert_eq!(first_label(&chart), before);
    assert_eq!(table(&chart.history)[0].date, "2019-05-06");
}

#[test]
fn a_chart_is_told_in_one_sentence() {
    assert_eq!(
        describe_line(&drifting()),
        "Fernhollow, counter 1, line 3: gooseberry: 7 catches from 5 Jan 2026 to 16 Feb 2026, 1 of them off target; \
         the target is 30 mL ± 5 %; the latest, as found on 16 Feb 2026, is 32.9 ± 1.0 mL, off target; \
         adjusted once, cleaned twice, part replaced once."
    );
    assert_eq!(describe_line(&LineChart::default()), "This line: no catch yet.");
    assert_eq!(
        describe_machine(&machine()),
        "Fernhollow, counter 1, 3 lines against their targets; 1 Gooseberry: the latest, as found on 23 Mar 2026, is \
         31.3 ± 1.0 mL, undecided; 2 Pandan: the latest, as found on 23 Mar 2026, is 31.8 ± 1.0 mL, undecided; \
         3 Sour cherry: no catch yet; technician called once."
    );
}

#[test]
fn the_table_says_what_the_chart_says() {
    let rows = table(&drifting().history);
    let told: Vec<String> = rows.iter().map(|row| row.cells().join(" | ")).collect();
    assert_snapshot!("table", told.join("\n"));
    let rows = table(&marks().history);
    assert_eq!(
        rows[1].cells(),
        ["2026-03-09", "as found", "over the 30 mL mark in 7 s", "over 30 mL", "", "undecided"]
    );
}

#[test]
fn paper_needs_no_style_sheet_and_pages_need_no_literal_colour() {
    let of = |theme| {
        let charts = [drifting(), marks(), LineChart::default()];
        let all = charts.map(|chart| line_chart(&chart, theme, Size::WIDE).0).concat();
        all + &machine_chart(&machine(), theme, Size::WIDE).0
    };
    let (css, flat) = (of(Theme::Css), of(Theme::Flat));
    assert!(!css.contains("style") && !flat.contains("style") && !flat.contains("var("));
    assert!(!css.contains("fill=") && !css.contains("stroke=") && !css.contains("=\"#"));
    // Ink, muted, band and off: no fifth colour beside the ground.
    let mut colours: Vec<&str> =
        flat.split("=\"#").skip(1).filter_map(|c| c.split('"').next()).collect();
    colours.sort_unstable();
    colours.dedup();
    assert_eq!(colours, ["0072b2", "1b1b1b", "565656", "c03a00", "fff"]);
}
