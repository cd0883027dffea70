//! What really held, for those who judge advice.

use std::sync::Arc;

use ouncewise_estate::Address;
use ouncewise_ledger::Draft;

/// What really held on one line in one week.
#[derive(Debug, Clone, PartialEq)]
pub struct Truth {
    /// The line.
    pub address: Arc<Address>,
    /// The week, from 0.
    pub week: u32,
    /// True portion over target before the round touched anything (1.08 is 8 % too much), without
    /// the effect of the day. On a ratio line: the syrup.
    pub found: f64,
    /// The same after the round.
    pub left: f64,
    /// On a ratio line: true water over its target.
    pub water: Option<f64>,
    /// How far off still serves, as a fraction.
    pub tolerance: f64,
    /// Whether crust narrows the line after the round.
    pub clogged: bool,
    /// Whether its wear part is past its life.
    pub worn_out: bool,
    /// What all lines of the machine share, log (−0.1 is a tenth less).
    pub shared: f64,
    /// Whether the machine was in use.
    pub in_use: bool,
}

impl Truth {
    /// Whether the line was left outside its tolerance.
    #[must_use]
    pub fn off_target(&self) -> bool {
        (self.left - 1.0).abs() > self.tolerance
    }
}

/// What one measure shows beyond the truth.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceTruth {
    /// Key of the measure at its site.
    pub measure: String,
    /// In mL for a vessel, g for a scale.
    pub error: f64,
}

/// All that happened at one site in one week.
#[derive(Debug, Clone, PartialEq)]
pub struct SiteWeek {
    /// Key of the site.
    pub site: String,
    /// The week, from 0.
    pub week: u32,
    /// What was written down, in the order of events.
    pub drafts: Vec<Draft>,
    /// What really held on each line.
    pub truth: Vec<Truth>,
    /// What each measure really shows at the end of the week.
    pub pieces: Vec<PieceTruth>,
}
