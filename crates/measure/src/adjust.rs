//! The amount to adjust, in terms of the adjuster that the line really has.

/// How a line is set, apart from its metering.
#[derive(Debug, Clone, PartialEq)]
pub enum Adjuster {
    /// An unmarked screw.
    Screw {
        /// Fraction by which one whole turn changes the flow (0.20 is 20 %), if known.
        per_turn: Option<f64>,
        /// Whether anticlockwise gives more.
        anticlockwise_gives_more: bool,
        /// Slack, in turns: a change of direction loses this much first.
        slack_turns: f64,
    },
    /// A wheel or ring with notches.
    Notches {
        /// Fraction by which one notch changes the flow.
        per_notch: f64,
        /// What to call the direction that gives more: `up`, `towards +`.
        more: String,
    },
    /// A number on a panel, proportional to the portion.
    Number {
        /// Smallest step of the panel.
        step: f64,
        /// Smallest and largest number the panel takes.
        range: (f64, f64),
    },
    /// A percent on a panel: 100 % is the factory portion.
    Percent {
        /// Smallest step, in percent points.
        step: f64,
        /// Smallest and largest percent the panel takes.
        range: (f64, f64),
    },
    /// Start and stop a draw at the mark; the old setting is lost.
    Taught,
    /// Cannot be set by the crew: call.
    None,
}

/// Which way an adjuster is moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Direction {
    /// Towards a larger portion.
    More,
    /// Towards a smaller portion.
    Less,
}

/// What to do to the adjuster.
#[derive(Debug, Clone, PartialEq)]
pub struct Adjustment {
    /// The wanted change of the flow, as a fraction (−0.08 is 8 % less).
    pub change: f64,
    /// One plain sentence in the adjuster's own terms.
    pub instruction: String,
}
