//! How good forecasts of a line's true level are, by how far ahead they look and what the line is read with.
//!
//! A machine is looked after as in our practice, but only every thirteenth week; in the weeks between it is caught and nothing is
//! touched, so that every forecast can be scored and none is left out because somebody had to act. What is forecast is the true level,
//! which is known here and nowhere else. The rivals are point forecasts, each with the normal spread that served it best on another
//! seed; the tails of ours are scored as they come, and widened until nine of ten levels of that same seed were held.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use ouncewise_estimate::ahead::{Ahead, Tails};
use ouncewise_estimate::joint::Level;
use ouncewise_estimate::score::{Part, crps_mixture, crps_normal};

use super::facts::{Facts, Marks};
use super::machine::Machine;
use super::nature::Nature;
use super::ours::{Estimated, Learnt};
use super::reading::Seen;
use super::table::{Plan, Spread};
use super::visit::Visit;

/// Weeks ahead.
pub const HORIZONS: [u32; 4] = [1, 2, 4, 8];

/// Weeks from one round in which something may be touched to the next.
const TURN: u32 = 13;

/// Weights of the latest reading that a smoothed mean is tried with; 1 is the latest reading itself.
const WEIGHTS: usize = 10;

/// What a line is read with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Class {
    /// A cup with one mark.
    OneMark,
    /// A cup or cylinder with divisions.
    Divided,
    /// A scale.
    Scale,
}

impl Class {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::OneMark, Self::Divided, Self::Scale];

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::OneMark => "one mark",
            Self::Divided => "divided",
            Self::Scale => "scale",
        }
    }

    fn of(facts: &Facts, line: usize) -> Self {
        match facts.measures[facts.lines[line].measure].marks {
            Marks::One => Self::OneMark,
            Marks::Every(_) => Self::Divided,
            Marks::Weight(_) => Self::Scale,
        }
    }
}

/// How good the forecasts of one class were, so far ahead. Scores are of logarithms: 0.01 is 1 % of a portion. Lower is better.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecasts {
    /// What lines were read with.
    pub class: Class,
    /// Weeks ahead.
    pub weeks: u32,
    /// How many there were.
    pub count: usize,
    /// Ours as they come.
    pub stated: Ours,
    /// Ours with their tails widened.
    pub widened: Ours,
    /// By how much the score of the latest reading is worse than that of ours as they come, seed by seed.
    pub last_worse: Spread,
    /// By how much that of the smoothed mean is worse, seed by seed.
    pub smoothed_worse: Spread,
    /// The weight of the latest reading in the smoothed mean, as the other seeds chose.
    pub weight: f64,
}

/// Our forecasts, over seeds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ours {
    /// Share of intervals of 90 % that held the true level.
    pub held: Spread,
    /// Continuous ranked probability score.
    pub crps: Spread,
}

/// One forecast and what then was.
#[derive(Debug, Clone, Copy)]
struct Scored {
    class: Class,
    horizon: usize,
    ahead: Ahead,
    level: f64,
    /// True level less the smoothed mean, by its weight.
    apart: [f64; WEIGHTS],
}

/// A forecast whose week has not come.
struct Open {
    due: u32,
    line: usize,
    horizon: usize,
    ahead: Ahead,
    means: [f64; WEIGHTS],
}

fn weight(index: usize) -> f64 {
    (index + 1) as f64 / WEIGHTS as f64
}

/// Lives through one estate. On every second site with a scale all lines are weighed.
fn estate(nature: &Nature, learnt: &Learnt, seed: u64, plan: &Plan) -> Vec<Scored> {
    let mut scored = Vec::new();
    for site in 0..plan.sites {
        let mut machine = Machine::new(nature, seed, site, plan.lines);
        if let Some(scale) = machine.facts.scale.filter(|_| site % 2 == 1) {
            machine.facts.lines.iter_mut().for_each(|line| line.measure = scale);
        }
        let mut ours = Estimated::new(&machine.facts, learnt.settings(&machine.facts));
        let mut means: Vec<Option<[f64; WEIGHTS]>> = vec![None; plan.lines];
        let mut open: Vec<Open> = Vec::new();
        for week in 0..plan.weeks {
            // Before this week's round, which may touch lines.
            open.retain(|forecast| {
                if forecast.due == week {
                    scored.push(forecast.score(&machine));
                }
                forecast.due > week
            });
            if !machine.missed {
                round(&mut machine, &mut ours, &mut means, &mut open);
            }
            machine.pass_week();
        }
    }
    scored
}

fn round(
    machine: &mut Machine,
    ours: &mut Estimated,
    means: &mut [Option<[f64; WEIGHTS]>],
    open: &mut Vec<Open>,
) {
    let week = machine.week;
    let shown = ours.look(&mut Visit::new(machine));
    if week.is_multiple_of(TURN) {
        ours.act_on(&mut Visit::new(machine), shown);
        // What was read before says little of what was set.
        means.fill(None);
        return;
    }
    for (line, mean) in means.iter_mut().enumerate() {
        let read = machine.lines[line].written.and_then(Seen::guess);
        // Less than half of a portion is a fault, and no level.
        if let Some(read) = read.filter(|read| *read > -std::f64::consts::LN_2) {
            let mean = mean.get_or_insert([read; WEIGHTS]);
            for (index, mean) in mean.iter_mut().enumerate() {
                *mean += weight(index) * (read - *mean);
            }
        }
        let Some(means) = *mean else { continue };
        // The first turn is for learning how things stand.
        let left = if week < TURN { 0 } else { TURN - week % TURN };
        for (horizon, weeks) in HORIZONS.into_iter().enumerate().filter(|(_, weeks)| *weeks <= left)
        {
            let ahead = ours.ahead(line, f64::from(weeks));
            open.push(Open { due: week + weeks, line, horizon, ahead, means });
        }
    }
}

impl Open {
    fn score(&self, machine: &Machine) -> Scored {
        let level = machine.served(self.line);
        Scored {
            class: Class::of(&machine.facts, self.line),
            horizon: self.horizon,
            ahead: self.ahead,
            level,
            apart: self.means.map(|mean| level - mean),
        }
    }
}

impl Scored {
    /// The forecast with its spread widened.
    fn widened(&self, factor: f64) -> Ahead {
        let Ahead { calm, shocked, chance } = self.ahead;
        let wider = calm.variance * factor * factor;
        let with_shock = wider + shocked.variance - calm.variance;
        Ahead {
            calm: Level { variance: wider, ..calm },
            shocked: Level { variance: with_shock, ..shocked },
            chance,
        }
    }

    /// 1 where the interval of 90 % held, else 0.
    fn held(&self, factor: f64) -> f64 {
        let place = self.widened(factor).below(self.level);
        f64::from(u8::from((0.05..=0.95).contains(&place)))
    }

    fn crps(&self, factor: f64) -> f64 {
        let Ahead { calm, shocked, chance } = self.widened(factor);
        let part =
            |share: f64, level: Level| Part { share, mean: level.mean, sd: level.variance.sqrt() };
        crps_mixture(&[part(1.0 - chance, calm), part(chance, shocked)], self.level)
    }
}

/// The tails with which nine of ten forecasts hold, next week and eight weeks ahead.
fn tails(scored: &[Scored]) -> Tails {
    let needed = |horizon: usize| {
        let of: Vec<&Scored> = scored.iter().filter(|s| s.horizon == horizon).collect();
        let holds = |factor: &f64| mean(of.iter().map(|s| s.held(*factor))) >= 0.9;
        // Without any forecast nothing is found, and nothing widened.
        let factors = (10..=200).map(|twentieth| 0.05 * f64::from(twentieth));
        factors.into_iter().find(holds).unwrap_or(1.0)
    };
    let last = HORIZONS.len() - 1;
    let (near, later) = (needed(0), needed(last));
    let share = Tails { near: 0.0, far: 1.0 }.at(f64::from(HORIZONS[last]));
    Tails { near, far: near + (later - near) / share }
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    sum / count
}

/// The score of a smoothed mean of this weight with a normal spread.
fn of_mean(forecasts: &[&Scored], index: usize, sd: f64) -> f64 {
    mean(forecasts.iter().map(|scored| crps_normal(0.0, sd, scored.apart[index])))
}

/// The spread that scores best.
fn best_spread(forecasts: &[&Scored], index: usize) -> f64 {
    let square = mean(forecasts.iter().map(|scored| scored.apart[index] * scored.apart[index]));
    (2..=24)
        .map(|twentieth| 0.05 * f64::from(twentieth) * square.sqrt())
        .min_by(|a, b| of_mean(forecasts, index, *a).total_cmp(&of_mean(forecasts, index, *b)))
        .unwrap_or_default()
}

/// Forecasts of one world, by class and horizon; a class that does not come is left out. Families are learnt from the estate of
/// seed `learnt_from`, and the rivals tuned on the one that follows it. `step` is called after each estate, these two too.
#[must_use]
pub fn forecasts(
    nature: &Nature,
    learnt_from: u64,
    plan: &Plan,
    step: &(dyn Fn() + Sync),
) -> Vec<Forecasts> {
    let size = (plan.sites, plan.lines);
    let learnt = Learnt::from(nature, learnt_from, size, plan.weeks, plan.threads);
    step();
    let seeds: Vec<u64> =
        std::iter::once(learnt_from + 1).chain(plan.seeds.iter().copied()).collect();
    let done: Mutex<Vec<Vec<Scored>>> = Mutex::new(vec![Vec::new(); seeds.len()]);
    let next = AtomicUsize::new(0);
    let work = || {
        while let Some((job, seed)) = {
            let job = next.fetch_add(1, Ordering::Relaxed);
            seeds.get(job).map(|seed| (job, *seed))
        } {
            let scored = estate(nature, &learnt, seed, plan);
            done.lock().unwrap_or_else(PoisonError::into_inner)[job] = scored;
            step();
        }
    };
    std::thread::scope(|scope| {
        for _other in 1..plan.threads.clamp(1, seeds.len()) {
            scope.spawn(work);
        }
        work();
    });
    let done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    let cells =
        Class::ALL.into_iter().flat_map(|class| (0..HORIZONS.len()).map(move |h| (class, h)));
    let tails = tails(&done[0]);
    cells.filter_map(|(class, horizon)| cell(&done, &tails, class, horizon)).collect()
}

/// The first estate is that which rivals are tuned on.
fn cell(estates: &[Vec<Scored>], tails: &Tails, class: Class, horizon: usize) -> Option<Forecasts> {
    let of = |estate: &'_ Vec<Scored>| -> Vec<Scored> {
        estate.iter().filter(|s| s.class == class && s.horizon == horizon).copied().collect()
    };
    let all: Vec<Vec<Scored>> = estates.iter().map(of).collect();
    let (tuning, scored) = all.split_first()?;
    let tuning: Vec<&Scored> = tuning.iter().collect();
    let scored: Vec<Vec<&Scored>> = scored
        .iter()
        .filter(|estate| !estate.is_empty())
        .map(|estate| estate.iter().collect())
        .collect();
    if tuning.is_empty() || scored.is_empty() {
        return None;
    }
    let spreads: Vec<f64> = (0..WEIGHTS).map(|index| best_spread(&tuning, index)).collect();
    let score = |index: usize| of_mean(&tuning, index, spreads[index]);
    let last = WEIGHTS - 1;
    let best = (0..WEIGHTS).min_by(|a, b| score(*a).total_cmp(&score(*b))).unwrap_or(last);
    let over = |value: &dyn Fn(&[&Scored]) -> f64| {
        Spread::of(&scored.iter().map(|estate| value(estate)).collect::<Vec<_>>())
    };
    let worse = |index: usize| {
        over(&|estate: &[&Scored]| {
            of_mean(estate, index, spreads[index]) - mean(estate.iter().map(|s| s.crps(1.0)))
        })
    };
    let ours = |factor: f64| Ours {
        held: over(&|estate| mean(estate.iter().map(|s| s.held(factor)))),
        crps: over(&|estate| mean(estate.iter().map(|s| s.crps(factor)))),
    };
    Some(Forecasts {
        class,
        weeks: HORIZONS[horizon],
        count: scored.iter().map(Vec::len).sum(),
        stated: ours(1.0),
        widened: ours(tails.at(f64::from(HORIZONS[horizon]))),
        last_worse: worse(last),
        smoothed_worse: worse(best),
        weight: weight(best),
    })
}
