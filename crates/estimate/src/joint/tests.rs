//! The joint filter against steps by hand, against conditioning on everything at once, and against sums over a grid.

use ouncewise_measure::special::normal_density;

use super::matched::truncated;
use super::*;

/// Nothing moves by itself, and nothing that is done has an error.
pub(crate) const QUIET: Behaviour = Behaviour {
    walk: 0.0,
    drift: 0.0,
    machine_walk: 0.0,
    day: 0.0,
    person: 0.0,
    shock_chance: 0.0,
    shock: 0.0,
    shared_chance: 0.0,
    shared_shock: 0.0,
    new_part: 0.0,
    new_part_spread: 0.0,
    response: 1.0,
    response_spread: 0.0,
    adjusting: 0.0,
    cleaning: 0.0,
    teaching: 0.0,
};

pub(crate) fn near(value: f64, wanted: f64, within: f64) {
    assert!((value - wanted).abs() <= within, "{value} is not {wanted}");
}

fn plainly(line: usize, value: f64, noise: f64) -> Reading {
    Reading { line, said: Said::Value(value, noise), measure: None, person: None }
}

// By hand: noise variance 1, walk 0.05 a week, start N(0, 4), a week without a reading, an
// adjustment with an error of its own, a new part.
#[test]
fn one_line_by_hand() {
    let behaviour = Behaviour { walk: 0.05, new_part_spread: 4.0, adjusting: 0.04, ..QUIET };
    let mut joint = Joint::new(&behaviour, &[0.0]);
    let steps = [
        (0.0, 0.9, 0.402492, 0.72, 0.8),
        (1.0, 1.3, 0.426424, 0.986486, 0.459459),
        (2.0, 0.7, -0.229413, 0.883709, 0.358752),
        (1.0, 1.6, 0.603493, 1.091542, 0.290152),
    ];
    for (weeks, value, surprise, mean, variance) in steps {
        joint.pass(&behaviour, weeks);
        let scored = joint.read(&behaviour, &plainly(0, value, 1.0));
        near(scored.surprise, surprise, 1e-6);
        near(joint.level(0).mean, mean, 1e-6);
        near(joint.level(0).variance, variance, 1e-6);
    }
    joint.adjust(&behaviour, 0, -joint.level(0).mean);
    near(joint.level(0).mean, 0.0, 1e-12);
    near(joint.level(0).variance, 0.330152, 1e-6);
    joint.pass(&behaviour, 1.0);
    near(joint.read(&behaviour, &plainly(0, 0.2, 1.0)).surprise, 0.170242, 1e-6);
    near(joint.level(0).mean, 0.055088, 1e-6);
    joint.renew(&behaviour, 0, 0.0);
    joint.read(&behaviour, &plainly(0, -0.5, 1.0));
    near(joint.level(0).mean, -0.4, 1e-12);
    joint.pass(&behaviour, 1.0);
    near(1.0 - joint.level(0).chance_between(-2.0, 2.0), 0.0459495, 1e-6);
}

/// A sum of independent standard normals, by their weights.
pub(crate) type Sum = Vec<f64>;

/// Everything that was ever drawn, for conditioning on all readings at once.
#[derive(Default)]
pub(crate) struct Everything {
    sources: usize,
    pub(crate) readings: Vec<(Sum, f64, f64)>,
}

impl Everything {
    pub(crate) fn draw(&mut self, variance: f64) -> Sum {
        self.sources += 1;
        let mut sum = vec![0.0; self.sources];
        sum[self.sources - 1] = variance.sqrt();
        sum
    }

    pub(crate) fn add(a: &Sum, b: &Sum, times: f64) -> Sum {
        (0..a.len().max(b.len()))
            .map(|i| a.get(i).unwrap_or(&0.0) + times * b.get(i).unwrap_or(&0.0))
            .collect()
    }

    fn dot(a: &Sum, b: &Sum) -> f64 {
        a.iter().zip(b).map(|(x, y)| x * y).sum()
    }

    /// Mean and variance of a sum with this mean, by all readings: solves C w = c by elimination.
    pub(crate) fn told(&self, sum: &Sum, mean: f64) -> Level {
        let n = self.readings.len();
        let mut rows: Vec<Vec<f64>> = (0..n)
            .map(|i| {
                let mut row: Vec<f64> =
                    (0..n).map(|j| Self::dot(&self.readings[i].0, &self.readings[j].0)).collect();
                row[i] += self.readings[i].2;
                row.push(Self::dot(&self.readings[i].0, sum));
                row
            })
            .collect();
        for i in 0..n {
            let pivot = rows[i].clone();
            for row in rows.iter_mut().skip(i + 1) {
                let share = row[i] / pivot[i];
                row.iter_mut().zip(&pivot).for_each(|(a, b)| *a -= share * b);
            }
        }
        let mut weights = vec![0.0; n];
        for i in (0..n).rev() {
            let rest: f64 = (i + 1..n).map(|j| rows[i][j] * weights[j]).sum();
            weights[i] = (rows[i][n] - rest) / rows[i][i];
        }
        let shift: f64 = weights.iter().zip(&self.readings).map(|(w, r)| w * r.1).sum();
        let gained: f64 =
            weights.iter().zip(&self.readings).map(|(w, r)| w * Self::dot(&r.0, sum)).sum();
        Level { mean: mean + shift, variance: Self::dot(sum, sum) - gained }
    }
}

// Independent computation: every level is a sum of independent draws, and all readings are
// conditioned on at once. Two lines, two measures, two people, a missed week, a line that was not
// read, an adjustment, a clean, and a draw that was taught.
#[test]
fn step_by_step_is_as_all_at_once() {
    let b = Behaviour {
        walk: 0.3,
        drift: -0.1,
        machine_walk: 0.2,
        day: 0.5,
        person: 0.4,
        new_part_spread: 2.0,
        response: 0.9,
        response_spread: 0.04,
        adjusting: 0.01,
        cleaning: 0.05,
        teaching: 0.15,
        ..QUIET
    };
    let mut joint = Joint::new(&b, &[1.0, 2.0]);
    let mut all = Everything::default();
    let mut lines = [all.draw(2.0), all.draw(2.0)];
    let mut means = [1.0, 2.0];
    let mut walk: Sum = vec![];
    let measures = [all.draw(0.6), all.draw(0.1)];
    let people = [all.draw(0.4), all.draw(0.4)];
    let script: [(f64, &[(usize, f64, usize, usize)]); 4] = [
        (0.0, &[(0, 1.7, 0, 0), (1, 2.9, 0, 0)]),
        (1.0, &[(0, 1.1, 0, 1), (0, 1.3, 1, 1)]),
        (2.0, &[(1, 2.2, 0, 0), (0, 0.4, 0, 0)]),
        (1.0, &[(0, 0.9, 0, 1), (1, 2.5, 1, 0)]),
    ];
    for (visit, (weeks, readings)) in script.into_iter().enumerate() {
        joint.pass(&b, weeks);
        for line in 0..2 {
            let step = all.draw(b.walk * weeks);
            lines[line] = Everything::add(&lines[line], &step, 1.0);
            means[line] += b.drift * weeks;
        }
        let step = all.draw(b.machine_walk * weeks);
        walk = Everything::add(&walk, &step, 1.0);
        let day = all.draw(b.day);
        for &(line, value, measure, person) in readings {
            let measure_variance = [0.6, 0.1][measure];
            joint.read(
                &b,
                &Reading {
                    line,
                    said: Said::Value(value, 0.25),
                    measure: Some((measure as u32, measure_variance)),
                    person: Some(person as u32),
                },
            );
            let parts = [&walk, &day, &measures[measure], &people[person]];
            let sum =
                parts.into_iter().fold(lines[line].clone(), |s, p| Everything::add(&s, p, 1.0));
            all.readings.push((sum, value - means[line], 0.25));
        }
        match visit {
            0 => {
                joint.adjust(&b, 0, -0.5);
                let error = all.draw(0.04 * 0.25 + 0.01);
                lines[0] = Everything::add(&lines[0], &error, 1.0);
                means[0] += 0.9 * -0.5;
            }
            1 => {
                joint.clean(&b, 1);
                let error = all.draw(0.05);
                lines[1] = Everything::add(&lines[1], &error, 1.0);
            }
            2 => {
                joint.teach(&b, 1, 2.0, Some((0, 0.6)), Some(0));
                let parts = [&walk, &day, &measures[0], &people[0]];
                let error = all.draw(0.15);
                lines[1] = parts.into_iter().fold(error, |s, p| Everything::add(&s, p, -1.0));
                means[1] = 2.0;
            }
            _ => {}
        }
        for line in 0..2 {
            let wanted = all.told(&Everything::add(&lines[line], &walk, 1.0), means[line]);
            near(joint.level(line).mean, wanted.mean, 1e-10);
            near(joint.level(line).variance, wanted.variance, 1e-10);
        }
        let wanted = all.told(&measures[0], 0.0);
        let error = joint.measure_error(0).unwrap();
        near(error.mean, wanted.mean, 1e-10);
        near(error.variance, wanted.variance, 1e-10);
        near(joint.today().mean, all.told(&day, 0.0).mean, 1e-10);
    }
}

/// Mean, variance and mass by a sum over a fine grid.
fn summed(density: impl Fn(f64) -> f64) -> (f64, f64, f64) {
    let points = (-40_000..=40_000).map(|k| f64::from(k) * 1e-4);
    let (mut mass, mut first, mut second) = (0.0, 0.0, 0.0);
    for x in points {
        let d = density(x) * 1e-4;
        mass += d;
        first += x * d;
        second += x * x * d;
    }
    let mean = first / mass;
    (mean, second / mass - mean * mean, mass)
}

fn normal(x: f64, mean: f64, variance: f64) -> f64 {
    normal_density((x - mean) / variance.sqrt()) / variance.sqrt()
}

// Independent computation: prior and likelihood multiplied on a grid.
#[test]
fn a_shock_is_a_mixture_with_the_right_moments() {
    let b = Behaviour { shock_chance: 0.05, shock: 0.09, new_part_spread: 0.01, ..QUIET };
    for value in [0.02, -0.25, -0.6] {
        let mut joint = Joint::new(&b, &[0.0]);
        joint.pass(&b, 2.0);
        let scored = joint.read(&b, &plainly(0, value, 0.0004));
        let chance = 1.0 - 0.95 * 0.95;
        let (mean, variance, mass) = summed(|x| {
            ((1.0 - chance) * normal(x, 0.0, 0.01) + chance * normal(x, 0.0, 0.1))
                * normal(value, x, 0.0004)
        });
        near(joint.level(0).mean, mean, 1e-9);
        near(joint.level(0).variance, variance, 1e-9);
        near(scored.log_likelihood(), mass.ln(), 1e-8);
    }
}

#[test]
fn what_lies_beside_a_shock_keeps_its_covariance_whole() {
    let b = Behaviour {
        walk: 0.001,
        machine_walk: 0.002,
        day: 0.003,
        shock_chance: 0.05,
        shock: 0.09,
        new_part_spread: 0.01,
        ..QUIET
    };
    let mut joint = Joint::new(&b, &[0.0, 0.0, 0.0]);
    for week in 0..60 {
        joint.pass(&b, 1.0);
        for line in 0..3 {
            let value = 0.3 * f64::from((week * 7 + line as i32 * 5) % 11 - 5) / 5.0;
            joint.read(&b, &plainly(line, value, 0.0004));
        }
        for i in 0..3 {
            assert!(joint.level(i).variance > 0.0);
            for j in 0..3 {
                near(joint.at(i, j), joint.at(j, i), 1e-12);
                let bound = (joint.at(i, i) * joint.at(j, j)).sqrt();
                assert!(joint.at(i, j).abs() <= bound * (1.0 + 1e-9));
            }
        }
    }
}

// Independent computation, as above: the reading lies between two values, before which comes a
// noise of its own.
#[test]
fn a_mark_is_an_interval() {
    let b = Behaviour { new_part_spread: 0.04, shock_chance: 0.1, shock: 0.09, ..QUIET };
    for (low, high) in [(-0.02, 0.02), (0.1, f64::INFINITY), (f64::NEG_INFINITY, -0.5)] {
        let mut joint = Joint::new(&b, &[0.0]);
        joint.pass(&b, 1.0);
        let said = Said::Between(low, high, 0.0009);
        let scored = joint.read(&b, &Reading { line: 0, said, measure: None, person: None });
        let (mean, variance, mass) = summed(|x| {
            (0.9 * normal(x, 0.0, 0.04) + 0.1 * normal(x, 0.0, 0.13))
                * (normal_below((high - x) / 0.03) - normal_below((low - x) / 0.03))
        });
        near(joint.level(0).mean, mean, 1e-8);
        near(joint.level(0).variance, variance, 1e-8);
        near(scored.log_likelihood(), mass.ln(), 1e-7);
    }
}

#[test]
fn far_tails_of_an_interval_are_told_without_a_fault() {
    for (low, high) in
        [(50.0, f64::INFINITY), (f64::NEG_INFINITY, -50.0), (60.0, 61.0), (-1e9, 1e9), (3.0, 3.0)]
    {
        let (chance, mean, variance) = truncated(low, high);
        assert!(
            (0.0..=1.0).contains(&chance) && mean.is_finite() && (0.0..=1.0).contains(&variance)
        );
        assert!(mean >= low - 1e-6 && mean <= high + 1e-6, "{low} {high} {mean}");
    }
}

// A measure's own error never averages away: a hundred catches with one cup leave its doubt.
#[test]
fn repeating_with_one_cup_does_not_make_it_true() {
    let b = Behaviour { new_part_spread: 0.0025, ..QUIET };
    let cup = Some((0, 0.04 * 0.04));
    let mut joint = Joint::new(&b, &[0.0]);
    for _ in 0..100 {
        let said = Said::Value(0.04, 0.01 * 0.01);
        joint.read(&b, &Reading { line: 0, said, measure: cup, person: None });
    }
    // Line 0.05² against cup 0.04²: the doubt that stays is √(1/(1/0.05² + 1/0.04²)).
    let stays = (1.0 / (1.0 / 0.0025 + 1.0 / 0.0016_f64)).sqrt();
    assert!(joint.level(0).variance.sqrt() > stays);
    assert!(joint.level(0).chance_between(-0.05, 0.05) < 0.9);
}

#[test]
fn the_order_of_lines_at_a_visit_does_not_matter() {
    let b = Behaviour { walk: 0.01, machine_walk: 0.01, day: 0.02, new_part_spread: 1.0, ..QUIET };
    let told = |order: [usize; 3]| {
        let mut joint = Joint::new(&b, &[0.0; 3]);
        joint.pass(&b, 1.0);
        for line in order {
            joint.read(&b, &plainly(line, line as f64 - 1.0, 0.1));
        }
        [0, 1, 2].map(|line| joint.level(line))
    };
    for (a, b) in told([0, 1, 2]).iter().zip(told([2, 0, 1])) {
        near(a.mean, b.mean, 1e-12);
        near(a.variance, b.variance, 1e-12);
    }
}

#[test]
fn another_machine_keeps_the_cup_and_nothing_else() {
    let b = Behaviour { machine_walk: 0.1, day: 0.1, new_part_spread: 1.0, ..QUIET };
    let mut joint = Joint::new(&b, &[0.0, 0.0]);
    joint.pass(&b, 1.0);
    let said = Said::Value(2.0, 0.1);
    joint.read(&b, &Reading { line: 0, said, measure: Some((7, 0.5)), person: None });
    let cup = joint.measure_error(7);
    joint.swap(&b, &[0.0, 0.0]);
    assert_eq!(joint.level(0), Level { mean: 0.0, variance: 1.0 });
    assert_eq!(joint.shared(), Level { mean: 0.0, variance: 0.0 });
    assert_eq!(joint.measure_error(7), cup);
}

// Twelve lines that lose a tenth at once: the filter without a shared shock would call it twelve.
#[test]
fn what_moves_all_lines_is_told_as_one_move() {
    let b = Behaviour {
        walk: 0.005 * 0.005,
        machine_walk: 0.003 * 0.003,
        day: 0.008 * 0.008,
        shock_chance: 0.01,
        shock: 0.15 * 0.15,
        shared_chance: 0.005,
        shared_shock: 0.08 * 0.08,
        new_part_spread: 0.02 * 0.02,
        ..QUIET
    };
    let lines: Vec<f64> = (0..12).map(|line| 0.02 * f64::from(line % 5) - 0.04).collect();
    let mut joint = Joint::new(&b, &[0.0; 12]);
    let visit = |joint: &mut Joint, shift: f64, week: u32| {
        joint.pass(&b, 1.0);
        let readings: Vec<Reading> = (0..12)
            .map(|line| {
                let noise = 0.01 * f64::from((week * 5 + line * 3) % 7) / 7.0 - 0.004;
                plainly(line as usize, lines[line as usize] + shift + noise, 0.01 * 0.01)
            })
            .collect();
        joint.read_together(&b, &readings)
    };
    for week in 0..10 {
        assert!(!visit(&mut joint, 0.0, week).1, "{week}");
    }
    // One line that is caught first leaves it to the others.
    let mut late = joint.clone();
    late.pass(&b, 1.0);
    late.read_together(&b, &[plainly(0, lines[0] - 0.10, 0.0001)]);
    let others: Vec<Reading> =
        (1..12).map(|line| plainly(line, lines[line] - 0.10, 0.0001)).collect();
    assert!(late.read_together(&b, &others).1);
    let (scored, shared) = visit(&mut joint, -0.10, 10);
    assert!(shared);
    assert!(scored.iter().all(|s| s.shocked < 0.2), "{scored:?}");
    near(joint.shared().mean + joint.today().mean, -0.10, 0.02);
    // One line alone is that line's own.
    joint.pass(&b, 1.0);
    let mut readings: Vec<Reading> =
        (0..12).map(|line| plainly(line, lines[line] - 0.10, 0.0001)).collect();
    readings[4] = plainly(4, lines[4] - 0.35, 0.0001);
    let (scored, shared) = joint.read_together(&b, &readings);
    assert!(!shared && scored[4].shocked > 0.9);
}
