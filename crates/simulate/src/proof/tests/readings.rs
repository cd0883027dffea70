//! What catches show.

use super::super::facts::{Adjuster, DrawFacts, Marks, MeasureFacts};
use super::super::machine::Machine;
use super::super::nature::Nature;
use super::super::reading::Seen;
use super::super::visit::Visit;
use super::{ANY, machine, moments, still};

/// `(read − true) / √variance` of many catches.
fn scores(nature: &Nature, change: impl Fn(&mut Machine)) -> Vec<f64> {
    let mut scores = Vec::new();
    for seed in 0..50 {
        let mut machine = machine(nature, seed, 4, ANY);
        change(&mut machine);
        for _week in 0..20 {
            for line in 0..4 {
                let today = machine.today(line);
                let reading = Visit::new(&mut machine).catch(line);
                let Seen::Amount(log) = reading.seen else { panic!("{reading:?}") };
                scores.push((log - today) / reading.variance.sqrt());
            }
            machine.pass_week();
        }
    }
    scores
}

// The budget is first-order propagation (JCGM 100, 5.1.2); what is read spreads as it says.
#[test]
fn readings_spread_as_their_budget_says() {
    let nature = still();
    let vessel = |division| {
        move |machine: &mut Machine| {
            machine.facts.measures[0].marks = Marks::Every(division);
        }
    };
    let timed = |machine: &mut Machine| {
        machine.facts.measures[0].marks = Marks::Every(1.0);
        for line in &mut machine.facts.lines {
            line.draw = DrawFacts::Seconds { recipe: 6.0, offset: None };
        }
    };
    let weighed = |machine: &mut Machine| {
        machine.facts.measures[0].marks = Marks::Weight(0.1);
    };
    let all: [(&str, Vec<f64>); 4] = [
        ("fine", scores(&nature, vessel(0.5))),
        ("coarse", scores(&nature, vessel(3.0))),
        ("timed", scores(&nature, timed)),
        ("weighed", scores(&nature, weighed)),
    ];
    for (what, scores) in all {
        let (mean, variance) = moments(&scores);
        let n = scores.len() as f64;
        // Second-order terms shift the mean by at most a variance, here under 0.03 sd.
        assert!(mean.abs() < 4.0 / n.sqrt() + 0.03, "{what} {mean}");
        assert!((variance - 1.0).abs() < 4.0 * (2.0 / n).sqrt() + 0.02, "{what} {variance}");
    }
}

#[test]
fn the_errors_of_a_cup_and_a_person_show_in_every_catch() {
    let nature = Nature { draw_spread: 0.0, reading_share: 0.0, thumb: 0.0, ..still() };
    let mut machine = machine(&nature, 1, 1, ANY);
    machine.errors[0] = 0.6;
    machine.lines[0].set = 0.0;
    let Seen::Amount(log) = Visit::new(&mut machine).catch(0).seen else { panic!() };
    // Steps of a fifth of 0.1 mL round by at most 0.01 mL.
    assert!((log - (30.6_f64 / 30.0).ln()).abs() < 0.01 / 30.0);
    machine.errors[0] = 0.0;
    machine.facts.lines[0].draw = DrawFacts::Seconds { recipe: 5.0, offset: None };
    machine.crew.iter_mut().for_each(|person| person.bias = 0.2);
    let Seen::Amount(log) = Visit::new(&mut machine).catch(0).seen else { panic!() };
    assert!((log + (5.2_f64 / 5.0).ln()).abs() < 0.01 / 30.0, "{log}");
}

// V/t of a valve that opens late: (s − o)/(T − o) of the portion in s of T seconds.
#[test]
fn a_short_draw_of_a_late_valve_reads_low() {
    let hurry = Nature { hurried: 1.0, ..still() };
    let nature = Nature { draw_spread: 0.0, reading_share: 0.0, thumb: 0.0, ..hurry };
    let mut machine = machine(&nature, 1, 1, ANY);
    machine.lines[0].set = 0.0;
    machine.late = 0.4;
    machine.facts.lines[0].draw = DrawFacts::Seconds { recipe: 5.0, offset: Some(0.4) };
    let reading = Visit::new(&mut machine).catch(0);
    assert_eq!(reading.seconds, Some(3.0));
    let Seen::Amount(log) = reading.seen else { panic!() };
    let expected = (2.6 / 4.6 * 5.0 / 3.0_f64).ln();
    // Read to whole divisions of 0.1 mL, of some 17 mL.
    assert!((log - expected).abs() < 0.05 / 17.0, "{log} {expected}");
}

#[test]
fn a_cup_with_one_mark_gives_an_interval() {
    let nature = Nature { draw_spread: 0.0, ..still() };
    let mut machine = machine(&nature, 1, 3, ANY);
    machine.facts.measures[0] = MeasureFacts { marks: Marks::One, tolerance: 0.5 };
    for (line, level) in [-0.2, 0.0, 0.2].into_iter().enumerate() {
        machine.lines[line].set = level;
    }
    let mut visit = Visit::new(&mut machine);
    let seen = [0, 1, 2].map(|line| visit.catch(line));
    let (low, high) = (libm::log1p(-0.03), libm::log1p(0.03));
    assert_eq!(seen[0].seen, Seen::Between(f64::NEG_INFINITY, low));
    assert_eq!(seen[1].seen, Seen::Between(low, high));
    assert_eq!(seen[2].seen, Seen::Between(high, f64::INFINITY));
    assert_eq!([seen[0].guess(), seen[2].guess()], [Some(-0.06), Some(0.06)]);
    assert!(seen[1].guess().is_some_and(|log| log.abs() < 0.001));
}

#[test]
fn blocked_and_empty_lines_are_seen_as_faults() {
    let mut machine = machine(&still(), 1, 2, ANY);
    machine.lines[0].clog = 1.4;
    machine.lines[1].empty = Some(0.01);
    let mut visit = Visit::new(&mut machine);
    let blocked = visit.catch(0);
    assert!(blocked.is_fault() && matches!(blocked.seen, Seen::Amount(_)), "{blocked:?}");
    let empty = visit.catch(1);
    assert!(empty.is_fault() && empty.seen == Seen::Nothing);
    // Then the container is changed, and the line serves again, at first with some air.
    let after = visit.catch(1).guess().unwrap();
    let served = visit.truth(1).level;
    assert!((after - served + 0.1).abs() < 0.05, "{after} {served}");
}

// The same place in the stream: the n-th catch of a line in a week reads alike, whatever was caught
// of other lines before.
#[test]
fn luck_is_equal() {
    let read = |before: usize| {
        let mut machine = machine(&still(), 9, 3, Adjuster::Taught);
        let mut visit = Visit::new(&mut machine);
        for _catch in 0..before {
            visit.catch(0);
        }
        [visit.catch(1), visit.catch(1)]
    };
    assert_eq!(read(0), read(7));
    let [first, second] = read(0);
    assert_ne!(first.seen, second.seen);
}
