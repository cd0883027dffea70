//! Whether a person's records of a month should be asked about: weak signs, of which three are needed. Always a question.
//!
//! Digits alone do not tell invented readings from honest ones, and single rules misfire; several weak signs together do
//! better (S. Hartgerink's and J. Pogue's studies of made-up data). What is rare depends on the measure: two honest catches
//! in a coarse cup often read alike. So each sign is held against honest months that are made up here with the same lines,
//! the same measures and the same rounding, every line near its target, where honest readings repeat most; and all signs of a
//! month together are held against all signs of those, so that signs that go together do not count twice.
//!
//! Times tell something only where records were made as things happened. Who writes on paper and types at the end is honest
//! and quick: that is why times alone never ask.

mod honest;
mod read;
mod signs;
#[cfg(test)]
mod tests;

pub use read::{Asked, months};
pub use signs::{Sign, resolution};

use honest::Honest;

/// One catch as it was written down. Marks are left out: they hold no number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Caught {
    /// Index of the line on its machine.
    pub line: usize,
    /// The amount as written, in its unit.
    pub amount: f64,
    /// The coarsest steps in which people read this measure, in the same unit: a vessel's division.
    pub coarsest: f64,
    /// Logarithm of the portion that was read over its target.
    pub level: f64,
    /// Standard deviation by which such readings differ from catch to catch, rounding included.
    pub noise: f64,
    /// Standard deviation by which the amount alone differs in the steadiest hand, relative, rounding not included.
    pub steady: f64,
}

/// One round on one machine, by whoever.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Round {
    /// Index of the machine.
    pub machine: usize,
    /// Whether it is by the person whose month is looked at.
    pub theirs: bool,
    /// As-found catches, the first of each line.
    pub caught: Vec<Caught>,
    /// When its records were made, where that was at the machine.
    pub timing: Option<Timing>,
}

/// When the records of a round were made.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Timing {
    /// Seconds between one catch's record and the next one's.
    pub gaps: Vec<f64>,
    /// Seconds from the first record of the round, of whatever kind, to that of the last catch.
    pub span: f64,
    /// Seconds that the catches within that span ran at least.
    pub ran: f64,
}

/// A month of one person at one site: their rounds, and those of others before and between, in order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Month {
    /// The rounds.
    pub rounds: Vec<Round>,
}

/// What a month looks like.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// Signs that are there.
    pub signs: Vec<Sign>,
    /// How much the readings look unlike honest ones, all signs together: greater is more. Only to put months in order.
    pub score: f64,
    /// The share of honest months of the same make whose readings look as unlike.
    pub chance: f64,
    /// How many readings of theirs it rests on.
    pub readings: usize,
}

/// Fewer readings than this say nothing.
pub const FEWEST: usize = 8;

/// Signs that are needed.
pub const NEEDED: usize = 3;

/// Honest months that a month is held against.
const MONTHS: usize = 999;

/// A sign is there where fewer honest months than this have it as strongly.
const RARE: f64 = 0.01;

/// A month is asked about only where no more honest ones than this look as unlike.
const TOGETHER: f64 = 0.005;

/// What a sign of time is worth beside the others: as one that one honest month in twenty has.
const QUICK: f64 = 3.0;

impl Doubt {
    /// Whether to ask.
    #[must_use]
    pub fn asks(&self) -> bool {
        self.signs.len() >= NEEDED && self.chance <= TOGETHER
    }
}

/// Looks at a month. The same seed gives the same answer. None where there are too few readings.
#[must_use]
pub fn doubt(month: &Month, seed: u64) -> Option<Doubt> {
    let theirs = || month.rounds.iter().filter(|round| round.theirs);
    let readings = theirs().map(|round| round.caught.len()).sum();
    if readings < FEWEST {
        return None;
    }
    let seen = signs::strengths(&month.rounds);
    let mut honest = Honest::new(month, seed);
    let mut others: Vec<signs::Strengths> =
        (0..MONTHS).map(|_| signs::strengths(honest.month())).collect();
    others.push(seen);
    // Each month's share of months that have a sign as strongly, itself among them.
    let ranks: Vec<Vec<f64>> = (0..seen.len()).map(|sign| shares(&others, sign)).collect();
    let score = |month: usize, most: f64| -> f64 {
        ranks.iter().filter(|rank| rank[month] <= most).map(|rank| -libm::log(rank[month])).sum()
    };
    let own = others.len() - 1;
    let of_readings = score(own, 1.0);
    // Only signs that are there count together (the truncated product of Zaykin and others 2002): a steady hand has a little
    // of each.
    let there = score(own, RARE);
    let as_unlike = (0..others.len()).filter(|month| score(*month, RARE) >= there).count();
    let chance = as_unlike as f64 / others.len() as f64;
    let mut signs: Vec<Sign> = Sign::OF_READINGS
        .into_iter()
        .zip(&ranks)
        .filter(|(_, rank)| rank[own] <= RARE)
        .map(|(sign, _)| sign)
        .collect();
    let quick = signs::of_time(theirs());
    let score = of_readings + QUICK * quick.len() as f64;
    signs.extend(quick);
    Some(Doubt { signs, score, chance, readings })
}

fn shares(months: &[signs::Strengths], sign: usize) -> Vec<f64> {
    let mut sorted: Vec<f64> = months.iter().map(|month| month[sign]).collect();
    sorted.sort_by(f64::total_cmp);
    let n = months.len();
    let share = |strength: f64| n - sorted.partition_point(|other| *other < strength);
    months.iter().map(|month| share(month[sign]) as f64 / n as f64).collect()
}
