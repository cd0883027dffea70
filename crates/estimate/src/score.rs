//! How good forecasts were: scores of a stated distribution against what was then read, and whether intervals held as often as
//! they promised.
//!
//! All scores are better when lower. Only a reading that nothing was done before may be scored: an adjustment spoils the
//! forecast that it followed from.
//!
//! ```
//! use ouncewise_estimate::score::{Coverage, crps_normal};
//! // "31 mL, give or take 1" against a reading of 32: as good as being 0.6 mL off for sure.
//! assert!((crps_normal(31.0, 1.0, 32.0) - 0.602).abs() < 0.001);
//! // 38 of 50 intervals of 90 % held: fewer than chance explains.
//! let coverage = Coverage { hits: 38, of: 50 };
//! assert_eq!(coverage.holds(0.9, 0.95), Some(false));
//! ```

#[cfg(test)]
mod tests;

use ouncewise_measure::special::{chi_squared_above, f_quantile, normal_below, normal_density};

/// Continuous ranked probability score of a normal forecast with `mean` and `sd` against a reading, in the reading's unit
/// (Gneiting and Raftery 2007). With `sd` 0 the distance. NaN if `sd` is below 0.
#[must_use]
pub fn crps_normal(mean: f64, sd: f64, read: f64) -> f64 {
    if sd == 0.0 {
        return (read - mean).abs();
    }
    if sd.is_nan() || sd < 0.0 {
        return f64::NAN;
    }
    distance(read - mean, sd) - sd * ONE_BY_ROOT_PI
}

/// 1 / √π: half of what two draws of a normal forecast are apart on average, in its standard deviation.
const ONE_BY_ROOT_PI: f64 = 0.564_189_583_547_756_3;

/// Mean distance from 0 of a normal variable with that mean and standard deviation.
fn distance(mean: f64, sd: f64) -> f64 {
    if sd == 0.0 {
        return mean.abs();
    }
    let z = mean / sd;
    sd * (2.0 * normal_density(z) + z * (2.0 * normal_below(z) - 1.0))
}

/// A part of a mixture of normal distributions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Its share; shares are taken as parts of their sum.
    pub share: f64,
    /// Its mean.
    pub mean: f64,
    /// Its standard deviation, at least 0.
    pub sd: f64,
}

fn whole(parts: &[Part]) -> Option<f64> {
    let sane = |p: &Part| p.share >= 0.0 && p.sd >= 0.0 && p.mean.is_finite();
    let sum: f64 = parts.iter().map(|p| p.share).sum();
    (parts.iter().all(sane) && sum > 0.0).then_some(sum)
}

/// Continuous ranked probability score of a mixture of normal forecasts, in the reading's unit (Grimit and others 2006). NaN if
/// no part has a share.
#[must_use]
pub fn crps_mixture(parts: &[Part], read: f64) -> f64 {
    let Some(sum) = whole(parts) else { return f64::NAN };
    let to_reading: f64 = parts.iter().map(|p| p.share / sum * distance(read - p.mean, p.sd)).sum();
    let among: f64 = parts
        .iter()
        .flat_map(|a| parts.iter().map(move |b| (a, b)))
        .map(|(a, b)| {
            let sd = (a.sd * a.sd + b.sd * b.sd).sqrt();
            a.share * b.share / (sum * sum) * distance(a.mean - b.mean, sd)
        })
        .sum();
    to_reading - 0.5 * among
}

/// Continuous ranked probability score of an ensemble, each member of the same weight, in the reading's unit. NaN for none.
#[must_use]
pub fn crps_ensemble(members: &[f64], read: f64) -> f64 {
    let mut sorted = members.to_vec();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len() as f64;
    let to_reading: f64 = sorted.iter().map(|x| (x - read).abs()).sum();
    // The sum of all distances between two members, by their ranks.
    let among: f64 =
        sorted.iter().enumerate().map(|(rank, x)| x * (2.0 * rank as f64 + 1.0 - n)).sum();
    to_reading / n - among / (n * n)
}

/// Logarithmic score of a normal forecast: minus the logarithm of its density at the reading (Good 1952). Infinite where the
/// forecast was certain and wrong.
#[must_use]
pub fn log_score(mean: f64, sd: f64, read: f64) -> f64 {
    if sd == 0.0 {
        return if read == mean { f64::NEG_INFINITY } else { f64::INFINITY };
    }
    let z = (read - mean) / sd;
    0.5 * z * z + libm::log(sd) + 0.918_938_533_204_672_7
}

/// Interval score of an interval that promised to hold with the probability `level`: its width, and for a reading outside
/// 2 / (1 − level) times how far (Gneiting and Raftery 2007). In the reading's unit.
#[must_use]
pub fn interval_score(low: f64, high: f64, level: f64, read: f64) -> f64 {
    let outside = (low - read).max(read - high).max(0.0);
    high - low + 2.0 / (1.0 - level) * outside
}

/// How many intervals held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Coverage {
    /// Intervals that held the reading.
    pub hits: u32,
    /// Of how many.
    pub of: u32,
}

impl Coverage {
    /// How many would hold if the promise were kept, and the standard deviation of that number.
    #[must_use]
    pub fn expected(&self, level: f64) -> (f64, f64) {
        let n = f64::from(self.of);
        (n * level, (n * level * (1.0 - level)).sqrt())
    }

    /// The interval of the share that holds, with a confidence (0.95), by the binomial distribution alone (Clopper and Pearson
    /// 1934). With none held or all held the whole of the risk lies on the other side. From 0 to 1 where there was nothing.
    #[must_use]
    pub fn share(&self, confidence: f64) -> (f64, f64) {
        if self.of == 0 {
            return (0.0, 1.0);
        }
        let (hits, misses) =
            (f64::from(self.hits.min(self.of)), f64::from(self.of.saturating_sub(self.hits)));
        let tail = 0.5 * (1.0 - confidence);
        let low = if hits == 0.0 {
            0.0
        } else {
            hits / (hits
                + (misses + 1.0) * f_quantile(1.0 - tail, 2.0 * (misses + 1.0), 2.0 * hits))
        };
        let high = if misses == 0.0 {
            1.0
        } else {
            let f = f_quantile(1.0 - tail, 2.0 * (hits + 1.0), 2.0 * misses);
            (hits + 1.0) * f / (misses + (hits + 1.0) * f)
        };
        (low, high)
    }

    /// Whether the promised level lies in [`Coverage::share`]; nothing where nothing was counted.
    #[must_use]
    pub fn holds(&self, level: f64, confidence: f64) -> Option<bool> {
        let (low, high) = self.share(confidence);
        (self.of > 0).then_some(low <= level && level <= high)
    }
}

/// Where in its forecast a reading fell: the forecast's probability of less than was read. Evenly spread between 0 and 1 where
/// forecasts are honest.
#[must_use]
pub fn place_in_normal(mean: f64, sd: f64, read: f64) -> f64 {
    normal_below((read - mean) / sd)
}

/// The same for a mixture of normal distributions; NaN if no part has a share.
#[must_use]
pub fn place_in_mixture(parts: &[Part], read: f64) -> f64 {
    let Some(sum) = whole(parts) else { return f64::NAN };
    let below = |p: &Part| {
        if p.sd > 0.0 {
            normal_below((read - p.mean) / p.sd)
        } else {
            f64::from(u8::from(read >= p.mean))
        }
    };
    parts.iter().map(|p| p.share / sum * below(p)).sum()
}

/// Counts of things that should fall evenly into classes, as places in forecasts do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Even {
    /// How many fell into each class.
    pub counts: Vec<u32>,
}

impl Even {
    /// Counts places between 0 and 1 in `classes` equal classes; those that are none are left out.
    #[must_use]
    pub fn of(places: &[f64], classes: usize) -> Self {
        let mut counts = vec![0; classes];
        for place in places.iter().filter(|p| (0.0..=1.0).contains(*p)) {
            let class = ((place * classes as f64) as usize).min(classes.saturating_sub(1));
            if let Some(count) = counts.get_mut(class) {
                *count += 1;
            }
        }
        Self { counts }
    }

    /// Pearson's χ² against even classes, and the probability of as much by chance. Says something where each class is due 5 or
    /// more. Nothing for fewer than two classes, or nothing counted.
    #[must_use]
    pub fn test(&self) -> Option<(f64, f64)> {
        let total: u32 = self.counts.iter().sum();
        if self.counts.len() < 2 || total == 0 {
            return None;
        }
        let due = f64::from(total) / self.counts.len() as f64;
        let square =
            self.counts.iter().map(|c| (f64::from(*c) - due) * (f64::from(*c) - due) / due).sum();
        Some((square, chi_squared_above(square, self.counts.len() as f64 - 1.0)))
    }
}
