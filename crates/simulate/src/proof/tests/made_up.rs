//! Made-up readings look as configured, and nothing is really done.

use super::super::facts::{Adjuster, Marks};
use super::super::machine::Machine;
use super::super::nature::Nature;
use super::super::people::{Habit, TOO_NEAR};
use super::super::reading::Seen;
use super::super::visit::Visit;
use super::{ANY, machine, moments, still};

fn made_up(habit: Habit, weeks: usize) -> (Vec<Vec<f64>>, Machine) {
    // Everybody makes everything up; the seed is the first whose people all have the habit asked for.
    let nature = Nature { makers_up: 1.0, makes_up: 1.0, leaves: 0.0, ..still() };
    let mut machine = (0..)
        .map(|seed| machine(&nature, seed, 6, ANY))
        .find(|machine| machine.crew[machine.on_duty].habit == habit)
        .expect("every habit occurs");
    let who = machine.on_duty;
    let read = (0..weeks).map(|_| {
        machine.on_duty = who;
        machine.made_up = true;
        let mut visit = Visit::new(&mut machine);
        let seen = (0..6).map(|line| match visit.catch(line).seen {
            Seen::Amount(log) => log,
            other => panic!("{other:?}"),
        });
        let seen = seen.collect();
        machine.pass_week();
        seen
    });
    let read = read.collect();
    (read, machine)
}

#[test]
fn a_copier_writes_the_same_list_every_time() {
    let (read, _) = made_up(Habit::Copies, 6);
    assert!(read.iter().all(|week| *week == read[0]));
    assert!(read[0].iter().any(|log| *log != read[0][0]), "the lines differ");
}

#[test]
fn one_who_carries_forward_writes_last_weeks_readings() {
    let (read, mut machine) = made_up(Habit::CarriesForward, 3);
    assert!(read.iter().all(|week| *week == read[0]));
    // Somebody honest reads; next week's list is theirs.
    machine.made_up = false;
    let honest = Visit::new(&mut machine).catch(2).seen;
    machine.pass_week();
    machine.made_up = true;
    machine.on_duty = (0..4)
        .find(|who| machine.crew[*who].habit == Habit::CarriesForward)
        .expect("the one from before");
    assert_eq!(Visit::new(&mut machine).catch(2).seen, honest);
    assert_eq!(Visit::new(&mut machine).catch(2).seen, honest, "also when caught again");
}

// Spread of those who write too near: as configured, with the rounding of the cylinder's steps of
// 0.02 mL (r²/12, JCGM 100, F.2.2.1); far less than an honest reading's.
#[test]
fn one_who_stays_too_near_spreads_less_than_a_cup_can() {
    let (read, machine) = made_up(Habit::TooNear, 400);
    let (mean, variance) = moments(&read.concat());
    let n = 2400.0_f64;
    let expected = TOO_NEAR.powi(2) + (0.02_f64 / 30.0).powi(2) / 12.0;
    assert!(mean.abs() < 4.0 * (expected / n).sqrt(), "{mean}");
    assert!((variance / expected - 1.0).abs() < 4.0 * (2.0 / n).sqrt(), "{variance}");
    let mut cup = machine.facts.clone();
    cup.measures[0].marks = Marks::Every(2.0);
    assert!(variance < 0.25 * cup.noise_variance(0, 0, None));
}

#[test]
fn an_inventor_writes_whole_millilitres() {
    let (read, _) = made_up(Habit::Invents, 30);
    let amounts: Vec<f64> = read.concat().iter().map(|log| 30.0 * log.exp()).collect();
    assert!(amounts.iter().all(|amount| (amount - amount.round()).abs() < 1e-9));
    assert!(amounts.iter().any(|amount| amount.round() != 30.0));
}

#[test]
fn in_a_made_up_round_nothing_is_done_but_the_writing() {
    let nature = Nature { makers_up: 1.0, makes_up: 1.0, ..still() };
    let mut machine = machine(&nature, 1, 2, Adjuster::Taught);
    machine.lines[0].clog = 0.3;
    let before = machine.served(0);
    let mut visit = Visit::new(&mut machine);
    assert!(!visit.truth(0).done);
    visit.catch(0);
    assert!(visit.teach(0, 0.0), "it is written down as done");
    visit.clean(0);
    visit.replace(0);
    assert_eq!(machine.served(0), before);
    let tally = &machine.tally;
    assert_eq!((tally.catches, tally.adjusted, tally.poured, tally.parts), (0.0, 0.0, 0.0, 0.0));
    assert!((tally.minutes - 4.0 * 0.2).abs() < 1e-12);
}

// Binomial shares of people.
#[test]
fn people_are_of_every_kind() {
    let nature = Nature { makers_up: 0.2, hurried: 0.3, ..Nature::hard() };
    let mut count = std::collections::HashMap::new();
    for site in 0..500 {
        for person in &Machine::new(&nature, 3, site, 1).crew {
            *count.entry(format!("{:?}", person.habit)).or_insert(0.0) += 1.0;
        }
    }
    let near = |kind: &str, p: f64| {
        let n = 2000.0_f64;
        assert!((count[kind] - n * p).abs() < 4.0 * (n * p * (1.0 - p)).sqrt(), "{kind} {count:?}");
    };
    near("Honest", 0.5);
    near("Hurried", 0.3);
    for kind in ["Copies", "CarriesForward", "TooNear", "Invents"] {
        near(kind, 0.05);
    }
}
