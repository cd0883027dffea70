//! Forecasts of true levels in virtual worlds.

use schemars::JsonSchema;
use serde::Serialize;

use crate::compare::Figure;

/// How good forecasts of a line's true level were, by world, by what the line is read with and by how far ahead they looked.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ForecastsReport {
    /// The seeds; each is a whole estate of its own.
    pub seeds: Vec<u64>,
    /// Sites of each estate, with one machine each.
    pub sites: usize,
    /// Lines of each machine.
    pub lines: usize,
    /// Weeks that were lived through.
    pub weeks: u32,
    /// World by world, class by class, the nearest first.
    pub rows: Vec<ForecastReport>,
}

/// Forecasts in one world, of lines read alike, so far ahead. Scores are percent of a portion; lower is better.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ForecastReport {
    /// The world: `plain`, `hard` or `unlike`.
    pub world: String,
    /// What lines are read with: `one mark`, `divided` or `scale`.
    pub read_with: String,
    /// Weeks ahead.
    pub ahead: u32,
    /// Forecasts that were scored.
    pub forecasts: usize,
    /// Percent of our intervals of 90 % that held the true level.
    pub held_percent: Figure,
    /// Continuous ranked probability score of ours.
    pub crps: Figure,
    /// Percent of intervals that held once their tails were widened as another seed asked.
    pub widened_held_percent: Figure,
    /// Continuous ranked probability score of ours, widened.
    pub widened_crps: Figure,
    /// By how much the score of *same as last time* is worse than that of ours as it comes.
    pub last_worse: Figure,
    /// By how much the score of the smoothed mean is worse than that of ours as it comes.
    pub smoothed_worse: Figure,
    /// Weight of the latest reading in the smoothed mean, as another seed chose it.
    pub smoothed_weight: f64,
}
