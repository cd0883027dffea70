//! The F distribution: the ratio of two variances.

use super::beta::beta_ratios;

/// Probabilities of a value (below, above) `x`.
fn ratios(x: f64, numerator: f64, denominator: f64) -> (f64, f64) {
    if !super::REACH.contains(&numerator) || !super::REACH.contains(&denominator) {
        return (f64::NAN, f64::NAN);
    }
    let (top, bottom) = (numerator * super::not_negative(x), denominator);
    if top.is_infinite() {
        return (1.0, 0.0);
    }
    let sum = top + bottom;
    beta_ratios(0.5 * numerator, 0.5 * denominator, top / sum, bottom / sum)
}

/// Probability of a ratio below `x`, for the degrees of freedom of its numerator and denominator.
pub fn f_below(x: f64, numerator: f64, denominator: f64) -> f64 {
    ratios(x, numerator, denominator).0
}

/// Probability of a ratio above `x`; the far tail keeps its relative accuracy.
pub fn f_above(x: f64, numerator: f64, denominator: f64) -> f64 {
    ratios(x, numerator, denominator).1
}

/// The ratio that a share `p` lies below.
pub fn f_quantile(p: f64, numerator: f64, denominator: f64) -> f64 {
    super::positive_quantile(p, 1.0, |x| ratios(x, numerator, denominator))
}
