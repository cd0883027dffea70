//! What can be seen, and what only whoever did it knows: for the looks and asks that a skip analysis proposes and tries.

use super::program::{Act, Guard, Program};
use super::state::{Line, State};
use crate::verb::Verb;

/// Whether what a verb makes true is there to be seen afterwards.
pub(crate) fn is_visible(act: &Act) -> bool {
    match act.verb {
        Verb::Withhold
        | Verb::Tag
        | Verb::Isolate
        | Verb::Restore
        | Verb::Open
        | Verb::Close
        | Verb::Feed
        | Verb::Remove
        | Verb::Lubricate
        | Verb::Refit
        | Verb::Release => true,
        Verb::Wash => !act.special,
        _ => false,
    }
}

/// Whether a look finds all as it should be, or an ask is answered with yes.
pub(crate) fn holds<const N: usize>(
    program: &Program<'_>,
    state: &State<N>,
    who: Option<usize>,
    guard: &Guard,
) -> bool {
    let all = |holds: &dyn Fn(&Line) -> bool| match who {
        Some(who) => holds(&state.lines[who]),
        None => state.lines.iter().all(holds),
    };
    match guard {
        Guard::Ask => !state.shared.left_out && all(&|line| !line.left_out),
        Guard::Look(acts) => acts.iter().all(|act| {
            let cover = program.family.cover == crate::family::Cover::Line;
            let open = if cover {
                |state: &State<N>, line: &Line| line.open || state.shared.open
            } else {
                |state: &State<N>, _: &Line| state.shared.open
            };
            let (own, shared) = (act.parts, act.shared);
            let parts = &state.shared.parts;
            match act.verb {
                Verb::Withhold => all(&|line| line.withheld),
                Verb::Release => all(&|line| !line.withheld),
                Verb::Tag => all(&|line| line.tagged),
                Verb::Isolate => !state.shared.power,
                Verb::Restore => state.shared.power,
                Verb::Open => all(&|line| open(state, line)),
                Verb::Close => all(&|line| !open(state, line)),
                Verb::Feed => all(&|line| line.feed == act.supply),
                // `all` is what came off: at least something did.
                Verb::Remove if act.all => all(&|line| own == 0 || line.parts.off != 0),
                Verb::Remove => {
                    parts.off & shared == shared && all(&|line| line.parts.off & own == own)
                }
                Verb::Refit => parts.off & shared == 0 && all(&|line| line.parts.off & own == 0),
                Verb::Wash => {
                    let mask = |off: u16, of: u16| if act.all { off & of } else { of };
                    let shared = mask(parts.off, shared);
                    parts.washed & shared == shared
                        && all(&|line| {
                            let own = mask(line.parts.off, own);
                            line.parts.washed & own == own
                        })
                }
                Verb::Lubricate => {
                    parts.greased & shared == shared && all(&|line| line.parts.greased & own == own)
                }
                _ => true,
            }
        }),
    }
}
