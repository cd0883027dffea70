//! What is counted while a practice lives through its weeks.

use std::ops::AddAssign;

/// What came of a practice.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Tally {
    /// Weeks of machines.
    pub machine_weeks: f64,
    /// Weeks of machines whose round was missed.
    pub missed_weeks: f64,
    /// Weeks of lines.
    pub line_weeks: f64,
    /// Of these, how many served outside tolerance. A week is scored as it begins, when the round is
    /// done, and as it ends, half and half; the effect of the day is left out, for portions are served
    /// on all days.
    pub off_weeks: f64,
    /// Sum over line-weeks of how far off they served, as a fraction.
    pub error: f64,
    /// Catches of all kinds that were really made.
    pub catches: f64,
    /// Adjustments and teachings that were really made.
    pub adjusted: f64,
    /// Of these, how many touched a line that was within half its tolerance.
    pub needless: f64,
    /// Minutes of the crew.
    pub minutes: f64,
    /// mL of product poured away.
    pub poured: f64,
    /// Wear parts used.
    pub parts: f64,
    /// Technicians called.
    pub calls: f64,
    /// What it cost.
    pub money: Money,
}

impl Tally {
    /// Share of line-weeks that served outside tolerance.
    #[must_use]
    pub fn off_share(&self) -> f64 {
        self.off_weeks / self.line_weeks
    }

    /// Minutes of the crew, a machine and week.
    #[must_use]
    pub fn weekly_minutes(&self) -> f64 {
        self.minutes / self.machine_weeks
    }
}

/// What a practice cost, in the group's currency.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Money {
    /// Product served beyond the recipe. What is served short is no gain, and counts nothing here.
    pub over: f64,
    /// Drinks made again because they were short.
    pub remade: f64,
    /// Product poured away.
    pub poured: f64,
    /// Hours of the crew.
    pub crew: f64,
    /// Wear parts.
    pub parts: f64,
    /// Technicians.
    pub calls: f64,
}

impl Money {
    /// All of it.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.over + self.remade + self.poured + self.crew + self.parts + self.calls
    }
}

impl AddAssign<&Self> for Tally {
    fn add_assign(&mut self, other: &Self) {
        self.machine_weeks += other.machine_weeks;
        self.missed_weeks += other.missed_weeks;
        self.line_weeks += other.line_weeks;
        self.off_weeks += other.off_weeks;
        self.error += other.error;
        self.catches += other.catches;
        self.adjusted += other.adjusted;
        self.needless += other.needless;
        self.minutes += other.minutes;
        self.poured += other.poured;
        self.parts += other.parts;
        self.calls += other.calls;
        self.money += other.money;
    }
}

impl AddAssign for Money {
    fn add_assign(&mut self, other: Self) {
        self.over += other.over;
        self.remade += other.remade;
        self.poured += other.poured;
        self.crew += other.crew;
        self.parts += other.parts;
        self.calls += other.calls;
    }
}
