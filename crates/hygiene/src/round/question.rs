//! What is asked about a round. Each is a question that an inspector would ask: it is answered, and accuses nobody.

use std::collections::{BTreeMap, BTreeSet};

use ouncewise_ledger::{Body, Entered, Record, Stage};
use serde::Serialize;

use super::boxes::seconds;
use super::cold;
use super::held::{self, Held};
use super::{Known, Presence, Round};
use crate::flush::{Least, time};
use crate::profile::RecordKind;

/// What a question is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum About {
    /// A strip, or a solution that no strip can show to be right.
    Strip,
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

/// Entries at one minute are asked about from this many on.
const AT_ONCE: usize = 4;

pub(super) fn questions(
    round: &Round<'_>,
    known: &Known<'_>,
    presence: &Presence<'_>,
) -> (Vec<Question>, BTreeSet<RecordKind>) {
    let mut by_text: BTreeMap<(About, String), Vec<String>> = BTreeMap::new();
    let mut failed = BTreeSet::new();
    for line in known.lines {
        let of_line = |(record, _): &&(&Record, &Body)| {
            record.subject.line.as_deref().is_none_or(|own| own == *line)
        };
        let records: Vec<(&Record, &Body)> =
            round.records.iter().filter(of_line).copied().collect();
        for Held { kind, about, ask, fails } in held::line(&records, known, presence) {
            by_text.entry((about, ask)).or_default().push((*line).to_owned());
            if fails {
                failed.insert(kind);
            }
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
    let whole = |about, ask| Question { about, lines: Vec::new(), ask };
    let mut questions = Vec::new();
    for Held { kind, about, ask, fails } in held::bucket(&round.records, known, presence) {
        questions.push(whole(about, ask));
        if fails {
            failed.insert(kind);
        }
    }
    let all = known.lines.len();
    let by_line = by_text.into_iter().map(|((about, ask), lines)| {
        // What is asked of every line is asked once.
        let lines = if lines.len() == all { Vec::new() } else { lines };
        Question { about, lines, ask }
    });
    questions.extend(by_line);
    questions.extend(verifier(round).map(|ask| whole(About::Verifier, ask)));
    questions.extend(expired(round, known).into_iter().map(|ask| whole(About::Expiry, ask)));
    questions.extend(one_minute(round).map(|ask| whole(About::OneMinute, ask)));
    (questions, failed)
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
