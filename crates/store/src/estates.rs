//! The estate as the ledgers describe it: folded from the records that do, and remembered while none is added.
//!
//! What a site is follows from the group's ledger and its own, and from no other site's.

use std::collections::HashMap;
use std::sync::Arc;

use ouncewise_estate::Estate;
use ouncewise_ledger::{Record, Scope, order};

use crate::db::{Conn, Val};
use crate::error::StoreError;
use crate::head::unsigned;

pub(crate) const DESCRIBING: &str =
    "SELECT scope, idx, bytes FROM record WHERE shapes = 1 AND (scope) IN (VALUES ";

/// How many sites' descriptions are remembered at once.
const REMEMBERED: usize = 64;

/// Descriptions, each with the state of the ledgers that it was folded from.
#[derive(Debug, Default)]
pub(crate) struct Estates {
    group: Option<(u64, Arc<Estate>)>,
    sites: HashMap<String, (u64, u64, Arc<Estate>)>,
    whole: Option<((i64, i64), Arc<Estate>)>,
}

impl Estates {
    pub fn forget(&mut self) {
        *self = Estates::default();
    }

    /// The group's part, and the site of `scope` where it is a site's.
    pub async fn at(&mut self, conn: &mut Conn, scope: &str) -> Result<Arc<Estate>, StoreError> {
        let rows: Vec<(String, i64)> = conn
            .rows(
                "SELECT scope, shaped FROM head WHERE scope IN ($1, $2)",
                &[Val::T(Scope::GROUP), Val::T(scope)],
            )
            .await?;
        let shaped = |scope: &str| {
            rows.iter().find(|(s, _)| s == scope).map_or(0, |(_, shaped)| unsigned(*shaped))
        };
        let state = (shaped(Scope::GROUP), shaped(scope));
        self.as_of(conn, scope, state).await
    }

    /// The same, where the state of the group's ledger and of the site's is known.
    pub async fn as_of(
        &mut self,
        conn: &mut Conn,
        scope: &str,
        (group_at, site_at): (u64, u64),
    ) -> Result<Arc<Estate>, StoreError> {
        let group = match &self.group {
            Some((at, group)) if *at == group_at => group.clone(),
            _ => {
                let records = describing(conn, &[Scope::GROUP]).await?;
                let group = Arc::new(fold(Estate::default(), records));
                self.group = Some((group_at, group.clone()));
                group
            }
        };
        if scope == Scope::GROUP {
            return Ok(group);
        }
        match self.sites.get(scope) {
            Some((g, s, site)) if (*g, *s) == (group_at, site_at) => Ok(site.clone()),
            _ => {
                let records = describing(conn, &[scope]).await?;
                let site = Arc::new(fold(Estate::clone(&group), records));
                if self.sites.len() >= REMEMBERED {
                    self.sites.clear();
                }
                self.sites.insert(scope.to_owned(), (group_at, site_at, site.clone()));
                Ok(site)
            }
        }
    }

    /// Everything.
    pub async fn whole(&mut self, conn: &mut Conn) -> Result<Arc<Estate>, StoreError> {
        let state: (i64, i64) = conn
            .row("SELECT count(*), CAST(coalesce(sum(shaped), 0) AS BIGINT) FROM head", &[])
            .await?
            .unwrap_or_default();
        if let Some((at, whole)) = &self.whole
            && *at == state
        {
            return Ok(whole.clone());
        }
        let scopes: Vec<(String,)> =
            conn.rows("SELECT scope FROM head WHERE shaped > 0 ORDER BY scope", &[]).await?;
        // "@group" sorts before every site's key, so that the sites build on it.
        let mut whole = Estate::default();
        for scopes in scopes.chunks(64) {
            let names: Vec<&str> = scopes.iter().map(|(s,)| s.as_str()).collect();
            let mut records = describing(conn, &names).await?.into_iter().peekable();
            while let Some(first) = records.next() {
                let mut own = vec![first];
                while let Some(next) = records.next_if(|r| r.scope == own[0].scope) {
                    own.push(next);
                }
                whole = fold(whole, own);
            }
        }
        let whole = Arc::new(whole);
        self.whole = Some((state, whole.clone()));
        Ok(whole)
    }
}

/// The records of some ledgers that describe the estate, ledger by ledger.
async fn describing(conn: &mut Conn, scopes: &[&str]) -> Result<Vec<Record>, StoreError> {
    let rows: Vec<(String, i64, Vec<u8>)> =
        conn.ask(DESCRIBING, scopes, |scope| [Val::T(scope)], ") ORDER BY scope, idx").await?;
    rows.into_iter().map(|(scope, index, bytes)| read(conn, &scope, index, &bytes)).collect()
}

/// Reads a stored record; one that cannot be read is damage, and is named.
pub(crate) fn read(
    conn: &Conn,
    scope: &str,
    index: i64,
    bytes: &[u8],
) -> Result<Record, StoreError> {
    Record::from_kept(bytes).map_err(|e| StoreError::Damaged {
        place: conn.place().to_owned(),
        what: format!(
            "record {index} of the ledger {scope} cannot be read ({e}); run `ouncewise verify`, and restore the last backup"
        ),
    })
}

/// Folds one ledger's records, in the order of events and with corrections applied, onto an estate.
fn fold(mut estate: Estate, records: Vec<Record>) -> Estate {
    for record in order::standing(records, order::no_skew) {
        // A record that does not fit stays in its ledger, and describes nothing.
        let _ = ouncewise_estate::fold::apply(&mut estate, &record);
    }
    estate
}
