//! What is asked for every record finds its rows by an index, however large the tables have grown.

use super::*;
use crate::estates::DESCRIBING;
use crate::people::SALTS;
use crate::put::{KNOWN, TARGETS, UNDONE, WANT_ID, WANT_INDEX};
use crate::standing::OF_MACHINE;

/// The plan of a query, a step a line.
async fn plan(place: &Place, sql: &str) -> String {
    let rows: Vec<(i64, i64, i64, String)> =
        place.ask(&format!("EXPLAIN QUERY PLAN {sql}"), &[]).await;
    rows.into_iter().map(|row| row.3 + "\n").collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn nothing_that_is_asked_for_each_record_scans_a_table() {
    let place = furnished().await;
    if !place.is_sqlite() {
        return;
    }
    let pairs = vec!["('a', x'00')"; 500].join(",");
    let numbers = vec!["('a', 7)"; 500].join(",");
    let scopes = vec!["('a')"; 500].join(",");
    for (sql, finds) in [
        (format!("{WANT_ID}{pairs}{KNOWN}"), "SEARCH r USING INDEX record_id (scope=? AND id=?)"),
        (format!("{WANT_ID}{pairs}{TARGETS}"), "SEARCH r USING INDEX record_id (scope=? AND id=?)"),
        (
            format!("{WANT_ID}{pairs}{SALTS}"),
            "SEARCH note USING INDEX sqlite_autoindex_note_1 (scope=? AND id=?)",
        ),
        (
            format!("{WANT_INDEX}{numbers}{UNDONE}"),
            "SEARCH g USING INDEX sqlite_autoindex_load_range_1 (scope=? AND first<?)",
        ),
        (
            format!("{DESCRIBING}{scopes}) ORDER BY scope, idx"),
            "SEARCH record USING INDEX record_shapes (scope=?)",
        ),
        (
            OF_MACHINE.replace('$', "?"),
            "SEARCH record USING INDEX record_machine (scope=? AND machine=?)",
        ),
    ] {
        let plan = plan(&place, &sql).await;
        assert!(plan.contains(finds), "{}…\n{plan}", &sql[..60]);
        for table in ["SCAN r\n", "SCAN record", "SCAN note", "SCAN g\n", "SCAN load_range"] {
            assert!(!plan.contains(table), "{}…\n{plan}", &sql[..60]);
        }
    }
}
