//! What of a machine's past can still decide where its lines stand, so that a long past costs little.

use jiff::Timestamp;
use ouncewise_estate::Key;
use ouncewise_ledger::{Body, LineState, Record};

use crate::visit::{LONGEST_PAUSE, Spellings};

/// How far back a line has been followed.
#[derive(Default)]
struct Followed {
    /// The earliest catch so far.
    earliest: Option<Timestamp>,
    /// Whether one of them was as found.
    found: bool,
    /// Whether the occasion of the latest as-found catch is whole: no catch before it counts.
    whole: bool,
    /// Whether a later act decides where its adjuster stands.
    set: bool,
    /// Whether a later claim was met.
    claimed: bool,
}

impl Followed {
    /// Whether what was done, and is no catch, can still decide.
    fn counts(&mut self, body: &Body) -> bool {
        let claims = matches!(body, Body::ClaimMade { .. });
        let sets = decides_for_long(body) && !claims;
        let counts = !self.whole || (sets && !self.set) || (claims && !self.claimed);
        self.set |= sets;
        self.claimed |= claims;
        counts
    }
}

/// Leaves out what is of none of these lines, and what nothing later leaves to count: of each line, the catches before the occasion on which it was last caught as
/// found, and what was done before it but the last that set its adjuster and the last claim. All else stays, in its order, which is that of events.
pub(crate) fn recent<'a>(
    lines: &[&Key],
    happenings: impl IntoIterator<Item = (&'a Record, &'a Body)>,
) -> Vec<(&'a Record, &'a Body)> {
    let mut happenings: Vec<(&Record, &Body)> = happenings.into_iter().collect();
    // A handful, of which the same comes again and again.
    let mut lines: Vec<(&str, Followed)> =
        lines.iter().map(|key| (key.as_str(), Followed::default())).collect();
    let (mut last, mut whole) = (0, 0);
    let mut spellings = Spellings::default();
    // A line that was never caught stands by the last of what was done to all.
    let mut done_to_all = false;
    happenings.reverse();
    happenings.retain(|(record, body)| {
        let Some(line) = &record.subject.line else {
            let kept = !(until_caught(body) && done_to_all && whole == lines.len());
            done_to_all |= until_caught(body);
            return kept;
        };
        // Most of a long past is passed over here.
        if whole == lines.len() && !decides_for_long(body) {
            return false;
        }
        if lines.get(last).is_none_or(|(key, _)| key != line) {
            match lines.iter().position(|(key, _)| key == line) {
                Some(at) => last = at,
                None => return false,
            }
        }
        let line = &mut lines[last].1;
        let Body::CatchTaken { state, .. } = body else { return line.counts(body) };
        if line.whole {
            return false;
        }
        // One that cannot be read ends no occasion.
        let (Ok(instant), Some(Ok(_))) = (record.instant(), spellings.catch(body)) else {
            return true;
        };
        let pause = line.earliest.map(|earliest| earliest.duration_since(instant));
        if line.found && pause.is_some_and(|pause| pause > LONGEST_PAUSE) {
            (line.whole, whole) = (true, whole + 1);
            return false;
        }
        line.earliest = Some(instant);
        line.found |= *state == LineState::AsFound;
        true
    });
    happenings.reverse();
    happenings
}

/// Whether it can decide however often the line was caught since: where its adjuster stands, and the last claim.
fn decides_for_long(body: &Body) -> bool {
    matches!(
        body,
        Body::LineAdjusted { .. }
            | Body::PartReplaced { .. }
            | Body::MachineSwapped { .. }
            | Body::ClaimMade { .. }
    )
}

/// Whether all that it does to a line is that earlier catches no longer say where it is, until it is caught again.
fn until_caught(body: &Body) -> bool {
    matches!(
        body,
        Body::LineCleaned {}
            | Body::Flushed { .. }
            | Body::ContactEnded { .. }
            | Body::Drained { .. }
    )
}
