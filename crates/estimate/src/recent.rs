//! What of a machine's past can still decide where its lines stand, so that a long past costs little.

use std::collections::HashMap;

use jiff::Timestamp;
use ouncewise_ledger::{Body, LineState, Record};

use crate::visit::{CatchRead, LONGEST_PAUSE};

/// How far back a line has been followed.
#[derive(Default)]
struct Followed {
    /// The earliest catch so far.
    earliest: Option<Timestamp>,
    /// Whether one of them was as found.
    found: bool,
    /// Whether the occasion of the latest as-found catch is whole: no catch before it counts.
    whole: bool,
}

/// Leaves out the catches that no later one leaves to count: those before the occasion on which a line was last
/// caught as found. All else stays, in its order, which is that of events.
pub(crate) fn recent<'a>(
    happenings: impl IntoIterator<Item = (&'a Record, &'a Body)>,
) -> Vec<(&'a Record, &'a Body)> {
    let mut happenings: Vec<(&Record, &Body)> = happenings.into_iter().collect();
    let mut lines: HashMap<&str, Followed> = HashMap::new();
    happenings.reverse();
    happenings.retain(|(record, body)| {
        let (Some(line), Body::CatchTaken { state, .. }) = (&record.subject.line, body) else {
            return true;
        };
        let line = lines.entry(line).or_default();
        if line.whole {
            return false;
        }
        // One that cannot be read ends no occasion.
        let (Ok(instant), Some(Ok(_))) = (record.instant(), CatchRead::from_body(body)) else {
            return true;
        };
        let pause = line.earliest.map(|earliest| earliest.duration_since(instant));
        if line.found && pause.is_some_and(|pause| pause > LONGEST_PAUSE) {
            line.whole = true;
            return false;
        }
        line.earliest = Some(instant);
        line.found |= *state == LineState::AsFound;
        true
    });
    happenings.reverse();
    happenings
}
