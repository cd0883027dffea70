//! One line: its story, and where it stands.

use ouncewise_estate::{Address, Estate};
use ouncewise_estimate::standing::{VisitShown, judge};
use ouncewise_estimate::{Event, Happening, Visit, stories};
use ouncewise_ledger::order::Outcome;
use ouncewise_ledger::{Body, Record};
use ouncewise_store::{History, Store};
use std::sync::Arc;

use crate::failure::Failure;
use crate::lines::{StoryEvent, VisitReport};

/// One event of a line's story, for a program and for people.
#[derive(Debug, Clone)]
pub struct Told {
    /// As it is reported.
    pub event: StoryEvent,
    /// What happened; nothing where the record was corrected or withdrawn.
    pub happening: Option<Happening>,
    /// If it was caught: what that shows, held against today's recipe.
    pub visit: Option<VisitShown>,
}

impl Told {
    /// The catches as they were read, if it was caught.
    #[must_use]
    pub fn caught(&self) -> Option<&Visit> {
        match &self.happening {
            Some(Happening::Caught(visit)) => Some(visit),
            _ => None,
        }
    }
}

/// A line's estate, history and story: corrections and withdrawn records too, in the order of events.
///
/// # Errors
///
/// If there is no such line, or the store cannot be read.
pub async fn line(
    store: &Store,
    address: &Address,
) -> Result<(Arc<Estate>, History, Vec<Told>), Failure> {
    let history = store.line(address).await?;
    if history.standing.is_none() {
        let estate = store.estate().await?;
        let known: Vec<String> = estate.lines().map(|(known, _)| known.to_string()).collect();
        let near = ouncewise_estate::fault::nearest(
            &address.to_string(),
            known.iter().map(String::as_str),
        );
        let failure = Failure::missing(format!("there is no line `{address}`"));
        return Err(match near {
            Some(near) => failure.hint(format!("did you mean `{near}`?")),
            None => failure.hint("the week lists lines by their addresses: site/machine/line"),
        });
    }
    let estate = store.estate_at(&address.site).await?;
    let story = story(&estate, address, &history);
    Ok((estate, history, story))
}

/// Each line of a machine, in the order in which people list them, with its history and story.
///
/// # Errors
///
/// If there is no such machine, or the store cannot be read.
pub async fn machine(
    store: &Store,
    site: &str,
    machine: &str,
) -> Result<(Arc<Estate>, Vec<(Address, History, Vec<Told>)>), Failure> {
    let estate = store.estate_at(site).await?;
    let Some(known) = estate.machine(site, machine) else {
        return Err(Failure::missing(format!("there is no machine `{site}/{machine}`"))
            .hint("a machine is named SITE/MACHINE; the page of its site lists them"));
    };
    let mut keys: Vec<_> = known.lines.keys().collect();
    keys.sort_by(|a, b| a.natural_cmp(b));
    let mut lines = Vec::with_capacity(keys.len());
    for key in keys {
        let Ok(address) = Address::new(site, machine, key) else { continue };
        let history = store.line(&address).await?;
        let story = story(&estate, &address, &history);
        lines.push((address, history, story));
    }
    Ok((estate, lines))
}

fn story(estate: &Estate, address: &Address, history: &History) -> Vec<Told> {
    let effective: Vec<(&Record, &Body)> = history
        .events
        .iter()
        .filter_map(|event| match &event.outcome {
            Outcome::Stands => Some((&event.record, &event.record.body)),
            Outcome::Replaced { instead, .. } => Some((&event.record, instead)),
            Outcome::Withdrawn { .. } => None,
        })
        .collect();
    let line: &str = &address.line;
    let mut stories = stories([line], effective);
    let mut told: Vec<Told> = stories
        .remove(line)
        .unwrap_or_default()
        .into_iter()
        .map(|event| tell(estate, address, event))
        .collect();
    for event in &history.events {
        let what = match &event.outcome {
            Outcome::Stands => continue,
            Outcome::Withdrawn { reason, .. } => {
                format!("withdrawn ({reason}): {}", brief(&event.record.body))
            }
            Outcome::Replaced { reason, .. } => {
                format!("corrected ({reason}): was {}", brief(&event.record.body))
            }
        };
        told.push(Told {
            event: StoryEvent {
                at: event.record.at.clone(),
                record: event.record.id.to_string(),
                what,
                visit: None,
            },
            happening: None,
            visit: None,
        });
    }
    let instant = |told: &Told| told.event.at.parse::<jiff::Timestamp>().ok();
    told.sort_by_key(instant);
    told
}

fn tell(estate: &Estate, address: &Address, event: Event) -> Told {
    let visit = match &event.what {
        Happening::Caught(visit) => Some(judge(estate, address, visit, None)),
        _ => None,
    };
    Told {
        event: StoryEvent {
            at: event.at,
            record: event.id.to_string(),
            what: event.what.words(),
            visit: visit.as_ref().map(VisitReport::new),
        },
        happening: Some(event.what),
        visit,
    }
}

fn brief(body: &Body) -> String {
    match body {
        Body::CatchTaken { amount, draw, .. } => format!("{amount} in {draw}"),
        other => other.kind().replace('-', " "),
    }
}
