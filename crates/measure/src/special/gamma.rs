//! What the gamma and beta integrals share: terms that keep their digits when the arguments are large.

use core::f64::consts::PI;

/// ln Γ(x) − [(x − ½) ln x − x + ½ ln 2π]: what Stirling's formula leaves out, for x > 0.
///
/// Differences of large ln Γ lose as many digits as ln Γ has before the point; differences of this do not.
pub(super) fn stirling_error(x: f64) -> f64 {
    // Bernoulli series (DLMF 5.11.1); from 16 on its tenth term is below 1e-18.
    if x >= 16.0 {
        const SERIES: [f64; 8] = [
            1.0 / 12.0,
            -1.0 / 360.0,
            1.0 / 1260.0,
            -1.0 / 1680.0,
            1.0 / 1188.0,
            -691.0 / 360_360.0,
            1.0 / 156.0,
            -3617.0 / 122_400.0,
        ];
        let inverse_square = 1.0 / (x * x);
        let sum = SERIES.iter().rev().fold(0.0, |sum, &term| sum * inverse_square + term);
        return sum / x;
    }
    libm::lgamma(x) - ((x - 0.5) * libm::log(x) - x + 0.5 * libm::log(2.0 * PI))
}

/// ln(ratio) − x for x = ratio − 1, each given with its own full accuracy: no cancellation where ratio is near one or zero.
pub(super) fn log_minus(ratio: f64, x: f64) -> f64 {
    if x.abs() > 0.3 || x.is_nan() {
        return libm::log(ratio) - x;
    }
    // With r = x / (2 + x): ln(1 + x) = 2 (r + r³/3 + r⁵/5 + …), and x − 2r = r x.
    let r = x / (2.0 + x);
    let square = r * r;
    let mut sum = 0.0;
    let mut power = r * square;
    let mut odd = 3.0;
    loop {
        let next = sum + power / odd;
        if next == sum {
            return 2.0 * sum - r * x;
        }
        sum = next;
        power *= square;
        odd += 2.0;
    }
}

/// The two regularised incomplete gamma integrals at `a`, `x`: (lower, upper).
pub(super) fn gamma_ratios(a: f64, x: f64) -> (f64, f64) {
    if !super::REACH.contains(&(2.0 * a)) || x.is_nan() || x < 0.0 {
        return (f64::NAN, f64::NAN);
    }
    if x == 0.0 {
        return (0.0, 1.0);
    }
    if x.is_infinite() {
        return (1.0, 0.0);
    }
    // x^a e^-x / Γ(a), in the form that keeps its digits when a and x are large and alike.
    let exponent = a * log_minus(x / a, (x - a) / a) - stirling_error(a);
    let front = libm::sqrt(a / (2.0 * PI)) * libm::exp(exponent);
    if x < a + 1.0 {
        let mut term = 1.0 / a;
        let mut sum = term;
        let mut n = a;
        while term > sum * 1e-17 {
            n += 1.0;
            term *= x / n;
            sum += term;
        }
        let lower = front * sum;
        (lower, 1.0 - lower)
    } else {
        // Continued fraction DLMF 8.9.2, by Lentz's method.
        let mut b = x + 1.0 - a;
        let mut c = f64::INFINITY;
        let mut d = 1.0 / b;
        let mut fraction = d;
        let mut n = 0.0;
        loop {
            n += 1.0;
            let numerator = -n * (n - a);
            b += 2.0;
            d = 1.0 / (numerator * d + b);
            c = b + numerator / c;
            let change = c * d;
            fraction *= change;
            if (change - 1.0).abs() < 1e-15 || change.is_nan() {
                break;
            }
        }
        let upper = front * fraction;
        (1.0 - upper, upper)
    }
}
