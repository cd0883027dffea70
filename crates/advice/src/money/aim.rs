//! Where to aim when too little and too much do not cost the same (the canning problem, Springer 1951).

use ouncewise_measure::special::{normal_below, normal_density, normal_quantile};

/// Where to aim.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// How far above the target or the limit, in standard deviations of a portion.
    pub deviations: f64,
    /// The same in the unit of the standard deviation.
    pub above: f64,
    /// What a portion then costs on average.
    pub cost: f64,
    /// The share of portions below the target or the limit.
    pub short: f64,
}

/// The share of portions below a limit.
#[must_use]
pub fn short_share(mean: f64, sd: f64, limit: f64) -> f64 {
    normal_below((limit - mean) / sd)
}

/// Where each millilitre above the limit costs `give_away`, and a portion below it costs `penalty`, however short. Nothing if
/// the penalty is so small that no aim is best: penalty ≤ give_away · sd · √(2 π).
#[must_use]
pub fn aim_with_penalty(give_away: f64, penalty: f64, sd: f64) -> Option<Aim> {
    let ratio = penalty * normal_density(0.0) / (give_away * sd);
    if !(give_away > 0.0 && sd > 0.0 && ratio > 1.0 && ratio.is_finite()) {
        return None;
    }
    let deviations = (2.0 * libm::log(ratio)).sqrt();
    let short = normal_below(-deviations);
    let above = deviations * sd;
    Some(Aim { deviations, above, cost: give_away * above + penalty * short, short })
}

/// Where each millilitre above the target costs `over` and each below it `under`: the quantile under / (under + over). Nothing
/// unless all are above 0.
#[must_use]
pub fn aim_linear(over: f64, under: f64, sd: f64) -> Option<Aim> {
    if !(over > 0.0 && under > 0.0 && sd > 0.0) {
        return None;
    }
    let deviations = normal_quantile(under / (under + over));
    Some(Aim {
        deviations,
        above: deviations * sd,
        cost: (over + under) * sd * normal_density(deviations),
        short: normal_below(-deviations),
    })
}

/// Where the loss is `over` times the square above the target and `under` times the square below it. Nothing unless all are
/// above 0.
#[must_use]
pub fn aim_quadratic(over: f64, under: f64, sd: f64) -> Option<Aim> {
    let sane = |x: f64| x > 0.0 && x.is_finite();
    if !(sane(over) && sane(under) && sane(sd)) {
        return None;
    }
    // The slope of the mean loss, which rises all the way.
    let slope = |z: f64| {
        let above = z * normal_below(z) + normal_density(z);
        let below = z * normal_below(-z) - normal_density(z);
        over * above + under * below
    };
    let (mut low, mut high) = (-38.0, 38.0);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if slope(middle) > 0.0 { high = middle } else { low = middle }
    }
    let z = 0.5 * (low + high);
    let (square, density) = (1.0 + z * z, normal_density(z));
    let cost = over * (square * normal_below(z) + z * density)
        + under * (square * normal_below(-z) - z * density);
    Some(Aim { deviations: z, above: z * sd, cost: sd * sd * cost, short: normal_below(-z) })
}
