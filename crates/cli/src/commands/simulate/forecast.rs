//! `ouncewise simulate forecasts`: how good forecasts of a line's true level are.

use std::fmt::Write;

use anstyle::Style;
use ouncewise_report::{Exit, Failure, Figure, ForecastReport, ForecastsReport, many};
use ouncewise_simulate::proof::{Forecasts, Nature, Plan, forecasts};

use super::{LEARNT_FROM, figure, with_error};
use crate::output::Output;

/// Runs it.
pub(super) fn run((natures, plan): &(Vec<Nature>, Plan), output: &Output) -> Result<Exit, Failure> {
    let estates = natures.len() * (plan.seeds.len() + 2);
    let bar = output.progress(Some(estates as u64), "living through estates");
    let mut rows = Vec::new();
    for nature in natures {
        let scored = forecasts(nature, LEARNT_FROM, plan, &|| bar.inc(1));
        rows.extend(scored.iter().map(|scored| row(nature.name, scored)));
    }
    bar.finish_and_clear();
    let report = ForecastsReport {
        rows,
        seeds: plan.seeds.clone(),
        sites: plan.sites,
        lines: plan.lines,
        weeks: plan.weeks,
    };
    output.result(&report, || words(&report, output));
    Ok(Exit::Done)
}

fn row(world: &str, scored: &Forecasts) -> ForecastReport {
    ForecastReport {
        world: world.to_owned(),
        read_with: scored.class.words().to_owned(),
        ahead: scored.weeks,
        forecasts: scored.count,
        held_percent: figure(scored.stated.held, 100.0),
        crps: figure(scored.stated.crps, 100.0),
        widened_held_percent: figure(scored.widened.held, 100.0),
        widened_crps: figure(scored.widened.crps, 100.0),
        last_worse: figure(scored.last_worse, 100.0),
        smoothed_worse: figure(scored.smoothed_worse, 100.0),
        smoothed_weight: scored.weight,
    }
}

const HEAD: [&str; 8] =
    ["read with", "weeks", "held, %", "score", "last", "smoothed", "wide, %", "score"];

const LEGEND: &str = "\
weeks     ahead
held      intervals of 90 % that held the true level
score     CRPS of our forecasts, percent of a portion; lower is better
last      by how much same as last time scores worse
smoothed  by how much a smoothed mean scores worse, its weight chosen on another seed
wide      the same with tails widened as another seed asked, and its score
";

fn words(report: &ForecastsReport, output: &Output) -> String {
    if report.rows.is_empty() {
        return format!(
            "Nothing could be scored in {}: forecasts are made from the 14th week on.\n",
            many(report.weeks as usize, "week")
        );
    }
    let bold = Style::new().bold();
    let mut text = String::new();
    for world in report.rows.chunk_by(|a, b| a.world == b.world) {
        let mut table = output.table(&HEAD);
        for row in world {
            let mean = |figure: Figure, decimals: usize| format!("{:.decimals$}", figure.mean);
            table.add_row([
                row.read_with.clone(),
                row.ahead.to_string(),
                mean(row.held_percent, 1),
                with_error(row.crps),
                with_error(row.last_worse),
                with_error(row.smoothed_worse),
                mean(row.widened_held_percent, 1),
                mean(row.widened_crps, 2),
            ]);
        }
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{bold}World: {}{bold:#}\n{table}\n", world[0].world);
    }
    // Writing to a string cannot fail.
    let _ = writeln!(
        text,
        "{LEGEND}\nMeans over {} (± standard error) of {} of {}, {} each.\n\
         Lines are touched every 13th week only, so that every forecast can be scored.",
        many(report.seeds.len(), "seed"),
        many(report.sites, "site"),
        many(report.lines, "line"),
        many(report.weeks as usize, "week"),
    );
    text
}
