//! From the estate that is to the one that is wanted: the records that lead there.

use ouncewise_estate::{Estate, plan};
use ouncewise_ledger::{Draft, Entered, Record};

/// The records that lead from one estate to another, all at the same moment: `at` as a record spells it.
#[must_use]
pub fn described(current: &Estate, wanted: &Estate, at: &str) -> Vec<Draft> {
    plan::changes(current, wanted)
        .changes
        .into_iter()
        .enumerate()
        .map(|(sequence, change)| {
            Draft::from(Record {
                v: 1,
                id: uuid::Uuid::now_v7(),
                scope: change.scope,
                subject: change.subject,
                at: at.to_owned(),
                device: "desk".to_owned(),
                sequence: sequence as u64,
                by: None,
                entered: Entered::AtDesk,
                note: None,
                body: change.body,
            })
        })
        .collect()
}
