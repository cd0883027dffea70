//! The JSON Schema of every report.

use schemars::{Schema, schema_for};

use crate::*;

/// The schemas of the reports by name. `demo` prints a `week`, `backup` a `verify`.
pub fn schemas() -> Vec<(&'static str, Schema)> {
    vec![
        ("calc-catch", schema_for!(CatchReport)),
        ("calc-measure", schema_for!(MeasureReport)),
        ("calc-offset", schema_for!(OffsetReport)),
        ("calc-flush", schema_for!(FlushReport)),
        ("calc-strength", schema_for!(StrengthReport)),
        ("backtest", schema_for!(BacktestReport)),
        ("learn", schema_for!(LearnReport)),
        ("simulate-compare", schema_for!(CompareReport)),
        ("simulate-ablate", schema_for!(AblateReport)),
        ("simulate-forecasts", schema_for!(ForecastsReport)),
        ("week", schema_for!(WeekReport)),
        ("line", schema_for!(LineReport)),
        ("fault", schema_for!(FaultFinding)),
        ("rounds", schema_for!(RoundsReport)),
        ("parts", schema_for!(PartsReport)),
        ("doubts", schema_for!(DoubtsReport)),
        ("new", schema_for!(NewReport)),
        ("check", schema_for!(CheckReport)),
        ("skip", schema_for!(SkipReport)),
        ("kit", schema_for!(KitReport)),
        ("quiz", schema_for!(QuizReport)),
        ("publish", schema_for!(PublishReport)),
        ("load-estate", schema_for!(EstateReport)),
        ("load", schema_for!(RowsReport)),
        ("load-sheet", schema_for!(SheetReport)),
        ("load-list", schema_for!(LoadsReport)),
        ("load-undo", schema_for!(UndoReport)),
        ("export", schema_for!(ExportReport)),
        ("ledger", schema_for!(LedgerReport)),
        ("verify", schema_for!(VerifyReport)),
        ("restore", schema_for!(RestoreReport)),
        ("rebuild", schema_for!(RebuildReport)),
        ("forget", schema_for!(ForgetReport)),
        ("schema", schema_for!(SchemasReport)),
        ("error", schema_for!(ErrorReport)),
    ]
}
