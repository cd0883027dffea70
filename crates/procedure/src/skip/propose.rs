//! Where a look or an ask would close a hole: each is put into the model and tried.

use super::{Mistake, Proposal, Right};
use crate::model::explore::Broken;
use crate::model::program::{Goto, Guard, Placed, Program, Spot};
use crate::model::seen;
use crate::story;

/// What would close the hole that a left-out step leaves, whose harm is done at a step: the first that does, or else the first
/// that was tried.
pub(super) fn proposal(
    base: &Right<'_>,
    spot: Spot,
    harm: Spot,
    fresh: &[(Broken, bool)],
) -> Option<Proposal> {
    let program = &base.program;
    let mut wrong = program.with(spot, Mistake::LeftOut)?;
    let acts = &program.at(spot).acts;
    let visible = !acts.is_empty() && acts.iter().all(seen::is_visible);
    let next = (spot.0, spot.1 + 1);
    let is_there = usize::from(next.1) < program.stages[usize::from(next.0)].steps.len();
    // As late as it can be, so that it stands for all that came before; else at once.
    let mut places = vec![harm];
    places.extend((is_there && next != harm).then_some(next));
    places.retain(|place| *place != spot);
    let mut right = program.clone();
    let after = places.is_empty() && follow(&mut right, spot) && follow(&mut wrong, spot);
    places.extend(after.then_some(next));
    let mut first = None;
    let looks = visible.then(|| Guard::Look(acts.clone()));
    for guard in looks.into_iter().chain([Guard::Ask]) {
        for place in places.iter().copied() {
            if !is_quiet(base, &right, (spot, place), &guard) {
                continue;
            }
            let closes = closes(base, &wrong, (spot, place), &guard, fresh);
            let proposal = Proposal {
                verb: if matches!(guard, Guard::Look(_)) { "look" } else { "ask" },
                step: story::number(program, if after { spot } else { place }),
                after,
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
fn is_quiet(
    base: &Right<'_>,
    right: &Program<'_>,
    (spot, place): (Spot, Spot),
    guard: &Guard,
) -> bool {
    matches!(guard, Guard::Ask) || {
        let guarded = with(right, None, place, guard);
        base.fresh(&guarded, &[spot, place], true).is_empty()
    }
}

/// Puts a step that does nothing after the last of a stage, so that something can be looked at there. False, where the step is
/// not the last, or asks.
fn follow(program: &mut Program<'_>, spot: Spot) -> bool {
    let steps = &mut program.stages[usize::from(spot.0)].steps;
    let (at, next) = (usize::from(spot.1), spot.1 + 1);
    let placed = &steps[at];
    if at + 1 != steps.len() || !placed.answers.is_empty() || placed.limit.is_some() {
        return false;
    }
    let follows = Placed { acts: Vec::new(), left_out: false, guard: None, ..placed.clone() };
    steps[at].next = Goto::Step(next);
    steps.push(follows);
    true
}

/// Whether nothing is done unseen any more.
fn closes(
    right: &Right<'_>,
    wrong: &Program<'_>,
    (spot, place): (Spot, Spot),
    guard: &Guard,
    fresh: &[(Broken, bool)],
) -> bool {
    let mut unseen = fresh.iter().filter(|(broken, _)| !broken.rule.is_noticed());
    let only_here = unseen.clone().all(|(broken, two)| !two && broken.spot == Some(place));
    // Who comes here with the step left out is stopped, and who did it does what is done without a mistake: nothing is left to try.
    if only_here && matches!(guard, Guard::Ask) {
        return true;
    }
    let carries = unseen.any(|(_, two)| *two);
    let guarded = with(wrong, Some(spot), place, guard);
    right
        .fresh(&guarded, &[spot, place], carries)
        .iter()
        .all(|(broken, _)| broken.rule.is_noticed())
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

#[cfg(test)]
mod tests {
    use super::super::{Mistake, Right};
    use super::*;
    use crate::{Terms, read};

    #[test]
    fn what_is_concluded_of_an_ask_is_what_trying_it_shows() {
        let family = include_str!("../../../../content/procedures/roller-pump/family.toml");
        let text = include_str!("../../../../content/procedures/roller-pump/weekly-clean.toml");
        let family = read::family("family.toml", family).0.unwrap();
        let procedure = read::procedure("p.toml", text, &family).0.unwrap();
        let terms = Terms::default();
        let right = Right::of(Program::new(&family, &procedure, &terms), terms.most);
        let mut asked = [0, 0];
        for spot in right.program.spots() {
            let Some(wrong) = right.program.with(spot, Mistake::LeftOut) else { continue };
            let fresh = right.fresh(&wrong, &[spot], true);
            for place in right.program.spots().filter(|place| *place > spot) {
                let guarded = with(&wrong, Some(spot), place, &Guard::Ask);
                let left = right.fresh(&guarded, &[spot, place], true);
                let tried = left.iter().all(|(broken, _)| broken.rule.is_noticed());
                let told = closes(&right, &wrong, (spot, place), &Guard::Ask, &fresh);
                assert_eq!(told, tried, "{spot:?} asked before {place:?}: {left:?}");
                asked[usize::from(told)] += 1;
            }
        }
        assert!(asked.iter().all(|count| *count > 10), "{asked:?}");
    }
}
