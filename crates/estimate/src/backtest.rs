//! What forecasts would have been worth: any histories, forecast from their first half and scored on their second.
//!
//! Three ways are held against each other. *Same as last time* is what everybody does without thinking. *Smoothed* is an
//! exponentially weighted mean whose weight was tuned on the first half. *Level* is the filter of [`crate::series`], its noise,
//! its walk and, where the first half bears it out, a steady slope fitted to all units of a group together. The spread of each
//! comes from the first half too; nothing of the second half is used before it is scored.

use std::collections::BTreeMap;

use crate::score::{Coverage, Part, crps_mixture, crps_normal, place_in_mixture};
use crate::series::{Model, Point, Slope, filter};
use crate::simplex;

pub mod machines;

#[cfg(test)]
mod tests;

/// One unit's readings, in order of time.
#[derive(Debug, Clone, PartialEq)]
pub struct History {
    /// What is followed: a line, an instrument.
    pub unit: String,
    /// Units of one group behave alike.
    pub group: String,
    /// Its readings.
    pub points: Vec<Point>,
}

/// A way of forecasting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Way {
    /// The latest reading, as it was.
    SameAsLast,
    /// A weighted mean of readings, the latest most.
    Smoothed,
    /// The level by the filter.
    Level,
}

impl Way {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::SameAsLast, Self::Smoothed, Self::Level];

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::SameAsLast => "same as last time",
            Self::Smoothed => "smoothed",
            Self::Level => "level",
        }
    }
}

/// How good a way was. In the unit of the readings, but the coverage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scored {
    /// Which way.
    pub way: Way,
    /// Mean distance of the forecast from what was then read.
    pub error: f64,
    /// Mean continuous ranked probability score.
    pub crps: f64,
    /// How often the interval of 90 % held.
    pub coverage: Coverage,
}

/// Fewer readings of a unit than this are left out.
pub const FEWEST: usize = 12;

/// Scores each way at so many readings ahead. Units with fewer than [`FEWEST`] readings are left out; empty if all are.
#[must_use]
pub fn backtest(histories: &[History], ahead: usize) -> Vec<Scored> {
    let ahead = ahead.max(1);
    let mut groups: BTreeMap<&str, Vec<&[Point]>> = BTreeMap::new();
    for history in histories.iter().filter(|h| h.points.len() >= FEWEST.max(4 * ahead)) {
        groups.entry(&history.group).or_default().push(&history.points);
    }
    let forecasts: Vec<(Way, Forecast)> =
        groups.values().flat_map(|units| of_group(units, ahead)).collect();
    if forecasts.is_empty() {
        return Vec::new();
    }
    Way::ALL.into_iter().map(|way| score(way, &forecasts)).collect()
}

/// What was expected, and what then was.
#[derive(Debug, Clone, Copy)]
struct Forecast {
    mean: f64,
    sd: f64,
    /// The chance of each shock that may have come on top, and its variance.
    shocks: [(f64, f64); 2],
    then: f64,
}

/// 95 % of a normal lie below so many standard deviations.
const NINETY: f64 = 1.644_853_6;

impl Forecast {
    fn normal(mean: f64, sd: f64, then: f64) -> Self {
        Self { mean, sd, shocks: [(0.0, 0.0); 2], then }
    }

    /// The same with what is calm so many times as wide.
    fn widened(self, by: f64) -> Self {
        Self { sd: by * self.sd, ..self }
    }

    /// Without a shock, and with each.
    fn parts(&self) -> Option<[Part; 3]> {
        let [(one, _), (other, _)] = self.shocks;
        if one + other <= 0.0 || self.sd <= 0.0 {
            return None;
        }
        let part = |share: f64, more: f64| Part {
            share,
            mean: self.mean,
            sd: (self.sd * self.sd + more).sqrt(),
        };
        let [first, second] = self.shocks.map(|(chance, variance)| part(chance, variance));
        Some([part((1.0 - one - other).max(0.0), 0.0), first, second])
    }

    /// Whether it was in the interval of 90 %.
    fn held(&self) -> bool {
        match self.parts() {
            Some(parts) => (0.05..=0.95).contains(&place_in_mixture(&parts, self.then)),
            None => (self.then - self.mean).abs() <= NINETY * self.sd,
        }
    }

    fn crps(&self) -> f64 {
        match self.parts() {
            Some(parts) => crps_mixture(&parts, self.then),
            None => crps_normal(self.mean, self.sd, self.then),
        }
    }
}

fn score(way: Way, forecasts: &[(Way, Forecast)]) -> Scored {
    let of_way = || forecasts.iter().filter(|(other, _)| *other == way).map(|(_, f)| f);
    let n = of_way().count();
    let mean = |value: &dyn Fn(&Forecast) -> f64| of_way().map(value).sum::<f64>() / n as f64;
    let held = of_way().filter(|f| f.held()).count();
    Scored {
        way,
        error: mean(&|f| (f.then - f.mean).abs()),
        crps: mean(&Forecast::crps),
        coverage: Coverage { hits: counted(held), of: counted(n) },
    }
}

fn of_group(units: &[&[Point]], ahead: usize) -> Vec<(Way, Forecast)> {
    let firsts: Vec<&[Point]> = units.iter().map(|points| &points[..points.len() / 2]).collect();
    let weight = (1..=20)
        .map(|twentieth| 0.05 * f64::from(twentieth))
        .min_by(|a, b| spread(&firsts, ahead, *a).total_cmp(&spread(&firsts, ahead, *b)))
        .unwrap_or(1.0);
    let model = pooled(&firsts);
    let wider = tails(&model, &firsts, ahead);
    let (last_sd, smoothed_sd) = (spread(&firsts, ahead, 1.0), spread(&firsts, ahead, weight));
    let mut forecasts = Vec::new();
    for points in units {
        let (filtered, means) = (filter(&model, points), smoothed(points, weight));
        for origin in points.len() / 2..points.len() - ahead {
            let Point { at, value: then, own } = points[origin + ahead];
            let told = |mean: f64, sd: f64| Forecast::normal(mean, sd, then);
            forecasts.push((Way::SameAsLast, told(points[origin].value, last_sd)));
            forecasts.push((Way::Smoothed, told(means[origin], smoothed_sd)));
            let level = filtered.ahead_of(origin, at - points[origin].at);
            let sd = wider * (level.variance + model.noise + own).sqrt();
            forecasts.push((Way::Level, told(level.mean, sd)));
        }
    }
    forecasts
}

/// Root mean square of what readings lie from the weighted mean so many readings before.
fn spread(units: &[&[Point]], ahead: usize, weight: f64) -> f64 {
    let (mut sum, mut count) = (0.0, 0.0);
    for points in units {
        for (mean, then) in smoothed(points, weight).iter().zip(points.iter().skip(ahead)) {
            sum += (then.value - mean).powi(2);
            count += 1.0;
        }
    }
    (sum / f64::max(count, 1.0)).sqrt()
}

/// The weighted mean after each reading.
fn smoothed(points: &[Point], weight: f64) -> Vec<f64> {
    let mut mean = points.first().map_or(0.0, |point| point.value);
    let follow = |point: &Point| {
        mean += weight * (point.value - mean);
        mean
    };
    points.iter().map(follow).collect()
}

/// One model for all units of a group, by the greatest likelihood; with a slope only where that is worth its number a unit
/// (Akaike 1974: two for each number).
fn pooled(units: &[&[Point]]) -> Model {
    let scale = spread(units, 1, 1.0).max(1e-12);
    let likelihood =
        |model: &Model| units.iter().map(|unit| filter(model, unit).log_likelihood).sum::<f64>();
    let fitted = |slope: Slope| {
        let model = |x: &[f64]| Model {
            noise: (x[0] * scale).powi(2),
            walk: (x[1] * scale).powi(2) / step(units),
            slope,
        };
        let best = simplex::lowest(&[0.6, 0.4], 0.2, 1e-9, 600, |x| -likelihood(&model(x)));
        (model(&best.place), -best.value)
    };
    let (level, without) = fitted(Slope::None);
    let (sloping, with) = fitted(Slope::Walks(0.0));
    if with - without > units.len() as f64 { sloping } else { level }
}

/// Mean time between readings.
fn step(units: &[&[Point]]) -> f64 {
    let (mut time, mut steps) = (0.0, 0.0);
    for points in units {
        if let [first, .., last] = points {
            time += last.at - first.at;
            steps += (points.len() - 1) as f64;
        }
    }
    if time > 0.0 { time / steps } else { 1.0 }
}

/// By how much the filter's spread must be widened to cover 90 % of the first half.
fn tails(model: &Model, units: &[&[Point]], ahead: usize) -> f64 {
    let mut surprises: Vec<f64> = Vec::new();
    for points in units {
        let filtered = filter(model, points);
        for origin in points.len() / 3..points.len().saturating_sub(ahead) {
            let then = points[origin + ahead];
            let level = filtered.ahead_of(origin, then.at - points[origin].at);
            let sd = (level.variance + model.noise + then.own).sqrt();
            surprises.push((then.value - level.mean).abs() / sd);
        }
    }
    surprises.retain(|surprise| surprise.is_finite());
    surprises.sort_by(f64::total_cmp);
    let ninth = surprises.len() * 9 / 10;
    // Few tell little of a tail.
    if surprises.len() < 20 { 1.0 } else { (surprises[ninth] / NINETY).clamp(0.7, 3.0) }
}

fn counted(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}
