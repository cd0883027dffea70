//! The other half of the projection: what the histories of a machine's lines make of their standings.
//!
//! A record changes at once what its line's catches say. What all of a machine's past makes of it takes longer to compute, so it
//! follows, machine by machine: after a load, when somebody asks, and while the writer has nothing else to do.

use std::collections::BTreeSet;

use ouncewise_advice::lines::Behaviours;
use ouncewise_estimate::joint::Behaviour;
use ouncewise_ledger::{Body, Scope, order};

use crate::answer::Answer;
use crate::db::{Conn, Val};
use crate::error::StoreError;
use crate::estates::{Estates, read};
use crate::head::{self, unsigned};
use crate::standing;
use crate::store::{AsyncAct, Store};
use crate::touch::Machine;
use crate::writer::Writer;

/// How many machines are followed in one transaction.
const BATCH: usize = 16;

/// Ledgers that have grown since they were followed, but the group's own.
const BEHIND: &str = "FROM head h LEFT JOIN followed f ON f.scope = h.scope WHERE h.scope <> '@group' AND \
     (f.scope IS NULL OR f.size <> h.size OR f.group_size <> coalesce((SELECT g.size FROM head g WHERE g.scope = '@group'), 0))";

/// A site that is behind: its ledger's size and the group's, now and as they were followed.
type Behind = (String, i64, i64, Option<i64>, Option<i64>);

/// How many sites are behind.
pub(crate) async fn behind(conn: &mut Conn, site: Option<&str>) -> Result<u64, StoreError> {
    let count: Option<(i64,)> = match site {
        None => conn.row(&format!("SELECT count(*) {BEHIND}"), &[]).await?,
        Some(site) => {
            conn.row(&format!("SELECT count(*) {BEHIND} AND h.scope = $1"), &[Val::T(site)]).await?
        }
    };
    Ok(count.map_or(0, |(n,)| unsigned(n)))
}

/// Whether a site's standings have followed all its records.
pub(crate) async fn is_behind(conn: &mut Conn, scope: &str) -> Result<bool, StoreError> {
    Ok(behind(conn, Some(scope)).await? > 0)
}

/// What families were found to behave like: the records of the group that adopted parameters.
pub(crate) async fn behaviours(conn: &mut Conn) -> Result<Behaviours, StoreError> {
    let rows: Vec<(i64, Vec<u8>)> = conn
        .rows(
            "SELECT idx, bytes FROM record WHERE scope = $1 AND kind IN ('parameters-published', 'correction') ORDER BY idx",
            &[Val::T(Scope::GROUP)],
        )
        .await?;
    let mut records = Vec::with_capacity(rows.len());
    for (index, bytes) in rows {
        records.push(read(conn, Scope::GROUP, index, &bytes)?);
    }
    let mut behaviours = Behaviours::default();
    for record in order::standing(records, order::no_skew) {
        if let Body::ParametersPublished { family, values } = &record.body
            // A record that cannot be read stays in its ledger, and adopts nothing.
            && let Ok(behaviour) = Behaviour::from_values(values)
        {
            behaviours.adopt(family, behaviour, &format!("record {}", record.id));
        }
    }
    Ok(behaviours)
}

/// Follows some machines, within the caller's transaction; tells whether there was any to follow.
pub(crate) async fn follow_some(
    conn: &mut Conn,
    estates: &mut Estates,
) -> Result<bool, StoreError> {
    let rows: Vec<Behind> = conn
        .rows(
            &format!(
                "SELECT h.scope, h.size, coalesce((SELECT g.size FROM head g WHERE g.scope = '@group'), 0), f.size, f.group_size \
                 {BEHIND} ORDER BY h.scope LIMIT {BATCH}"
            ),
            &[],
        )
        .await?;
    if rows.is_empty() {
        return Ok(false);
    }
    let scopes: Vec<&str> = rows.iter().map(|(scope, ..)| scope.as_str()).collect();
    // Nobody may write to these ledgers between our reading and our writing.
    head::hold(conn, &scopes).await?;
    let behaviours = behaviours(conn).await?;
    let mut count = 0;
    for (scope, size, group, size_then, group_then) in &rows {
        let machines = match (size_then, group_then) {
            (Some(then), Some(group_then)) if group_then == group => {
                machines_since(conn, estates, scope, *then).await?
            }
            _ => standing::machines_of(conn, estates, &BTreeSet::from([scope.clone()])).await?,
        };
        count += machines.len();
        standing::refold_by_history(conn, estates, &behaviours, &machines).await?;
        conn.run(
            "INSERT INTO followed (scope, size, group_size) VALUES ($1, $2, $3) \
             ON CONFLICT (scope) DO UPDATE SET size = excluded.size, group_size = excluded.group_size",
            &[Val::T(scope), Val::I(*size), Val::I(*group)],
        )
        .await?;
        if count >= BATCH {
            break;
        }
    }
    Ok(true)
}

/// The machines that a site's records since index `from` are about; all of them, where one is about the site as a whole or
/// describes it.
async fn machines_since(
    conn: &mut Conn,
    estates: &mut Estates,
    scope: &str,
    from: i64,
) -> Result<BTreeSet<Machine>, StoreError> {
    let rows: Vec<(Option<String>, i64)> = conn
        .rows(
            "SELECT machine, CAST(max(shapes) AS BIGINT) FROM record WHERE scope = $1 AND idx >= $2 GROUP BY machine",
            &[Val::T(scope), Val::I(from)],
        )
        .await?;
    if rows.iter().any(|(machine, shapes)| machine.is_none() || *shapes != 0) {
        return standing::machines_of(conn, estates, &BTreeSet::from([scope.to_owned()])).await;
    }
    Ok(rows.into_iter().filter_map(|(machine, _)| Some((scope.to_owned(), machine?))).collect())
}

impl Store {
    /// How families behave, by the records that adopted parameters.
    ///
    /// # Errors
    /// If the database or a record in it cannot be read.
    pub fn behaviours(&self) -> Answer<'_, Behaviours> {
        Box::pin(async move { behaviours(&mut self.reading().await?).await })
    }

    /// Has what is said of every line follow from its history as well, and not from its catches alone. Quick where nothing was
    /// written since.
    ///
    /// # Errors
    /// If the database cannot be read or written.
    pub fn follow(&self) -> Answer<'_, ()> {
        Box::pin(async move {
            while self.follow_on().await? > 0 {}
            Ok(())
        })
    }

    /// One step of [`Store::follow`]; tells how many sites are still behind.
    ///
    /// # Errors
    /// As [`Store::follow`].
    pub fn follow_on(&self) -> Answer<'_, u64> {
        Box::pin(async move {
            if self.behind().await? == 0 {
                return Ok(0);
            }
            self.alone(Follow).await?;
            self.behind().await
        })
    }

    /// How many sites have records that their lines' histories have not followed yet.
    ///
    /// # Errors
    /// If the database cannot be read.
    pub fn behind(&self) -> Answer<'_, u64> {
        Box::pin(async move { behind(&mut self.reading().await?, None).await })
    }
}

struct Follow;

impl AsyncAct<()> for Follow {
    async fn run(self, writer: &mut Writer) -> Result<(), StoreError> {
        writer.follow_some().await?;
        Ok(())
    }
}
