//! What became of drafts.

use serde::Serialize;
use uuid::Uuid;

/// What became of each draft of one act, in their order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Receipt {
    /// One for each draft.
    pub outcomes: Vec<Outcome>,
}

/// What became of one draft. All of these mean that it is on disk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(tag = "outcome", rename_all = "kebab-case")]
pub enum Outcome {
    /// It is a record now.
    Added {
        /// Its place in its ledger, from 0.
        index: u64,
        /// Its id: the draft's, or the one that follows from it where the draft's was withdrawn by an undo.
        id: Uuid,
    },
    /// The very same record was there before.
    AlreadyThere {
        /// Its place in its ledger.
        index: u64,
        /// Its id.
        id: Uuid,
    },
    /// Another record stands under this id. It goes on standing; the draft is kept beside the
    /// ledger for somebody to look at ([`crate::Store::conflicts`]).
    Conflict {
        /// The place of the record that stands.
        index: u64,
        /// The id.
        id: Uuid,
    },
}

impl Outcome {
    /// The id under which the draft is kept.
    #[must_use]
    pub fn id(&self) -> Uuid {
        let (Outcome::Added { id, .. }
        | Outcome::AlreadyThere { id, .. }
        | Outcome::Conflict { id, .. }) = self;
        *id
    }

    /// The place in the ledger of the record that stands under that id.
    #[must_use]
    pub fn index(&self) -> u64 {
        let (Outcome::Added { index, .. }
        | Outcome::AlreadyThere { index, .. }
        | Outcome::Conflict { index, .. }) = self;
        *index
    }
}

impl Receipt {
    /// How many records were added.
    #[must_use]
    pub fn added(&self) -> usize {
        self.outcomes.iter().filter(|o| matches!(o, Outcome::Added { .. })).count()
    }
}

/// A draft that is no record, and so cannot be kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Refusal {
    /// Which draft of those given, from 0.
    pub position: usize,
    /// Its id.
    pub id: Uuid,
    /// Everything that is wrong with it.
    pub what: Vec<String>,
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "record {} ({}): {}", self.position + 1, self.id, self.what.join("; "))
    }
}
