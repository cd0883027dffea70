//! How long a machine's wear parts lasted, from its records: what [`crate::wear`] takes.
//!
//! A part's life begins where one was put in, and ends where the next one was. What was in before the first replacement on
//! record began at a time that nobody knows: it is counted, and says nothing of ages. Time in which the machine was paused
//! is no age. Why a part came out is kept apart: what failed, what was worn and still worked, what was replaced by plan.

use std::collections::BTreeMap;

use jiff::Timestamp;
use ouncewise_ledger::{Body, Record};

use crate::wear::Life;

#[cfg(test)]
mod tests;

/// How a part's life ended, or why its end is not known yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Ended {
    /// It failed.
    Failed,
    /// It was found worn, and still worked.
    Worn,
    /// It was replaced while it was good: by its age.
    Planned,
    /// It was replaced, and nobody said why.
    NotSaid,
    /// It is in use.
    InUse,
    /// It went away with its machine.
    Gone,
}

/// What counts as the end of a life; every other end only shows that the part lasted until then.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Until {
    /// Failure alone.
    Failed,
    /// Failure, or wear that somebody saw.
    WornOrFailed,
}

/// One part's life.
#[derive(Debug, Clone, PartialEq)]
pub struct PartLife {
    /// Key of the part.
    pub part: String,
    /// Days in use.
    pub days: f64,
    /// How it ended.
    pub ended: Ended,
}

impl PartLife {
    /// As the computations take it.
    #[must_use]
    pub fn life(&self, until: Until) -> Life {
        let ended = match until {
            Until::Failed => self.ended == Ended::Failed,
            Until::WornOrFailed => matches!(self.ended, Ended::Failed | Ended::Worn),
        };
        if ended { Life::failed(self.days) } else { Life::in_use(self.days) }
    }
}

/// The lives of one machine's parts.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lives {
    /// Those whose beginning is on record.
    pub lives: Vec<PartLife>,
    /// Parts that came out and whose beginning is not on record, by part.
    pub begun_before: BTreeMap<String, usize>,
    /// Lives in a machine of another family that stood here before.
    pub of_another_family: usize,
}

/// An inspection tells why a part was replaced if it is no older than this.
const SAME_ROUND_HOURS: f64 = 24.0;

/// A part that was put in less than this before another was recorded twice. Days.
const TWICE: f64 = 0.1;

/// Reads one machine's records, which are in the order of events, each with the body that holds after corrections; `now` is
/// until when parts in use have lasted.
#[must_use]
pub fn lives<'a>(
    happenings: impl IntoIterator<Item = (&'a Record, &'a Body)>,
    now: Timestamp,
) -> Lives {
    let mut reader = Reader::default();
    for (record, body) in happenings {
        if let Ok(instant) = record.instant()
            && instant <= now
        {
            reader.take(record, body, days(instant));
        }
    }
    reader.end(Ended::InUse, days(now));
    reader.lives
}

fn days(instant: Timestamp) -> f64 {
    instant.as_millisecond() as f64 / 86_400_000.0
}

/// A part's place: its line, where it is one's, and its key.
type Place = (Option<String>, String);

#[derive(Default)]
struct Reader {
    lives: Lives,
    /// When what is in each place was put in, on the clock of use.
    since: BTreeMap<Place, f64>,
    /// What was found in each place, and when.
    found: BTreeMap<Place, (String, f64)>,
    /// Days that the machine was paused, and since when it is.
    paused: f64,
    paused_since: Option<f64>,
}

impl Reader {
    /// Days of use: those that passed, less the paused ones.
    fn used(&self, at: f64) -> f64 {
        self.paused_since.unwrap_or(at) - self.paused
    }

    fn take(&mut self, record: &Record, body: &Body, at: f64) {
        let place = record.subject.part.clone().map(|part| (record.subject.line.clone(), part));
        match (body, place) {
            (Body::PartInspected { found }, Some(place)) => {
                self.found.insert(place, (found.clone(), at));
            }
            (Body::PartReplaced { why, .. }, Some(place)) => {
                let found = self.found.remove(&place);
                let found = found.filter(|(_, seen)| 24.0 * (at - seen) <= SAME_ROUND_HOURS);
                let ended = match (why.as_deref(), found.as_ref().map(|(word, _)| word.as_str())) {
                    (Some("failed"), _) | (None, Some("damaged" | "missing")) => Ended::Failed,
                    (Some("worn"), _) | (None, Some("worn")) => Ended::Worn,
                    (Some("planned"), _) | (None, Some("good")) => Ended::Planned,
                    _ => Ended::NotSaid,
                };
                let used = self.used(at);
                match self.since.get(&place) {
                    Some(since) if used - since < TWICE => return,
                    Some(since) => self.lives.lives.push(PartLife {
                        part: place.1.clone(),
                        days: used - since,
                        ended,
                    }),
                    None => *self.lives.begun_before.entry(place.1.clone()).or_default() += 1,
                }
                self.since.insert(place, used);
            }
            (Body::MachineSwapped { family, .. }, _) => {
                self.end(Ended::Gone, at);
                self.found.clear();
                if family.is_some() {
                    self.lives.of_another_family += self.lives.lives.len();
                    self.lives.lives.clear();
                    self.lives.begun_before.clear();
                }
            }
            (Body::MachinePaused {}, _) if self.paused_since.is_none() => {
                self.paused_since = Some(at);
            }
            (Body::MachineReopened {}, _) => {
                if let Some(since) = self.paused_since.take() {
                    self.paused += at - since;
                }
            }
            _ => {}
        }
    }

    /// All that is in use has lasted until now.
    fn end(&mut self, ended: Ended, at: f64) {
        let used = self.used(at);
        for ((_, part), since) in std::mem::take(&mut self.since) {
            if used - since >= TWICE {
                self.lives.lives.push(PartLife { part, days: used - since, ended });
            }
        }
    }
}
