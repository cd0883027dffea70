//! What practices come to.

use std::sync::{Arc, Mutex};

use super::super::machine::Machine;
use super::super::nature::Nature;
use super::super::practices::{EveryCatch, common};
use super::super::table::{Entry, Plan, Row, Spread, compare};
use super::super::tune::tune;
use super::super::visit::{Practice, Visit};
use super::{ANY, machine, moments, still};

fn plan(seeds: u64, sites: usize, weeks: u32) -> Plan {
    Plan { seeds: (1..=seeds).collect(), sites, lines: 6, weeks, threads: 1 }
}

fn rows(worlds: &[Nature], plan: &Plan) -> Vec<Row> {
    let practices = common();
    compare(worlds, &practices.iter().collect::<Vec<_>>(), plan, &|| ()).rows
}

#[test]
fn the_same_seed_gives_the_same_table_on_any_number_of_threads() {
    let one = plan(2, 3, 20);
    let steps = Mutex::new(0);
    let practices = common();
    let practices: Vec<_> = practices.iter().collect();
    let table = |threads| {
        let plan = Plan { threads, ..one.clone() };
        compare(&Nature::all(), &practices, &plan, &|| *steps.lock().unwrap() += 1).rows
    };
    // Compared as text: standard errors may be no numbers.
    let text = |rows: Vec<Row>| format!("{rows:?}");
    let first = text(table(1));
    assert_eq!(first, text(table(3)));
    assert_eq!(*steps.lock().unwrap(), 2 * 3 * 5 * 2, "a step for each estate");
    let other = Plan { seeds: vec![3, 4], ..one.clone() };
    assert_ne!(first, text(compare(&Nature::all(), &practices, &other, &|| ()).rows));
}

#[test]
fn the_table_adds_up() {
    for row in rows(&Nature::all(), &plan(2, 4, 60)) {
        for tally in &row.tallies {
            let what = format!("{} {}", row.world, row.practice);
            assert_eq!(tally.machine_weeks, 4.0 * 60.0, "{what}");
            assert_eq!(tally.line_weeks, 6.0 * 4.0 * 60.0, "{what}");
            assert!(tally.needless <= tally.adjusted && tally.off_weeks <= tally.line_weeks);
            let money = tally.money;
            for (part, expected) in [
                (money.crew, tally.minutes / 60.0 * 15.0),
                (money.parts, tally.parts * 9.0),
                (money.calls, tally.calls * 120.0),
                (money.poured, tally.poured * 0.006),
            ] {
                assert!((part - expected).abs() < 1e-6, "{what} {part} {expected}");
            }
        }
        let mean = 0.5 * row.tallies.iter().map(|t| t.off_weeks / t.line_weeks).sum::<f64>();
        assert!((row.off_share.mean - mean).abs() < 1e-12);
    }
}

// Mean and standard error by hand: 1, 2, 3, 6 has mean 3, variance 14/3, error √(14/12).
#[test]
fn spreads_are_of_the_mean() {
    let spread = Spread::of(&[1.0, 2.0, 3.0, 6.0]);
    assert!((spread.mean - 3.0).abs() < 1e-12);
    assert!((spread.error - (14.0_f64 / 12.0).sqrt()).abs() < 1e-12);
}

#[test]
fn rounds_are_missed_in_the_same_weeks_by_all() {
    let seen: Arc<Mutex<Vec<Vec<f64>>>> = Arc::default();
    struct Noting<P>(P, Vec<f64>, Arc<Mutex<Vec<Vec<f64>>>>);
    impl<P: Practice> Practice for Noting<P> {
        fn round(&mut self, visit: &mut Visit<'_>) {
            self.1.push(visit.week());
            self.0.round(visit);
        }
    }
    impl<P> Drop for Noting<P> {
        fn drop(&mut self) {
            self.2.lock().unwrap().push(std::mem::take(&mut self.1));
        }
    }
    let (first, second) = (Arc::clone(&seen), Arc::clone(&seen));
    let one = Entry::new("one", move |facts| {
        Box::new(Noting(EveryCatch::new(facts), vec![], Arc::clone(&first)))
    });
    let oracle = Entry::new("oracle", move |_| {
        Box::new(Noting(super::super::Oracle::new(), vec![], Arc::clone(&second)))
    });
    let rows = compare(&[Nature::hard()], &[&one, &oracle], &plan(1, 2, 104), &|| ()).rows;
    assert_eq!(rows[0].tallies[0].missed_weeks, rows[1].tallies[0].missed_weeks);
    let seen = seen.lock().unwrap();
    assert_eq!((&seen[0], &seen[1]), (&seen[2], &seen[3]));
    assert_ne!(seen[0], seen[1], "each site misses its own weeks");
    assert!(seen[0].len() < 104);
}

/// Catches, and does nothing.
struct HandsOff;

impl Practice for HandsOff {
    fn round(&mut self, visit: &mut Visit<'_>) {
        for line in 0..visit.facts().lines.len() {
            visit.catch(line);
        }
    }
}

// Deming's funnel, rule 2, and integral control with gain 1: the variance of what is read doubles
// (statistics of adjustment: Var/σ² = 2/(2−G), G = 1).
#[test]
fn adjusting_a_healthy_line_by_every_catch_doubles_its_variance() {
    let variance = |adjusts: bool| {
        let nature = Nature { draw_spread: 0.02, line_start: 0.0, ..still() };
        let mut readings = Vec::new();
        for seed in 0..20 {
            let mut machine = machine(&nature, seed, 10, ANY);
            // Never replaces a part.
            machine.facts.part_weeks = f64::INFINITY;
            let mut practice: Box<dyn Practice> = if adjusts {
                Box::new(EveryCatch::new(&machine.facts))
            } else {
                Box::new(HandsOff)
            };
            for week in 0..60 {
                practice.round(&mut Visit::new(&mut machine));
                if week > 0 {
                    readings.extend(written(&machine));
                }
                machine.pass_week();
            }
        }
        moments(&readings).1
    };
    let ratio = variance(true) / variance(false);
    // 11 800 readings, those of the adjusted line correlated −1/2: s.e. of the ratio about 0.03.
    assert!((ratio - 2.0).abs() < 0.12, "{ratio}");
}

fn written(machine: &Machine) -> Vec<f64> {
    machine
        .lines
        .iter()
        .map(|line| match line.written {
            Some(super::super::Seen::Amount(log)) => log,
            other => panic!("{other:?}"),
        })
        .collect()
}

#[test]
fn the_oracle_beats_all_in_no_more_minutes_than_one_catch() {
    let rows = rows(&Nature::all(), &plan(3, 12, 104));
    for world in rows.chunks(5) {
        let (oracle, others) = world.split_last().unwrap();
        assert_eq!(oracle.practice, "oracle");
        for (seed, truth) in oracle.tallies.iter().enumerate() {
            assert!(truth.minutes <= others[0].tallies[seed].minutes);
            for other in others {
                let theirs = &other.tallies[seed];
                let what = format!("{} {} seed {}", other.world, other.practice, seed + 1);
                assert!(truth.off_weeks < theirs.off_weeks, "{what}");
                assert!(truth.error < theirs.error, "{what}");
            }
        }
    }
}

#[test]
fn tuning_gives_the_best_first_and_can_tell_choices_apart() {
    let plan = Plan { seeds: vec![1001], ..plan(1, 10, 52) };
    let tried = tune(&[Nature::plain()], &[0.05, 0.5], &[0.5, 3.0], &plan);
    assert_eq!(tried.len(), 4);
    assert!(tried.windows(2).all(|pair| pair[0].off_share <= pair[1].off_share));
    // A band of three tolerances hardly ever acts.
    assert!(tried[0].smoothing.band < 1.0 && tried[3].smoothing.band > 1.0, "{tried:?}");
}
