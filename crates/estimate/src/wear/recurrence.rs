//! Repairs that come again: how many a machine has had by an age, on average (Nelson's mean cumulative function).

/// One machine or line that was watched from new.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    /// Its ages at its repairs, in any order.
    pub repairs: Vec<f64>,
    /// The age up to which it was watched. Repairs after it are left out.
    pub until: f64,
}

/// The mean number of repairs up to an age.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanCumulative {
    /// The age of a repair.
    pub age: f64,
    /// How many units were watched at that age.
    pub watched: u32,
    /// Mean number of repairs of a unit up to and with that age.
    pub repairs: f64,
    /// Its standard error, which holds as well where some units need more repairs than others (Lawless and Nadeau 1995).
    pub sd: f64,
}

/// One step for each age at which a unit was repaired, in their order (Nelson 1988).
#[must_use]
pub fn mean_cumulative(units: &[Unit]) -> Vec<MeanCumulative> {
    let seen = |unit: &Unit, age: f64| age.is_finite() && age <= unit.until;
    let mut ages: Vec<f64> = units
        .iter()
        .flat_map(|unit| unit.repairs.iter().copied().filter(|age| seen(unit, *age)))
        .collect();
    ages.sort_by(f64::total_cmp);
    ages.dedup_by(|a, b| a == b);
    let mut repairs = 0.0;
    // What each unit has had beyond the mean, each step over those watched then.
    let mut beyond = vec![0.0; units.len()];
    ages.into_iter()
        .map(|age| {
            let watched = units.iter().filter(|unit| unit.until >= age).count() as u32;
            let had = |unit: &Unit| unit.repairs.iter().filter(|at| **at == age).count() as f64;
            let all: f64 = units.iter().filter(|u| u.until >= age).map(had).sum();
            let step = all / f64::from(watched);
            repairs += step;
            for (unit, beyond) in units.iter().zip(&mut beyond) {
                if unit.until >= age {
                    *beyond += (had(unit) - step) / f64::from(watched);
                }
            }
            let sd = beyond.iter().map(|b| b * b).sum::<f64>().sqrt();
            MeanCumulative { age, watched, repairs, sd }
        })
        .collect()
}
