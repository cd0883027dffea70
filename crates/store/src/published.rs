//! The versions of procedures that a group published, with their texts.

use std::collections::HashMap;

use ouncewise_ledger::order::{Outcome, no_skew, resolve};
use ouncewise_ledger::{Body, Record, Scope};
use uuid::Uuid;

use crate::answer::Answer;
use crate::db::Val;
use crate::estates::read;
use crate::store::Store;

/// A version of a procedure that was published.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Published {
    /// The record that published it.
    pub record: Uuid,
    /// When, as the device wrote it.
    pub at: String,
    /// Key of the family of machines that it is for.
    pub family: String,
    /// Its key among the procedures of its family.
    pub name: String,
    /// SHA-256 of its text and its model, in hexadecimal.
    pub version: String,
    /// Its text.
    pub text: String,
    /// The text of the family's model that it was checked against.
    pub model: String,
    /// Whether it was withdrawn.
    pub withdrawn: bool,
}

impl Published {
    fn new(record: &Record, body: &Body, withdrawn: bool) -> Option<Self> {
        // A record that only names a hash says that something was published elsewhere: there is nothing to follow.
        let Body::ProcedurePublished {
            key,
            hash,
            family: Some(family),
            text: Some(text),
            model: Some(model),
        } = body
        else {
            return None;
        };
        Some(Self {
            record: record.id,
            at: record.at.clone(),
            family: family.clone(),
            name: key.clone(),
            version: hash.clone(),
            text: text.clone(),
            model: model.clone(),
            withdrawn,
        })
    }
}

impl Store {
    /// All versions of procedures that were published, in the order in which they were, newest last. Those that were withdrawn
    /// are among them: a round may have followed one.
    ///
    /// # Errors
    /// If the database or a record in it cannot be read.
    pub fn published(&self) -> Answer<'_, Vec<Published>> {
        Box::pin(async move {
            let mut conn = self.reading().await?;
            let rows: Vec<(i64, Vec<u8>)> = conn
                .rows(
                    "SELECT idx, bytes FROM record WHERE scope = $1 AND kind IN ('procedure-published', 'correction') ORDER BY idx",
                    &[Val::T(Scope::GROUP)],
                )
                .await?;
            let mut received: HashMap<Uuid, i64> = HashMap::new();
            let mut records = Vec::with_capacity(rows.len());
            for (index, bytes) in rows {
                let record = read(&conn, Scope::GROUP, index, &bytes)?;
                received.insert(record.id, index);
                records.push(record);
            }
            let mut all: Vec<Published> = resolve(records, no_skew)
                .iter()
                .filter_map(|one| match &one.outcome {
                    Outcome::Stands => Published::new(&one.record, &one.record.body, false),
                    Outcome::Replaced { instead, .. } => {
                        Published::new(&one.record, instead, false)
                    }
                    Outcome::Withdrawn { .. } => {
                        Published::new(&one.record, &one.record.body, true)
                    }
                })
                .collect();
            // A group has one clock only as far as its ledger goes: what came in last is in force.
            all.sort_by_key(|one| received.get(&one.record).copied());
            Ok(all)
        })
    }
}
