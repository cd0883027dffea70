//! Worked examples of the NIST/SEMATECH e-Handbook of Statistical Methods.

use ouncewise_measure::special::f_quantile;

use super::super::*;
use super::{printed, rows};

const SINGLE: [f64; 10] = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];

/// 6.3.2.2. The page takes 1.128 and 3.267 for d₂ and D₄, so its limits differ in the third decimal.
#[test]
fn individuals_of_6_3_2_2() {
    let chart = Individuals::of(&SINGLE).unwrap();
    assert!((chart.mean - 50.81).abs() < 1e-12);
    assert!(printed(chart.moving_range, 1.8778, 4));
    let three = 3.0 * chart.moving_range / 1.128;
    assert!(printed(chart.mean + three, 55.8041, 4) && printed(chart.mean - three, 45.8159, 4));
    assert!((chart.high - 55.8041).abs() < 2e-3 && (chart.low - 45.8159).abs() < 2e-3);
    assert!((chart.high - (50.81 + 3.0 * chart.sd())).abs() < 1e-12);
    assert!(printed(3.267 * chart.moving_range, 6.1347, 4));
    assert!((chart.range_high - 6.1347).abs() < 1e-3);
    assert!((chart.median_range - 1.5).abs() < 1e-12);
    assert!((chart.robust_sd() - 1.5 / 0.953_872_6).abs() < 1e-6);
    // Computed from the same data: s is 2.033852, and the ratio of von Neumann 1.094577.
    assert!((mean_successive_ratio(&SINGLE).unwrap() - 1.094_577).abs() < 1e-6);
    assert_eq!(chart.beyond(&[45.0, 50.0, 56.0]), [0, 2]);
    assert!(chart.beyond(&SINGLE).is_empty());
    assert_eq!(Individuals::of(&[1.0]), None);
    assert_eq!(Individuals::of(&[1.0, f64::NAN]), None);
    assert_eq!(mean_successive_ratio(&[3.0, 3.0]), None);
    assert_eq!(mean_successive_ratio(&[]), None);
}

/// 6.3.2.4, all twenty averages; the page cuts its lower limit where it should round.
#[test]
fn averages_of_6_3_2_4() {
    let readings = [
        52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8,
        51.2, 52.6, 52.4, 53.6, 52.1,
    ];
    let expected = [
        50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52,
        50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99,
    ];
    let chart = Ewma { weight: 0.3, width: 3.0, limits: EwmaLimits::Asymptotic };
    let points = chart.run(50.0, 2.0539, &readings);
    for (point, expected) in points.iter().zip(expected) {
        assert!(printed(point.average, expected, 2), "{point:?} {expected}");
        assert!((point.high - 52.5884).abs() < 1e-4 && (point.low - 47.411_57).abs() < 1e-4);
        assert!(!point.out);
    }
    // Exact limits are narrower at first and the same in the long run.
    let exact = Ewma { limits: EwmaLimits::Exact, ..chart }.run(50.0, 2.0539, &readings);
    assert!((exact[0].high - (50.0 + 3.0 * 2.0539 * 0.3)).abs() < 1e-12);
    assert!((exact[19].high - points[19].high).abs() < 1e-5);
}

/// 6.3.2.3.
#[test]
fn sums_of_6_3_2_3() {
    let readings = [
        324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600,
        324.625, 325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350,
    ];
    let chart = Cusum { slack: 0.3175, limit: 4.1959, head_start: 0.0 };
    let points = chart.run(325.0, 1.0, &readings);
    let above = [3.0075, 4.94, 7.4475, 10.63, 11.9875, 14.445, 16.0025, 19.035];
    for (point, expected) in points[12..].iter().zip(above) {
        assert!((point.above - expected).abs() < 1e-9, "{point:?} {expected}");
    }
    assert!((points[4].above - 0.0325).abs() < 1e-9);
    assert!(points[..12].iter().enumerate().all(|(i, p)| i == 4 || p.above < 1e-9));
    let below = [(2, 0.0075), (4, 0.3325), (7, 0.5575), (8, 0.715), (9, 0.1725), (10, 0.255)];
    for (number, expected) in below.into_iter().chain([(11, 0.3125)]) {
        assert!((points[number - 1].below - expected).abs() < 1e-9, "{number}");
    }
    assert_eq!(points.iter().position(|p| p.out), Some(13));
}

/// 2.3.5: a kilogram's check standard, 1975 to 1988 (NIST, public domain).
fn kilogram() -> (Vec<f64>, Vec<f64>) {
    let rows = rows(include_str!("data/nist_mass_check_standard.csv"));
    let column = |place: usize| rows.iter().map(|r| r[place].parse().unwrap()).collect();
    (column(2), column(4))
}

/// 2.3.5.1: calibrations of 3 degrees of freedom each.
#[test]
fn precision_of_2_3_5_1() {
    let (_, sds) = kilogram();
    assert_eq!(sds.len(), 217);
    let pooled = (sds[..117].iter().map(|s| s * s).sum::<f64>() / 117.0).sqrt();
    assert!((pooled - 0.030_840_9).abs() < 1e-6);
    assert!((f_quantile(0.99, 3.0, 351.0) - 3.837_866).abs() < 1e-5);
    let limit = precision_limit(pooled, 351.0, 3.0, 0.01);
    assert!((limit - 0.060_418_8).abs() < 1e-6, "{limit}");
    assert_eq!(sds[117..].iter().filter(|s| **s > limit).count(), 2);
}

/// A real step of 0.926 standard deviations, which limits of three standard deviations almost miss: computed for the reference
/// from the same file.
#[test]
fn a_small_step_of_a_kilogram() {
    let (values, _) = kilogram();
    let baseline = &values[..117];
    let mean = baseline.iter().sum::<f64>() / 117.0;
    let sd = (baseline.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / 116.0).sqrt();
    assert!((mean + 19.477_379).abs() < 1e-6 && (sd - 0.030_139_5).abs() < 1e-7);
    let beyond = values[117..].iter().filter(|v| (*v - mean).abs() > 3.0 * sd).count();
    assert_eq!(beyond, 2);
    let out = |width| {
        let chart = Ewma { weight: 0.2, width, limits: EwmaLimits::Asymptotic };
        chart.run(mean, sd, &values)[117..].iter().filter(|p| p.out).count()
    };
    assert_eq!((out(3.0), out(2.0)), (47, 63));
    let sums = Cusum { slack: 0.5, limit: 5.0, head_start: 0.0 }.run(mean, sd, &values);
    let first = sums[117..].iter().position(|p| p.out).unwrap() + 117;
    assert_eq!(first + 1, 154);
    assert!((sums[first].above - 5.238_56).abs() < 1e-5, "{:?}", sums[first]);
}

/// 2.3.7.1: a calibrated instrument's line width checks (NIST, public domain).
#[test]
fn a_calibrated_instrument_of_2_3_7_1() {
    let limit = calibrated_limit(0.06203, 0.9870, 38.0, 3, 0.05);
    assert!((limit - 0.156_965).abs() < 1e-5, "{limit}");
    let rows = rows(include_str!("data/nist_linewid_control.csv"));
    let off = |row: &Vec<&str>| {
        let number = |place: usize| row[place].parse::<f64>().unwrap();
        (number(3) - 0.2357) / 0.9870 - number(2)
    };
    let out: Vec<usize> =
        (1..).zip(&rows).filter(|(_, r)| off(r).abs() > limit).map(|(n, _)| n).collect();
    assert_eq!(out, [10, 11, 12]);
}
