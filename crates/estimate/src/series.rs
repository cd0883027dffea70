//! One series alone: a level that walks, with a steady drift or none, read with noise.
//!
//! The local level model of Durbin & Koopman (2012), chapter 2, and the same
//! with a slope that is constant or walks. Nothing is assumed of where the
//! level begins (the exact diffuse start of Koopman 1997), dates may be
//! uneven and readings may be missing: a walk of variance *q* per unit of
//! time gathers *q Δt*. For histories that somebody brings as plain numbers;
//! the lines of a machine are estimated together in [`crate::joint`].

use crate::simplex;

#[cfg(test)]
pub(crate) mod tests;

/// Whether the level has a steady slope.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Slope {
    /// None: only the walk moves the level.
    None,
    /// One slope, not known before, which walks with this variance per unit of time; 0 is steady.
    Walks(f64),
}

/// How a series behaves. Variances are in the square of its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Model {
    /// Variance of a reading's noise, besides what a reading states of its own.
    pub noise: f64,
    /// Variance of the level's walk, per unit of time.
    pub walk: f64,
    /// Its slope.
    pub slope: Slope,
}

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// When, in any unit of time.
    pub at: f64,
    /// What was read.
    pub value: f64,
    /// Variance that the reading itself states, besides the model's noise.
    pub own: f64,
}

/// Mean and variance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Normal {
    /// Mean.
    pub mean: f64,
    /// Variance.
    pub variance: f64,
}

/// What the filter said at one reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// What was expected of the reading, before it was seen; none while the start is unknown.
    pub expected: Option<Normal>,
    /// The level after it was seen; none while its start is still open.
    pub level: Normal,
}

/// A filtered series.
#[derive(Debug, Clone, PartialEq)]
pub struct Filtered {
    /// One step per reading.
    pub steps: Vec<Step>,
    /// Natural logarithm of the likelihood: all constants, but the log 2π/2 of the readings
    /// that only settle the start.
    pub log_likelihood: f64,
    /// The state after each reading, for forecasts.
    states: Vec<State>,
    model: Model,
}

/// Level and slope, their covariance, and what of it is still without bounds.
#[derive(Debug, Clone, Copy, PartialEq)]
struct State {
    mean: [f64; 2],
    /// Covariance: level, both, slope.
    known: [f64; 3],
    /// The same of the part that grows without bounds.
    open: [f64; 3],
}

impl State {
    fn begin(slope: Slope) -> Self {
        let open = match slope {
            Slope::None => [1.0, 0.0, 0.0],
            Slope::Walks(_) => [1.0, 0.0, 1.0],
        };
        Self { mean: [0.0; 2], known: [0.0; 3], open }
    }

    fn pass(&mut self, model: &Model, time: f64) {
        let turned =
            |p: [f64; 3]| [p[0] + 2.0 * time * p[1] + time * time * p[2], p[1] + time * p[2], p[2]];
        self.mean[0] += time * self.mean[1];
        self.known = turned(self.known);
        self.open = turned(self.open);
        self.known[0] += model.walk * time;
        if let Slope::Walks(variance) = model.slope {
            self.known[2] += variance * time;
        }
    }

    /// Takes a reading in, and adds its log-likelihood.
    fn read(&mut self, value: f64, noise: f64, log_likelihood: &mut f64) -> Option<Normal> {
        let short = value - self.mean[0];
        let variance = self.known[0] + noise;
        let gain = [self.known[0], self.known[1]];
        let open = [self.open[0], self.open[1]];
        if open[0] > 1e-9 {
            let into = [1.0, open[1] / open[0]];
            self.mean[0] += into[0] * short;
            self.mean[1] += into[1] * short;
            let mixed = |i: usize, j: usize| {
                into[i] * into[j] * variance - gain[i] * into[j] - gain[j] * into[i]
            };
            self.known[0] += mixed(0, 0);
            self.known[1] += mixed(0, 1);
            self.known[2] += mixed(1, 1);
            self.open[0] = 0.0;
            self.open[1] = 0.0;
            self.open[2] -= open[1] * open[1] / open[0];
            if self.open[2] < 1e-9 {
                self.open[2] = 0.0;
            }
            *log_likelihood -= 0.5 * libm::log(open[0]);
            return None;
        }
        let expected = Normal { mean: self.mean[0], variance };
        if variance <= 0.0 {
            return Some(expected);
        }
        let weight = [gain[0] / variance, gain[1] / variance];
        self.mean[0] += weight[0] * short;
        self.mean[1] += weight[1] * short;
        self.known[0] -= weight[0] * gain[0];
        self.known[1] -= weight[0] * gain[1];
        self.known[2] -= weight[1] * gain[1];
        *log_likelihood -=
            0.5 * (libm::log(2.0 * core::f64::consts::PI * variance) + short * short / variance);
        Some(expected)
    }
}

/// Filters readings in order of time. Earlier dates than the one before count as the same moment.
#[must_use]
pub fn filter(model: &Model, points: &[Point]) -> Filtered {
    let mut state = State::begin(model.slope);
    let mut log_likelihood = 0.0;
    let mut before: Option<f64> = None;
    let (mut steps, mut states) =
        (Vec::with_capacity(points.len()), Vec::with_capacity(points.len()));
    for point in points {
        if let Some(before) = before {
            state.pass(model, (point.at - before).max(0.0));
        }
        before = Some(before.map_or(point.at, |b| b.max(point.at)));
        let expected = state.read(point.value, model.noise + point.own, &mut log_likelihood);
        let level = Normal { mean: state.mean[0], variance: state.known[0] };
        steps.push(Step { expected, level });
        states.push(state);
    }
    Filtered { steps, log_likelihood, states, model: *model }
}

impl Filtered {
    /// The level so much time after the last reading. A reading's variance has the model's noise on top.
    #[must_use]
    pub fn ahead(&self, time: f64) -> Normal {
        self.ahead_of(self.states.len().saturating_sub(1), time)
    }

    /// The level so much time after one of the readings, by it and those before it.
    #[must_use]
    pub fn ahead_of(&self, reading: usize, time: f64) -> Normal {
        let begin = || State::begin(self.model.slope);
        let mut state = self.states.get(reading).copied().unwrap_or_else(begin);
        state.pass(&self.model, time.max(0.0));
        let variance = if state.open[0] > 0.0 { f64::INFINITY } else { state.known[0] };
        Normal { mean: state.mean[0], variance }
    }

    /// The slope after the last reading, where the model has one and two readings have settled it.
    #[must_use]
    pub fn slope(&self) -> Option<Normal> {
        let end = self.states.last()?;
        let settled = self.model.slope != Slope::None && end.open == [0.0; 3];
        settled.then(|| Normal { mean: end.mean[1], variance: end.known[2] })
    }

    /// Readings against what was expected of them, in standard deviations.
    #[must_use]
    pub fn surprises(&self, points: &[Point]) -> Vec<f64> {
        let pairs = self.steps.iter().zip(points);
        pairs
            .filter_map(|(step, point)| {
                let expected = step.expected?;
                Some((point.value - expected.mean) / expected.variance.sqrt())
            })
            .collect()
    }
}

/// The level at any moments (in order of time) by all readings, before and after: for pictures.
///
/// Only for a model without a slope: a walk looks the same from both ends, so that the past's
/// word and the future's are put together by their weights. Moments without a reading are
/// allowed; with no reading at all the answer is empty.
#[must_use]
pub fn smooth(noise: f64, walk: f64, points: &[Point], moments: &[f64]) -> Vec<Normal> {
    if points.is_empty() {
        return Vec::new();
    }
    let model = Model { noise, walk, slope: Slope::None };
    let past = filter(&model, points);
    let turned: Vec<Point> =
        points.iter().rev().map(|point| Point { at: -point.at, ..*point }).collect();
    let future = filter(&model, &turned);
    moments
        .iter()
        .map(|&moment| {
            let before = points.partition_point(|point| point.at <= moment);
            let after = points.len() - before;
            let from = |filtered: &Filtered, readings: usize, at: f64| {
                let level = filtered.steps[readings - 1].level;
                (level.mean, 1.0 / (level.variance + walk * (at - moment).abs()))
            };
            let mut sum = (0.0, 0.0);
            if before > 0 {
                let (mean, weight) = from(&past, before, points[before - 1].at);
                sum = (sum.0 + weight * mean, sum.1 + weight);
            }
            if after > 0 {
                let (mean, weight) = from(&future, after, points[before].at);
                sum = (sum.0 + weight * mean, sum.1 + weight);
            }
            Normal { mean: sum.0 / sum.1, variance: 1.0 / sum.1 }
        })
        .collect()
}

/// A model fitted to a series, and how well it did.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// The model of greatest likelihood. A variance of zero is a legal answer.
    pub model: Model,
    /// Its log-likelihood.
    pub log_likelihood: f64,
}

/// Fits noise and walk (and, where asked, a steady slope or one that walks) by maximum likelihood.
///
/// # Errors
///
/// None where fewer than four readings are given, or all are alike.
#[must_use]
pub fn fit(points: &[Point], slope: Slope) -> Option<Fit> {
    let n = points.len() as f64;
    let mean = points.iter().map(|p| p.value).sum::<f64>() / n;
    let variance = points.iter().map(|p| (p.value - mean).powi(2)).sum::<f64>() / n;
    let span = points.last()?.at - points.first()?.at;
    if points.len() < 4 || variance.is_nan() || variance <= 0.0 || span <= 0.0 {
        return None;
    }
    let step = span / (n - 1.0);
    let walks = matches!(slope, Slope::Walks(v) if v > 0.0);
    let scale = variance.sqrt();
    let model = |x: &[f64]| Model {
        noise: (x[0] * scale).powi(2),
        walk: (x[1] * scale).powi(2) / step,
        slope: match slope {
            Slope::Walks(_) if walks => Slope::Walks((x[2] * scale).powi(2) / step.powi(3)),
            other => other,
        },
    };
    let cost = |x: &[f64]| -filter(&model(x), points).log_likelihood;
    let starts: &[[f64; 3]] = &[[0.7, 0.3, 0.01], [0.2, 0.7, 0.001]];
    let best = starts
        .iter()
        .map(|start| simplex::lowest(&start[..if walks { 3 } else { 2 }], 0.2, 1e-12, 4000, cost))
        .min_by(|a, b| a.value.total_cmp(&b.value))?;
    // A variance at the edge is put there, so that it can be said to be zero.
    let mut place = best.place;
    for index in 0..place.len() {
        let kept = std::mem::replace(&mut place[index], 0.0);
        if cost(&place) > best.value + 1e-7 {
            place[index] = kept;
        }
    }
    let model = model(&place);
    Some(Fit { model, log_likelihood: filter(&model, points).log_likelihood })
}
