//! Families whose behaviour is known, drawn with a seed, are found again.

use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution as _, StandardNormal};

use super::*;
use crate::joint::{Reading, Said};
use crate::past::{Happened, Visit};

const TRUE: Behaviour = Behaviour {
    walk: 0.012 * 0.012,
    drift: -0.003,
    machine_walk: 0.006 * 0.006,
    day: 0.02 * 0.02,
    person: 0.015 * 0.015,
    shock_chance: 0.02,
    shock: 0.2 * 0.2,
    shared_chance: 0.0,
    shared_shock: 0.0,
    new_part: 0.0,
    new_part_spread: 0.03 * 0.03,
    response: 0.8,
    response_spread: 0.1 * 0.1,
    adjusting: 0.01 * 0.01,
    cleaning: 0.0,
    teaching: 0.0,
};

/// One machine of six lines: every fourth week the worst line is adjusted by what was read.
fn past(luck: &mut ChaCha8Rng, b: &Behaviour, weeks: u32) -> Past {
    let mut normal = |variance: f64| -> f64 {
        let z: f64 = StandardNormal.sample(luck);
        z * variance.sqrt()
    };
    let mut own: Vec<f64> = (0..6).map(|_| normal(b.new_part_spread)).collect();
    let people = [normal(b.person), normal(b.person)];
    let cup = normal(0.02 * 0.02);
    let mut walk = 0.0;
    let mut visits = Vec::new();
    for week in 0..weeks {
        walk += normal(b.machine_walk);
        let day = normal(b.day);
        let person = (week / 3 % 2) as usize;
        let mut visit = Visit { at: f64::from(week), happened: Vec::new() };
        let mut worst = (0, 0.0_f64);
        for (line, own) in own.iter_mut().enumerate() {
            if week > 0 {
                *own += b.drift + normal(b.walk);
                if ouncewise_measure::special::normal_below(normal(1.0)) < b.shock_chance {
                    *own += normal(b.shock);
                }
            }
            let noise = 0.01 * 0.01;
            let value = *own + walk + day + cup + people[person] + normal(noise);
            if value.abs() > worst.1.abs() {
                worst = (line, value);
            }
            visit.happened.push(Happened::Read(Reading {
                line,
                said: Said::Value(value, noise),
                measure: Some((0, 0.02 * 0.02)),
                person: Some(person as u32),
            }));
        }
        if week % 4 == 3 {
            let meant = -worst.1;
            let share = b.response + normal(b.response_spread);
            own[worst.0] += share * meant + normal(b.adjusting);
            visit.happened.push(Happened::Adjusted(worst.0, Some(meant)));
        }
        visits.push(visit);
    }
    Past { targets: vec![0.0; 6], visits }
}

fn fleet(machines: usize, weeks: u32, seed: u64) -> Vec<Past> {
    let mut luck = ChaCha8Rng::seed_from_u64(seed);
    (0..machines).map(|_| past(&mut luck, &TRUE, weeks)).collect()
}

#[test]
fn what_was_put_in_is_found_again() {
    let pasts = fleet(50, 60, 11);
    let fitted = fit(&pasts, &Behaviour::default(), 2).unwrap();
    let found = &fitted.behaviour;
    let root = |variance: f64, wanted: f64, within: f64| {
        let ratio = (variance / wanted).sqrt();
        assert!((ratio - 1.0).abs() < within, "{variance} is not {wanted}");
    };
    root(found.walk, TRUE.walk, 0.08);
    root(found.machine_walk, TRUE.machine_walk, 0.25);
    root(found.day, TRUE.day, 0.08);
    root(found.person, TRUE.person, 0.35);
    root(found.shock, TRUE.shock, 0.15);
    assert!((found.drift - TRUE.drift).abs() < 0.0006, "{}", found.drift);
    assert!((found.shock_chance / TRUE.shock_chance - 1.0).abs() < 0.25);
    assert!((found.response - TRUE.response).abs() < 0.05, "{}", found.response);
    assert!(fitted.log_likelihood.0 > fitted.log_likelihood.1 + 50.0);
    assert_eq!((fitted.machines, fitted.readings), (50, 50 * 60 * 6));
}

#[test]
fn the_answer_does_not_depend_on_threads() {
    let pasts = fleet(30, 12, 3);
    let some: Vec<&Past> = pasts.iter().collect();
    let one = log_likelihood(&some, &TRUE, 1);
    for threads in [2, 3, 7, 100] {
        assert_eq!(log_likelihood(&some, &TRUE, threads).to_bits(), one.to_bits());
    }
}

#[test]
fn few_machines_keep_the_stated_priors() {
    assert_eq!(fit(&fleet(FEWEST - 1, 8, 5), &Behaviour::default(), 1), None);
    let mut empty = fleet(FEWEST, 4, 5);
    empty[0].visits.clear();
    assert_eq!(fit(&empty, &Behaviour::default(), 1), None);
}

// No walk of the machine and no effect of people were put in: both may come out as nothing.
#[test]
fn nothing_is_a_legal_answer() {
    let none = Behaviour { machine_walk: 0.0, person: 0.0, shock_chance: 0.0, ..TRUE };
    let mut luck = ChaCha8Rng::seed_from_u64(23);
    let pasts: Vec<Past> = (0..30).map(|_| past(&mut luck, &none, 40)).collect();
    let found = fit(&pasts, &Behaviour::default(), 2).unwrap().behaviour;
    assert!(found.machine_walk.sqrt() < 0.002, "{}", found.machine_walk.sqrt());
    assert!(found.person.sqrt() < 0.006, "{}", found.person.sqrt());
    // Rare shocks and shocks of no size are the same nothing.
    assert!(found.shock_chance * found.shock < 0.05 * found.walk, "{found:?}");
}
