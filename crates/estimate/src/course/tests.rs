//! The way back against the book's Nile, and against conditioning on everything at once.

use super::*;
use crate::joint::Said;
use crate::joint::tests::{Everything, QUIET, Sum, near};
use crate::past::Visit;

fn read(line: usize, value: f64, noise: f64) -> Happened {
    let said = Said::Value(value, noise);
    Happened::Read(Reading { line, said, measure: None, person: None })
}

// Durbin & Koopman 2012, chapter 2, smoothed with noise 15099 and walk 1469.1: computed from the
// exact diffuse start. A start of variance 1e10 is off by 15099²/1e10.
#[test]
fn the_nile_is_smoothed_as_in_the_book() {
    let visits: Vec<Visit> = include_str!("../series/data/nile.csv")
        .lines()
        .skip(2)
        .map(|line| {
            let (year, volume) = line.split_once(',').unwrap();
            let happened = vec![read(0, volume.parse().unwrap(), 15099.0)];
            Visit { at: year.parse().unwrap(), happened }
        })
        .collect();
    let past = Past { targets: vec![1000.0], visits };
    let behaviour = Behaviour { walk: 1469.1, new_part_spread: 1e10, ..QUIET };
    let course = course(&past, &behaviour, 0);
    assert_eq!(course.len(), 100);
    for (index, mean, variance) in
        [(0, 1111.66832, 4032.158), (28, 950.93009, 2326.757), (99, 798.37029, 4032.158)]
    {
        near(course[index].found.mean, mean, 1e-3);
        near(course[index].found.variance, variance, 0.03);
        assert_eq!(course[index].found, course[index].left, "nothing was done");
    }
}

/// What happens at a visit of the script below, beside its readings.
enum Act {
    Nothing,
    Adjust(usize, f64),
    Clean(usize),
    Teach(usize, f64, usize, usize),
    Renew(usize, f64),
}

// Independent computation: every level is a sum of independent draws, and each visit's is conditioned
// on all readings of the whole past at once. Two lines, three measures and five people (more than
// the filter remembers), a line that was not read, and all that can be done to a line.
#[test]
fn each_level_is_as_by_all_readings_at_once() {
    let b = Behaviour {
        walk: 0.3,
        drift: -0.1,
        machine_walk: 0.2,
        day: 0.5,
        person: 0.4,
        new_part: 0.2,
        new_part_spread: 2.0,
        response: 0.9,
        response_spread: 0.04,
        adjusting: 0.01,
        cleaning: 0.05,
        teaching: 0.15,
        ..QUIET
    };
    let cups = [0.6, 0.1, 0.3];
    let script: [(f64, &[(usize, f64, usize, usize)], Act); 6] = [
        (0.0, &[(0, 1.7, 0, 0), (1, 2.9, 0, 0)], Act::Adjust(0, -0.5)),
        (1.0, &[(0, 1.1, 2, 1), (0, 1.3, 1, 1)], Act::Clean(1)),
        (2.0, &[(1, 2.2, 0, 2), (0, 0.4, 0, 2)], Act::Teach(1, 2.0, 0, 2)),
        (1.0, &[(0, 0.9, 0, 3), (1, 2.5, 1, 3)], Act::Renew(0, 1.5)),
        (3.0, &[(0, 1.2, 2, 4), (1, 2.4, 0, 0)], Act::Nothing),
        (0.5, &[(0, 1.9, 0, 0)], Act::Adjust(1, 0.3)),
    ];
    let mut all = Everything::default();
    let mut lines = [all.draw(2.0), all.draw(2.0)];
    let mut means = [1.0 + b.new_part, 2.0 + b.new_part];
    let mut walk: Sum = vec![];
    let measures = cups.map(|variance| all.draw(variance));
    let people = [0.4; 5].map(|variance| all.draw(variance));
    let (mut visits, mut at) = (Vec::new(), 0.0);
    let mut wanted: Vec<[(Sum, f64); 4]> = Vec::new();
    for (weeks, readings, act) in &script {
        at += weeks;
        for (line, level) in lines.iter_mut().enumerate() {
            *level = Everything::add(level, &all.draw(b.walk * weeks), 1.0);
            means[line] += b.drift * weeks;
        }
        walk = Everything::add(&walk, &all.draw(b.machine_walk * weeks), 1.0);
        let day = all.draw(b.day);
        let mut happened = Vec::new();
        let told = |lines: &[Sum; 2], means: [f64; 2]| {
            [0, 1].map(|line| (Everything::add(&lines[line], &walk, 1.0), means[line]))
        };
        for &(line, value, measure, person) in *readings {
            let mut sum = lines[line].clone();
            for part in [&walk, &day, &measures[measure], &people[person]] {
                sum = Everything::add(&sum, part, 1.0);
            }
            all.readings.push((sum, value - means[line], 0.25));
            happened.push(Happened::Read(Reading {
                line,
                said: Said::Value(value, 0.25),
                measure: Some((measure as u32, cups[measure])),
                person: Some(person as u32),
            }));
        }
        let found = told(&lines, means);
        match *act {
            Act::Nothing => {}
            Act::Adjust(line, meant) => {
                let error = all.draw(0.04 * meant * meant + 0.01);
                lines[line] = Everything::add(&lines[line], &error, 1.0);
                means[line] += 0.9 * meant;
                happened.push(Happened::Adjusted(line, Some(meant)));
            }
            Act::Clean(line) => {
                lines[line] = Everything::add(&lines[line], &all.draw(0.05), 1.0);
                happened.push(Happened::Cleaned(line));
            }
            Act::Teach(line, mark, cup, person) => {
                let error = all.draw(0.15);
                let parts = [&walk, &day, &measures[cup], &people[person]];
                lines[line] = parts.into_iter().fold(error, |s, p| Everything::add(&s, p, -1.0));
                means[line] = mark;
                let (cup, who) = (Some((cup as u32, cups[cup])), Some(person as u32));
                happened.push(Happened::Taught(line, mark, cup, who));
            }
            Act::Renew(line, target) => {
                lines[line] = all.draw(2.0);
                means[line] = target + b.new_part;
                happened.push(Happened::Renewed(line, target));
            }
        }
        let [left_0, left_1] = told(&lines, means);
        let [found_0, found_1] = found;
        wanted.push([found_0, left_0, found_1, left_1]);
        visits.push(Visit { at, happened });
    }
    let past = Past { targets: vec![1.0, 2.0], visits };
    for line in 0..2 {
        for (stood, wanted) in course(&past, &b, line).iter().zip(&wanted) {
            for (level, (sum, mean)) in
                [stood.found, stood.left].iter().zip(&wanted[2 * line..2 * line + 2])
            {
                let wanted = all.told(sum, *mean);
                near(level.mean, wanted.mean, 1e-9);
                near(level.variance, wanted.variance, 1e-9);
            }
        }
    }
}

// A line that lost a fifth at once: seen from afterwards it stood still, fell, and stood still.
#[test]
fn a_shock_is_a_jump_and_not_a_slope() {
    let b = Behaviour {
        walk: 0.003 * 0.003,
        shock_chance: 0.01,
        shock: 0.15 * 0.15,
        new_part_spread: 0.05 * 0.05,
        ..QUIET
    };
    let value = |week: u32| {
        let noise = 0.01 * f64::from((week * 5) % 7) / 7.0 - 0.004;
        if week < 10 { noise } else { -0.2 + noise }
    };
    let visit = |week: u32| Visit {
        at: f64::from(week),
        happened: vec![read(0, value(week), 0.01 * 0.01)],
    };
    let past = Past { targets: vec![0.0], visits: (0..20).map(visit).collect() };
    let course = course(&past, &b, 0);
    near(course[9].left.mean, 0.0, 0.006);
    near(course[10].found.mean, -0.2, 0.006);
    assert!(super::course(&past, &b, 1).is_empty(), "there is no such line");
}
