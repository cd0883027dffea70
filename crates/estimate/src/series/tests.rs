//! The Nile (Durbin & Koopman 2012, chapter 2) and NIST's standard resistor.
//!
//! Figures marked "computed" were computed for these tests with statsmodels 0.15.0 (exact diffuse
//! start) or from the closed form; the others are printed in the book.

use super::*;

fn nile() -> Vec<Point> {
    include_str!("data/nile.csv")
        .lines()
        .skip(2)
        .map(|line| {
            let (year, volume) = line.split_once(',').unwrap();
            Point { at: year.parse().unwrap(), value: volume.parse().unwrap(), own: 0.0 }
        })
        .collect()
}

const BOOK: Model = Model { noise: 15099.0, walk: 1469.1, slope: Slope::None };

pub(crate) fn near(value: f64, wanted: f64, within: f64) {
    assert!((value - wanted).abs() <= within, "{value} is not {wanted}");
}

#[test]
fn the_nile_is_filtered_as_in_the_book() {
    let points = nile();
    let filtered = filter(&BOOK, &points);
    for (index, mean) in
        [(0, 1120.0), (1, 1140.92784), (2, 1072.79853), (49, 849.07057), (99, 798.37029)]
    {
        near(filtered.steps[index].level.mean, mean, 1e-5);
    }
    for (index, variance) in [(0, 15099.0), (1, 7899.73638), (2, 5781.46994), (99, 4032.15794)] {
        near(filtered.steps[index].level.variance, variance, 1e-5);
    }
    near(filtered.log_likelihood, -632.545625, 1e-6);
    // Steady state, closed form: predicted variance P, F = P + noise, gain K = P / F.
    let end = filtered.steps[99].level.variance + BOOK.walk;
    near(end, 5501.25794, 1e-5);
    near(end / (end + BOOK.noise), 0.2670480, 1e-6);
    near(filtered.ahead(1.0).mean, 798.37029, 1e-5);
    near((filtered.ahead(1.0).variance + BOOK.noise).sqrt(), 143.52790, 1e-4);
    near((filtered.ahead(10.0).variance + BOOK.noise).sqrt(), 183.90802, 1e-4);
}

// Durbin & Koopman 2012, p. 40: Ljung–Box Q(9) 8.84, skewness −0.03, kurtosis 3.09, H 0.61.
#[test]
fn its_surprises_have_the_books_diagnostics() {
    let points = nile();
    let surprises = filter(&BOOK, &points).surprises(&points);
    assert_eq!(surprises.len(), 99);
    let n = 99.0;
    let mean = surprises.iter().sum::<f64>() / n;
    let moment = |power: i32| surprises.iter().map(|z| (z - mean).powi(power)).sum::<f64>() / n;
    let lagged = |lag: usize| {
        let pairs = surprises.iter().zip(&surprises[lag..]);
        pairs.map(|(a, b)| (a - mean) * (b - mean)).sum::<f64>() / (n * moment(2))
    };
    let box_q: f64 =
        (1..=9).map(|k| lagged(k).powi(2) / (n - k as f64)).sum::<f64>() * n * (n + 2.0);
    near(box_q, 8.84, 0.01);
    near(moment(3) / moment(2).powf(1.5), -0.03, 0.006);
    near(moment(4) / moment(2).powi(2), 3.09, 0.006);
    let squares = |part: &[f64]| part.iter().map(|z| z * z).sum::<f64>();
    near(squares(&surprises[66..]) / squares(&surprises[..33]), 0.61, 0.006);
    // Computed: the largest of them, in 1913 and 1916.
    near(surprises[41], -2.78919, 1e-4);
    near(surprises[44], 2.56846, 1e-4);
}

// Durbin & Koopman 2012, p. 37: 15099, 1469.1. Computed with the exact diffuse start: 15098.518, 1469.177.
#[test]
fn the_nile_is_fitted_as_in_the_book() {
    let fit = fit(&nile(), Slope::None).unwrap();
    near(fit.model.noise, 15099.0, 1.0);
    near(fit.model.walk, 1469.1, 0.3);
    near(fit.log_likelihood, -632.545625, 1e-5);
}

// Computed: with a slope that may walk, the slope's variance goes to zero, noise 14678.0, level
// 1752.8, log-likelihood −631.7107 with log 2π/2 more for each of the two readings that settle
// the start.
#[test]
fn a_slope_that_does_not_walk_is_a_legal_answer() {
    let fit = fit(&nile(), Slope::Walks(1.0)).unwrap();
    assert_eq!(fit.model.slope, Slope::Walks(0.0));
    near(fit.model.noise, 14678.0, 15.0);
    near(fit.model.walk, 1752.8, 3.0);
    near(fit.log_likelihood - libm::log(2.0 * core::f64::consts::PI), -631.7107, 1e-3);
}

#[test]
fn smoothing_is_as_in_the_book_and_the_same_from_the_other_end() {
    let points = nile();
    let moments: Vec<f64> = points.iter().map(|p| p.at).collect();
    let smoothed = smooth(BOOK.noise, BOOK.walk, &points, &moments);
    for (index, mean, variance) in
        [(0, 1111.66832, 4032.158), (28, 950.93009, 2326.757), (99, 798.37029, 4032.158)]
    {
        near(smoothed[index].mean, mean, 1e-3);
        near(smoothed[index].variance, variance, 1e-3);
    }
    let turned: Vec<Point> = points.iter().rev().map(|p| Point { at: -p.at, ..*p }).collect();
    let back: Vec<f64> = moments.iter().rev().map(|at| -at).collect();
    let other = smooth(BOOK.noise, BOOK.walk, &turned, &back);
    for (a, b) in smoothed.iter().zip(other.iter().rev()) {
        near(a.mean, b.mean, 1e-9 * a.mean.abs());
        near(a.variance, b.variance, 1e-9 * a.variance);
    }
}

// Computed; the pattern of removal (readings 21–40 and 61–80) is the book's. Rows that are left
// out and rows far apart are the same thing.
#[test]
fn missing_readings_are_weeks_that_pass() {
    let whole = nile();
    let points: Vec<Point> = whole
        .iter()
        .enumerate()
        .filter(|(i, _)| !(20..40).contains(i) && !(60..80).contains(i))
        .map(|(_, point)| *point)
        .collect();
    let filtered = filter(&BOOK, &points);
    near(filtered.log_likelihood, -380.587063, 1e-6);
    // Of 1890, which is the last before the first gap.
    near(filtered.steps[19].level.mean, 1026.14156, 1e-4);
    near(filtered.steps[19].level.variance, 4032.196, 1e-3);
    near(filtered.steps[20].level.mean, 889.94972, 1e-4);
    near(filtered.steps[20].level.variance, 10537.789, 1e-3);
    near(filtered.steps[59].level.mean, 798.31511, 1e-4);
    let smoothed = smooth(BOOK.noise, BOOK.walk, &points, &[1900.0, 1940.0]);
    near(smoothed[0].mean, 903.42110, 1e-3);
    near(smoothed[0].variance, 9715.0059, 1e-3);
    near(smoothed[1].mean, 837.17732, 1e-3);
    near(smoothed[1].variance, 9715.0055, 1e-3);
}

/// Weekly medians of NIST's resistor: weeks since the first reading, 1e-4 ohm.
pub(crate) fn resistor() -> Vec<Point> {
    let day = |date: &str| date.parse::<jiff::civil::Date>().unwrap();
    let mut weeks = std::collections::BTreeMap::<i32, Vec<f64>>::new();
    for line in include_str!("data/nist_dziuba_resistor.csv").lines().skip(2) {
        let mut cells = line.split(',').skip(1);
        let date = day(cells.next().unwrap());
        let ohm: f64 = cells.next().unwrap().parse().unwrap();
        let days = date.since(day("1980-02-05")).unwrap().get_days();
        weeks.entry(days.div_euclid(7)).or_default().push(ohm * 1e4);
    }
    weeks
        .into_iter()
        .map(|(week, mut values)| {
            values.sort_by(f64::total_cmp);
            let n = values.len();
            let median = 0.5 * (values[(n - 1) / 2] + values[n / 2]);
            Point { at: f64::from(week), value: median, own: 0.0 }
        })
        .collect()
}

// Computed: 269 of 300 weeks; with a steady drift noise 4503.11, walk 1418.08, drift 7.7597 a week;
// without one 4181.38, 1899.82, and a log-likelihood of −1591.1406 with log 2π/2 more.
#[test]
fn the_resistor_drifts_steadily() {
    let points = resistor();
    assert_eq!(points.len(), 269);
    let steady = fit(&points, Slope::Walks(0.0)).unwrap();
    let level = fit(&points, Slope::None).unwrap();
    near(steady.model.noise, 4503.11, 0.5);
    near(steady.model.walk, 1418.08, 0.5);
    near(filter(&steady.model, &points).slope().unwrap().mean, 7.7597, 0.001);
    near(level.model.noise, 4181.38, 0.5);
    near(level.model.walk, 1899.82, 0.5);
    let constant = 0.5 * libm::log(2.0 * core::f64::consts::PI);
    near(level.log_likelihood - constant, -1591.1406, 1e-3);
}
