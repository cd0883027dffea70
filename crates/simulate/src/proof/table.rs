//! Practices side by side.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::cost::Tally;
use super::facts::Facts;
use super::machine::Machine;
use super::nature::Nature;
use super::visit::{Practice, Visit};

/// A practice that is tried: its name, and how it is made for a machine.
pub struct Entry {
    /// What it is called.
    pub name: &'static str,
    make: Box<dyn Fn(&Facts) -> Box<dyn Practice> + Send + Sync>,
}

impl Entry {
    /// Names a practice.
    pub fn new(
        name: &'static str,
        make: impl Fn(&Facts) -> Box<dyn Practice> + Send + Sync + 'static,
    ) -> Self {
        Self { name, make: Box::new(make) }
    }
}

/// How much is lived through.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// Seeds; each is a whole estate of its own.
    pub seeds: Vec<u64>,
    /// Sites, each with one machine.
    pub sites: usize,
    /// Lines of a machine.
    pub lines: usize,
    /// Weeks.
    pub weeks: u32,
    /// Threads that share the work. The result does not depend on it.
    pub threads: usize,
}

/// What came of every practice in every world.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// World by world, in each practice by practice, in the order in which they were given.
    pub rows: Vec<Row>,
}

/// What came of one practice in one world.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The world.
    pub world: &'static str,
    /// The practice.
    pub practice: &'static str,
    /// Share of line-weeks that served outside tolerance.
    pub off_share: Spread,
    /// Mean of how far off lines served, as a fraction.
    pub error: Spread,
    /// Adjustments of a line that was within half its tolerance, a line and year.
    pub needless: Spread,
    /// Minutes of the crew, a machine and week.
    pub minutes: Spread,
    /// mL poured away, a machine and week.
    pub poured: Spread,
    /// Wear parts, a line and year.
    pub parts: Spread,
    /// Technicians called, a machine and year.
    pub calls: Spread,
    /// What it cost, a machine and week.
    pub money: Spread,
    /// What was counted, seed by seed.
    pub tallies: Vec<Tally>,
}

/// Mean over seeds, and its standard error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// The mean.
    pub mean: f64,
    /// Standard error of the mean; not a number for a single seed.
    pub error: f64,
}

impl Spread {
    /// Of values that were found, one a seed.
    #[must_use]
    pub fn of(values: &[f64]) -> Self {
        let n = values.len() as f64;
        let mean = values.iter().sum::<f64>() / n;
        let squares = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>();
        Self { mean, error: (squares / (n - 1.0) / n).sqrt() }
    }
}

/// Weeks of a year.
const YEAR: f64 = 365.25 / 7.0;

impl Row {
    fn new(world: &'static str, practice: &'static str, tallies: Vec<Tally>) -> Self {
        let spread = |value: &dyn Fn(&Tally) -> f64| {
            Spread::of(&tallies.iter().map(value).collect::<Vec<_>>())
        };
        Self {
            world,
            practice,
            off_share: spread(&Tally::off_share),
            error: spread(&|t| t.error / t.line_weeks),
            needless: spread(&|t| YEAR * t.needless / t.line_weeks),
            minutes: spread(&Tally::weekly_minutes),
            poured: spread(&|t| t.poured / t.machine_weeks),
            parts: spread(&|t| YEAR * t.parts / t.line_weeks),
            calls: spread(&|t| YEAR * t.calls / t.machine_weeks),
            money: spread(&|t| t.money.total() / t.machine_weeks),
            tallies,
        }
    }
}

/// Lets one practice live through one estate. Only one machine is held in memory.
#[must_use]
pub fn live(
    nature: &Nature,
    practice: &Entry,
    seed: u64,
    (sites, lines): (usize, usize),
    weeks: u32,
) -> Tally {
    let mut tally = Tally::default();
    for site in 0..sites {
        let mut machine = Machine::new(nature, seed, site, lines);
        let mut practice = (practice.make)(&machine.facts);
        for _week in 0..weeks {
            if machine.missed {
                machine.tally.missed_weeks += 1.0;
            } else {
                practice.round(&mut Visit::new(&mut machine));
            }
            machine.score_half();
            machine.pass_week();
            machine.score_half();
        }
        tally += &machine.tally;
    }
    tally
}

/// Tries every practice in every world, on the same machines. `step` is called after each of the
/// estates that are lived through: one for each world, practice and seed.
#[must_use]
pub fn compare(
    worlds: &[Nature],
    practices: &[&Entry],
    plan: &Plan,
    step: &(dyn Fn() + Sync),
) -> Table {
    let seeds = &plan.seeds;
    let jobs = worlds.len() * practices.len() * seeds.len();
    let next = AtomicUsize::new(0);
    let done: Mutex<Vec<Option<Tally>>> = Mutex::new(vec![None; jobs]);
    let work = || {
        loop {
            let job = next.fetch_add(1, Ordering::Relaxed);
            if job >= jobs {
                return;
            }
            let (pair, seed) = (job / seeds.len(), seeds[job % seeds.len()]);
            let (world, practice) = (pair / practices.len(), pair % practices.len());
            let size = (plan.sites, plan.lines);
            let tally = live(&worlds[world], practices[practice], seed, size, plan.weeks);
            done.lock().unwrap_or_else(std::sync::PoisonError::into_inner)[job] = Some(tally);
            step();
        }
    };
    std::thread::scope(|scope| {
        for _other in 1..plan.threads.clamp(1, jobs.max(1)) {
            scope.spawn(work);
        }
        work();
    });
    let done = done.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
    let mut tallies = done.into_iter().flatten();
    let mut rows = Vec::new();
    for world in worlds {
        for practice in practices {
            let of_seeds = tallies.by_ref().take(seeds.len()).collect();
            rows.push(Row::new(world.name, practice.name, of_seeds));
        }
    }
    Table { rows }
}
