//! The regularised incomplete beta integral.

use super::gamma::{log_minus, stirling_error};
use core::f64::consts::PI;

/// The two regularised incomplete beta integrals (I_x(a, b), I_y(b, a)), for y = 1 − x given apart so that neither is lost to rounding.
pub(super) fn beta_ratios(a: f64, b: f64, x: f64, y: f64) -> (f64, f64) {
    if !(a > 0.0 && b > 0.0 && x >= 0.0 && y >= 0.0) {
        return (f64::NAN, f64::NAN);
    }
    if x == 0.0 {
        return (0.0, 1.0);
    }
    if y == 0.0 {
        return (1.0, 0.0);
    }
    if a * y >= b * x {
        let lower = fraction(a, b, x, y);
        (lower, 1.0 - lower)
    } else {
        let upper = fraction(b, a, y, x);
        (1.0 - upper, upper)
    }
}

/// x^a y^b / B(a, b), in the form that keeps its digits when a and b are large.
fn front(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let n = a + b;
    // How far x lies from the mean a/n, times n: a y − b x exactly.
    let off = b * x - a * y;
    let exponent =
        a * log_minus(x * n / a, off / a) + b * log_minus(y * n / b, -off / b) + stirling_error(n)
            - stirling_error(a)
            - stirling_error(b);
    libm::sqrt(a / n * b / (2.0 * PI)) * libm::exp(exponent)
}

/// I_x(a, b) for x at or below the mean.
///
/// The continued fraction of Didonato and Morris (ACM TOMS 18, 1992, equation 9): its terms do not cancel when a or b is large.
fn fraction(a: f64, b: f64, x: f64, y: f64) -> f64 {
    let lead = a * y - b * x + 1.0;
    let mut denominator = a * lead / (a + 1.0);
    let mut c = denominator;
    let mut d = 0.0;
    let mut m = 0.0;
    loop {
        m += 1.0;
        let twice = a + 2.0 * m;
        let numerator = (a + m - 1.0) / (twice - 1.0)
            * ((a + b + m - 1.0) / (twice - 1.0))
            * m
            * (b - m)
            * x
            * x;
        let term =
            m + m * (b - m) * x / (twice - 1.0) + (a + m) * (lead + m * (1.0 + y)) / (twice + 1.0);
        d = 1.0 / (term + numerator * d);
        c = term + numerator / c;
        let change = c * d;
        denominator *= change;
        if (change - 1.0).abs() < 1e-15 || change.is_nan() {
            return front(a, b, x, y) / denominator;
        }
    }
}
