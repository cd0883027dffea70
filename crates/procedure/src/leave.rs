//! What holds when the crew is called away after a step: safe to leave, or finish first, and for how long.

use ouncewise_estate::Place;
use serde::Serialize;

use crate::model::explore::Explored;
use crate::model::program::{Program, Spot};
use crate::model::state::{State, Trace};
use crate::model::walk::Came;
use crate::phrase::Supply;
use crate::story;
use crate::time::Seconds;
use crate::words::Words;

/// Whether the work may be left as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum May {
    /// It may, for as long as is needed.
    Leave,
    /// It may, for so long at most.
    LeaveFor(Seconds),
    /// First go on to a step after which it may.
    FinishFirst,
}

impl May {
    /// The worse of two.
    fn worse(self, other: Self) -> Self {
        match (self, other) {
            (Self::FinishFirst, _) | (_, Self::FinishFirst) => Self::FinishFirst,
            (Self::LeaveFor(a), Self::LeaveFor(b)) => Self::LeaveFor(a.min(b)),
            (Self::LeaveFor(a), Self::Leave) | (Self::Leave, Self::LeaveFor(a)) => {
                Self::LeaveFor(a)
            }
            (Self::Leave, Self::Leave) => Self::Leave,
        }
    }
}

/// Why it may not be left for long, and what to do before.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Because {
    /// Detergent or sanitiser stands in a line.
    Solution,
    /// A part is off, or a cover is open.
    Open,
    /// A line is withheld and has no tag: hang one before leaving.
    Untagged,
}

/// What holds after a step, at the worst of every way to it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Leaving {
    /// The step's number on the card.
    pub number: usize,
    /// What the step says.
    pub say: Words,
    /// Where it was written.
    pub place: Place,
    /// Whether the work may be left.
    pub may: May,
    /// Why not, or what to do before.
    pub because: Vec<Because>,
    /// The next step after which it may be left, where it may not now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub until: Option<usize>,
}

/// What holds after each step that somebody comes to.
pub(crate) fn leaving<const N: usize>(
    program: &Program<'_>,
    explored: &Explored<N>,
) -> Vec<Leaving> {
    let spots: Vec<Spot> = program.spots().collect();
    let place = |spot: Spot| spots.iter().position(|own| *own == spot);
    let mut worst: Vec<Option<(May, Vec<Because>)>> = vec![None; spots.len()];
    for state in &explored.found {
        let Some(turn) = program.turn(state) else { continue };
        let Some(at) = place(turn.spot) else { continue };
        let answers = program.at(turn.spot).answers.len();
        for answer in 0..answers.max(1) {
            let answer = (answers > 0).then_some(answer);
            let Came::To(after, _) = program.step(state, turn, answer) else { continue };
            let (may, because) = of(program, &after);
            let (least, all) = worst[at].get_or_insert((may, Vec::new()));
            *least = least.worse(may);
            all.extend(because);
        }
    }
    let mut leaving: Vec<Leaving> = Vec::new();
    for (spot, worst) in spots.iter().zip(worst) {
        let Some((may, mut because)) = worst else { continue };
        because.sort_unstable();
        because.dedup();
        let step = program.at(*spot).step;
        leaving.push(Leaving {
            number: story::number(program, *spot),
            say: step.say.clone(),
            place: step.at.0.clone(),
            may,
            because,
            until: None,
        });
    }
    let safe: Vec<usize> =
        leaving.iter().filter(|l| l.may == May::Leave).map(|l| l.number).collect();
    for one in leaving.iter_mut().filter(|one| one.may != May::Leave) {
        one.until = safe.iter().copied().find(|number| *number > one.number);
    }
    leaving
}

fn of<const N: usize>(program: &Program<'_>, state: &State<N>) -> (May, Vec<Because>) {
    let leave = program.family.leave;
    let mut may = May::Leave;
    let mut because = Vec::new();
    let mut bound = |reason, long: Option<Seconds>| {
        may = may.worse(long.map_or(May::FinishFirst, May::LeaveFor));
        because.push(reason);
    };
    let solution = state.lines.iter().any(|line| {
        matches!(line.holds, Supply::Detergent | Supply::Sanitiser) || line.trace != Trace::None
    });
    if solution {
        bound(Because::Solution, leave.solution);
    }
    if state.opened() {
        bound(Because::Open, leave.open);
    }
    if state.lines.iter().any(|line| line.withheld && !line.tagged) {
        because.push(Because::Untagged);
    }
    (may, because)
}
