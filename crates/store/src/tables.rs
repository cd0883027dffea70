//! The tables of either database, as steps that bring an older one up to date.
//!
//! Listed by hand: the macro that reads a folder would have the whole of sqlx built a second time.

use sqlx::SqlSafeStr;
use sqlx::migrate::{Migration, MigrationType, Migrator};

pub(crate) fn sqlite() -> Migrator {
    steps([
        (1, "ledger", include_str!("../migrations/sqlite/0001_ledger.sql")),
        (2, "by site", include_str!("../migrations/sqlite/0002_by_site.sql")),
        (3, "followed", include_str!("../migrations/sqlite/0003_followed.sql")),
    ])
}

#[cfg(feature = "postgres")]
pub(crate) fn postgres() -> Migrator {
    steps([
        (1, "ledger", include_str!("../migrations/postgres/0001_ledger.sql")),
        (2, "by site", include_str!("../migrations/postgres/0002_by_site.sql")),
        (3, "followed", include_str!("../migrations/postgres/0003_followed.sql")),
    ])
}

fn steps<const N: usize>(steps: [(i64, &'static str, &'static str); N]) -> Migrator {
    let step = |(version, name, sql): (i64, &'static str, &'static str)| {
        Migration::new(version, name.into(), MigrationType::Simple, sql.into_sql_str(), false)
    };
    Migrator::with_migrations(steps.into_iter().map(step).collect())
}
