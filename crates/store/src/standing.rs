//! The projection: each machine's records folded into where its lines stand.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use ouncewise_advice::lines::{Behaviours, by_history};
use ouncewise_estate::Estate;
use ouncewise_estimate::{LineRow, Standing, stand};
use ouncewise_ledger::order::{self, Effective, Flag};
use ouncewise_ledger::{Body, Record, Scope};

use crate::db::{Conn, Val};
use crate::error::StoreError;
use crate::estates::{Estates, read};
use crate::followed;
use crate::head::{self, Heads};
use crate::put::Done;
use crate::touch::{Lines, Machine};

/// How many records are remembered at once.
const REMEMBERED: usize = 20_000;

/// How many machines are folded again in one transaction.
const BATCH: i64 = 64;

pub(crate) const OF_MACHINE: &str = "SELECT idx, bytes FROM record WHERE scope = $1 AND machine = $2 UNION ALL SELECT idx, bytes FROM record WHERE scope = $1 AND machine IS NULL";

/// A line's row as the projection keeps it.
#[derive(Debug, Clone, PartialEq)]
struct Row {
    line: String,
    urgency: Option<f64>,
    verdict: Option<String>,
    act: String,
    undecided_by: Option<String>,
    caught_ms: Option<i64>,
    json: String,
}

type Raw = (String, Option<f64>, Option<String>, String, Option<String>, Option<i64>, String);

impl From<Raw> for Row {
    fn from((line, urgency, verdict, act, undecided_by, caught_ms, json): Raw) -> Row {
        Row { line, urgency, verdict, act, undecided_by, caught_ms, json }
    }
}

impl From<&LineRow> for Row {
    fn from(row: &LineRow) -> Row {
        Row {
            line: row.line.clone(),
            urgency: row.urgency,
            verdict: row.verdict.map(|v| word(&v)),
            act: word(&row.act),
            undecided_by: row.undecided_by.clone(),
            caught_ms: row.caught_ms,
            json: serde_json::to_string(&row.standing).expect("a standing is plain data"),
        }
    }
}

impl Row {
    /// Back to what the line's catches say by themselves. What cannot be read stays as it is, and will not fit.
    fn forget_history(&mut self) {
        if let Ok(mut standing) = serde_json::from_str::<Standing>(&self.json) {
            standing.forget();
            *self = Row::from(&LineRow::new(standing));
        }
    }
}

/// A plain enum's word, as JSON spells it.
fn word(value: &impl serde::Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        other => unreachable!("a verdict or act is a word, not {other:?}"),
    }
}

/// What was read of machines that are being written about, so that the next record need not read it again.
#[derive(Debug, Default)]
pub(crate) struct Memory {
    /// By scope: the size of the ledger that it is true of, and the machines.
    scopes: HashMap<String, (u64, HashMap<String, Known>)>,
    records: usize,
}

/// One machine: what counts of its records in the order of events, and its rows.
#[derive(Debug, Default)]
struct Known {
    records: Vec<Record>,
    rows: Vec<Row>,
    /// Records were added that may not be the last in the order of events.
    unsorted: bool,
    /// A correction waits for a record that has not come yet: what counts of the next record cannot be told from these.
    waits: bool,
}

impl Memory {
    pub fn forget(&mut self) {
        *self = Memory::default();
    }

    fn take(&mut self, (scope, machine): &Machine) -> Option<Known> {
        let known = self.scopes.get_mut(scope)?.1.remove(machine)?;
        self.records -= known.records.len().min(self.records);
        Some(known)
    }

    fn keep(&mut self, (scope, machine): &Machine, size: u64, known: Known) {
        if known.waits {
            return;
        }
        if self.records > REMEMBERED {
            self.forget();
        }
        self.records += known.records.len();
        let (_, machines) =
            self.scopes.entry(scope.clone()).or_insert_with(|| (size, HashMap::new()));
        machines.insert(machine.clone(), known);
    }

    /// Follows the ledgers by what was just added; forgets what somebody else has written about.
    pub fn follow(&mut self, done: &Done) {
        for (scope, before) in &done.before {
            if self.scopes.get(scope).is_some_and(|(size, _)| size != before) {
                self.scopes.remove(scope);
            }
        }
        for record in &done.added {
            let Some((size, machines)) = self.scopes.get_mut(record.scope.as_str()) else {
                continue;
            };
            *size += 1;
            if matches!(record.body, Body::Correction { .. }) {
                // It changes what counts: read anew.
                match &record.subject.machine {
                    Some(machine) => drop(machines.remove(machine)),
                    None => machines.clear(),
                }
                continue;
            }
            match &record.subject.machine {
                Some(machine) => machines.get_mut(machine).into_iter().for_each(|k| k.add(record)),
                None => machines.values_mut().for_each(|k| k.add(record)),
            }
        }
    }
}

impl Known {
    fn add(&mut self, record: &Record) {
        let moment = |r: &Record| (r.instant().ok(), r.sequence, r.id);
        self.unsorted |= self.records.last().is_some_and(|last| moment(last) > moment(record));
        self.records.push(record.clone());
    }
}

/// Folds machines again, from all their records, and writes the rows that came out otherwise. `heads` are those that
/// the transaction holds: what is read of their machines can be remembered.
pub(crate) async fn refold(
    conn: &mut Conn,
    estates: &mut Estates,
    memory: &mut Memory,
    machines: &BTreeMap<Machine, Lines>,
    heads: &Heads,
) -> Result<(), StoreError> {
    let mut changed: Vec<(&Machine, Row)> = Vec::new();
    let mut gone: Vec<(&Machine, String)> = Vec::new();
    for (at @ (scope, machine), lines) in machines {
        let mut known = match memory.take(at) {
            Some(known) => known,
            None => recall(conn, scope, machine).await?,
        };
        let estate = match heads.shaped(scope) {
            Some(state) => estates.as_of(conn, scope, state).await?,
            None => estates.at(conn, scope).await?,
        };
        let rows = rows(&estate, scope, machine, &mut known, lines);
        known.rows.retain(|old| {
            let stays = !lines.hold(&old.line) || rows.iter().any(|new| new.line == old.line);
            if !stays {
                gone.push((at, old.line.clone()));
            }
            stays
        });
        for new in rows {
            match known.rows.iter_mut().find(|old| old.line == new.line) {
                Some(old) if *old == new => continue,
                Some(old) => *old = new.clone(),
                None => known.rows.push(new.clone()),
            }
            changed.push((at, new));
        }
        if let Some(head) = heads.by_scope.get(scope) {
            memory.keep(at, head.size(), known);
        }
    }
    for ((scope, machine), line) in &gone {
        conn.run(
            "DELETE FROM standing WHERE scope = $1 AND machine = $2 AND line = $3",
            &[Val::T(scope), Val::T(machine), Val::T(line)],
        )
        .await?;
    }
    write(conn, &changed).await
}

async fn write(conn: &mut Conn, rows: &[(&Machine, Row)]) -> Result<(), StoreError> {
    conn.insert(
        "INSERT INTO standing (scope, machine, line, urgency, verdict, act, undecided_by, caught_ms, json) VALUES ",
        rows,
        |((scope, machine), row)| {
            [
                Val::T(scope),
                Val::T(machine),
                Val::T(&row.line),
                Val::Fn(row.urgency),
                Val::Tn(row.verdict.as_deref()),
                Val::T(&row.act),
                Val::Tn(row.undecided_by.as_deref()),
                Val::In(row.caught_ms),
                Val::T(&row.json),
            ]
        },
        " ON CONFLICT (scope, machine, line) DO UPDATE SET urgency = excluded.urgency, verdict = excluded.verdict, \
         act = excluded.act, undecided_by = excluded.undecided_by, caught_ms = excluded.caught_ms, json = excluded.json",
    )
    .await
}

/// The rows of some lines of a machine; sorts its records.
fn rows(estate: &Estate, scope: &str, machine: &str, known: &mut Known, lines: &Lines) -> Vec<Row> {
    line_rows(estate, scope, machine, known, lines).iter().map(Row::from).collect()
}

fn line_rows(
    estate: &Estate,
    scope: &str,
    machine: &str,
    known: &mut Known,
    lines: &Lines,
) -> Vec<LineRow> {
    let Ok(scope) = scope.parse::<Scope>() else { return Vec::new() };
    if std::mem::take(&mut known.unsorted) {
        order::event_order(&mut known.records, order::no_skew);
    }
    let bears = |r: &&Record| r.subject.line.as_deref().is_none_or(|line| lines.hold(line));
    let happenings = known.records.iter().filter(bears).map(|r| (r, &r.body));
    stand(estate, &scope, machine, |line| lines.hold(line), happenings)
}

/// Reads what counts of a machine's records (and of those of its site as a whole), and its rows.
async fn recall(conn: &mut Conn, scope: &str, machine: &str) -> Result<Known, StoreError> {
    let all = order::resolve(records(conn, scope, machine).await?, order::no_skew);
    let waits = all.iter().any(|one| one.flags.contains(&Flag::UnknownRecord));
    let records = all.into_iter().filter_map(Effective::into_standing).collect();
    let rows: Vec<Raw> = conn
        .rows(
            "SELECT line, urgency, verdict, act, undecided_by, caught_ms, json FROM standing WHERE scope = $1 AND machine = $2",
            &[Val::T(scope), Val::T(machine)],
        )
        .await?;
    Ok(Known { records, rows: rows.into_iter().map(Row::from).collect(), unsorted: false, waits })
}

/// All records about a machine, and about its site as a whole.
async fn records(conn: &mut Conn, scope: &str, machine: &str) -> Result<Vec<Record>, StoreError> {
    let rows: Vec<(i64, Vec<u8>)> =
        conn.rows(OF_MACHINE, &[Val::T(scope), Val::T(machine)]).await?;
    rows.into_iter().map(|(index, bytes)| read(conn, scope, index, &bytes)).collect()
}

/// Every machine of some sites: those that are described, and those that have rows.
pub(crate) async fn machines_of(
    conn: &mut Conn,
    estates: &mut Estates,
    sites: &BTreeSet<String>,
) -> Result<BTreeSet<Machine>, StoreError> {
    let mut machines = BTreeSet::new();
    for scope in sites {
        let estate = estates.at(conn, scope).await?;
        if let Some(site) = estate.sites.get(scope.as_str()) {
            machines.extend(site.machines.keys().map(|m| (scope.clone(), m.to_string())));
        }
        let rows: Vec<(String,)> = conn
            .rows("SELECT DISTINCT machine FROM standing WHERE scope = $1", &[Val::T(scope)])
            .await?;
        machines.extend(rows.into_iter().map(|(m,)| (scope.clone(), m)));
    }
    Ok(machines)
}

/// The first line whose row is not what its records say, over all machines that are not marked.
pub(crate) async fn misfit(conn: &mut Conn) -> Result<Option<String>, StoreError> {
    let mut estates = Estates::default();
    let mut machines: BTreeSet<Machine> =
        conn.rows("SELECT DISTINCT scope, machine FROM standing", &[]).await?.into_iter().collect();
    for (site, described) in &estates.whole(conn).await?.sites {
        machines.extend(described.machines.keys().map(|m| (site.to_string(), m.to_string())));
    }
    let stale: Vec<Machine> = conn.rows("SELECT scope, machine FROM stale", &[]).await?;
    for at in stale {
        machines.remove(&at);
    }
    let behaviours = followed::behaviours(conn).await?;
    let mut asked: Option<(String, bool)> = None;
    for (scope, machine) in machines {
        let behind = match &asked {
            Some((known, behind)) if *known == scope => *behind,
            _ => followed::is_behind(conn, &scope).await?,
        };
        asked = Some((scope.clone(), behind));
        let mut known = recall(conn, &scope, &machine).await?;
        let estate = estates.at(conn, &scope).await?;
        let mut rows = if behind {
            let mut rows = rows(&estate, &scope, &machine, &mut known, &Lines::All);
            // Both, since a number that is read and written again may differ in its last digit.
            rows.iter_mut().chain(&mut known.rows).for_each(Row::forget_history);
            rows
        } else {
            rows_by_history(&estate, &behaviours, &scope, &machine, &mut known)
        };
        rows.sort_by(|a, b| a.line.cmp(&b.line));
        known.rows.sort_by(|a, b| a.line.cmp(&b.line));
        if rows != known.rows {
            let other = rows.iter().zip(&known.rows).find(|(a, b)| a != b);
            let line = other.map_or_else(String::new, |(row, _)| format!("/{}", row.line));
            return Ok(Some(format!(
                "where {scope}/{machine}{line} stands is not what its records say; run `ouncewise rebuild`"
            )));
        }
    }
    Ok(None)
}

/// Folds machines again, their lines' histories among what counts, and writes the rows that came out otherwise.
pub(crate) async fn refold_by_history(
    conn: &mut Conn,
    estates: &mut Estates,
    behaviours: &Behaviours,
    machines: &BTreeSet<Machine>,
) -> Result<(), StoreError> {
    let mut changed: Vec<(&Machine, Row)> = Vec::new();
    for at @ (scope, machine) in machines {
        let mut known = recall(conn, scope, machine).await?;
        let estate = estates.at(conn, scope).await?;
        let rows = rows_by_history(&estate, behaviours, scope, machine, &mut known);
        changed
            .extend(rows.into_iter().filter(|row| !known.rows.contains(row)).map(|row| (at, row)));
    }
    write(conn, &changed).await
}

/// The rows of all lines of a machine, by their histories as well.
fn rows_by_history(
    estate: &Estate,
    behaviours: &Behaviours,
    site: &str,
    machine: &str,
    known: &mut Known,
) -> Vec<Row> {
    let rows = line_rows(estate, site, machine, known, &Lines::All);
    let happenings = known.records.iter().map(|r| (r, &r.body));
    let rows = by_history(estate, behaviours, (site, machine), rows, happenings);
    rows.iter().map(Row::from).collect()
}

/// Marks machines as older than their records, to be folded again later.
pub(crate) async fn mark(
    conn: &mut Conn,
    all: bool,
    machines: &[&Machine],
) -> Result<(), StoreError> {
    if all {
        conn.run(
            "INSERT INTO stale (scope, machine) SELECT DISTINCT scope, machine FROM standing WHERE true \
             ON CONFLICT (scope, machine) DO NOTHING",
            &[],
        )
        .await?;
    }
    conn.insert(
        "INSERT INTO stale (scope, machine) VALUES ",
        machines,
        |(scope, machine)| [Val::T(scope), Val::T(machine)],
        " ON CONFLICT (scope, machine) DO NOTHING",
    )
    .await
}

/// Folds some of the marked machines again, within the caller's transaction; gives how many.
pub(crate) async fn refold_some(
    conn: &mut Conn,
    estates: &mut Estates,
) -> Result<usize, StoreError> {
    let rows: Vec<Machine> = conn
        .rows("SELECT scope, machine FROM stale ORDER BY scope, machine LIMIT $1", &[Val::I(BATCH)])
        .await?;
    let machines: BTreeMap<Machine, Lines> = rows.into_iter().map(|at| (at, Lines::All)).collect();
    // Nobody may write to these ledgers between our reading and our writing.
    let scopes: BTreeSet<&str> = machines.keys().map(|(scope, _)| scope.as_str()).collect();
    head::hold(conn, &scopes.into_iter().collect::<Vec<_>>()).await?;
    refold(conn, estates, &mut Memory::default(), &machines, &Heads::default()).await?;
    for scope in machines.keys().map(|(scope, _)| scope).collect::<BTreeSet<_>>() {
        conn.run("DELETE FROM followed WHERE scope = $1", &[Val::T(scope)]).await?;
    }
    let list: Vec<&Machine> = machines.keys().collect();
    let _: Vec<(String,)> = conn
        .ask(
            "DELETE FROM stale WHERE (scope, machine) IN (VALUES ",
            &list,
            |(scope, machine)| [Val::T(scope), Val::T(machine)],
            ") RETURNING scope",
        )
        .await?;
    Ok(machines.len())
}
