//! One SQL text for two databases: the only place that knows which one it is.
//!
//! Everything above speaks to a [`Conn`] in SQL with `$1, $2, …` and [`Val`]s.

use sqlx::pool::PoolConnection;
use sqlx::sqlite::{SqliteArguments, SqliteConnection, SqliteRow};
use sqlx::{Arguments, AssertSqlSafe, Connection as _, FromRow, Sqlite, SqlitePool};
#[cfg(feature = "postgres")]
use sqlx::{PgPool, Postgres, postgres::PgRow};

use crate::error::StoreError;

/// Connections to one of the two databases.
#[derive(Debug, Clone)]
pub(crate) enum Pool {
    Lite(SqlitePool),
    #[cfg(feature = "postgres")]
    Pg(PgPool),
}

/// One connection, and what to call the place it leads to.
#[derive(Debug)]
pub(crate) struct Conn {
    place: String,
    raw: Raw,
    held: Held,
}

/// Statements whose answer nobody waits for: on SQLite they go with the next one, for each trip to the database costs
/// as much as several small statements. Their placeholders have no numbers.
#[derive(Debug, Default)]
struct Held {
    sql: String,
    values: SqliteArguments,
    any_values: bool,
}

#[derive(Debug)]
enum Raw {
    Lite(PoolConnection<Sqlite>),
    #[cfg(feature = "postgres")]
    Pg(PoolConnection<Postgres>),
}

/// A connection of its own that tells whether anything was written: the answers of one can be compared.
#[derive(Debug)]
pub(crate) struct Watch(SqliteConnection);

impl Watch {
    /// A number that is another one after any commit by another connection.
    pub async fn version(&mut self, place: &str) -> Result<i64, StoreError> {
        sqlx::query_scalar("PRAGMA data_version")
            .fetch_one(&mut self.0)
            .await
            .map_err(|e| StoreError::sql(place, &e))
    }

    pub async fn close(self) {
        // There is nothing in it to lose.
        let _ = self.0.close().await;
    }
}

/// A value bound to a statement.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Val<'a> {
    I(i64),
    /// A whole number or null.
    In(Option<i64>),
    /// A number or null.
    Fn(Option<f64>),
    T(&'a str),
    /// Text or null.
    Tn(Option<&'a str>),
    B(&'a [u8]),
}

/// A row that both databases can give.
#[cfg(feature = "postgres")]
pub(crate) trait Row:
    for<'r> FromRow<'r, SqliteRow> + for<'r> FromRow<'r, PgRow> + Send + Unpin
{
}
#[cfg(feature = "postgres")]
impl<T> Row for T where T: for<'r> FromRow<'r, SqliteRow> + for<'r> FromRow<'r, PgRow> + Send + Unpin
{}

/// A row that the database can give.
#[cfg(not(feature = "postgres"))]
pub(crate) trait Row: for<'r> FromRow<'r, SqliteRow> + Send + Unpin {}
#[cfg(not(feature = "postgres"))]
impl<T> Row for T where T: for<'r> FromRow<'r, SqliteRow> + Send + Unpin {}

macro_rules! both {
    ($it:expr, |$c:ident| $body:expr) => {
        match $it {
            Raw::Lite($c) => $body,
            #[cfg(feature = "postgres")]
            Raw::Pg($c) => $body,
        }
    };
}

macro_rules! bind {
    ($query:expr, $values:expr) => {{
        let mut query = $query;
        for value in $values {
            query = match *value {
                Val::I(v) => query.bind(v),
                Val::In(v) => query.bind(v),
                Val::Fn(v) => query.bind(v),
                Val::T(v) => query.bind(v),
                Val::Tn(v) => query.bind(v),
                Val::B(v) => query.bind(v),
            };
        }
        query
    }};
}

impl Pool {
    pub async fn get(&self, place: &str) -> Result<Conn, StoreError> {
        let raw = match self {
            Pool::Lite(p) => p.acquire().await.map(Raw::Lite),
            #[cfg(feature = "postgres")]
            Pool::Pg(p) => p.acquire().await.map(Raw::Pg),
        };
        let raw = raw.map_err(|e| StoreError::sql(place, &e))?;
        Ok(Conn { place: place.to_owned(), raw, held: Held::default() })
    }

    /// Takes a connection out of the pool that can be asked for the version; none where the database has none.
    pub async fn watch(&self, place: &str) -> Result<Option<Watch>, StoreError> {
        match self {
            Pool::Lite(p) => {
                let conn = p.acquire().await.map_err(|e| StoreError::sql(place, &e))?;
                Ok(Some(Watch(conn.detach())))
            }
            #[cfg(feature = "postgres")]
            Pool::Pg(_) => Ok(None),
        }
    }

    pub async fn close(&self) {
        match self {
            Pool::Lite(p) => p.close().await,
            #[cfg(feature = "postgres")]
            Pool::Pg(p) => p.close().await,
        }
    }
}

impl Conn {
    /// Runs a statement; gives the number of rows it changed.
    pub async fn run(&mut self, sql: &str, values: &[Val<'_>]) -> Result<u64, StoreError> {
        self.send_held().await?;
        both!(&mut self.raw, |c| {
            bind!(sqlx::query(AssertSqlSafe(sql)), values)
                .execute(&mut **c)
                .await
                .map(|done| done.rows_affected())
        })
        .map_err(|e| StoreError::sql(&self.place, &e))
    }

    /// Runs a statement that has no values, without preparing it.
    pub async fn plain(&mut self, sql: &'static str) -> Result<(), StoreError> {
        self.send_held().await?;
        self.send(sql).await
    }

    async fn send(&mut self, sql: &'static str) -> Result<(), StoreError> {
        both!(&mut self.raw, |c| { sqlx::raw_sql(sql).execute(&mut **c).await.map(|_| ()) })
            .map_err(|e| StoreError::sql(&self.place, &e))
    }

    /// All rows of a query.
    pub async fn rows<T: Row>(
        &mut self,
        sql: &str,
        values: &[Val<'_>],
    ) -> Result<Vec<T>, StoreError> {
        if self.held.any_values {
            self.send_held().await?;
        }
        let with_held = match std::mem::take(&mut self.held.sql) {
            held if held.is_empty() => None,
            held => Some(format!("{held}; {sql}")),
        };
        let sql = with_held.as_deref().unwrap_or(sql);
        both!(&mut self.raw, |c| {
            bind!(sqlx::query_as(AssertSqlSafe(sql)), values).fetch_all(&mut **c).await
        })
        .map_err(|e| StoreError::sql(&self.place, &e))
    }

    /// The first row of a query, if there is one.
    pub async fn row<T: Row>(
        &mut self,
        sql: &str,
        values: &[Val<'_>],
    ) -> Result<Option<T>, StoreError> {
        Ok(self.rows(sql, values).await?.into_iter().next())
    }

    /// Inserts rows, some hundred a statement: `before` ends with `VALUES `, `after` is what follows them.
    pub async fn insert<R, const N: usize>(
        &mut self,
        before: &str,
        rows: &[R],
        cells: impl for<'r> Fn(&'r R) -> [Val<'r>; N],
        after: &str,
    ) -> Result<(), StoreError> {
        let mut left = rows;
        while !left.is_empty() {
            let (now, later) = left.split_at(step(left.len()));
            left = later;
            let sql = format!("{before}{}{after}", places(!self.is_sqlite(), now.len(), N));
            let values: Vec<Val<'_>> = now.iter().flat_map(&cells).collect();
            // More than one, and the texts would be too many to keep prepared.
            if self.is_sqlite() && rows.len() == 1 {
                self.hold(&sql, &values)?;
            } else {
                self.run(&sql, &values).await?;
            }
        }
        Ok(())
    }

    /// Asks about many keys at once: `before` ends with `VALUES ` (or `IN `, for single keys), and
    /// `after` is what follows them.
    pub async fn ask<K, T: Row, const N: usize>(
        &mut self,
        before: &str,
        keys: &[K],
        cells: impl for<'r> Fn(&'r K) -> [Val<'r>; N],
        after: &str,
    ) -> Result<Vec<T>, StoreError> {
        let mut all = Vec::new();
        let mut left = keys;
        while !left.is_empty() {
            let (now, later) = left.split_at(step(left.len()));
            left = later;
            let sql = format!("{before}{}{after}", places(!self.is_sqlite(), now.len(), N));
            let values: Vec<Val<'_>> = now.iter().flat_map(&cells).collect();
            all.extend(self.rows(&sql, &values).await?);
        }
        Ok(all)
    }

    /// Whether a query has any row.
    pub async fn any(&mut self, sql: &str, values: &[Val<'_>]) -> Result<bool, StoreError> {
        let row: Option<(bool,)> = self.row(&format!("SELECT EXISTS ({sql})"), values).await?;
        Ok(row.is_some_and(|(any,)| any))
    }

    /// Opens a transaction that may write. On SQLite it takes the one write lock at once, so that it never has to be
    /// given up half-way.
    pub async fn begin(&mut self) -> Result<(), StoreError> {
        match self.raw {
            Raw::Lite(_) => self.hold("BEGIN IMMEDIATE", &[]),
            #[cfg(feature = "postgres")]
            Raw::Pg(_) => self.send("BEGIN").await,
        }
    }

    /// Adds a statement to those that go with the next one.
    pub fn hold(&mut self, sql: &str, values: &[Val<'_>]) -> Result<(), StoreError> {
        let held = &mut self.held;
        if !held.sql.is_empty() {
            held.sql.push_str("; ");
        }
        held.sql.push_str(sql);
        for value in values {
            match *value {
                Val::I(v) => held.values.add(v),
                Val::In(v) => held.values.add(v),
                Val::Fn(v) => held.values.add(v),
                Val::T(v) => held.values.add(v),
                Val::Tn(v) => held.values.add(v),
                Val::B(v) => held.values.add(v),
            }
            .map_err(|e| StoreError::sql(&self.place, &sqlx::Error::Encode(e)))?;
        }
        held.any_values |= !values.is_empty();
        Ok(())
    }

    async fn send_held(&mut self) -> Result<(), StoreError> {
        let Held { sql, values, .. } = std::mem::take(&mut self.held);
        #[cfg_attr(
            not(feature = "postgres"),
            expect(irrefutable_let_patterns, reason = "there is one database only")
        )]
        let Raw::Lite(c) = &mut self.raw else { return Ok(()) };
        if sql.is_empty() {
            return Ok(());
        }
        sqlx::query_with(AssertSqlSafe(sql), values)
            .execute(&mut **c)
            .await
            .map(|_| ())
            .map_err(|e| StoreError::sql(&self.place, &e))
    }

    /// Opens a transaction that reads one state.
    pub async fn begin_reading(&mut self) -> Result<(), StoreError> {
        match self.raw {
            Raw::Lite(_) => self.plain("BEGIN").await,
            #[cfg(feature = "postgres")]
            Raw::Pg(_) => self.plain("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY").await,
        }
    }

    pub async fn commit(&mut self) -> Result<(), StoreError> {
        match self.raw {
            Raw::Lite(_) => {
                self.hold("COMMIT", &[])?;
                self.send_held().await
            }
            #[cfg(feature = "postgres")]
            Raw::Pg(_) => self.send("COMMIT").await,
        }
    }

    pub async fn rollback(&mut self) -> Result<(), StoreError> {
        self.plain("ROLLBACK").await
    }

    /// What a query that will write to the rows it reads must end with.
    pub fn for_update(&self) -> &'static str {
        match self.raw {
            Raw::Lite(_) => "",
            #[cfg(feature = "postgres")]
            Raw::Pg(_) => " FOR UPDATE",
        }
    }

    pub fn is_sqlite(&self) -> bool {
        matches!(self.raw, Raw::Lite(_))
    }

    pub fn place(&self) -> &str {
        &self.place
    }

    /// Ends the connection rather than give it back: after a failed sync nothing that it
    /// still remembers can be trusted.
    pub async fn discard(self) {
        // An error here has nobody left to mend it: the connection is gone either way.
        let _ = match self.raw {
            Raw::Lite(c) => c.close().await,
            #[cfg(feature = "postgres")]
            Raw::Pg(c) => c.close().await,
        };
    }
}

/// `($1,$2),($3,$4)` or, without numbers, `(?,?),(?,?)`: placeholders of `rows` rows of `columns` values.
/// A numbered one is a name to SQLite, looked up in a list for each of thousands; without numbers there is no list.
fn places(numbered: bool, rows: usize, columns: usize) -> String {
    let place = |n: usize| if numbered { format!("${n}") } else { "?".to_owned() };
    let row = |row: usize| {
        let places: Vec<String> = (1..=columns).map(|n| place(row * columns + n)).collect();
        format!("({})", places.join(","))
    };
    (0..rows).map(row).collect::<Vec<_>>().join(",")
}

/// How many of `left` rows go into the next statement: few sizes, so that few statements are kept prepared.
fn step(left: usize) -> usize {
    match left {
        0..=8 => left,
        9..=499 => [256, 128, 64, 32, 16, 8].into_iter().find(|size| *size <= left).unwrap_or(left),
        _ => 500,
    }
}
