//! Practices side by side in virtual worlds.

use schemars::JsonSchema;
use serde::Serialize;

/// What came of each practice in each world.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CompareReport {
    /// The seeds; each is a whole estate of its own.
    pub seeds: Vec<u64>,
    /// Sites of each estate, with one machine each.
    pub sites: usize,
    /// Lines of each machine.
    pub lines: usize,
    /// Weeks that were lived through.
    pub weeks: u32,
    /// World by world, in each practice by practice.
    pub practices: Vec<PracticeReport>,
}

/// What came of one practice in one world.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PracticeReport {
    /// The world: `plain`, `hard` or `unlike`.
    pub world: String,
    /// The practice.
    pub practice: String,
    /// Percent of line-weeks that served outside tolerance.
    pub off_target_percent: Figure,
    /// How far off lines served, percent, mean of either side.
    pub error_percent: Figure,
    /// Adjustments of a line that was within half its tolerance, a line and year.
    pub needless_adjustments: Figure,
    /// Minutes of the crew, a machine and week.
    pub crew_minutes: Figure,
    /// Product poured away, mL a machine and week.
    pub poured_ml: Figure,
    /// Wear parts, a line and year.
    pub parts: Figure,
    /// Technicians called, a machine and year.
    pub calls: Figure,
    /// What it cost, a machine and week, at prices that are assumed and the same for all.
    pub money: Figure,
}

/// A mean over seeds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Figure {
    /// The mean.
    pub mean: f64,
    /// Its standard error; absent for a single seed.
    pub standard_error: Option<f64>,
}

/// What our own practice loses where a term is taken out of the estimate.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AblateReport {
    /// The seeds; each is a whole estate of its own.
    pub seeds: Vec<u64>,
    /// Sites of each estate, with one machine each.
    pub sites: usize,
    /// Lines of each machine.
    pub lines: usize,
    /// Weeks that were lived through.
    pub weeks: u32,
    /// World by world, first the whole, then without each term.
    pub rows: Vec<AblatedReport>,
}

/// Our own practice in one world, whole or without a term.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AblatedReport {
    /// The world: `plain`, `hard` or `unlike`.
    pub world: String,
    /// The term that was taken out; absent for the whole.
    pub without: Option<String>,
    /// Percent of line-weeks that served outside tolerance.
    pub off_target_percent: Figure,
    /// By how much that is more than with the whole, seed by seed.
    pub more_off_target_percent: Figure,
    /// Minutes of the crew, a machine and week.
    pub crew_minutes: Figure,
    /// By how many that is more than with the whole, seed by seed.
    pub more_crew_minutes: Figure,
}
