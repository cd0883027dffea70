//! NIST StRD, univariate: readings whose spread is small beside their size. Certified values from the data files.

use super::super::type_a::{mean, repeated};
use super::close;

/// Lag-1 autocorrelation as StRD defines it.
fn autocorrelation(readings: &[f64]) -> f64 {
    let mean = mean(readings);
    let squares: f64 = readings.iter().map(|x| (x - mean) * (x - mean)).sum();
    readings.windows(2).map(|pair| (pair[0] - mean) * (pair[1] - mean)).sum::<f64>() / squares
}

#[test]
fn strd_num_acc_1() {
    let readings = [10_000_001.0, 10_000_003.0, 10_000_002.0];
    let found = repeated(&readings).unwrap();
    assert_eq!((found.mean, found.standard_deviation), (10_000_002.0, 1.0));
    assert_eq!(autocorrelation(&readings), -0.5);
}

#[test]
fn strd_num_acc_4() {
    let mut readings = vec![10_000_000.2];
    for _ in 0..500 {
        readings.extend([10_000_000.1, 10_000_000.3]);
    }
    let found = repeated(&readings).unwrap();
    close(found.mean, 10_000_000.2, 2e-9);
    // The readings themselves are rounded to 2e-9 in binary; their spread cannot be closer to 0.1 than that.
    close(found.standard_deviation, 0.1, 2e-9);
    close(autocorrelation(&readings), -0.999, 1e-8);
    // What the textbook's one-pass formula makes of it: why there are two passes.
    let count = readings.len() as f64;
    let squares: f64 = readings.iter().map(|x| x * x).sum();
    let one_pass = (squares - count * found.mean * found.mean) / (count - 1.0);
    assert!(one_pass < 0.0 || (one_pass.sqrt() - 0.1).abs() > 1e-3, "one pass gives {one_pass}");
}
