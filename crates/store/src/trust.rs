//! What the writer remembers of its last transactions, so that the next one need not ask.
//!
//! It is taken on trust, and the transaction checks itself: where another program has written since, the next index of
//! the ledger is taken already, or a statement that goes with it finds the difference and makes it fail. The same act is
//! then tried again with everything asked. Only for SQLite, where one file is written under one lock.

use std::collections::HashMap;

use ouncewise_ledger::Scope;
use uuid::Uuid;

use crate::db::{Conn, Val};
use crate::error::StoreError;
use crate::head::{Head, Heads, signed};

/// How many heads, and how many people, are remembered at once.
const REMEMBERED: usize = 1_000;

/// Fails the transaction, for a row of nulls is none that the table takes, unless what follows finds nothing.
macro_rules! refuse {
    ($unless:literal) => {
        concat!("INSERT INTO stale (scope, machine) SELECT NULL, NULL WHERE ", $unless)
    };
}
const GROUP_MOVED: &str =
    refuse!("coalesce((SELECT shaped FROM head WHERE scope = '@group'), 0) <> ?");
const PERSON_GONE: &str = refuse!("NOT EXISTS (SELECT 1 FROM person WHERE folded = ? AND id = ?)");

/// Heads and people as the last transactions left them.
#[derive(Debug, Default)]
pub(crate) struct Trust {
    heads: HashMap<String, Head>,
    group_shaped: u64,
    people: HashMap<String, Uuid>,
}

impl Trust {
    /// The heads of these ledgers, where all are remembered.
    pub fn heads(&self, conn: &mut Conn, scopes: &[&str]) -> Result<Option<Heads>, StoreError> {
        if !conn.is_sqlite() {
            return Ok(None);
        }
        let head = |scope: &&str| Some(((*scope).to_owned(), self.heads.get(*scope)?.clone()));
        let Some(by_scope) = scopes.iter().map(head).collect() else { return Ok(None) };
        conn.hold(GROUP_MOVED, &[Val::I(signed(self.group_shaped))])?;
        Ok(Some(Heads { by_scope, group_shaped: self.group_shaped }))
    }

    /// Takes over where a transaction leaves the ledgers.
    pub fn follow_heads(&mut self, heads: &Heads) {
        if self.heads.len() > REMEMBERED {
            self.heads.clear();
        }
        let group = heads.by_scope.get(Scope::GROUP);
        self.group_shaped = group.map_or(heads.group_shaped, |head| head.shaped);
        self.heads.extend(heads.by_scope.clone());
    }

    /// The id of a person by folded name, where it is remembered.
    pub fn person(&self, conn: &mut Conn, folded: &str) -> Result<Option<Uuid>, StoreError> {
        let id = self.people.get(folded).filter(|_| conn.is_sqlite()).copied();
        if let Some(id) = &id {
            conn.hold(PERSON_GONE, &[Val::T(folded), Val::B(id.as_bytes())])?;
        }
        Ok(id)
    }

    /// Takes over who has which id.
    pub fn follow_people(&mut self, ids: &HashMap<String, Uuid>) {
        if self.people.len() > REMEMBERED {
            self.people.clear();
        }
        self.people.extend(ids.iter().map(|(name, id)| (name.clone(), *id)));
    }
}
