//! The complete breadth-first search: every answer at every step, the shortest way to each broken rule.

use hashbrown::HashTable;

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
#[derive(Debug, Clone, PartialEq, Eq)]
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

/// What came of one answer in one state, or of the end.
#[derive(Debug, Clone, Copy)]
struct Edge {
    /// What was done; nothing at the end.
    taken: Option<Taken>,
    /// The state that it led to.
    to: Option<u32>,
    /// The rule that is told of it.
    rule: Option<Rule>,
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
    index: HashTable<u32>,
    /// Whose turn each state is, of those that were looked at.
    turns: Vec<Option<Turn>>,
    edges: Vec<Edge>,
    /// Where the edges of each state begin, of those that were looked at.
    first: Vec<u32>,
}

impl<const N: usize> Explored<N> {
    /// What a state led to, if it was looked at.
    fn of(&self, state: u32) -> Option<(Option<Turn>, &[Edge])> {
        let at = state as usize;
        let turn = *self.turns.get(at)?;
        let end = self.first.get(at + 1).map_or(self.edges.len(), |end| *end as usize);
        Some((turn, &self.edges[self.first[at] as usize..end]))
    }

    fn place(&self, state: &State<N>, hash: u64) -> Option<u32> {
        let same = |at: &u32| self.found[*at as usize] == *state;
        self.index.find(hash, same).copied()
    }
}

/// What is broken, each with the shortest way to it.
#[derive(Default)]
struct Told {
    /// From which each was come to, by its place in the order, and how.
    from: Vec<Option<(u32, Taken)>>,
    broken: Vec<Broken>,
}

impl Told {
    fn way(&self, mut at: u32) -> Vec<Taken> {
        let mut way = Vec::new();
        while let Some((before, taken)) = self.from[at as usize] {
            way.push(taken);
            at = before;
        }
        way.reverse();
        way
    }

    fn tell(&mut self, rule: Rule, at: u32, last: Option<Taken>) {
        let spot = last.map(|taken| taken.turn.spot);
        if self.broken.iter().any(|known| known.rule == rule && known.spot == spot) {
            return;
        }
        let mut way = self.way(at);
        way.extend(last);
        self.broken.push(Broken { rule, spot, way });
    }
}

/// Everything that can come of a state: each answer of the step whose turn it is, or what is so at the end.
fn outcomes<const N: usize>(
    program: &Program<'_>,
    state: &State<N>,
    turn: Option<Turn>,
    mut each: impl FnMut(Option<Taken>, Option<State<N>>, Option<Rule>),
) {
    let Some(turn) = turn else {
        if let Err(rule) = acts::ended(program, state) {
            each(None, None, Some(rule));
        }
        return;
    };
    let placed = program.at(turn.spot);
    let answers = placed.answers.len();
    let asks = answers > 0;
    for answer in 0..answers.max(1) {
        if asks && placed.answers[answer].1.is_none() {
            continue;
        }
        let answer = asks.then_some(answer);
        let taken = Taken { turn, answer: answer.map(|answer| answer as u8) };
        match program.step(state, turn, answer) {
            Came::To(after, noted) => each(Some(taken), Some(after), noted),
            Came::Broke(rule) => each(Some(taken), None, Some(rule)),
        }
    }
}

/// Looks at every state that a machine of `N` lines can come to, up to `most`.
pub(crate) fn explore<const N: usize>(program: &Program<'_>, most: usize) -> Explored<N> {
    let mut found = vec![program.start::<N>()];
    let mut index = HashTable::new();
    index.insert_unique(found[0].packed(), 0u32, |_| 0);
    let mut told = Told { from: vec![None], ..Told::default() };
    let mut turns = Vec::new();
    let mut edges: Vec<Edge> = Vec::new();
    let mut first = Vec::new();
    let mut reached: Vec<Vec<bool>> =
        program.stages.iter().map(|stage| vec![false; stage.steps.len()]).collect();
    let mut next = 0u32;
    let mut whole = true;
    while let Some(state) = found.get(next as usize).copied() {
        let at = next;
        next += 1;
        if at as usize >= most {
            whole = false;
            break;
        }
        let turn = program.turn(&state);
        if let Some(turn) = turn {
            reached[usize::from(turn.spot.0)][usize::from(turn.spot.1)] = true;
        }
        turns.push(turn);
        first.push(edges.len() as u32);
        outcomes(program, &state, turn, |taken, after, rule| {
            if let Some(rule) = rule {
                told.tell(rule, at, taken);
            }
            let to = after.map(|after| {
                let hash = after.packed();
                let same = |at: &u32| found[*at as usize] == after;
                if let Some(known) = index.find(hash, same) {
                    return *known;
                }
                let new = found.len() as u32;
                index.insert_unique(hash, new, |at| found[*at as usize].packed());
                found.push(after);
                told.from.push(taken.map(|taken| (at, taken)));
                new
            });
            edges.push(Edge { taken, to, rule });
        });
    }
    Explored {
        broken: told.broken,
        reached,
        states: found.len(),
        whole,
        found,
        index,
        turns,
        edges,
        first,
    }
}

/// What is broken in a program that does only these steps otherwise than one that was looked at: the same, in the same order,
/// as a search from the beginning would tell, but what was looked at already is not computed again.
pub(crate) fn again<const N: usize>(
    base: &Explored<N>,
    program: &Program<'_>,
    changed: &[Spot],
    most: usize,
) -> Vec<Broken> {
    let known = base.found.len() as u32;
    let mut seen = vec![false; base.found.len()];
    // States that the other never came to, numbered on from those that it did.
    let mut own: Vec<State<N>> = Vec::new();
    let mut index: HashTable<u32> = HashTable::new();
    let mut order = vec![0u32];
    let mut told = Told { from: vec![None], ..Told::default() };
    seen[0] = true;
    let mut next = 0u32;
    while let Some(node) = order.get(next as usize).copied() {
        let at = next;
        next += 1;
        if at as usize >= most {
            break;
        }
        if let Some((turn, edges)) = base.of(node)
            && turn.is_none_or(|turn| !changed.contains(&turn.spot))
        {
            for Edge { taken, to, rule } in edges {
                if let Some(rule) = rule {
                    told.tell(*rule, at, *taken);
                }
                if let Some(to) = to.filter(|to| !seen[*to as usize]) {
                    seen[to as usize] = true;
                    order.push(to);
                    told.from.push(taken.map(|taken| (at, taken)));
                }
            }
            continue;
        }
        let state =
            if node < known { base.found[node as usize] } else { own[(node - known) as usize] };
        outcomes(program, &state, program.turn(&state), |taken, after, rule| {
            if let Some(rule) = rule {
                told.tell(rule, at, taken);
            }
            let Some(after) = after else { return };
            let hash = after.packed();
            let new = match base.place(&after, hash) {
                Some(to) => {
                    !std::mem::replace(&mut seen[to as usize], true) && {
                        order.push(to);
                        true
                    }
                }
                None => {
                    let same = |at: &u32| own[*at as usize] == after;
                    index.find(hash, same).is_none() && {
                        let place = own.len() as u32;
                        index.insert_unique(hash, place, |at| own[*at as usize].packed());
                        own.push(after);
                        order.push(known + place);
                        true
                    }
                }
            };
            if new {
                told.from.push(taken.map(|taken| (at, taken)));
            }
        });
    }
    told.broken
}
