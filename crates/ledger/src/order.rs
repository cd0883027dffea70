//! The order of events, and what corrections leave standing.
//!
//! A ledger's own order is that of receipt. Computations need the order in which things
//! happened: by the device's clock, corrected for its skew, then by the device's running number,
//! then by id. A record that comes a day late then gives the same result as one that was never away.

use std::collections::HashMap;

use jiff::SignedDuration;
use uuid::Uuid;

use crate::body::Body;
use crate::record::Record;

mod resolve;
#[cfg(test)]
mod tests;

pub use resolve::{Effective, Flag, Outcome, resolve, standing};

/// Sorts records by event: moment, device's running number, id. `skew` says how many
/// milliseconds are to be added to the clock of the device that made a record. A record whose
/// time cannot be read comes first.
pub fn event_order(records: &mut [Record], skew: impl Fn(&Record) -> i64) {
    records.sort_by_cached_key(|record| (moment(record, &skew), record.sequence, record.id));
    // Only records with the same id can be left in order of receipt; their bytes decide.
    let same = |a: &Record, b: &Record| a.id == b.id && a.sequence == b.sequence && a.at == b.at;
    for run in records.chunk_by_mut(same).filter(|run| run.len() > 1) {
        run.sort_by_cached_key(|record| record.to_bytes().ok());
    }
}

/// The clocks as they are.
#[must_use]
pub fn no_skew(_: &Record) -> i64 {
    0
}

/// Milliseconds since 1970, corrected.
fn moment(record: &Record, skew: impl Fn(&Record) -> i64) -> i64 {
    record.instant().map_or(i64::MIN, |at| at.as_millisecond().saturating_add(skew(record)))
}

/// Pairs of records, in event order, whose order the clocks cannot tell though it matters: about
/// one line (or its whole machine), less than `within` apart on different devices, or with the
/// device's clock and running number at odds. Two catches of one state need no order.
///
/// `records` are in event order; `skew` is that of [`event_order`].
#[must_use]
pub fn untold(
    records: &[Record],
    skew: impl Fn(&Record) -> i64,
    within: SignedDuration,
) -> Vec<(Uuid, Uuid)> {
    let mut pairs = Vec::new();
    // The last record about each line of each machine.
    let mut last: HashMap<&str, Vec<&Record>> = HashMap::new();
    for record in records {
        let Some(machine) = record.subject.machine.as_deref() else { continue };
        let seen = last.entry(machine).or_default();
        for earlier in seen.iter().filter(|earlier| touch(earlier, record)) {
            let apart = moment(record, &skew).saturating_sub(moment(earlier, &skew));
            let told = if earlier.device == record.device {
                earlier.sequence < record.sequence
            } else {
                i128::from(apart) >= within.as_millis()
            };
            if !told && !alike(&earlier.body, &record.body) {
                pairs.push((earlier.id, record.id));
            }
        }
        seen.retain(|earlier| earlier.subject.line != record.subject.line);
        seen.push(record);
    }
    pairs
}

/// Whether two records of one machine are about the same line, or one is about all lines.
fn touch(a: &Record, b: &Record) -> bool {
    a.subject.line == b.subject.line || a.subject.line.is_none() || b.subject.line.is_none()
}

/// Whether two bodies mean the same in either order.
fn alike(a: &Body, b: &Body) -> bool {
    match (a, b) {
        (Body::CatchTaken { state: a, .. }, Body::CatchTaken { state: b, .. }) => a == b,
        _ => false,
    }
}
