//! Any bytes through the doors: nothing panics, and no row is lost. For fuzzers, and run by property tests.

use jiff::Timestamp;

use super::Code;
use super::known::{Door, Known};
use super::mapping::{self, About, Mapping};
use super::table::{Table, TableRow};
use crate::Estate;

/// Rows that are read of one input; enough to reach every branch.
const ROWS: usize = 2_000;

/// Reads bytes through every door.
///
/// # Panics
/// Where a door panics, or a mapping loses a row.
pub fn any_bytes(bytes: &[u8], estate: &Estate, now: Timestamp) {
    for door in [Door::Catches, Door::Adjustments, Door::Parts, Door::Products, Door::Rounds] {
        if let Ok(table) = Table::open(bytes)
            && let Ok(known) = Known::open(table, door, estate, now)
        {
            known.take(ROWS).for_each(drop);
        }
    }
    ragged(bytes, estate, now);
}

/// Bytes as a stranger's sheet: proposed, answered, grown, applied; every row is accounted for.
fn ragged(bytes: &[u8], estate: &Estate, now: Timestamp) {
    let Ok(mut table) = Table::open(bytes) else { return };
    let Ok(rows) = table.take_rows(ROWS) else { return };
    let Ok(mut mapping) =
        mapping::propose(&rows, About { file: "sheet.csv", sheet: table.sheet() }, estate, now)
    else {
        return;
    };
    account(&mapping, bytes, &rows, estate, now);
    mapping.accept_defaults();
    let again = Mapping::from_toml(&mapping.to_toml()).expect("a mapping reads as it was written");
    assert_eq!(again, mapping, "a mapping reads as it was written");
    if let Ok(grown) = mapping::estate_from(&mapping, &rows, estate) {
        account(&mapping, bytes, &rows, &grown, now);
    }
}

fn account(mapping: &Mapping, bytes: &[u8], rows: &[TableRow], estate: &Estate, now: Timestamp) {
    let table = Table::open(bytes).expect("opened before");
    let applied =
        mapping::apply(mapping, table, estate, now).expect("the mapping was made for this sheet");
    let told: std::collections::BTreeSet<u64> =
        applied.take_while(|r| r.number() <= ROWS as u64).map(|r| r.number()).collect();
    let broken = |r: &TableRow| r.fault.as_ref().is_some_and(|(code, _)| *code == Code::Unreadable);
    for row in rows.iter().filter(|r| r.number <= ROWS as u64 && !broken(r)) {
        assert!(told.contains(&row.number), "row {} is lost", row.number);
    }
}
