//! What a store tells.

use ouncewise_estate::Address;
use ouncewise_estimate::{Sentence, Standing};
use ouncewise_ledger::checkpoint::{Checkpoint, SiteHead};
use ouncewise_ledger::merkle::Hash;
use ouncewise_ledger::{Entry, Record, Scope, order};
use serde::Serialize;
use uuid::Uuid;

use crate::answer::Answer;
use crate::clock::received;
use crate::db::{Conn, Val};
use crate::error::StoreError;
use crate::estates::read;
use crate::head::{signed, unsigned};
use crate::people::uuid;
use crate::store::Store;

/// The lines that need a decision, worst first.
#[derive(Debug, Clone, Serialize)]
pub struct Week {
    /// The most urgent lines.
    pub rows: Vec<WeekRow>,
    /// All lines in use.
    pub lines: u64,
    /// How many of them have which verdict: `on-target`, `off-target`, `undecided`; the rest has none.
    pub verdicts: Vec<(String, u64)>,
    /// Measures that cannot decide about lines in use, those with the most lines first, at most ten.
    pub cannot_decide: Vec<CannotDecide>,
    /// Machines whose records are newer than what is shown here, because a load is under way.
    pub behind: u64,
}

/// A measure with which no number of catches can decide about some lines.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CannotDecide {
    /// Key of the site.
    pub site: String,
    /// Key of the measure.
    pub measure: String,
    /// How many lines.
    pub lines: u64,
    /// What would do for one of them, in a sentence.
    pub advice: Sentence,
}

/// One line and where it stands.
#[derive(Debug, Clone, Serialize)]
pub struct WeekRow {
    /// How urgent; larger is worse.
    pub urgency: f64,
    /// Where it stands.
    pub standing: Standing,
}

/// A line's history.
#[derive(Debug, Clone, Serialize)]
pub struct History {
    /// Where it stands; nothing, where there is no such line.
    pub standing: Option<Standing>,
    /// The records of the line, its machine and its site, in the order of events, withdrawn ones and corrections too.
    pub events: Vec<Event>,
}

/// A record in a line's history.
#[derive(Debug, Clone, Serialize)]
pub struct Event {
    /// Its place in the ledger.
    pub index: u64,
    /// When it was received.
    pub received: String,
    /// The record as it was made.
    pub record: Record,
    /// What became of it.
    #[serde(skip)]
    pub outcome: order::Outcome,
    /// What is odd about it.
    #[serde(skip)]
    pub flags: Vec<order::Flag>,
}

/// Bytes that came under an id which already stood for other bytes.
#[derive(Debug, Clone, Serialize)]
pub struct Conflict {
    /// The ledger.
    pub scope: String,
    /// The id.
    pub id: Uuid,
    /// When they came.
    pub received: String,
    /// What they say.
    pub record: Record,
}

/// Rows as events, in the order in which they happened.
fn events(
    conn: &Conn,
    site: &str,
    rows: Vec<(i64, i64, Vec<u8>)>,
) -> Result<Vec<Event>, StoreError> {
    let mut received_by_id = std::collections::HashMap::new();
    let mut records = Vec::with_capacity(rows.len());
    for (index, ms, bytes) in rows {
        let record = read(conn, site, index, &bytes)?;
        received_by_id.insert(record.id, (unsigned(index), received(ms)));
        records.push(record);
    }
    let resolved = order::resolve(records, order::no_skew).into_iter();
    let events = resolved.filter_map(|e| {
        let (index, received) = received_by_id.get(&e.record.id)?.clone();
        Some(Event { index, received, record: e.record, outcome: e.outcome, flags: e.flags })
    });
    Ok(events.collect())
}

impl Store {
    /// The `limit` most urgent lines of the group, or of one site. Reads projections only.
    ///
    /// # Errors
    /// If the database cannot be read.
    pub fn week<'a>(&'a self, limit: u32, site: Option<&'a str>) -> Answer<'a, Week> {
        Box::pin(async move {
            let mut conn = self.reading().await?;
            let limit = Val::I(i64::from(limit));
            let rows: Vec<(f64, String)> = match site {
            None => {
                conn.rows(
                    "SELECT urgency, json FROM standing WHERE urgency IS NOT NULL \
                     ORDER BY urgency DESC, scope, machine, line LIMIT $1",
                    &[limit],
                )
                .await?
            }
            Some(site) => {
                conn.rows(
                    "SELECT urgency, json FROM standing WHERE scope = $2 AND urgency IS NOT NULL \
                     ORDER BY urgency DESC, scope, machine, line LIMIT $1",
                    &[limit, Val::T(site)],
                )
                .await?
            }
        };
            let counts: Vec<(Option<String>, i64)> = match site {
            None => {
                conn.rows(
                    "SELECT verdict, count(*) FROM standing WHERE urgency IS NOT NULL GROUP BY verdict ORDER BY verdict",
                    &[],
                )
                .await?
            }
            Some(site) => {
                conn.rows(
                    "SELECT verdict, count(*) FROM standing WHERE scope = $1 AND urgency IS NOT NULL \
                     GROUP BY verdict ORDER BY verdict",
                    &[Val::T(site)],
                )
                .await?
            }
        };
            let behind: Option<(i64,)> = match site {
                None => conn.row("SELECT count(*) FROM stale", &[]).await?,
                Some(site) => {
                    conn.row("SELECT count(*) FROM stale WHERE scope = $1", &[Val::T(site)]).await?
                }
            };
            let cannot_decide = cannot_decide(&mut conn, site).await?;
            let rows = rows
                .into_iter()
                .map(|(urgency, json)| Ok(WeekRow { urgency, standing: standing(&conn, &json)? }))
                .collect::<Result<_, StoreError>>()?;
            Ok(Week {
                rows,
                lines: counts.iter().map(|(_, n)| unsigned(*n)).sum(),
                verdicts: counts
                    .into_iter()
                    .filter_map(|(verdict, n)| Some((verdict?, unsigned(n))))
                    .collect(),
                cannot_decide,
                behind: behind.map_or(0, |(n,)| unsigned(n)),
            })
        })
    }

    /// How many lines in use stand where, by site and verdict. Reads projections only.
    ///
    /// # Errors
    /// If the database cannot be read.
    pub fn by_site(&self) -> Answer<'_, Vec<(String, Option<String>, u64)>> {
        Box::pin(async move {
            let rows: Vec<(String, Option<String>, i64)> = self
                .reading()
                .await?
                .rows(
                    "SELECT scope, verdict, count(*) FROM standing WHERE urgency IS NOT NULL \
                 GROUP BY scope, verdict ORDER BY scope, verdict",
                    &[],
                )
                .await?;
            Ok(rows.into_iter().map(|(site, verdict, n)| (site, verdict, unsigned(n))).collect())
        })
    }

    /// A line, and all that was recorded about it.
    ///
    /// # Errors
    /// If the database cannot be read.
    pub fn line<'a>(&'a self, address: &'a Address) -> Answer<'a, History> {
        Box::pin(async move {
            let mut conn = self.reading().await?;
            let (site, machine, line) = (&*address.site, &*address.machine, &*address.line);
            let at = [Val::T(site), Val::T(machine), Val::T(line)];
            let json: Option<(String,)> = conn
                .row(
                    "SELECT json FROM standing WHERE scope = $1 AND machine = $2 AND line = $3",
                    &at,
                )
                .await?;
            let standing = json.map(|(json,)| standing(&conn, &json)).transpose()?;
            let rows: Vec<(i64, i64, Vec<u8>)> = conn
            .rows(
                "SELECT idx, received_ms, bytes FROM record WHERE scope = $1 AND machine = $2 AND (line = $3 OR line IS NULL) \
                 UNION ALL SELECT idx, received_ms, bytes FROM record WHERE scope = $1 AND machine IS NULL",
                &at,
            )
            .await?;
            Ok(History { standing, events: events(&conn, site, rows)? })
        })
    }

    /// What was recorded of a machine and of all its lines, and of its whole site, in the order of events.
    ///
    /// # Errors
    /// If the database or a record in it cannot be read.
    pub fn machine<'a>(&'a self, site: &'a str, machine: &'a str) -> Answer<'a, Vec<Event>> {
        Box::pin(async move {
            let mut conn = self.reading().await?;
            let rows: Vec<(i64, i64, Vec<u8>)> = conn
            .rows(
                "SELECT idx, received_ms, bytes FROM record WHERE scope = $1 AND machine = $2 \
                 UNION ALL SELECT idx, received_ms, bytes FROM record WHERE scope = $1 AND machine IS NULL",
                &[Val::T(site), Val::T(machine)],
            )
            .await?;
            events(&conn, site, rows)
        })
    }

    /// A stretch of a ledger in order of receipt: at most `limit` entries from index `from`.
    ///
    /// # Errors
    /// If the database or an entry cannot be read.
    pub fn entries<'a>(
        &'a self,
        scope: &'a Scope,
        from: u64,
        limit: u32,
    ) -> Answer<'a, Vec<Entry>> {
        Box::pin(async move {
            let mut conn = self.reading().await?;
            raw_entries(&mut conn, scope.as_str(), from, limit)
                .await?
                .into_iter()
                .map(|(index, ms, bytes)| {
                    let record = read(&conn, scope.as_str(), signed(index), &bytes)?;
                    Ok(Entry { index, received: received(ms), record })
                })
                .collect()
        })
    }

    /// A stretch of a ledger as the very bytes of its leaves (RFC 6962), one JSON document each, without line breaks. Written
    /// out a line each, with the ledger's [checkpoint](Store::checkpoint), they can be verified without this program.
    ///
    /// # Errors
    /// If the database cannot be read.
    pub fn leaves<'a>(
        &'a self,
        scope: &'a Scope,
        from: u64,
        limit: u32,
    ) -> Answer<'a, Vec<Vec<u8>>> {
        Box::pin(async move {
            let mut conn = self.reading().await?;
            Ok(raw_entries(&mut conn, scope.as_str(), from, limit)
                .await?
                .into_iter()
                .map(|(_, ms, bytes)| ouncewise_ledger::entry::leaf_bytes(&received(ms), &bytes))
                .collect())
        })
    }

    /// One record of a ledger.
    ///
    /// # Errors
    /// If the database or the record cannot be read.
    pub fn record<'a>(&'a self, scope: &'a Scope, id: Uuid) -> Answer<'a, Option<Entry>> {
        Box::pin(async move {
            let mut conn = self.reading().await?;
            let row: Option<(i64, i64, Vec<u8>)> = conn
                .row(
                    "SELECT idx, received_ms, bytes FROM record WHERE scope = $1 AND id = $2",
                    &[Val::T(scope.as_str()), Val::B(id.as_bytes())],
                )
                .await?;
            row.map(|(index, ms, bytes)| {
                let record = read(&conn, scope.as_str(), index, &bytes)?;
                Ok(Entry { index: unsigned(index), received: received(ms), record })
            })
            .transpose()
        })
    }

    /// The heads of all ledgers, by name.
    ///
    /// # Errors
    /// If the database cannot be read.
    pub fn heads(&self) -> Answer<'_, Vec<SiteHead>> {
        Box::pin(async move { heads(&mut self.reading().await?).await })
    }

    /// The head of a ledger as text that can leave the building. `origin` names the group, `larkfield.example`.
    ///
    /// # Errors
    /// If the database cannot be read, or the origin cannot stand in a line.
    pub fn checkpoint<'a>(&'a self, origin: &'a str, scope: &'a Scope) -> Answer<'a, Checkpoint> {
        Box::pin(async move {
            let head = self.heads().await?.into_iter().find(|head| head.site == *scope);
            let (size, root) = head
                .map_or((0, ouncewise_ledger::merkle::empty_root()), |head| (head.size, head.root));
            Checkpoint::new(&format!("{origin}/{scope}"), size, root)
                .map_err(|e| StoreError::Usage(e.to_string()))
        })
    }

    /// What came under an id that stood for something else, the latest first.
    ///
    /// # Errors
    /// If the database cannot be read.
    pub fn conflicts(&self) -> Answer<'_, Vec<Conflict>> {
        Box::pin(async move {
            let mut conn = self.reading().await?;
            let rows: Vec<(String, Vec<u8>, i64, Vec<u8>)> = conn
            .rows(
                "SELECT scope, id, received_ms, bytes FROM conflict ORDER BY received_ms DESC, scope, id",
                &[],
            )
            .await?;
            Ok(rows
                .into_iter()
                .filter_map(|(scope, id, ms, bytes)| {
                    let record = Record::from_bytes(&bytes).ok()?;
                    Some(Conflict { scope, id: uuid(&id)?, received: received(ms), record })
                })
                .collect())
        })
    }
}

/// The measures that cannot decide, at one site or in the group.
async fn cannot_decide(
    conn: &mut Conn,
    site: Option<&str>,
) -> Result<Vec<CannotDecide>, StoreError> {
    let counts: Vec<(String, String, i64)> = match site {
        None => {
            conn.rows(
                "SELECT scope, undecided_by, count(*) FROM standing \
                 WHERE undecided_by IS NOT NULL AND urgency IS NOT NULL \
                 GROUP BY scope, undecided_by ORDER BY count(*) DESC, scope, undecided_by LIMIT 10",
                &[],
            )
            .await?
        }
        Some(site) => {
            conn.rows(
                "SELECT scope, undecided_by, count(*) FROM standing \
                 WHERE scope = $1 AND undecided_by IS NOT NULL AND urgency IS NOT NULL \
                 GROUP BY scope, undecided_by ORDER BY count(*) DESC, scope, undecided_by LIMIT 10",
                &[Val::T(site)],
            )
            .await?
        }
    };
    let mut all = Vec::with_capacity(counts.len());
    for (site, measure, lines) in counts {
        let json: Option<(String,)> = conn
            .row(
                "SELECT json FROM standing WHERE scope = $1 AND undecided_by = $2 AND urgency IS NOT NULL \
                 ORDER BY machine, line LIMIT 1",
                &[Val::T(&site), Val::T(&measure)],
            )
            .await?;
        let Some((json,)) = json else { continue };
        let advice = standing(conn, &json)?.catch_says().advice;
        all.push(CannotDecide { site, measure, lines: unsigned(lines), advice });
    }
    Ok(all)
}

/// The heads of all ledgers, by name.
pub(crate) async fn heads(conn: &mut Conn) -> Result<Vec<SiteHead>, StoreError> {
    let rows: Vec<(String, i64, Vec<u8>)> =
        conn.rows("SELECT scope, size, root FROM head WHERE size > 0 ORDER BY scope", &[]).await?;
    rows.into_iter()
        .map(|(scope, size, root)| {
            let site = scope.parse::<Scope>().ok();
            let root = root.try_into().ok().map(Hash);
            match (site, root) {
                (Some(site), Some(root)) => Ok(SiteHead { site, size: unsigned(size), root }),
                _ => Err(StoreError::Damaged {
                    place: conn.place().to_owned(),
                    what: format!(
                        "the head of the ledger {scope} cannot be read; restore the last backup"
                    ),
                }),
            }
        })
        .collect()
}

pub(crate) async fn raw_entries(
    conn: &mut Conn,
    scope: &str,
    from: u64,
    limit: u32,
) -> Result<Vec<(u64, i64, Vec<u8>)>, StoreError> {
    let rows: Vec<(i64, i64, Vec<u8>)> = conn
        .rows(
            "SELECT idx, received_ms, bytes FROM record WHERE scope = $1 AND idx >= $2 ORDER BY idx LIMIT $3",
            &[Val::T(scope), Val::I(signed(from)), Val::I(i64::from(limit))],
        )
        .await?;
    Ok(rows.into_iter().map(|(index, ms, bytes)| (unsigned(index), ms, bytes)).collect())
}

fn standing(conn: &Conn, json: &str) -> Result<Standing, StoreError> {
    serde_json::from_str(json).map_err(|e| StoreError::Damaged {
        place: conn.place().to_owned(),
        what: format!("where a line stands cannot be read ({e}); run `ouncewise rebuild`"),
    })
}
