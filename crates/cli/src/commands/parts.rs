//! `ouncewise parts`: how long wear parts last, and when to replace them.

use std::fmt::Write;

use anstyle::Style;
use ouncewise_report::{
    Between, Exit, Failure, LivesReport, PartReport, PartsAsked, PartsReport, many, parts,
};

use super::opened;
use crate::args::Parts;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Parts, output: &Output) -> Result<Exit, Failure> {
    let asked = PartsAsked {
        family: args.family.clone(),
        part: args.part.clone(),
        costs: args.planned.zip(args.failed),
    };
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let report = parts(&store, &asked, jiff::Timestamp::now()).await?;
        store.close().await?;
        output.result(&report, || words(&report, output));
        Ok(Exit::Done)
    })
}

fn words(report: &PartsReport, output: &Output) -> String {
    if report.parts.is_empty() {
        return "No part was replaced on record yet. `load parts` brings in a list of them.\n"
            .to_owned();
    }
    let mut text = String::new();
    for part in &report.parts {
        one(&mut text, part, output);
    }
    text.push_str(
        "Ages are days in use; no record counts draws. Intervals hold with 90 %.\n\
         Where many were replaced when worn, lives until failure look longer than they are.\n",
    );
    text
}

fn one(text: &mut String, part: &PartReport, output: &Output) {
    let bold = Style::new().bold();
    // Writing to a string cannot fail.
    let _ = writeln!(text, "{bold}{}/{}{bold:#}  {}", part.family, part.part, part.name);
    let kinds = [
        (part.failed, "failed"),
        (part.worn, "worn"),
        (part.planned, "replaced while good"),
        (part.not_said, "replaced, why is not said"),
        (part.in_use, "still good or gone with their machine"),
    ];
    let kinds: Vec<String> = kinds
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| format!("{count} {word}"))
        .collect();
    let lives = if part.lives == 1 { "1 life".to_owned() } else { format!("{} lives", part.lives) };
    let _ = writeln!(text, "  {lives}: {}", kinds.join(", "));
    if let Some(days) = part.stated_days {
        let _ = writeln!(text, "  the family says {days:.0} days");
    }
    if part.lives > 0 {
        let mut table =
            output.table(&["  until", "ended", "half last", "one in ten ends by", "shape", "mean"]);
        for (until, said) in
            [("  failed", &part.until_failed), ("  worn or failed", &part.until_worn_or_failed)]
        {
            table.add_row(row(until, said));
        }
        let _ = writeln!(text, "{table}");
    }
    if let Some(replace) = &part.replace {
        let _ = writeln!(
            text,
            "  least cost: replace at {}, {:.3} a day; waiting for failures costs {:.3}",
            many(replace.days.round() as u64, "day"),
            replace.cost_per_day,
            replace.run_to_failure_per_day
        );
    }
    for mind in &part.mind {
        let _ = writeln!(text, "  mind: {mind}");
    }
    text.push('\n');
}

fn row(until: &str, said: &LivesReport) -> [String; 6] {
    let dash = || "–".to_owned();
    let between = |b: &Between, decimals: usize| {
        let end =
            |end: Option<f64>| end.map_or_else(|| "?".to_owned(), |e| format!("{e:.decimals$}"));
        format!("{:.decimals$} ({} to {})", b.value, end(b.from), end(b.to))
    };
    let fit = said.weibull.as_ref();
    [
        until.to_owned(),
        said.ended.to_string(),
        said.half_days.map_or_else(dash, |days| format!("{days:.0}")),
        fit.map_or_else(dash, |fit| between(&fit.tenth_days, 0)),
        fit.map_or_else(dash, |fit| between(&fit.shape, 1)),
        fit.map_or_else(dash, |fit| format!("{:.0}", fit.mean_days)),
    ]
}
