//! Truths move as configured.

use super::super::machine::Machine;
use super::super::nature::Nature;
use super::super::shape::Shape;
use super::{moments, still};

fn lived(nature: &Nature, sites: usize, weeks: u32) -> impl Iterator<Item = Machine> {
    (0..sites).map(move |site| {
        let mut machine = Machine::new(nature, 5, site, 4);
        for _week in 0..weeks {
            machine.pass_week();
        }
        machine
    })
}

// Random walk: after n weeks the variance is n q; the wear is n times its rate.
#[test]
fn lines_walk_and_wear_as_configured() {
    for shape in [Shape::Bell, Shape::Heavy, Shape::Leaning] {
        let nature = Nature {
            line_walk: 0.005,
            line_start: 0.0,
            walk_shape: shape,
            wear_valve: 0.001,
            wear_pump: 0.001,
            wear_spread: 0.0,
            ..still()
        };
        let weeks = 40;
        let ends: Vec<f64> = lived(&nature, 500, weeks)
            .flat_map(|machine| (0..4).map(|line| machine.served(line)).collect::<Vec<_>>())
            .collect();
        let n = ends.len() as f64;
        let (mean, variance) = moments(&ends);
        let expected = 0.005_f64.powi(2) * f64::from(weeks);
        assert!((mean + 0.04).abs() < 4.0 * (expected / n).sqrt(), "{shape:?} {mean}");
        // Standard error of a variance: σ² √((κ−1)/n), and a sum of 40 steps of kurtosis at most 9
        // has κ ≤ 3 + 6/40.
        assert!(
            (variance / expected - 1.0).abs() < 4.0 * (2.15 / n).sqrt(),
            "{shape:?} {variance}"
        );
    }
}

// The lines of a machine share its walk: the mean of their levels varies as the walk does.
#[test]
fn lines_of_a_machine_share_its_walk() {
    let nature = Nature { machine_walk: 0.003, line_start: 0.0, ..still() };
    let levels: Vec<f64> = lived(&nature, 1500, 20)
        .map(|machine| {
            assert!((machine.served(0) - machine.served(3)).abs() < 1e-12);
            machine.served(0)
        })
        .collect();
    let (_, variance) = moments(&levels);
    let expected = 20.0 * 0.003_f64.powi(2);
    assert!((variance / expected - 1.0).abs() < 4.0 * (2.0_f64 / 1500.0).sqrt(), "{variance}");
}

// Two-state chain: with equal chances it rests half of the time.
#[test]
fn wear_stops_and_starts() {
    let wearing = |wear_stops| {
        let nature = Nature {
            wear_valve: 0.001,
            wear_pump: 0.001,
            wear_spread: 0.0,
            line_start: 0.0,
            wear_stops,
            ..still()
        };
        let ends: Vec<f64> = lived(&nature, 400, 100)
            .flat_map(|machine| (0..4).map(|line| machine.served(line)).collect::<Vec<_>>())
            .collect();
        moments(&ends)
    };
    let (mean, variance) = wearing((0.08, 0.08));
    // Variance of the time at work by the chain's autocorrelation r = 1 − 0.16:
    // n/4 · ((1+r)/(1−r) − 2r(1−rⁿ)/(n(1−r)²)).
    let (n, r) = (100.0_f64, 0.84_f64);
    let weeks =
        n / 4.0 * ((1.0 + r) / (1.0 - r) - 2.0 * r * (1.0 - r.powi(100)) / (n * (1.0 - r).powi(2)));
    let expected = weeks * 1e-6;
    assert!((mean + 0.05).abs() < 4.0 * (expected / 1600.0).sqrt(), "{mean}");
    assert!((variance / expected - 1.0).abs() < 0.15, "{variance} {expected}");
    let (mean, variance) = wearing((0.0, 1.0));
    assert!((mean + 0.1).abs() < 1e-9 && variance < 1e-18, "{mean}");
}

#[test]
fn faults_come_as_often_and_as_deep_as_configured() {
    let nature = Nature { fault_scatter: 0.5, ..Nature::hard() };
    let (mut air, mut weeks, mut empty, mut missed, mut machine_weeks) = (vec![], 0, 0, 0, 0);
    for site in 0..100 {
        let mut machine = Machine::new(&nature, 8, site, 4);
        for _week in 0..100 {
            machine.pass_week();
            machine_weeks += 1;
            missed += u32::from(machine.missed);
            for line in &machine.lines {
                weeks += 1;
                empty += u32::from(line.empty.is_some());
                air.extend(Some(line.air).filter(|air| *air > 0.0));
            }
        }
    }
    // Binomial: sd √(n p (1−p)).
    let near =
        |count: f64, n: f64, p: f64| (count - n * p).abs() < 4.0 * (n * p * (1.0 - p)).sqrt();
    let n = f64::from(weeks);
    assert!(near(air.len() as f64, n, 0.02), "{}", air.len());
    assert!(near(f64::from(empty), n, 0.015), "{empty}");
    assert!(near(f64::from(missed), f64::from(machine_weeks), 0.05), "{missed}");
    // Evenly between 0.05 and 0.40, times evenly between 0.5 and 1.5.
    let (mean, _) = moments(&air);
    assert!((mean - 0.225).abs() < 0.02, "{mean}");
    assert!(air.iter().all(|depth| (0.025..=0.6).contains(depth)));
    assert!(air.iter().any(|depth| *depth > 0.40), "deeper than stated");
}

#[test]
fn an_excursion_moves_all_lines_and_ends() {
    let nature = Nature { excursion: (0.2, (0.05, 0.05)), excursion_ends: 0.5, ..still() };
    let mut machine = Machine::new(&nature, 3, 0, 4);
    let start: Vec<f64> = (0..4).map(|line| machine.served(line)).collect();
    let (mut up, mut down, mut none) = (0, 0, 0);
    for _week in 0..200 {
        machine.pass_week();
        let moved = machine.served(0) - start[0];
        assert!((machine.served(3) - start[3] - moved).abs() < 1e-12);
        match moved {
            m if (m - 0.05).abs() < 1e-12 => up += 1,
            m if (m + 0.05).abs() < 1e-12 => down += 1,
            m => {
                assert!(m.abs() < 1e-12, "{m}");
                none += 1;
            }
        }
    }
    assert!(up > 5 && down > 5 && none > 50, "{up} {down} {none}");
}
