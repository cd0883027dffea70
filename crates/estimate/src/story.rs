//! A line's story: what happened to it, in the order of events.

use std::collections::BTreeMap;

use jiff::Timestamp;
use ouncewise_ledger::{Body, Record};
use ouncewise_measure::adjust::Direction;
use uuid::Uuid;

use crate::visit::{CatchRead, Spellings, Visit};

/// One thing that happened to a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// When, as the device wrote it.
    pub at: String,
    /// The same as an instant.
    pub instant: Timestamp,
    /// The record that says so.
    pub id: Uuid,
    /// What.
    pub what: Happening,
}

/// What happened.
#[derive(Debug, Clone, PartialEq)]
pub enum Happening {
    /// It was caught.
    Caught(Visit),
    /// A catch was recorded that cannot be read; it is shown, and counts for nothing.
    Unreadable {
        /// What cannot be read, and why.
        why: String,
    },
    /// An old log says only this.
    Claimed {
        /// What it says.
        said: String,
    },
    /// It was adjusted.
    Adjusted {
        /// In the adjuster's terms.
        done: String,
        /// Which way it was meant to go, where the record says.
        towards: Option<Direction>,
    },
    /// It was cleaned.
    Cleaned,
    /// It was flushed with water.
    Flushed {
        /// How much or how long.
        amount: String,
    },
    /// Sanitiser stood in it for its contact time.
    Sanitised,
    /// It was drained.
    Drained,
    /// A part was replaced.
    PartReplaced {
        /// Key of the part.
        part: Option<String>,
    },
    /// A part was looked at.
    PartInspected {
        /// Key of the part.
        part: Option<String>,
        /// What was found.
        found: String,
    },
    /// It carries another product from now on.
    ProductChanged {
        /// Key of the product.
        product: String,
    },
    /// Another container of the same product.
    ContainerChanged,
    /// Another machine stands here from now on.
    MachineSwapped {
        /// Its serial number.
        serial: String,
    },
    /// The machine was paused.
    Paused,
    /// The machine was reopened.
    Reopened,
    /// A technician was called.
    TechnicianCalled {
        /// The fault.
        fault: String,
    },
}

impl Happening {
    /// Whether the flow may be another afterwards, so that earlier catches no longer say where the line is. Whatever took the
    /// product out of a line counts: crust may have gone with it, and air come in.
    #[must_use]
    pub fn may_change_flow(&self) -> bool {
        matches!(
            self,
            Self::Adjusted { .. }
                | Self::Cleaned
                | Self::Flushed { .. }
                | Self::Sanitised
                | Self::Drained
                | Self::PartReplaced { .. }
                | Self::ProductChanged { .. }
                | Self::MachineSwapped { .. }
        )
    }

    /// In words, past tense, without a full stop.
    #[must_use]
    pub fn words(&self) -> String {
        let part = |part: &Option<String>| part.as_deref().unwrap_or("a part").to_owned();
        match self {
            Self::Caught(visit) => format!("caught {}", visit.read.join("; ")),
            Self::Unreadable { why } => format!("caught, but unreadable: {why}"),
            Self::Claimed { said } => format!("log says “{said}”, no measurement"),
            Self::Adjusted { done, .. } => format!("adjusted: {done}"),
            Self::Cleaned => "cleaned".to_owned(),
            Self::Flushed { amount } => format!("flushed: {amount}"),
            Self::Sanitised => "sanitised".to_owned(),
            Self::Drained => "drained".to_owned(),
            Self::PartReplaced { part: p } => format!("{} replaced", part(p)),
            Self::PartInspected { part: p, found } => format!("{} looked at: {found}", part(p)),
            Self::ProductChanged { product } => format!("changed to {product}"),
            Self::ContainerChanged => "new container".to_owned(),
            Self::MachineSwapped { serial } => format!("machine swapped, now {serial}"),
            Self::Paused => "machine paused".to_owned(),
            Self::Reopened => "machine reopened".to_owned(),
            Self::TechnicianCalled { fault } => format!("technician called: {fault}"),
        }
    }
}

/// The stories of a machine's lines, by line key.
///
/// `happenings` are one machine's records in the order of events, each with
/// the body that holds after corrections. What concerns the whole machine goes
/// into the story of each of `lines`, and of any line that its records name.
#[must_use]
pub fn stories<'a, 'l>(
    lines: impl IntoIterator<Item = &'l str>,
    happenings: impl IntoIterator<Item = (&'a Record, &'a Body)>,
) -> BTreeMap<String, Vec<Event>> {
    let mut stories: BTreeMap<String, Vec<Event>> =
        lines.into_iter().map(|line| (line.to_owned(), Vec::new())).collect();
    let mut spellings = Spellings::default();
    for (record, body) in happenings {
        // A record whose time cannot be read never passes the ledger's check; without a time it has no place here.
        let Ok(instant) = record.instant() else { continue };
        let event = |what| Event { at: record.at.clone(), instant, id: record.id, what };
        match &record.subject.line {
            Some(line) => {
                let story = stories.entry(line.clone()).or_default();
                match CatchRead::spelt(body, &mut spellings) {
                    Some(Ok(catch)) => add_catch(story, record, instant, catch),
                    Some(Err(why)) => story.push(event(Happening::Unreadable { why })),
                    None => story.extend(of_line(record, body).map(event)),
                }
            }
            None => {
                if let Some(what) = of_machine(record, body) {
                    for story in stories.values_mut() {
                        story.push(event(what.clone()));
                    }
                }
            }
        }
    }
    stories
}

/// Adds a catch to the visit that it belongs to, or begins another.
fn add_catch(story: &mut Vec<Event>, record: &Record, instant: Timestamp, catch: CatchRead) {
    let catch = match story.last_mut() {
        Some(Event { what: Happening::Caught(visit), at, instant: last, .. }) => {
            match visit.add(record, instant, catch) {
                None => {
                    at.clone_from(&visit.at);
                    *last = visit.instant;
                    return;
                }
                Some(catch) => catch,
            }
        }
        _ => catch,
    };
    story.push(Event {
        at: record.at.clone(),
        instant,
        id: record.id,
        what: Happening::Caught(Visit::begin(record, instant, catch)),
    });
}

fn of_line(record: &Record, body: &Body) -> Option<Happening> {
    Some(match body {
        Body::ClaimMade { said } => Happening::Claimed { said: said.clone() },
        Body::LineAdjusted { done, meant, .. } => {
            Happening::Adjusted { done: done.clone(), towards: meant.as_deref().and_then(towards) }
        }
        Body::LineCleaned {} => Happening::Cleaned,
        Body::ProductChanged { product } => Happening::ProductChanged { product: product.clone() },
        Body::ContainerChanged { .. } => Happening::ContainerChanged,
        _ => return of_machine(record, body),
    })
}

/// The direction of a signed percent as read: `-8 %`, `+3 %`.
fn towards(meant: &str) -> Option<Direction> {
    match meant.trim().chars().next()? {
        '-' | '−' => Some(Direction::Less),
        '+' => Some(Direction::More),
        digit if digit.is_ascii_digit() => Some(Direction::More),
        _ => None,
    }
}

fn of_machine(record: &Record, body: &Body) -> Option<Happening> {
    let part = record.subject.part.clone();
    Some(match body {
        Body::ClaimMade { said } => Happening::Claimed { said: said.clone() },
        Body::LineCleaned {} => Happening::Cleaned,
        Body::Flushed { amount, .. } => Happening::Flushed { amount: amount.clone() },
        Body::ContactEnded { .. } => Happening::Sanitised,
        Body::Drained { .. } => Happening::Drained,
        Body::PartReplaced { .. } => Happening::PartReplaced { part },
        Body::PartInspected { found } => Happening::PartInspected { part, found: found.clone() },
        Body::MachineSwapped { serial, .. } => Happening::MachineSwapped { serial: serial.clone() },
        Body::MachinePaused {} => Happening::Paused,
        Body::MachineReopened {} => Happening::Reopened,
        Body::TechnicianCalled { fault, .. } => {
            Happening::TechnicianCalled { fault: fault.clone() }
        }
        _ => return None,
    })
}
