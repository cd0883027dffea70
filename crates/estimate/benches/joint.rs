//! How many line-weeks a second the filters take on one core: twelve lines together, and one line by itself; two years, a
//! catch a week.

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use ouncewise_estimate::joint::{Behaviour, Reading, Said};
use ouncewise_estimate::past::{Happened, Past, Visit};
use ouncewise_estimate::series::{self, Model, Point, Slope};

const LINES: usize = 12;
const WEEKS: u32 = 104;

fn main() {
    divan::main();
}

fn past() -> Past {
    let value = |week: u32, line: usize| {
        0.03 * libm::sin(f64::from(week) * 1.7 + line as f64 * 2.3) - 0.0005 * f64::from(week)
    };
    let read = |week: u32, line: usize| {
        Happened::Read(Reading {
            line,
            said: Said::Value(value(week, line), 0.015 * 0.015),
            measure: Some((u32::from(week % 4 == 3), 0.02 * 0.02)),
            person: Some(week / 2 % 3),
        })
    };
    let visit = |week: u32| Visit {
        at: f64::from(week),
        happened: (0..LINES).map(|line| read(week, line)).collect(),
    };
    Past { targets: vec![0.0; LINES], visits: (0..WEEKS).map(visit).collect() }
}

/// The filter alone.
#[divan::bench]
fn filter(bencher: Bencher<'_, '_>) {
    let (past, behaviour) = (past(), Behaviour::default());
    bencher
        .counter(ItemsCount::new(past.readings()))
        .bench(|| black_box(&past).run(&behaviour, |_, _, _, _| {}));
}

/// With the likelihood of each reading, as fitting needs it.
#[divan::bench]
fn likelihood(bencher: Bencher<'_, '_>) {
    let (past, behaviour) = (past(), Behaviour::default());
    bencher.counter(ItemsCount::new(past.readings())).bench(|| {
        let mut sum = 0.0;
        black_box(&past).run(&behaviour, |_, _, _, scored| sum += scored.log_likelihood());
        sum
    });
}

/// One line by itself, of which nothing is known at the start.
#[divan::bench]
fn one_series(bencher: Bencher<'_, '_>) {
    let model = Model { noise: 0.015 * 0.015, walk: 0.006 * 0.006, slope: Slope::None };
    let point = |week: u32| Point {
        at: f64::from(week),
        value: 0.03 * libm::sin(f64::from(week) * 1.7) - 0.0005 * f64::from(week),
        own: 0.0,
    };
    let points: Vec<Point> = (0..WEEKS).map(point).collect();
    bencher
        .counter(ItemsCount::new(points.len()))
        .bench(|| series::filter(&model, black_box(&points)));
}
