//! The chi-square distribution.

use super::gamma::gamma_ratios;
use super::normal::normal_quantile;

/// Probability of a value below `x`.
pub fn chi_squared_below(x: f64, degrees_of_freedom: f64) -> f64 {
    gamma_ratios(0.5 * degrees_of_freedom, 0.5 * super::not_negative(x)).0
}

/// Probability of a value above `x`; the far tail keeps its relative accuracy.
pub fn chi_squared_above(x: f64, degrees_of_freedom: f64) -> f64 {
    gamma_ratios(0.5 * degrees_of_freedom, 0.5 * super::not_negative(x)).1
}

/// The value that a share `p` lies below.
pub fn chi_squared_quantile(p: f64, degrees_of_freedom: f64) -> f64 {
    let nu = degrees_of_freedom;
    // Wilson and Hilferty's cube is the start; the search mends it.
    let spread = 2.0 / (9.0 * nu);
    let cube = 1.0 - spread + normal_quantile(p) * libm::sqrt(spread);
    let start = if cube > 0.1 { nu * cube * cube * cube } else { nu * 1e-3 };
    super::positive_quantile(p, start, |x| {
        let (below, above) = gamma_ratios(0.5 * nu, 0.5 * x);
        (below, above)
    })
}
