//! Corrections: which records stand, which were withdrawn, and what holds instead.

use std::borrow::Cow;
use std::collections::HashMap;

use uuid::Uuid;

use super::event_order;
use crate::body::Body;
use crate::record::Record;

/// A record, and what later corrections made of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Effective {
    /// The record as it was made.
    pub record: Record,
    /// What became of it.
    pub outcome: Outcome,
    /// What is odd about it.
    pub flags: Vec<Flag>,
}

/// What became of a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// Nobody corrected it.
    Stands,
    /// It was wrong, and nothing holds instead.
    Withdrawn {
        /// The correction.
        by: Uuid,
        /// Why.
        reason: String,
    },
    /// It was wrong, and this holds instead.
    Replaced {
        /// The correction.
        by: Uuid,
        /// Why.
        reason: String,
        /// What holds.
        instead: Body,
    },
}

/// What is odd about a record. A correction with a flag corrects nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Flag {
    /// It corrects a record that is not here (it may still come).
    UnknownRecord,
    /// It corrects a record of another ledger or machine.
    OtherMachine,
    /// Its corrections lead back to itself.
    Circle,
    /// What it puts instead is itself a correction.
    Nested,
    /// Another record has its id and says something else; the first in event order counts.
    SameId,
}

impl Effective {
    /// What counts: the record, with what holds instead; nothing, if it was withdrawn, is a
    /// correction, or has another record's id.
    #[must_use]
    pub fn standing(&self) -> Option<Cow<'_, Record>> {
        if !self.counts() {
            return None;
        }
        match &self.outcome {
            Outcome::Stands => Some(Cow::Borrowed(&self.record)),
            Outcome::Withdrawn { .. } => None,
            Outcome::Replaced { instead, .. } => {
                Some(Cow::Owned(Record { body: instead.clone(), ..self.record.clone() }))
            }
        }
    }

    /// As [`Effective::standing`], without a copy.
    #[must_use]
    pub fn into_standing(self) -> Option<Record> {
        if !self.counts() {
            return None;
        }
        match self.outcome {
            Outcome::Stands => Some(self.record),
            Outcome::Withdrawn { .. } => None,
            Outcome::Replaced { instead, .. } => Some(Record { body: instead, ..self.record }),
        }
    }

    fn counts(&self) -> bool {
        !matches!(self.record.body, Body::Correction { .. }) && !self.flags.contains(&Flag::SameId)
    }
}

/// Puts records, received in any order, in event order and applies corrections.
///
/// Of several corrections of one record the last in event order counts. A correction may itself be
/// corrected: withdrawn, it corrects nothing; replaced, what holds instead of it holds instead of
/// the record that it corrects. It may bear any time, before or after what it corrects, but
/// must be of the same ledger, and of the same machine where it names one. Records with one id and the same content are one record.
#[must_use]
pub fn resolve(mut records: Vec<Record>, skew: impl Fn(&Record) -> i64) -> Vec<Effective> {
    event_order(&mut records, skew);
    let mut first: HashMap<Uuid, usize> = HashMap::with_capacity(records.len());
    let mut all: Vec<Effective> = Vec::with_capacity(records.len());
    for record in records {
        let mut flags = Vec::new();
        match first.get(&record.id) {
            Some(&earlier) if all[earlier].record == record => continue,
            Some(_) => flags.push(Flag::SameId),
            None => {
                first.insert(record.id, all.len());
            }
        }
        all.push(Effective { record, outcome: Outcome::Stands, flags });
    }
    if all.iter().any(|one| matches!(one.record.body, Body::Correction { .. })) {
        apply(&mut all, &first);
    }
    all
}

/// What counts of records received in any order: in event order, corrections applied, without the
/// corrections themselves.
#[must_use]
pub fn standing(records: Vec<Record>, skew: impl Fn(&Record) -> i64) -> Vec<Record> {
    resolve(records, skew).into_iter().filter_map(Effective::into_standing).collect()
}

/// Applies corrections, each after all that correct it.
fn apply(all: &mut [Effective], first: &HashMap<Uuid, usize>) {
    let mut targets: Vec<Option<usize>> = vec![None; all.len()];
    // How many corrections of a record are still to be settled.
    let mut open: Vec<usize> = vec![0; all.len()];
    for i in 0..all.len() {
        match target(all, i, first) {
            Ok(target) => {
                targets[i] = target;
                if let Some(target) = target {
                    open[target] += 1;
                }
            }
            Err(flag) => all[i].flags.push(flag),
        }
    }
    // The correction that counts, by its place in event order.
    let mut last: Vec<Option<usize>> = vec![None; all.len()];
    let mut ready: Vec<usize> = (0..all.len()).filter(|&i| open[i] == 0).collect();
    while let Some(i) = ready.pop() {
        let Some(target) = targets[i] else { continue };
        if let Some(outcome) = effect(&all[i])
            && last[target] < Some(i)
        {
            last[target] = Some(i);
            all[target].outcome = outcome;
        }
        open[target] -= 1;
        if open[target] == 0 {
            ready.push(target);
        }
    }
    // Each correction names one record, so what never became ready lies on a circle.
    for (one, open) in all.iter_mut().zip(open) {
        if open > 0 {
            one.flags.push(Flag::Circle);
        }
    }
}

/// The place of the record that number `i` corrects; nothing, if it is no correction.
fn target(
    all: &[Effective],
    i: usize,
    first: &HashMap<Uuid, usize>,
) -> Result<Option<usize>, Flag> {
    let one = &all[i];
    let Body::Correction { of, instead, .. } = &one.record.body else { return Ok(None) };
    if one.flags.contains(&Flag::SameId) {
        return Ok(None);
    }
    if matches!(instead.as_deref(), Some(Body::Correction { .. })) {
        return Err(Flag::Nested);
    }
    let target = *first.get(of).ok_or(Flag::UnknownRecord)?;
    let (ours, theirs) = (&one.record, &all[target].record);
    let machine = ours.subject.machine.as_ref();
    if ours.scope != theirs.scope
        || (machine.is_some() && machine != theirs.subject.machine.as_ref())
    {
        return Err(Flag::OtherMachine);
    }
    Ok(Some(target))
}

/// What a settled correction does to the record that it names; nothing, if it was withdrawn.
fn effect(correction: &Effective) -> Option<Outcome> {
    let Body::Correction { reason, instead, .. } = &correction.record.body else { return None };
    let instead = match &correction.outcome {
        Outcome::Stands => instead.as_deref(),
        Outcome::Replaced { instead, .. } => Some(instead),
        Outcome::Withdrawn { .. } => return None,
    };
    let (by, reason) = (correction.record.id, reason.clone());
    Some(match instead {
        Some(instead) => Outcome::Replaced { by, reason, instead: instead.clone() },
        None => Outcome::Withdrawn { by, reason },
    })
}
