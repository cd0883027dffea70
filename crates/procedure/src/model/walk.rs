//! Who does which step next, and where it leads. Only answers are a matter of chance; all else follows from the text.

use super::acts::{self, Done};
use super::program::{Goto, Limit, Placed, Program, Spot};
use super::seen;
use super::state::{END, State};
use crate::procedure::Over;
use crate::rule::Rule;

/// Who does the next step, and which it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Turn {
    pub(crate) spot: Spot,
    /// The line; none where the stage is over the machine.
    pub(crate) who: Option<u8>,
}

/// What came of a step with one answer.
pub(crate) enum Came<const N: usize> {
    /// It led to a state, and perhaps something is to be told.
    To(State<N>, Option<Rule>),
    /// A rule was broken.
    Broke(Rule),
}

impl Program<'_> {
    /// Moves over stages that have nothing left to do. After it the state names the stage of the next step, or the end.
    pub(crate) fn settle<const N: usize>(&self, state: &mut State<N>) {
        while let Some(staged) = self.stages.get(usize::from(state.shared.stage)) {
            let stage = state.shared.stage;
            let busy = if staged.over == Over::Machine {
                let here = !staged.sent || state.shared.sent;
                here && usize::from(state.shared.step) < staged.steps.len()
            } else {
                state.lines.iter().any(|line| line.stage == stage)
            };
            if busy {
                return;
            }
            state.shared.stage += 1;
            state.shared.step = 0;
            state.shared.loops = 0;
            state.shared.sent = false;
        }
        state.shared.stage = END;
    }

    /// The state before the first step.
    pub(crate) fn start<const N: usize>(&self) -> State<N> {
        let mut state = State::found(self.kind, self.family);
        for line in &mut state.lines {
            line.stage = self.line_stage(0);
        }
        self.settle(&mut state);
        state
    }

    /// The first stage over lines from here on to which lines come unsent; the end, if there is none.
    fn line_stage(&self, from: u8) -> u8 {
        let mut stages = self.stages.iter().enumerate().skip(usize::from(from));
        stages
            .find(|(_, staged)| {
                !staged.sent && staged.over != Over::Machine && !staged.steps.is_empty()
            })
            .map_or(END, |(stage, _)| stage as u8)
    }

    /// Whose turn it is; nobody's at the end.
    pub(crate) fn turn<const N: usize>(&self, state: &State<N>) -> Option<Turn> {
        let stage = state.shared.stage;
        let staged = self.stages.get(usize::from(stage))?;
        if staged.over == Over::Machine {
            return Some(Turn { spot: (stage, state.shared.step), who: None });
        }
        let here = state.lines.iter().enumerate().filter(|(_, line)| line.stage == stage);
        let next = match staged.over {
            // Who is furthest behind goes first; of equals, the first.
            Over::AllLines if !(self.in_turn && staged.local) => {
                here.min_by_key(|(who, line)| (line.step, *who))
            }
            _ => here.min_by_key(|(who, _)| *who),
        };
        next.map(|(who, line)| Turn { spot: (stage, line.step), who: Some(who as u8) })
    }

    /// Does the step whose turn it is, with an answer by its place among the step's answers.
    pub(crate) fn step<const N: usize>(
        &self,
        state: &State<N>,
        turn: Turn,
        answer: Option<usize>,
    ) -> Came<N> {
        let placed = self.at(turn.spot);
        let mut after = *state;
        let who = turn.who.map(usize::from);
        let word = answer.map(|answer| placed.answers[answer].0);
        if let Some(guard) = &placed.guard
            && !seen::holds(self, state, who, guard)
        {
            // It is seen here, and done before the work goes on.
            return Came::Broke(Rule::Impossible);
        }
        if placed.left_out {
            match who {
                Some(who) => after.lines[who].left_out = true,
                None => after.shared.left_out = true,
            }
        }
        let mut noted = None;
        let last = placed.acts.len().saturating_sub(1);
        for (nth, act) in placed.acts.iter().enumerate() {
            let said = if nth == last { word } else { None };
            match acts::act(self, &mut after, who, act, said) {
                Ok(Done::Well) => {}
                Ok(Done::Noted(rule)) => noted = Some(rule),
                Err(rule) => return Came::Broke(rule),
            }
        }
        let goto = match answer {
            Some(answer) => placed.answers[answer].1.unwrap_or(Goto::End),
            None => placed.next,
        };
        self.go(&mut after, turn, placed, goto);
        self.settle(&mut after);
        Came::To(after, noted)
    }

    fn go<const N: usize>(
        &self,
        state: &mut State<N>,
        turn: Turn,
        placed: &Placed<'_>,
        goto: Goto,
    ) {
        let at = turn.spot.1;
        let loops = match turn.who {
            Some(who) => &mut state.lines[usize::from(who)].loops,
            None => &mut state.shared.loops,
        };
        let goto = match (goto, placed.limit) {
            (Goto::Step(to), Some(Limit { slot, at_most, or_else })) if to <= at => {
                let shift = u32::from(slot) * 4;
                let count = (*loops >> shift & 0xF) as u8;
                if count < at_most {
                    *loops += 1 << shift;
                    goto
                } else {
                    or_else
                }
            }
            _ => goto,
        };
        match turn.who {
            Some(who) => {
                let stage = match goto {
                    Goto::Step(step) => {
                        state.lines[usize::from(who)].step = step;
                        return;
                    }
                    Goto::Stage(stage) => self.line_comes_to(stage),
                    Goto::End => END,
                };
                let line = &mut state.lines[usize::from(who)];
                line.stage = stage;
                line.step = 0;
                line.loops = 0;
                let due = super::acts::track(self) & self.masks.own;
                if stage >= self.done_by && due & !line.parts.done != 0 {
                    // Some of it is as good as none, where no more of it is done.
                    line.parts.done = 0;
                }
            }
            None => match goto {
                Goto::Step(step) => state.shared.step = step,
                Goto::Stage(stage) => {
                    let sent = self.stages[usize::from(stage)].sent;
                    state.shared.stage = stage;
                    state.shared.step = 0;
                    state.shared.loops = 0;
                    state.shared.sent = sent;
                    let to = self.line_comes_to(stage);
                    for line in &mut state.lines {
                        let own = self.stages.get(usize::from(line.stage));
                        // Lines that an answer sent further on, or that are through, stay so.
                        let waits = own.is_some_and(|own| sent && !own.sent);
                        if line.stage < stage || waits {
                            line.stage = to;
                            line.step = 0;
                            line.loops = 0;
                        }
                    }
                }
                Goto::End => {
                    state.shared.stage = END;
                    state.shared.step = 0;
                    state.shared.loops = 0;
                    for line in &mut state.lines {
                        line.stage = END;
                        line.step = 0;
                        line.loops = 0;
                    }
                }
            },
        }
    }

    /// Where a line comes to that leaves for a later stage: over one of the machine, or an empty one, it passes on.
    fn line_comes_to(&self, stage: u8) -> u8 {
        let staged = &self.stages[usize::from(stage)];
        if staged.over == Over::Machine || staged.steps.is_empty() {
            self.line_stage(stage)
        } else {
            stage
        }
    }
}
