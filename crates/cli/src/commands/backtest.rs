//! `ouncewise backtest`: what forecasts would have been worth on somebody's histories.

use std::fmt::Write;

use ouncewise_report::{BacktestReport, Exit, Failure, many, score_estate, score_histories};

use super::opened;
use crate::args::Backtest;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Backtest, output: &Output) -> Result<Exit, Failure> {
    let report = match &args.file {
        Some(file) => {
            let text = std::fs::read(file).map_err(|e| Failure::io(file, &e))?;
            score_histories(&text, usize::from(args.ahead))?
        }
        None => opened::block_on(async {
            let store = opened::existing(&args.data).await?;
            let bar = output.progress(None, "Reading machines");
            let report = score_estate(&store, || bar.inc(1)).await?;
            bar.finish_and_clear();
            store.close().await?;
            Ok(report)
        })?,
    };
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
    let unit = if report.unit.starts_with("the portion") { "machine" } else { "unit" };
    let _ = writeln!(
        text,
        "{} ahead, from the first halves of {} and scored on the second. Errors and CRPS are in\n\
         {}; smaller is better. Of good intervals of 90 %, 9 in 10 hold.",
        many(report.ahead, "reading"),
        many(report.units, unit),
        report.unit,
    );
    if report.too_short > 0 {
        let _ = writeln!(text, "Too short, and left out: {}.", many(report.too_short, unit));
    }
    text
}
