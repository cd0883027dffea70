//! Before any reading: the windows are those of the verdicts that readings then get.

use super::*;

#[test]
fn a_cup_that_proves_nothing_on_target() {
    let shown = can_show(&dose(cup(30.0, 2.0))).unwrap();
    close(shown.relative_doubt, 0.0385, 5e-5);
    close(shown.best_probability, 0.806, 5e-4);
    close(shown.best_of_many, shown.best_probability, 1e-12);
    assert!(!shown.proves_on_target());
    assert_eq!((shown.decide.catches, shown.decide.longer), (None, None));
    // 1.5 mL at 95 % two-sided: u ≤ 1.5 / 1.959964.
    close(shown.decide.needed, 1.5 / 1.959_964, 1e-6);
    let window = shown.amount.unwrap();
    assert_eq!((window.on, shown.unit, shown.seconds, shown.fill_to), (None, "mL", None, None));
    // It still proves a line that is far off.
    assert!(window.off.lower > 25.0 && window.off.upper < 35.0, "{window:?}");
}

#[test]
fn windows_are_where_the_verdicts_change() {
    let mut weighed = rate(7.0, scale(0.5, 1.0));
    weighed.density = Some((1.3, 0.005));
    let mut offset = rate(7.0, vessel(1.0, 0.5));
    offset.opening_offset = Some(Seconds(0.4));
    for setup in [rate(7.0, vessel(1.0, 0.5)), dose(vessel(0.5, 0.3)), weighed, offset] {
        let shown = can_show(&setup).unwrap();
        let window = shown.amount.unwrap();
        let verdict = |reading: f64| {
            let amount =
                if shown.unit == "g" { Amount::Mass(Grams(reading)) } else { millilitres(reading) };
            judge(&setup, &[at(amount, setup.aim.draw)]).unwrap().verdict
        };
        let on = window.on.unwrap();
        for (inside, outside, within, beyond) in [
            (on.lower + 1e-6, on.lower - 1e-6, Verdict::OnTarget, Verdict::Undecided),
            (on.upper - 1e-6, on.upper + 1e-6, Verdict::OnTarget, Verdict::Undecided),
            (
                window.off.lower + 1e-6,
                window.off.lower - 1e-6,
                Verdict::Undecided,
                Verdict::OffTarget,
            ),
            (
                window.off.upper - 1e-6,
                window.off.upper + 1e-6,
                Verdict::Undecided,
                Verdict::OffTarget,
            ),
        ] {
            assert_eq!((verdict(inside), verdict(outside)), (within, beyond), "{setup:?} {inside}");
        }
    }
}

#[test]
fn a_cup_with_one_mark_shows_seconds_on_a_timed_line() {
    // Filled to 30 mL in 7 s, by a good cup: few seconds are much flow.
    let setup = rate(7.0, cup(30.0, 0.5));
    let shown = can_show(&setup).unwrap();
    assert_eq!((shown.amount, shown.fill_to), (None, Some(30.0)));
    let window = shown.seconds.unwrap();
    let on = window.on.unwrap();
    assert!(
        window.off.lower < on.lower
            && on.lower < 7.0
            && 7.0 < on.upper
            && on.upper < window.off.upper,
        "{window:?}"
    );
    let verdict = |seconds: f64| judge(&setup, &[in_seconds(30.0, seconds)]).unwrap().verdict;
    assert_eq!(
        (verdict(on.lower + 1e-6), verdict(on.lower - 1e-6)),
        (Verdict::OnTarget, Verdict::Undecided)
    );
    assert_eq!(
        (verdict(window.off.upper - 1e-6), verdict(window.off.upper + 1e-6)),
        (Verdict::Undecided, Verdict::OffTarget)
    );
}

#[test]
fn water_has_its_own_window() {
    let mut setup = setup(Metering::Ratio, Draw::Time(Seconds(7.0)), vessel(1.0, 0.5));
    setup.aim.water = Some((Millilitres(150.0), 0.05));
    let water = can_show(&setup).unwrap().water.unwrap().on.unwrap();
    assert!(
        142.5 < water.lower && water.lower < 150.0 && 150.0 < water.upper && water.upper < 157.5,
        "{water:?}"
    );
    assert_eq!(can_show(&rate(7.0, vessel(1.0, 0.5))).unwrap().water, None);
}

#[test]
fn a_thumb_needs_more_than_one_catch_of_a_short_draw() {
    let setup = rate(2.0, vessel(0.5, 0.3));
    let shown = can_show(&setup).unwrap();
    assert!(!shown.proves_on_target());
    // 0.10 s in 2 s is 5 %: the better cup is no help, four catches and more are.
    assert_eq!(shown.budget.parts()[0].source, "the thumb on the stopwatch");
    let catches = shown.decide.catches.unwrap().what;
    assert!((4..=6).contains(&catches), "{catches}");
    let right = vec![in_seconds(30.0, 2.0); catches as usize];
    assert_eq!(judge(&setup, &right).unwrap().verdict, Verdict::OnTarget);
    assert_eq!(judge(&setup, &right[1..]).unwrap().verdict, Verdict::Undecided);
}
