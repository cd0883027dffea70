//! How a family's lines behave, learnt from the pasts of many of its machines at once.
//!
//! Pooled maximum likelihood over the joint filter's own predictions: what is
//! the same for all lines of a family is estimated from all of them, because
//! ten weeks of one line tell nothing of its spread. Weak priors about the
//! stated ones hold what the pasts cannot tell; a spread of zero is a legal
//! answer. Below [`FEWEST`] machines nothing is fitted: the stated priors stay.

use crate::joint::Behaviour;
use crate::past::Past;
use crate::turns;

#[cfg(test)]
mod tests;

/// Fewer machines of a family than this tell too little.
pub const FEWEST: usize = 20;

/// The most machines that one fit looks at; of more, evenly spaced ones are taken.
pub const MOST: usize = 2000;

/// A turn over all terms that gains less log-likelihood than this is the last.
const CLOSE: f64 = 0.02;

/// The same where more machines are still to come: their share of it is larger than what a small gain would tell.
const CLOSE_FOR_NOW: f64 = 2.0;

/// How often a turn over all terms asks.
const ONE_TURN: usize = 3 * TERMS.len() + 1;

/// How sure the priors are: one standard deviation of a spread's logarithm (a factor of three).
const PRIOR_LOG_SPREAD: f64 = 1.1;

/// A fitted family.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// How its lines behave.
    pub behaviour: Behaviour,
    /// How many machines were looked at.
    pub machines: usize,
    /// How many readings they had.
    pub readings: usize,
    /// Log-likelihood of the fit, and of the stated priors, over the same readings.
    pub log_likelihood: (f64, f64),
}

/// What is fitted: which number of a behaviour, and as what.
struct Term {
    get: fn(&Behaviour) -> f64,
    set: fn(&mut Behaviour, f64),
    /// A variance is searched by its standard deviation, a chance by its logarithm, anything else as it is.
    kind: Kind,
}

#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Variance,
    Chance,
    /// With the standard deviation of its prior.
    Plain(f64),
}

const TERMS: [Term; 10] = [
    Term { get: |b| b.walk, set: |b, x| b.walk = x, kind: Kind::Variance },
    Term { get: |b| b.drift, set: |b, x| b.drift = x, kind: Kind::Plain(0.003) },
    Term { get: |b| b.machine_walk, set: |b, x| b.machine_walk = x, kind: Kind::Variance },
    Term { get: |b| b.day, set: |b, x| b.day = x, kind: Kind::Variance },
    Term { get: |b| b.shock_chance, set: |b, x| b.shock_chance = x, kind: Kind::Chance },
    Term { get: |b| b.shock, set: |b, x| b.shock = x, kind: Kind::Variance },
    Term { get: |b| b.person, set: |b, x| b.person = x, kind: Kind::Variance },
    Term { get: |b| b.adjusting, set: |b, x| b.adjusting = x, kind: Kind::Variance },
    Term { get: |b| b.response, set: |b, x| b.response = x, kind: Kind::Plain(0.15) },
    Term { get: |b| b.response_spread, set: |b, x| b.response_spread = x, kind: Kind::Variance },
];

impl Term {
    /// Where the search begins: at the prior, in steps of about one.
    fn place(&self) -> f64 {
        match self.kind {
            Kind::Variance => 1.0,
            Kind::Chance | Kind::Plain(_) => 0.0,
        }
    }

    fn put(&self, behaviour: &mut Behaviour, prior: &Behaviour, x: f64) {
        let before = (self.get)(prior);
        let value = match self.kind {
            Kind::Variance => before * x * x,
            Kind::Chance => (before * libm::exp(x)).min(0.5),
            Kind::Plain(sd) => before + sd * x,
        };
        (self.set)(behaviour, value);
    }

    /// Minus the log of its prior, up to a constant. A spread has half its weight at and near zero.
    fn surprise(&self, x: f64) -> f64 {
        match self.kind {
            Kind::Variance => {
                let log = libm::log(x.abs().max(1.0 / 3.0)).max(-PRIOR_LOG_SPREAD);
                0.5 * (log / PRIOR_LOG_SPREAD).powi(2)
            }
            Kind::Chance => 0.5 * (x / PRIOR_LOG_SPREAD).powi(2),
            Kind::Plain(_) => 0.5 * x * x,
        }
    }
}

/// Fits a family from its machines' pasts, about these priors. Uses `threads` threads; the answer does not depend on how many.
///
/// None where fewer than [`FEWEST`] machines have any reading.
#[must_use]
pub fn fit(pasts: &[Past], prior: &Behaviour, threads: usize) -> Option<Fitted> {
    let with: Vec<&Past> = pasts.iter().filter(|past| past.readings() > 0).collect();
    if with.len() < FEWEST {
        return None;
    }
    let all = spaced(&with, MOST);
    // First on few, then on more, each from where the one before ended: the more there are, the nearer that is.
    let mut place: Vec<f64> = TERMS.iter().map(Term::place).collect();
    for (machines, step, most) in [(60, 0.4, 600), (300, 0.1, 2 * ONE_TURN), (MOST, 0.05, ONE_TURN)]
    {
        let some = spaced(&all, machines);
        let last = some.len() == all.len();
        let cost = |x: &[f64]| {
            let surprise: f64 = TERMS.iter().zip(x).map(|(term, x)| term.surprise(*x)).sum();
            surprise - log_likelihood(&some, &behaviour(prior, x), threads)
        };
        let close = if last { CLOSE } else { CLOSE_FOR_NOW };
        place = turns::lowest(&place, step, close, most, cost);
        if last {
            break;
        }
    }
    let behaviour = behaviour(prior, &place);
    Some(Fitted {
        log_likelihood: (
            log_likelihood(&all, &behaviour, threads),
            log_likelihood(&all, prior, threads),
        ),
        behaviour,
        machines: all.len(),
        readings: all.iter().map(|past| past.readings()).sum(),
    })
}

fn behaviour(prior: &Behaviour, place: &[f64]) -> Behaviour {
    let mut behaviour = prior.clone();
    for (term, x) in TERMS.iter().zip(place) {
        term.put(&mut behaviour, prior, *x);
    }
    behaviour
}

fn spaced<'a>(pasts: &[&'a Past], most: usize) -> Vec<&'a Past> {
    let taken = pasts.len().min(most);
    (0..taken).map(|k| pasts[k * pasts.len() / taken]).collect()
}

/// Pasts that are summed together, so that the sum does not depend on the number of threads.
const BATCH: usize = 8;

/// Log-likelihood of all readings under a behaviour.
#[must_use]
pub fn log_likelihood(pasts: &[&Past], behaviour: &Behaviour, threads: usize) -> f64 {
    let one = |past: &&Past| {
        let mut sum = 0.0;
        past.run(behaviour, |_, _, _, scored| sum += scored.log_likelihood());
        sum
    };
    let batches: Vec<&[&Past]> = pasts.chunks(BATCH).collect();
    let share = batches.len().div_ceil(threads.max(1)).max(1);
    let sums: Vec<f64> = std::thread::scope(|scope| {
        let running: Vec<_> = batches
            .chunks(share)
            .map(|some| {
                scope.spawn(move || {
                    some.iter().map(|batch| batch.iter().map(one).sum()).collect::<Vec<f64>>()
                })
            })
            .collect();
        running
            .into_iter()
            .flat_map(|thread| thread.join().unwrap_or_else(|_| vec![f64::NAN]))
            .collect()
    });
    sums.iter().sum()
}
