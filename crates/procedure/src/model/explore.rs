//! The complete breadth-first search: every answer at every step, the shortest way to each broken rule.

use rustc_hash::FxHashMap;

use super::acts;
use super::program::{Program, Spot};
use super::state::State;
use super::walk::{Came, Turn};
use crate::rule::Rule;

/// One step of a way: who did what, and the answer by its place among the step's answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Taken {
    pub(crate) turn: Turn,
    pub(crate) answer: Option<u8>,
}

/// A broken rule and the shortest way to it; its last step is the one that broke it, unless it is what is so at the end.
#[derive(Debug, Clone)]
pub(crate) struct Broken {
    pub(crate) rule: Rule,
    /// Where; nowhere, at the end.
    pub(crate) spot: Option<Spot>,
    pub(crate) way: Vec<Taken>,
}

impl Broken {
    /// Whether another tells the same.
    pub(crate) fn is(&self, other: &Self) -> bool {
        self.rule == other.rule && self.spot == other.spot
    }

    /// Whether it is among others.
    pub(crate) fn is_among(&self, others: &[Self]) -> bool {
        others.iter().any(|other| self.is(other))
    }
}

/// What the search found.
#[derive(Debug)]
pub(crate) struct Explored<const N: usize> {
    /// One for each rule and step, shortest first.
    pub(crate) broken: Vec<Broken>,
    /// Which steps somebody came to.
    pub(crate) reached: Vec<Vec<bool>>,
    pub(crate) states: usize,
    /// Everything was looked at.
    pub(crate) whole: bool,
    /// The states, in the order in which they were found.
    pub(crate) found: Vec<State<N>>,
}

struct Search<'p, 'a, const N: usize> {
    program: &'p Program<'a>,
    index: FxHashMap<State<N>, u32>,
    states: Vec<State<N>>,
    /// From which state each was come to, and how.
    from: Vec<Option<(u32, Taken)>>,
    broken: Vec<Broken>,
}

impl<const N: usize> Search<'_, '_, N> {
    fn add(&mut self, state: State<N>, from: Option<(u32, Taken)>) {
        let next = self.states.len() as u32;
        if let std::collections::hash_map::Entry::Vacant(free) = self.index.entry(state) {
            free.insert(next);
            self.states.push(state);
            self.from.push(from);
        }
    }

    fn way(&self, mut at: u32) -> Vec<Taken> {
        let mut way = Vec::new();
        while let Some((before, taken)) = self.from[at as usize] {
            way.push(taken);
            at = before;
        }
        way.reverse();
        way
    }

    fn tell(&mut self, rule: Rule, spot: Option<Spot>, at: u32, last: Option<Taken>) {
        if self.broken.iter().any(|known| known.rule == rule && known.spot == spot) {
            return;
        }
        let mut way = self.way(at);
        way.extend(last);
        self.broken.push(Broken { rule, spot, way });
    }
}

/// Looks at every state that a machine of `N` lines can come to, up to `most`.
pub(crate) fn explore<const N: usize>(program: &Program<'_>, most: usize) -> Explored<N> {
    let mut search = Search {
        program,
        index: FxHashMap::default(),
        states: Vec::new(),
        from: Vec::new(),
        broken: Vec::new(),
    };
    let mut reached: Vec<Vec<bool>> =
        program.stages.iter().map(|stage| vec![false; stage.steps.len()]).collect();
    search.add(program.start(), None);
    let mut next = 0u32;
    let mut whole = true;
    while let Some(state) = search.states.get(next as usize).copied() {
        let at = next;
        next += 1;
        if at as usize >= most {
            whole = false;
            break;
        }
        let Some(turn) = search.program.turn(&state) else {
            if let Err(rule) = acts::ended(search.program, &state) {
                search.tell(rule, None, at, None);
            }
            continue;
        };
        reached[usize::from(turn.spot.0)][usize::from(turn.spot.1)] = true;
        let placed = search.program.at(turn.spot);
        let answers = placed.answers.len();
        let asks = answers > 0;
        for answer in 0..answers.max(1) {
            if asks && placed.answers[answer].1.is_none() {
                continue;
            }
            let answer = asks.then_some(answer);
            let taken = Taken { turn, answer: answer.map(|answer| answer as u8) };
            match search.program.step(&state, turn, answer) {
                Came::To(state, noted) => {
                    if let Some(rule) = noted {
                        search.tell(rule, Some(turn.spot), at, Some(taken));
                    }
                    search.add(state, Some((at, taken)));
                }
                Came::Broke(rule) => search.tell(rule, Some(turn.spot), at, Some(taken)),
            }
        }
    }
    Explored {
        broken: search.broken,
        reached,
        states: search.states.len(),
        whole,
        found: search.states,
    }
}
