//! Where a look or an ask would close a hole: each is put into the model and tried.

use super::{Mistake, Proposal, Right};
use crate::model::program::{Guard, Program, Spot};
use crate::model::seen;
use crate::story;

/// What would close the hole that a left-out step leaves, whose harm is done at a step: the first that does, or else the first
/// that was tried.
pub(super) fn proposal(right: &Right<'_>, spot: Spot, harm: Spot) -> Option<Proposal> {
    let program = &right.program;
    let wrong = program.with(spot, Mistake::LeftOut)?;
    let acts = &program.at(spot).acts;
    let visible = !acts.is_empty() && acts.iter().all(seen::is_visible);
    let next = (spot.0, spot.1 + 1);
    let is_there = usize::from(next.1) < program.stages[usize::from(next.0)].steps.len();
    // As late as it can be, so that it stands for all that came before; else at once.
    let mut places = vec![harm];
    places.extend((is_there && next != harm).then_some(next));
    let mut first = None;
    let looks = visible.then(|| Guard::Look(acts.clone()));
    for guard in looks.into_iter().chain([Guard::Ask]) {
        for place in places.iter().copied().filter(|place| *place != spot) {
            if !is_quiet(right, place, &guard) {
                continue;
            }
            let closes = closes(right, &wrong, spot, place, &guard);
            let proposal = Proposal {
                verb: if matches!(guard, Guard::Look(_)) { "look" } else { "ask" },
                before: story::number(program, place),
                closes,
            };
            if closes {
                return Some(proposal);
            }
            first = first.or(Some(proposal));
        }
    }
    first
}

/// Whether a look finds nothing wrong where nothing was left out. An ask never does.
fn is_quiet(right: &Right<'_>, place: Spot, guard: &Guard) -> bool {
    matches!(guard, Guard::Ask) || {
        let guarded = with(&right.program, None, place, guard);
        right.fresh(&guarded, &[place]).is_empty()
    }
}

/// Whether nothing is done unseen any more.
fn closes(right: &Right<'_>, wrong: &Program<'_>, spot: Spot, place: Spot, guard: &Guard) -> bool {
    let guarded = with(wrong, Some(spot), place, guard);
    right.fresh(&guarded, &[spot, place]).iter().all(|(broken, _)| broken.rule.is_noticed())
}

/// A program with a look or an ask before a step, and a note where another is left out.
fn with<'a>(
    program: &Program<'a>,
    left_out: Option<Spot>,
    place: Spot,
    guard: &Guard,
) -> Program<'a> {
    let mut guarded = program.clone();
    if let Some(spot) = left_out {
        guarded.stages[usize::from(spot.0)].steps[usize::from(spot.1)].left_out = true;
    }
    guarded.stages[usize::from(place.0)].steps[usize::from(place.1)].guard = Some(guard.clone());
    guarded
}
