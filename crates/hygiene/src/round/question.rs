//! What is asked about a round. Each is a question that an inspector would ask: it is answered, and accuses nobody.

use std::collections::BTreeMap;

use ouncewise_ledger::{Body, Entered, Record, Stage};
use ouncewise_measure::{Quantity, Seconds};
use serde::Serialize;

use super::boxes::seconds;
use super::cold;
use super::{Known, OpenedBox, Presence, Round};
use crate::contact::{ClockStart, judge_contact, least_contact};
use crate::flush::{Least, time};
use crate::strength::{Conditions, MgPerLitre, Outcome};

/// What a question is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum About {
    /// The contact time.
    Contact,
    /// A flush.
    Flush,
    /// Who looked at it.
    Verifier,
    /// A box past its expiry.
    Expiry,
    /// The product's temperature, or how long it stood open.
    Holding,
    /// That everything stands at one minute.
    OneMinute,
}

/// One question.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Question {
    /// What it is about.
    pub about: About,
    /// Of which lines; of the whole round where none are named.
    pub lines: Vec<String>,
    /// The question.
    pub ask: String,
}

/// How fine a clock is that was read to the minute.
const MINUTE: f64 = 60.0;

/// Entries at one minute are asked about from this many on.
const AT_ONCE: usize = 4;

pub(super) fn questions(
    round: &Round<'_>,
    known: &Known<'_>,
    presence: &Presence<'_>,
) -> Vec<Question> {
    let mut by_text: BTreeMap<(About, String), Vec<String>> = BTreeMap::new();
    for line in known.lines {
        let of_line = |(record, _): &&(&Record, &Body)| {
            record.subject.line.as_deref().is_none_or(|own| own == *line)
        };
        let records: Vec<(&Record, &Body)> =
            round.records.iter().filter(of_line).copied().collect();
        if let Some(ask) = contact(&records, known, presence) {
            by_text.entry((About::Contact, ask)).or_default().push((*line).to_owned());
        }
        for ask in known.least_flush.get(*line).into_iter().flat_map(|least| flush(&records, least))
        {
            let lines = by_text.entry((About::Flush, ask)).or_default();
            lines.push((*line).to_owned());
        }
    }
    for (ask, lines) in cold::questions(&round.records, known) {
        by_text.entry((About::Holding, ask)).or_default().extend(lines);
    }
    let all = known.lines.len();
    let mut questions: Vec<Question> = by_text
        .into_iter()
        .map(|((about, ask), lines)| {
            // What is asked of every line is asked once.
            let lines = if lines.len() == all { Vec::new() } else { lines };
            Question { about, lines, ask }
        })
        .collect();
    let whole = |about, ask| Question { about, lines: Vec::new(), ask };
    questions.extend(verifier(round).map(|ask| whole(About::Verifier, ask)));
    questions.extend(expired(round, known).into_iter().map(|ask| whole(About::Expiry, ask)));
    questions.extend(one_minute(round).map(|ask| whole(About::OneMinute, ask)));
    questions
}

/// The contact time of a line, held to the longer of label and code, on the clock that starts at the outlet's strip.
fn contact(
    records: &[(&Record, &Body)],
    known: &Known<'_>,
    presence: &Presence<'_>,
) -> Option<String> {
    let at = |wanted: fn(&Body) -> bool| records.iter().rposition(|(_, body)| wanted(body));
    let start = at(|body| matches!(body, Body::ContactStarted {}))?;
    let end = at(|body| matches!(body, Body::ContactEnded { .. })).filter(|end| *end > start)?;
    let (elapsed, fine) = elapsed(records[start].0, records[end])?;
    let profile = known.profile?;
    let outlet = records[..start].iter().rev().find_map(|(_, body)| reading(body, "outlet"));
    let bucket = records.iter().rev().find_map(|(_, body)| reading(body, "bucket"));
    let clock = if outlet.is_some() { ClockStart::OutletOnStrength } else { ClockStart::Elsewhere };
    let label = presence.sanitiser_box().and_then(OpenedBox::label);
    let strength = outlet.or(bucket).unwrap_or(MgPerLitre(0.0));
    let mut least = least_contact(profile, label.as_ref(), strength, &conditions(records));
    // The code's time holds also where the label's is not known: it is never shorter for that.
    least.least = least.least.or_else(|| least.row?.seconds.map(Seconds));
    let asked = least.least?;
    let verdict = judge_contact(&least, Seconds(elapsed + fine), clock);
    match verdict.outcome {
        Outcome::Accepted => None,
        Outcome::Refused => {
            let ran = if fine > 0.0 { "by the clock to the minute" } else { "by the times on record" };
            Some(format!(
                "the contact time was {elapsed} s {ran}, and {} s are asked: was it longer?",
                asked.0
            ))
        }
        _ => Some(
            "the contact time began before a strip was read at the outlet: had the solution arrived?"
                .to_owned(),
        ),
    }
}

/// Seconds from start to end, and how much more it may have been: a clock that was read to the minute hides up to one.
fn elapsed(start: &Record, end: (&Record, &Body)) -> Option<(f64, f64)> {
    if let Body::ContactEnded { lasted: Some(lasted) } = end.1
        && let Some(lasted) = seconds(lasted)
    {
        return Some((lasted.0, 0.0));
    }
    let apart = end.0.instant().ok()?.duration_since(start.instant().ok()?).as_secs_f64();
    let to_the_minute = |record: &Record| record.at.get(17..23) == Some("00.000");
    let fine = if to_the_minute(start) && to_the_minute(end.0) { MINUTE } else { 0.0 };
    Some((apart, fine))
}

/// The class of a strip that was read at a place: the last number of its reading.
fn reading(body: &Body, wanted: &str) -> Option<MgPerLitre> {
    let Body::StripRead { reading, place, .. } = body else { return None };
    if !place.trim().eq_ignore_ascii_case(wanted) {
        return None;
    }
    let numbers = reading.split(|c: char| !(c.is_ascii_digit() || c == '.'));
    numbers.filter_map(|number| number.parse().ok()).next_back().map(MgPerLitre)
}

fn conditions(records: &[(&Record, &Body)]) -> Conditions {
    let mixed = records.iter().rev().find_map(|(_, body)| match body {
        Body::SolutionMixed { temperature, ph, .. } => Some((temperature, ph)),
        _ => None,
    });
    let Some((temperature, ph)) = mixed else { return Conditions::default() };
    Conditions {
        temperature: temperature.as_deref().and_then(|read| read.parse::<Quantity>().ok()),
        ph: ph.as_deref().and_then(|read| read.trim().replace(',', ".").parse().ok()),
        ..Conditions::default()
    }
}

/// Flushes that were shorter than physics allows on this line. Before the sanitiser, running clears it of what was in it no
/// sooner than at best; draining it between two fillings does. After it, the line must at least fill with water once.
fn flush(records: &[(&Record, &Body)], least: &Least) -> Vec<String> {
    let short = records.iter().filter_map(|(_, body)| {
        let Body::Flushed { amount, stage } = body else { return None };
        let ran = seconds(amount)?;
        match stage {
            _ if ran.0 < least.hard.0 => Some(format!(
                "a flush of {} s is shorter than the {} in which its water fills the line once: was it longer?",
                ran.0,
                time(least.hard)
            )),
            Stage::Before if ran.0 < least.at_best.0 => Some(format!(
                "a flush of {} s is shorter than the {} that running takes at best: was it longer, or was the line drained in between?",
                ran.0,
                time(least.at_best)
            )),
            _ => None,
        }
    });
    short.collect()
}

/// A look by the one who did it.
fn verifier(round: &Round<'_>) -> Option<String> {
    let is_look = |body: &Body| matches!(body, Body::Verified {});
    let looked = round.records.iter().find(|(_, body)| is_look(body))?.0.by?;
    let did = round.records.iter().filter(|(_, body)| !is_look(body));
    let mut did = std::iter::once(round.opened).chain(did.map(|(record, _)| *record));
    did.any(|record| record.by == Some(looked))
        .then(|| "the one who looked it over also did it: did a second person look?".to_owned())
}

/// Boxes that were past their expiry when something was taken out of them.
fn expired(round: &Round<'_>, known: &Known<'_>) -> Vec<String> {
    let mut asks = Vec::new();
    for (record, body) in &round.records {
        let (from, what) = match body {
            Body::SolutionMixed { from_box: Some(from), .. } => (from, "sanitiser"),
            Body::StripRead { from_box: Some(from), .. } => (from, "strips"),
            _ => continue,
        };
        let Some(opened) = known.boxes.get(from).filter(|opened| opened.past_at(&record.at)) else {
            continue;
        };
        let ask = format!(
            "the {what} of the box “{}” were good until {}: was it this box?",
            opened.name,
            opened.expiry.as_deref().unwrap_or_default()
        );
        if !asks.contains(&ask) {
            asks.push(ask);
        }
    }
    asks
}

/// Everything that was recorded at the machine stands at one minute.
fn one_minute(round: &Round<'_>) -> Option<String> {
    let here: Vec<&str> = round
        .records
        .iter()
        .filter(|(record, _)| record.entered == Entered::AtMachine)
        .filter_map(|(record, _)| record.at.get(..16))
        .collect();
    let first = here.first()?;
    (here.len() >= AT_ONCE && here.iter().all(|minute| minute == first))
        .then(|| "everything stands at one minute: was it recorded as it was done?".to_owned())
}
