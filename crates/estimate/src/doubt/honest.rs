//! Honest months of the same make: the same lines, measures and rounding, and every line near its target.

use std::collections::BTreeMap;

use ouncewise_measure::special::normal_quantile;

use super::signs::resolution;
use super::{Caught, Month, Round};

/// People differ in how steady they are: their noise is so many times the stated one. Assumed.
const STEADINESS: (f64, f64) = (0.6, 1.1);

/// How far lines are from their targets: no crew keeps all of them nearer. Assumed; the best ways of working in the virtual
/// kitchens keep 1.2 to 1.3 % in the mean.
const LEVELS: f64 = 0.01;

/// How far a line moves from round to round, and all lines of a machine with the day: half of what the joint filter takes
/// them for, so that they are not taken for livelier than they are.
const MOVES: f64 = 0.003;
const DAY: f64 = 0.004;

/// Makes honest months.
pub(super) struct Honest {
    rounds: Vec<Round>,
    /// Of each catch, in order.
    makes: Vec<Make>,
    levels: Vec<f64>,
    luck: Luck,
}

struct Make {
    /// Which line of the month.
    line: usize,
    /// What would be written on target.
    target: f64,
    /// The step in which it is written.
    step: f64,
    steady: f64,
    /// What the level scatters beside the amount: the seconds.
    beside: f64,
}

impl Honest {
    pub(super) fn new(month: &Month, seed: u64) -> Self {
        let mut lines: BTreeMap<(usize, usize), usize> = BTreeMap::new();
        let mut targets: BTreeMap<(bool, usize, usize), (f64, f64)> = BTreeMap::new();
        let each = || month.rounds.iter().flat_map(|r| r.caught.iter().map(move |c| (r, c)));
        for (round, caught) in each() {
            let known = lines.len();
            lines.entry((round.machine, caught.line)).or_insert(known);
            // A thumb is in the seconds and not in the amount: on target a line gives what it gives in the mean.
            let sum = targets.entry((round.theirs, round.machine, caught.line)).or_default();
            *sum = (sum.0 + libm::log(caught.amount) - caught.level, sum.1 + 1.0);
        }
        let steps = [true, false].map(|theirs| {
            let some: Vec<&Caught> =
                each().filter(|(round, _)| round.theirs == theirs).map(|(_, c)| c).collect();
            resolution(&some).into_iter()
        });
        let [mut own, mut others] = steps;
        let makes = each()
            .map(|(round, caught)| {
                let step = if round.theirs { own.next() } else { others.next() };
                let step = step.unwrap_or(caught.coarsest);
                let (sum, count) = targets[&(round.theirs, round.machine, caught.line)];
                let target = libm::exp(sum / count);
                let own = caught.steady.powi(2) + (step / target).powi(2) / 12.0;
                Make {
                    line: lines[&(round.machine, caught.line)],
                    target,
                    step,
                    steady: caught.steady,
                    beside: (caught.noise.powi(2) - own).max(0.0).sqrt(),
                }
            })
            .collect();
        Self {
            makes,
            levels: vec![0.0; lines.len()],
            rounds: month.rounds.clone(),
            luck: Luck(seed),
        }
    }

    /// The next one.
    pub(super) fn month(&mut self) -> &[Round] {
        let (low, high) = STEADINESS;
        let steadiness = low + (high - low) * self.luck.even();
        for level in &mut self.levels {
            *level = LEVELS * self.luck.normal();
        }
        let mut makes = self.makes.iter();
        for round in &mut self.rounds {
            let day = DAY * self.luck.normal();
            for (caught, make) in round.caught.iter_mut().zip(&mut makes) {
                let level = &mut self.levels[make.line];
                *level += MOVES * self.luck.normal();
                let hand = steadiness * make.steady * self.luck.normal();
                let written = |level: f64| {
                    let steps = (make.target * libm::exp(level) / make.step).round();
                    (steps * make.step).max(make.step)
                };
                caught.amount = written(*level + day + hand);
                // Nothing is too near for a line on its target.
                caught.level = libm::log(written(hand) / make.target)
                    + steadiness * make.beside * self.luck.normal();
            }
        }
        &self.rounds
    }
}

/// SplitMix64 (Steele, Lea & Flood 2014): a seed is all that it takes.
struct Luck(u64);

impl Luck {
    /// Evenly between 0 and 1, ends left out.
    fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64 + 0.5 / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        normal_quantile(self.even())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // The published first outputs for seed 1234567 (the authors' reference program; from memory).
    #[test]
    fn luck_is_that_of_its_authors() {
        let mut luck = Luck(1_234_567);
        let first = 6_457_827_717_110_365_317_u64 >> 11;
        assert!((luck.even() - first as f64 / (1u64 << 53) as f64).abs() < 1e-15);
        let n = 20_000;
        let values: Vec<f64> = (0..n).map(|_| luck.normal()).collect();
        let mean = values.iter().sum::<f64>() / f64::from(n);
        let variance = values.iter().map(|x| x * x).sum::<f64>() / f64::from(n);
        assert!(mean.abs() < 0.03 && (variance - 1.0).abs() < 0.05, "{mean} {variance}");
    }
}
