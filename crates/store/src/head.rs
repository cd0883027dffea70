//! Where each ledger stands.

use std::collections::BTreeMap;

use ouncewise_ledger::Scope;
use ouncewise_ledger::merkle::Frontier;

use crate::db::{Conn, Val};
use crate::error::StoreError;

/// Where one ledger stands, for writing on.
#[derive(Debug, Clone, Default)]
pub(crate) struct Head {
    /// Size just after the last record that describes the estate.
    pub shaped: u64,
    /// All leaves so far; its size is the next record's index.
    pub frontier: Frontier,
}

impl Head {
    pub fn size(&self) -> u64 {
        self.frontier.size()
    }
}

/// The heads of some ledgers, held until the transaction ends.
#[derive(Debug, Default)]
pub(crate) struct Heads {
    /// By scope.
    pub by_scope: BTreeMap<String, Head>,
    /// The group's `shaped`, held or not.
    pub group_shaped: u64,
}

impl Heads {
    /// The state of the two ledgers that describe a site, the group's and its own; nothing where its own is not held.
    pub fn shaped(&self, scope: &str) -> Option<(u64, u64)> {
        let group = self.by_scope.get(Scope::GROUP).map_or(self.group_shaped, |head| head.shaped);
        Some((group, self.by_scope.get(scope)?.shaped))
    }
}

/// Holds the heads of some ledgers, in one order for everybody. A ledger that is not there yet is empty.
pub(crate) async fn hold(conn: &mut Conn, scopes: &[&str]) -> Result<Heads, StoreError> {
    let mut heads = select(conn, scopes).await?;
    let missing: Vec<&str> =
        scopes.iter().copied().filter(|s| !heads.by_scope.contains_key(*s)).collect();
    if missing.is_empty() {
        return Ok(heads);
    }
    let empty = Head::default();
    if !conn.is_sqlite() {
        // Several servers: a row must be there to be locked.
        let rows: Vec<(&str, &Head)> = missing.iter().map(|s| (*s, &empty)).collect();
        write(conn, &rows, " ON CONFLICT (scope) DO NOTHING").await?;
        return select(conn, scopes).await;
    }
    heads.by_scope.extend(missing.into_iter().map(|s| (s.to_owned(), empty.clone())));
    let group: Option<(i64,)> =
        conn.row("SELECT shaped FROM head WHERE scope = $1", &[Val::T(Scope::GROUP)]).await?;
    heads.group_shaped = group.map_or(0, |(shaped,)| unsigned(shaped));
    Ok(heads)
}

async fn select(conn: &mut Conn, scopes: &[&str]) -> Result<Heads, StoreError> {
    let rows: Vec<(String, i64, Vec<u8>, Option<i64>)> = conn
        .ask(
            "SELECT scope, shaped, frontier, (SELECT g.shaped FROM head g WHERE g.scope = '@group') \
             FROM head WHERE (scope) IN (VALUES ",
            scopes,
            |scope| [Val::T(scope)],
            &format!(") ORDER BY scope{}", conn.for_update()),
        )
        .await?;
    let mut heads = Heads::default();
    for (scope, shaped, frontier, group_shaped) in rows {
        let frontier = Frontier::from_bytes(&frontier).map_err(|e| StoreError::Damaged {
            place: conn.place().to_owned(),
            what: format!("the head of the ledger {scope} does not fit: {e}. Keep this file aside and restore the last backup"),
        })?;
        heads.group_shaped = group_shaped.map_or(0, unsigned);
        heads.by_scope.insert(scope, Head { shaped: unsigned(shaped), frontier });
    }
    Ok(heads)
}

/// Writes heads on.
pub(crate) async fn put(conn: &mut Conn, heads: &[(&str, &Head)]) -> Result<(), StoreError> {
    write(
        conn,
        heads,
        " ON CONFLICT (scope) DO UPDATE SET size = excluded.size, shaped = excluded.shaped, root = excluded.root, frontier = excluded.frontier",
    )
    .await
}

async fn write(
    conn: &mut Conn,
    heads: &[(&str, &Head)],
    on_conflict: &str,
) -> Result<(), StoreError> {
    let rows: Vec<(&str, i64, i64, Vec<u8>, Vec<u8>)> = heads
        .iter()
        .map(|(scope, h)| {
            (
                *scope,
                signed(h.size()),
                signed(h.shaped),
                h.frontier.root().0.to_vec(),
                h.frontier.to_bytes(),
            )
        })
        .collect();
    conn.insert(
        "INSERT INTO head (scope, size, shaped, root, frontier) VALUES ",
        &rows,
        |(scope, size, shaped, root, frontier)| {
            [Val::T(scope), Val::I(*size), Val::I(*shaped), Val::B(root), Val::B(frontier)]
        },
        on_conflict,
    )
    .await
}

/// An index or size as the database keeps it.
pub(crate) fn signed(n: u64) -> i64 {
    i64::try_from(n).expect("an index is within 2^53")
}

/// An index or size as the database gives it; a negative one cannot be ours, and reads as none.
pub(crate) fn unsigned(n: i64) -> u64 {
    u64::try_from(n).unwrap_or(0)
}
