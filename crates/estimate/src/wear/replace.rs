//! The age at which to replace a part that costs least.

use ouncewise_measure::special::chi_squared_below;

use crate::numeric::root;

/// When to replace, and what it costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Replacement {
    /// The age at which to replace a part that has not failed, in the unit of the scale.
    pub age: f64,
    /// What that costs in a unit of time.
    pub cost: f64,
    /// What it costs in a unit of time to wait until the part fails.
    pub run_to_failure: f64,
}

/// The replacement age of least cost for lives after Weibull, where a planned replacement costs `planned` and one after a
/// failure `failed`: the least of (planned · R(t) + failed · F(t)) / ∫R (Barlow and Hunter 1960). Nothing where it is as well to
/// wait until the part fails: at a shape of 1 or less, whatever the costs, or where a failure costs no more.
#[must_use]
pub fn replacement_age(shape: f64, scale: f64, planned: f64, failed: f64) -> Option<Replacement> {
    let sane = |x: f64| x > 0.0 && x.is_finite();
    if !(sane(shape) && sane(scale) && sane(planned) && sane(failed)) {
        return None;
    }
    if shape <= 1.0 || failed <= planned {
        return None;
    }
    let power = |t: f64| libm::pow(t, shape);
    let surviving = |t: f64| libm::exp(-power(t));
    // ∫R up to t, in units of the scale: Γ(1/β) / β times the incomplete gamma function.
    let whole = libm::tgamma(1.0 + 1.0 / shape);
    let used = |t: f64| whole * chi_squared_below(2.0 * power(t), 2.0 / shape);
    // The hazard times the use, and what survives, rises with t from 1 without end.
    let wanted = failed / (failed - planned);
    let miss = |t: f64| shape * libm::pow(t, shape - 1.0) * used(t) + surviving(t) - wanted;
    let mut high = 1.0;
    while miss(high) < 0.0 {
        high *= 2.0;
        if power(high) > 700.0 {
            // So late that hardly one lives to see it.
            return None;
        }
    }
    let age = root(0.0, high, miss);
    let per_use = (planned * surviving(age) + failed * (1.0 - surviving(age))) / used(age);
    Some(Replacement {
        age: age * scale,
        cost: per_use / scale,
        run_to_failure: failed / (scale * whole),
    })
}
