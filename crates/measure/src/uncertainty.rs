//! Uncertainty budgets by JCGM 100:2008.

/// One line of a budget.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// What it comes from, in plain words: `the cup's own tolerance`.
    pub source: &'static str,
    /// Its contribution to the standard uncertainty of the result, |c·u|, in the result's unit.
    pub contribution: f64,
    /// Its degrees of freedom; infinite for Type B.
    pub degrees_of_freedom: f64,
    /// Whether it is shared by every catch made with the same measure, and so never averages away.
    pub persistent: bool,
}

/// The parts of an uncertainty, largest first, without allocation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Budget {
    parts: [Option<Part>; Budget::MOST],
}

impl Budget {
    /// The most parts that a budget can hold.
    pub const MOST: usize = 12;
}
