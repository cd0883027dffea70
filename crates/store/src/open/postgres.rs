//! Opening a store in a PostgreSQL database.

use std::str::FromStr;
use std::time::Duration;

use sqlx::PgPool;
use sqlx::postgres::{PgConnectOptions, PgPoolOptions};

use super::{Opened, bare, migration};
use crate::db::Pool;
use crate::error::StoreError;
use crate::tables;

pub(super) async fn open(url: &str) -> Result<Opened, StoreError> {
    let place = bare(url);
    let options = PgConnectOptions::from_str(url)
        .map_err(|e| StoreError::Usage(format!("{place}: {e}")))?
        .application_name("ouncewise");
    let unreachable = |e: &sqlx::Error| match e {
        sqlx::Error::Io(io) => StoreError::Unavailable {
            place: place.clone(),
            what: format!("the database cannot be reached ({io})"),
        },
        other => StoreError::sql(&place, other),
    };
    let pool = |n| {
        PgPoolOptions::new()
            .max_connections(n)
            .acquire_timeout(Duration::from_secs(10))
            // As in `lite_pool`.
            .max_lifetime(None)
            .idle_timeout(None)
    };
    let writer = pool(1).connect_with(options.clone()).await.map_err(|e| unreachable(&e))?;
    let reader = pool(4).connect_lazy_with(options);
    assert_durable(&writer, &place).await?;
    tables::postgres().run(&writer).await.map_err(|e| migration(&place, &e))?;
    Ok(Opened {
        place,
        writer: Pool::Pg(writer),
        reader: Pool::Pg(reader),
        file: None,
        _lock: None,
    })
}

/// A PostgreSQL that does not sync would make "saved" a lie.
async fn assert_durable(pool: &PgPool, place: &str) -> Result<(), StoreError> {
    let (fsync, pages, commit): (String, String, String) = sqlx::query_as(
        "SELECT current_setting('fsync'), current_setting('full_page_writes'), current_setting('synchronous_commit')",
    )
    .fetch_one(pool)
    .await
    .map_err(|e| StoreError::sql(place, &e))?;
    if fsync == "on" && pages == "on" && commit != "off" {
        return Ok(());
    }
    Err(StoreError::Io {
        place: place.to_owned(),
        what: format!(
            "this server may lose what it says it saved (fsync {fsync}, full_page_writes {pages}, synchronous_commit {commit}); turn all three on"
        ),
    })
}
