//! Rounds: how each stands, what it lacks of what its profile asks for, and what is asked about it.

use std::collections::BTreeMap;

use ouncewise_estate::{Estate, Machine};
use ouncewise_hygiene::profile::Profile;
use ouncewise_hygiene::round::{Judged, Known, Missing, OpenedBox, Round, opened_boxes, rounds};
use ouncewise_ledger::order::Outcome;
use ouncewise_ledger::{Body, Record};
use ouncewise_measure::Quantity;
use ouncewise_procedure::Terms;
use ouncewise_store::{Event, Store};
use schemars::JsonSchema;
use serde::Serialize;
use uuid::Uuid;

use crate::failure::Failure;
use crate::flush::least_flushes;
use crate::library::{Library, ProcedureText};
use crate::procedures::StepReport;
use crate::site::site_called;

/// Rounds, the latest first.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RoundsReport {
    /// The rounds.
    pub rounds: Vec<RoundReport>,
    /// How many earlier ones are not shown.
    pub earlier: usize,
}

/// One round of one machine.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RoundReport {
    /// Key of the site.
    pub site: String,
    /// Key of the machine within the site.
    pub machine: String,
    /// The record that opened it.
    pub record: String,
    /// When it was opened, by the device's clock.
    pub opened: String,
    /// When it was closed; absent while it is open.
    pub closed: Option<String>,
    /// `open`, `complete`, `incomplete`, or `not-judged` where no profile is in force.
    pub state: String,
    /// The version of the procedure that it follows: SHA-256 of its text and its model.
    pub procedure: Option<String>,
    /// Family and key of that procedure, where it is known here.
    pub follows: Option<String>,
    /// Key of the profile that it is held to.
    pub profile: Option<String>,
    /// Edition of that profile, as recorded when it was opened.
    pub edition: Option<String>,
    /// What it must have on record, and has not.
    pub missing: Vec<MissingReport>,
    /// The steps of its procedure that must not be skipped, and that were not confirmed.
    pub unconfirmed: Vec<StepReport>,
    /// What it must have on record and has, and what does not hold: `strip-outlet`, `contact-end`.
    pub failed: Vec<String>,
    /// What would be good to have on record, and is not.
    pub wanting: Vec<MissingReport>,
    /// What is asked about it. A question, and no accusation.
    pub questions: Vec<QuestionReport>,
    /// Why it was closed as it was, where that was said.
    pub reason: Option<String>,
    /// How many records it has.
    pub records: usize,
}

/// A record that a round lacks.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MissingReport {
    /// Its kind, as profiles name it: `strip-outlet`.
    pub kind: String,
    /// In words.
    pub words: String,
    /// The lines that lack it, where others have it.
    pub lines: Vec<String>,
    /// The clause for which it is asked.
    pub clause: String,
}

/// A question about a round.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct QuestionReport {
    /// `contact`, `flush`, `verifier`, `expiry`, `holding` or `one-minute`.
    pub about: String,
    /// The lines that it is about; of all of it where none are named.
    pub lines: Vec<String>,
    /// The question.
    pub ask: String,
}

impl MissingReport {
    fn new(missing: &Missing) -> Self {
        Self {
            kind: missing.kind.to_string(),
            words: missing.words(),
            lines: missing.lines.clone(),
            clause: missing.clause.clone(),
        }
    }
}

impl RoundReport {
    fn new(
        (site, machine): (&str, &str),
        profile: Option<&str>,
        round: &Round<'_>,
        judged: &Judged,
        (library, terms): (&Library, &Terms),
    ) -> Self {
        let followed = round.procedure.and_then(|version| library.version(version));
        let steps = match (followed, judged.unconfirmed.is_empty()) {
            (Some(followed), false) => followed.steps(terms, "en"),
            _ => Vec::new(),
        };
        let unconfirmed = steps.iter().filter(|step| judged.unconfirmed.contains(&step.key()));
        Self {
            procedure: round.procedure.map(str::to_owned),
            follows: followed.map(ProcedureText::at),
            unconfirmed: unconfirmed.map(StepReport::from).collect(),
            site: site.to_owned(),
            machine: machine.to_owned(),
            record: round.opened.id.to_string(),
            opened: round.opened.at.clone(),
            closed: round.closed.map(|record| record.at.clone()),
            state: word(&judged.state),
            profile: profile.map(str::to_owned),
            edition: round.edition.map(str::to_owned),
            missing: judged.musts.iter().map(MissingReport::new).collect(),
            failed: judged.failed.iter().map(ToString::to_string).collect(),
            wanting: judged.shoulds.iter().map(MissingReport::new).collect(),
            questions: judged
                .questions
                .iter()
                .map(|question| QuestionReport {
                    about: word(&question.about),
                    lines: question.lines.clone(),
                    ask: question.ask.clone(),
                })
                .collect(),
            reason: round.reason.map(str::to_owned),
            records: round.records.len(),
        }
    }

    /// How it stands, in words: `incomplete`.
    #[must_use]
    pub fn state_words(&self) -> &'static str {
        match self.state.as_str() {
            "complete" => "complete",
            "incomplete" => "incomplete",
            "open" => "not closed",
            _ => "closed; no profile is in force",
        }
    }
}

fn word(value: &impl Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        _ => String::new(),
    }
}

/// Records with the body that holds after corrections, without those that were withdrawn.
pub(crate) fn effective(events: &[Event]) -> impl Iterator<Item = (&Record, &Body)> {
    events.iter().filter_map(|event| match &event.outcome {
        Outcome::Stands => Some((&event.record, &event.record.body)),
        Outcome::Replaced { instead, .. } => Some((&event.record, instead)),
        Outcome::Withdrawn { .. } => None,
    })
}

/// The boxes that were opened at a machine's site, by the record that opened each.
///
/// # Errors
/// If the store cannot be read.
pub async fn boxes(
    store: &Store,
    site: &str,
    machine: &str,
) -> Result<BTreeMap<Uuid, OpenedBox>, Failure> {
    let events = store.machine(site, machine).await?;
    Ok(opened_boxes(effective(&events)))
}

/// How cold the products of a machine's lines are drawn, where they are described.
#[must_use]
pub fn drawn_at(estate: &Estate, machine: &Machine) -> BTreeMap<String, Quantity> {
    let in_use = machine.lines.iter().filter(|(_, line)| !line.retired);
    let at = in_use.filter_map(|(key, line)| {
        Some((key.to_string(), estate.products.get(&line.product)?.temperature?))
    });
    at.collect()
}

/// A machine's rounds, the latest first: at most `last` of them.
///
/// # Errors
/// If the store cannot be read.
async fn of_machine(
    store: &Store,
    estate: &Estate,
    library: &Library,
    (site, machine): (&str, &str),
    known: &Machine,
) -> Result<Vec<RoundReport>, Failure> {
    let events = store.machine(site, machine).await?;
    let boxes = opened_boxes(effective(&events));
    let least_flush = least_flushes(estate, site, machine);
    let drawn_at = drawn_at(estate, known);
    let mut lines: Vec<_> = known.lines.iter().filter(|(_, line)| !line.retired).collect();
    lines.sort_by(|a, b| a.0.natural_cmp(b.0));
    let lines: Vec<&str> = lines.into_iter().map(|(key, _)| key.as_str()).collect();
    let mine = effective(&events).filter(|(record, _)| record.subject.machine.is_some());
    let in_force = estate.jurisdiction(site).map(ouncewise_estate::Key::as_str);
    let reports = rounds(mine).into_iter().rev().map(|round| {
        let key = round.profile.or(in_force);
        let profile = key.and_then(|key| estate.profile(key));
        let profile: Option<&Profile> = profile.as_deref();
        // What was followed there is its text under the food code that the round was held to.
        let terms = profile.map_or_else(Terms::default, Terms::of);
        let must_steps = library.must_steps(round.procedure, &terms);
        let known = Known {
            profile,
            lines: &lines,
            boxes: &boxes,
            least_flush: &least_flush,
            drawn_at: &drawn_at,
            must_steps: &must_steps,
        };
        RoundReport::new((site, machine), key, &round, &round.judge(&known), (library, &terms))
    });
    Ok(reports.collect())
}

/// The rounds of a machine, of all machines of a site, or of all: the latest first, at most `last` of them.
///
/// # Errors
/// If there is no such site or machine, or the store cannot be read.
pub async fn rounds_of(
    store: &Store,
    site: Option<&str>,
    machine: Option<&str>,
    last: usize,
) -> Result<RoundsReport, Failure> {
    let mut estate = match site {
        Some(site) => store.estate_at(site).await?,
        None => store.estate().await?,
    };
    let called = match site {
        Some(site) if !estate.sites.contains_key(site) => {
            let key = site_called(&*store.estate().await?, site)?;
            estate = store.estate_at(&key).await?;
            Some(key)
        }
        _ => None,
    };
    let site = called.as_deref().or(site);
    if let (Some(site), Some(machine)) = (site, machine)
        && estate.machine(site, machine).is_none()
    {
        return Err(Failure::missing(format!("there is no machine `{site}/{machine}`")).hint(
            "a machine is named by its key within its site; the page of the site lists them",
        ));
    }
    let library = Library::of(store).await?;
    let mut all = Vec::new();
    for (key, place) in &estate.sites {
        if site.is_some_and(|site| site != key.as_str()) {
            continue;
        }
        for (of, known) in &place.machines {
            if machine.is_none_or(|machine| machine == of.as_str()) {
                all.extend(of_machine(store, &estate, &library, (key, of), known).await?);
            }
        }
    }
    let instant = |round: &RoundReport| round.opened.parse::<jiff::Timestamp>().ok();
    all.sort_by_key(|round| std::cmp::Reverse(instant(round)));
    let earlier = all.len().saturating_sub(last);
    all.truncate(last);
    Ok(RoundsReport { rounds: all, earlier })
}
