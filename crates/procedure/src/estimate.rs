//! How long a procedure takes: the usual way for a quick hand and a slow one, and the longest way there is.

use ouncewise_hygiene::profile::AfterRule;
use serde::Serialize;

use crate::family::Family;
use crate::model::program::{Goto, Placed, Program, Staged};
use crate::phrase::Phrase;
use crate::procedure::{Over, Procedure};
use crate::terms::Terms;
use crate::time::{Seconds, Takes};

/// How long a procedure takes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Estimate {
    /// With how many lines.
    pub lines: u32,
    /// Under which food code.
    pub after: AfterRule,
    /// The usual way: every answer the good one.
    pub usual: Takes,
    /// A slow hand on the longest way: every answer the one that costs most, every way back gone as often as it may be.
    pub longest: Seconds,
    /// Of the usual way, how much is only waiting, when hands are free.
    pub waiting: Seconds,
    /// Steps that say no time and have none of their own: they are counted as none.
    pub untimed: Vec<usize>,
}

/// How long a procedure takes with so many lines.
#[must_use]
pub fn estimate(family: &Family, procedure: &Procedure, terms: &Terms, lines: u32) -> Estimate {
    of(&Program::new(family, procedure, terms), lines)
}

pub(crate) fn of(program: &Program<'_>, lines: u32) -> Estimate {
    let lines = lines.max(1);
    let mut sums = [0u32; 4];
    for staged in &program.stages {
        let times = if staged.over == Over::Machine { 1 } else { lines };
        let waits_together = staged.over == Over::AllLines;
        let mut add = |[least, most, longest, waiting]: [u32; 4], wait: [u32; 2]| {
            // Lines that soak together wait once.
            let waits = if waits_together { 1 } else { times };
            let part = |active: u32, wait: u32| {
                active.saturating_mul(times).saturating_add(wait.saturating_mul(waits))
            };
            let adds = [
                part(least, wait[0]),
                part(most, wait[0]),
                part(longest, wait[1]),
                waiting.saturating_mul(waits),
            ];
            for (sum, add) in sums.iter_mut().zip(adds) {
                *sum = sum.saturating_add(add);
            }
        };
        let (longest, longest_wait) = longest(staged);
        let mut usual = [0u32; 3];
        if !staged.sent {
            for at in usual_way(staged) {
                let cost = Cost::of(&staged.steps[at]);
                usual[0] += cost.active.least.0;
                usual[1] += cost.active.most.0;
                usual[2] += cost.wait;
            }
        }
        add([usual[0], usual[1], longest, usual[2]], [usual[2], longest_wait]);
    }
    let untimed = program
        .spots()
        .filter(|spot| Cost::of(program.at(*spot)).untimed)
        .map(|spot| crate::story::number(program, spot))
        .collect();
    let [least, most, longest, waiting] = sums.map(Seconds);
    Estimate {
        lines,
        after: program.after,
        usual: Takes { least, most },
        longest: longest.max(most),
        waiting,
        untimed,
    }
}

struct Cost {
    active: Takes,
    /// Seconds of soaking.
    wait: u32,
    untimed: bool,
}

impl Cost {
    fn of(placed: &Placed<'_>) -> Self {
        let mut wait = 0u32;
        let mut own = 0u32;
        for phrase in &placed.step.phrases {
            let seconds = phrase.seconds().map_or(0, |seconds| seconds.0);
            match phrase {
                Phrase::Soak(_) => wait = wait.saturating_add(seconds),
                _ => own = own.saturating_add(seconds),
            }
        }
        let floor = |stated: Seconds| Seconds(stated.0.saturating_sub(wait).max(own));
        let active = match placed.step.time {
            Some(Takes { least, most }) => Takes { least: floor(least), most: floor(most) },
            None => Takes { least: Seconds(own), most: Seconds(own) },
        };
        let untimed = placed.step.time.is_none() && own == 0 && wait == 0;
        Self { active, wait, untimed }
    }
}

/// The steps of a stage on the usual way: the first answer each time, and never back.
fn usual_way(staged: &Staged<'_>) -> Vec<usize> {
    let mut way = Vec::new();
    let mut at = 0;
    while let Some(placed) = staged.steps.get(at) {
        way.push(at);
        let goto = placed.answers.first().map_or(Some(placed.next), |(_, goto)| *goto);
        match goto {
            Some(Goto::Step(to)) if usize::from(to) > at => at = usize::from(to),
            Some(Goto::Step(_)) => at += 1,
            _ => break,
        }
    }
    way
}

/// The longest way through a stage, with every way back gone as often as it may be: work and waiting.
fn longest(staged: &Staged<'_>) -> (u32, u32) {
    let steps = &staged.steps;
    let cost = |at: usize| {
        let cost = Cost::of(&steps[at]);
        (cost.active.most.0, cost.wait)
    };
    let add = |a: (u32, u32), b: (u32, u32)| (a.0.saturating_add(b.0), a.1.saturating_add(b.1));
    let mut rest = vec![(0u32, 0u32); steps.len() + 1];
    let mut back = (0u32, 0u32);
    for at in (0..steps.len()).rev() {
        let placed = &steps[at];
        let limit = placed.limit.map(|limit| (u32::from(limit.at_most), limit.or_else));
        let ways = placed.answers.iter().filter_map(|(_, goto)| *goto);
        let ways: Vec<Goto> =
            if placed.answers.is_empty() { vec![placed.next] } else { ways.collect() };
        let mut best = (0, 0);
        for goto in ways.iter().copied().chain(limit.map(|(_, or_else)| or_else)) {
            let Goto::Step(to) = goto else { continue };
            let to = usize::from(to);
            if to > at {
                let way = rest[to];
                if way.0 + way.1 > best.0 + best.1 {
                    best = way;
                }
            } else if let Some((times, _)) = limit {
                let round = (to..=at).map(cost).fold((0, 0), add);
                let rounds = (round.0.saturating_mul(times), round.1.saturating_mul(times));
                back = add(back, rounds);
            }
        }
        rest[at] = add(cost(at), best);
    }
    add(rest[0], back)
}
