//! Conformity by JCGM 106:2012: how sure it is that a true value lies in tolerance, and what guard bands and checks cost.
//!
//! An estimate with its standard uncertainty stands for a normal distribution of the true value, or for a t
//! distribution with its effective degrees of freedom (7.2.2, and the note of JCGM 101 6.4.9).

use crate::quadrature::integrate;
use crate::special::{normal_below, normal_quantile, normal_within, t_quantile, t_within};

/// A tolerance interval or an acceptance interval; an infinite end makes it one-sided.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Lower limit, or minus infinity.
    pub lower: f64,
    /// Upper limit, or infinity.
    pub upper: f64,
}

impl Limits {
    /// `target` give or take the fraction `tolerance`.
    pub fn around(target: f64, tolerance: f64) -> Self {
        Limits { lower: target * (1.0 - tolerance), upper: target * (1.0 + tolerance) }
    }

    /// Upper less lower.
    pub fn width(self) -> f64 {
        self.upper - self.lower
    }

    /// Midway between the limits.
    pub fn centre(self) -> f64 {
        0.5 * (self.lower + self.upper)
    }

    /// Whether a value lies in the interval, its ends included.
    pub fn hold(self, value: f64) -> bool {
        self.lower <= value && value <= self.upper
    }

    /// Moved inwards by a guard band `w`: guarded acceptance (8.3.2). A negative `w` moves outwards: guarded rejection (8.3.3).
    #[must_use]
    pub fn guarded(self, w: f64) -> Self {
        Limits { lower: self.lower + w, upper: self.upper - w }
    }
}

/// Probability that the true value lies within `limits` (7.3, 7.4; equations 9 to 11).
///
/// Infinite degrees of freedom are the normal distribution. With no uncertainty it is 0 or 1.
pub fn probability(limits: Limits, estimate: f64, u: f64, degrees_of_freedom: f64) -> f64 {
    if u == 0.0 {
        return f64::from(limits.hold(estimate));
    }
    let (low, high) = ((limits.lower - estimate) / u, (limits.upper - estimate) / u);
    if degrees_of_freedom == f64::INFINITY {
        normal_within(low, high)
    } else {
        t_within(low, high, degrees_of_freedom)
    }
}

/// Measurement capability index `T / 4u` (7.6.2): tolerance over four standard uncertainties.
pub fn capability_index(limits: Limits, u: f64) -> f64 {
    limits.width() / (4.0 * u)
}

/// Probability of conformity from the scaled estimate `(y − lower) / T` and the capability index (7.7, equation 14).
pub fn probability_scaled(scaled: f64, capability: f64) -> f64 {
    normal_within(-4.0 * capability * scaled, 4.0 * capability * (1.0 - scaled))
}

/// The estimates that show conformity with at least `confidence` (7.7.5), or `None` where not even the centre does.
pub fn proved_within(
    limits: Limits,
    u: f64,
    degrees_of_freedom: f64,
    confidence: f64,
) -> Option<Limits> {
    let centre = limits.centre();
    if probability(limits, centre, u, degrees_of_freedom) < confidence {
        return None;
    }
    let (mut inside, mut outside) = (0.0, 0.5 * limits.width());
    for _ in 0..60 {
        let middle = 0.5 * (inside + outside);
        if probability(limits, centre + middle, u, degrees_of_freedom) >= confidence {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    Some(Limits { lower: centre - inside, upper: centre + inside })
}

/// The largest standard uncertainty with which this estimate would be decided: shown in tolerance with at least
/// `1 − risk` if it lies inside, or out of it with at most `risk` if outside. Zero exactly at a limit: nothing decides there.
pub fn deciding_uncertainty(limits: Limits, estimate: f64, risk: f64) -> f64 {
    let (above, below) = (limits.upper - estimate, estimate - limits.lower);
    let near = above.min(below);
    let p = |u: f64| normal_within(-below / u, above / u);
    if near == 0.0 {
        0.0
    } else if near > 0.0 {
        // Both tails count: between what one tail alone would allow, and two equal ones.
        let low = near / normal_quantile(1.0 - 0.5 * risk);
        let high = near / normal_quantile(1.0 - risk);
        crossing(low, high, |u| p(u) >= 1.0 - risk)
    } else {
        let (near, far) = (-near, above.max(below));
        let low = near / normal_quantile(1.0 - risk);
        if far == f64::INFINITY {
            return low;
        }
        // The probability rises with u up to here, and falls again as the distribution spreads beyond the interval.
        let most = libm::sqrt(0.5 * (far - near) * (far + near) / libm::log(far / near));
        if p(most) <= risk { f64::INFINITY } else { crossing(low, most, |u| p(u) <= risk) }
    }
}

/// The last `u` from `low` up for which `holds` still holds, to 12 digits.
fn crossing(mut low: f64, mut high: f64, holds: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..42 {
        let middle = 0.5 * (low + high);
        if holds(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// Whether an indication passes simple acceptance with an auxiliary check of the measuring system (8.2.3):
/// error within `limit`, and expanded uncertainty (k = 2) at most a third of it.
pub fn accepted_with_check(error: f64, expanded: f64, limit: f64) -> bool {
    error.abs() <= limit && expanded <= limit / 3.0
}

/// The indication above which an upper limit is exceeded with at least `confidence`, where the
/// uncertainty is a fraction of the true value (8.3.3, example 1: a speed limit).
pub fn rejection_above(limit: f64, relative_u: f64, confidence: f64) -> f64 {
    limit / (1.0 - relative_u * normal_quantile(confidence))
}

/// Guard band from the standard deviation `s` of only `n` readings (8.3.3, example 2).
pub fn small_sample_guard_band(s: f64, n: u32, confidence: f64) -> f64 {
    t_quantile(confidence, f64::from(n) - 1.0) * s
}

/// What a check with given acceptance limits does to all that is produced (9.5).
///
/// *Joint* shares are of all produced; *conditional* ones of those accepted, or of those rejected.
/// The two are easily taken for each other (9.5.4 words a joint one as a conditional), so both are here.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlobalRisk {
    /// Share of all produced that conforms.
    pub conforming: f64,
    /// Share of all produced that is accepted.
    pub accepted: f64,
    /// Consumer's risk: share of all produced that is accepted and does not conform (joint).
    pub consumer: f64,
    /// Producer's risk: share of all produced that is rejected and does conform (joint).
    pub producer: f64,
}

impl GlobalRisk {
    /// Share of what is accepted that does not conform (conditional).
    pub fn false_among_accepted(self) -> f64 {
        self.consumer / self.accepted
    }

    /// Share of what is rejected that does conform (conditional).
    pub fn good_among_rejected(self) -> f64 {
        self.producer / (1.0 - self.accepted)
    }
}

/// Global risks by quadrature (9.5.2, equations 18 to 21): `density` of the true values on `range` (outside it
/// nothing is produced), measured with a normal standard uncertainty `u`.
pub fn global_risk(
    density: impl Fn(f64) -> f64,
    range: Limits,
    tolerance: Limits,
    acceptance: Limits,
    u: f64,
) -> GlobalRisk {
    let accept = |y: f64| normal_within((acceptance.lower - y) / u, (acceptance.upper - y) / u);
    let reject = |y: f64| {
        normal_below((acceptance.lower - y) / u) + normal_below((y - acceptance.upper) / u)
    };
    // Chance of acceptance changes fast near the acceptance limits: integrate up to, across and on from each.
    let mut ends = vec![range.lower, range.upper];
    for limit in [acceptance.lower, acceptance.upper] {
        ends.extend([limit - 9.0 * u, limit, limit + 9.0 * u]);
    }
    ends.extend([tolerance.lower, tolerance.upper]);
    ends.retain(|end| range.hold(*end));
    ends.sort_by(f64::total_cmp);
    let mut risk = GlobalRisk { conforming: 0.0, accepted: 0.0, consumer: 0.0, producer: 0.0 };
    for pair in ends.windows(2) {
        let over = |f: &dyn Fn(f64) -> f64| integrate(pair[0], pair[1], 24, |y| density(y) * f(y));
        let accepted = over(&accept);
        risk.accepted += accepted;
        if tolerance.hold(0.5 * (pair[0] + pair[1])) {
            risk.conforming += over(&|_| 1.0);
            risk.producer += over(&reject);
        } else {
            risk.consumer += accepted;
        }
    }
    risk
}

/// What was known before (`mean`, `u`) and a reading, both normal, become one (A.4.4, equations A.13 and A.14).
pub fn posterior(before: (f64, f64), reading: (f64, f64)) -> (f64, f64) {
    let (w0, w1) = (1.0 / (before.1 * before.1), 1.0 / (reading.1 * reading.1));
    ((w0 * before.0 + w1 * reading.0) / (w0 + w1), 1.0 / libm::sqrt(w0 + w1))
}

#[cfg(test)]
mod tests;
