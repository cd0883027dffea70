//! Forecasts against sums over a grid, paths drawn one by one, and the inverse Gaussian distribution.

use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution as _, StandardNormal};

use super::*;

fn first_off(
    behaviour: &Behaviour,
    now: Level,
    (low, high): (f64, f64),
    weeks: usize,
    enough: f64,
) -> FirstOff {
    Weekly::new(behaviour, high - low).unwrap().first_off(now, low, weeks, enough)
}

use crate::joint::tests::QUIET;
use crate::score::{Part, crps_mixture};

const STEADY: Behaviour = Behaviour { walk: 0.0001, drift: -0.002, ..QUIET };

fn near(value: f64, wanted: f64, within: f64) {
    assert!((value - wanted).abs() <= within, "{value} is not {wanted}");
}

fn mixture() -> Ahead {
    Ahead {
        calm: Level { mean: 0.1, variance: 0.04 },
        shocked: Level { mean: -0.2, variance: 0.5 },
        chance: 0.3,
    }
}

// Independent computation: CRPS is the integral of (F(x) − [x ≥ y])².
#[test]
fn a_mixture_scores_as_its_integral() {
    let ahead = mixture();
    let part = |share: f64, l: Level| Part { share, mean: l.mean, sd: l.variance.sqrt() };
    let parts = [part(1.0 - ahead.chance, ahead.calm), part(ahead.chance, ahead.shocked)];
    for then in [-1.0, 0.05, 0.6] {
        let step = 1e-3;
        let sum: f64 = (-8000..8000)
            .map(|k| (f64::from(k) + 0.5) * step)
            .map(|x| (ahead.below(x) - f64::from(x >= then)).powi(2) * step)
            .sum();
        near(crps_mixture(&parts, then), sum, 1e-6);
    }
}

#[test]
fn quantiles_turn_chances_around() {
    let ahead = mixture();
    for p in [0.001, 0.1, 0.5, 0.9, 0.999] {
        near(ahead.below(ahead.quantile(p)), p, 1e-9);
    }
    near(ahead.outside(ahead.quantile(0.05), ahead.quantile(0.95)), 0.1, 1e-9);
}

// Without a walk a level that only sinks is off exactly when it is below the limit.
#[test]
fn a_level_that_only_sinks_is_off_when_it_is_below() {
    let behaviour = Behaviour { walk: 0.0, ..STEADY };
    let now = Level { mean: 0.01, variance: 0.01 * 0.01 };
    let first = first_off(&behaviour, now, (-0.05, 0.05), 40, 1.0);
    for (week, chance) in first.by_week.iter().enumerate() {
        let mean = 0.01 - 0.002 * week as f64;
        // The grid spreads it by half a cell a week.
        let cell = 0.1 / CELLS.1 as f64;
        let sd = (now.variance + 0.25 * cell * cell * week as f64).sqrt();
        let start_over = 1.0 - normal_below((0.05 - 0.01) / 0.01);
        near(*chance, normal_below((-0.05 - mean) / sd) + start_over, 0.004);
    }
}

// Independent computation: 40 000 paths, one by one.
#[test]
fn the_grid_is_as_many_paths() {
    let behaviour =
        Behaviour { shock_chance: 0.01, shock: 0.0225, machine_walk: 0.00002, ..STEADY };
    let now = Level { mean: 0.012, variance: 0.0004 };
    let weeks = 30;
    let first = first_off(&behaviour, now, (-0.05, 0.05), weeks, 1.0);
    let mut luck = ChaCha8Rng::seed_from_u64(7);
    let paths = 40_000;
    let mut off = vec![0u32; weeks + 1];
    for _ in 0..paths {
        let mut normal = || -> f64 { StandardNormal.sample(&mut luck) };
        let mut level = now.mean + normal() * now.variance.sqrt();
        for (week, count) in off.iter_mut().enumerate() {
            if week > 0 {
                level +=
                    behaviour.drift + normal() * (behaviour.walk + behaviour.machine_walk).sqrt();
                if normal_below(normal()) < behaviour.shock_chance {
                    level += normal() * behaviour.shock.sqrt();
                }
            }
            if !(-0.05..=0.05).contains(&level) {
                *count += 1;
                break;
            }
        }
    }
    let mut counted = 0;
    for (week, new) in off.iter().enumerate() {
        counted += new;
        let share = f64::from(counted) / f64::from(paths);
        let error = (share * (1.0 - share) / f64::from(paths)).sqrt();
        near(first.by_week[week], share, 4.0 * error + 0.002);
    }
    assert!(counted > paths / 2);
    let weeks = [0.1, 0.5, 0.9].map(|p| first.week(p));
    assert!(weeks[0] < weeks[1], "{weeks:?}");
}

// Independent computation: cells that are ten times finer.
#[test]
fn as_many_cells_as_are_taken_are_enough() {
    for (walk, drift, tolerance) in [
        (4.5e-5, -0.001, 0.05),
        (4.5e-5, 0.0, 0.08),
        (1e-4, -0.004, 0.05),
        (9e-6, -0.001, 0.03),
        (4e-4, 0.0, 0.1),
    ] {
        let behaviour = Behaviour { walk, drift, shock_chance: 0.01, shock: 0.0225, ..QUIET };
        let ends = (-tolerance, tolerance);
        for mean in [0.0, 0.6 * tolerance, -0.9 * tolerance] {
            let now = Level { mean, variance: 0.012 * 0.012 };
            let taken = first_off(&behaviour, now, ends, 104, 1.0);
            let finer =
                Weekly::of(800, &behaviour, ends.1 - ends.0).first_off(now, ends.0, 104, 1.0);
            for (week, (taken, finer)) in taken.by_week.iter().zip(&finer.by_week).enumerate() {
                assert!(
                    (taken - finer).abs() < 0.003,
                    "{walk} {drift} {tolerance} {mean}: week {week}: {taken} {finer}"
                );
            }
        }
    }
}

// Inverse Gaussian: a walk with drift v to a limit at distance a has mean time a/v and shape a²/σ².
// Looked at once a step only, the limit is farther by 0.5826 σ (Siegmund 1985).
#[test]
fn small_steps_come_near_the_inverse_gaussian() {
    let behaviour = Behaviour { walk: 1e-5, drift: -0.0005, ..STEADY };
    let now = Level { mean: 0.0, variance: 1e-14 };
    let first = first_off(&behaviour, now, (-0.05, 0.15), 300, 1.0);
    let sigma = behaviour.walk.sqrt();
    let limit = 0.05 + 0.5826 * sigma;
    for time in [50.0, 100.0, 200.0] {
        let root = sigma * f64::sqrt(time);
        let chance = normal_below((0.0005 * time - limit) / root)
            + (2.0 * 0.0005 * limit / behaviour.walk).exp()
                * normal_below((-0.0005 * time - limit) / root);
        near(first.by_week[time as usize], chance, 0.005);
    }
}

#[test]
fn tails_widen_from_near_to_far() {
    let tails = Tails { near: 1.1, far: 1.6 };
    near(tails.at(0.0), 1.1, 1e-12);
    near(tails.at(1.0), 1.1, 1e-12);
    near(tails.at(13.0), 1.6, 1e-12);
    near(tails.at(52.0), 1.6, 1e-12);
    let now = Level { mean: 0.0, variance: 0.0001 };
    let wide = ahead(&STEADY, now, 13.0, &tails);
    let plain = ahead(&STEADY, now, 13.0, &Tails::default());
    near(wide.calm.variance / plain.calm.variance, 1.6 * 1.6, 1e-12);
}
