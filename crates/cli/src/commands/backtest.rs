//! `ouncewise backtest`: what forecasts would have been worth on somebody's histories.

use std::fmt::Write;

use ouncewise_report::{BacktestReport, Exit, Failure, many, score_histories};

use crate::args::Backtest;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Backtest, output: &Output) -> Result<Exit, Failure> {
    let text = std::fs::read(&args.file).map_err(|e| Failure::io(&args.file, &e))?;
    let report = score_histories(&text, usize::from(args.ahead))?;
    output.result(&report, || words(&report, output));
    Ok(Exit::Done)
}

fn words(report: &BacktestReport, output: &Output) -> String {
    let mut table = output.table(&["forecast", "mean error", "CRPS", "90 % held"]);
    for way in &report.ways {
        table.add_row([
            way.way.clone(),
            format!("{:.4}", way.mean_error),
            format!("{:.4}", way.crps),
            format!("{:.0} % of {}", 100.0 * way.coverage_90, way.forecasts),
        ]);
    }
    let mut text = format!("{table}\n\n");
    // Writing to a string cannot fail.
    let _ = writeln!(
        text,
        "{} ahead, from the first halves of {} and scored on the second. Errors and CRPS are in\n\
         the unit of the readings; smaller is better. Of good intervals of 90 %, 9 in 10 hold.",
        many(report.ahead, "reading"),
        many(report.units, "unit"),
    );
    if report.too_short > 0 {
        let _ = writeln!(text, "Too short, and left out: {}.", many(report.too_short, "unit"));
    }
    text
}
