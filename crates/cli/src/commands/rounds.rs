//! `ouncewise rounds`: how rounds stand, what they lack, and what is asked about them.

use std::fmt::Write;

use anstyle::Style;
use ouncewise_report::{Exit, Failure, RoundReport, RoundsReport, many};

use super::opened;
use crate::args::Rounds;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Rounds, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let (site, machine) = (args.site.as_deref(), args.machine.as_deref());
        let report = ouncewise_report::rounds_of(&store, site, machine, args.last).await?;
        store.close().await?;
        output.result(&report, || words(&report));
        Ok(Exit::Done)
    })
}

fn words(report: &RoundsReport) -> String {
    let mut text = String::new();
    for round in &report.rounds {
        one(&mut text, round);
    }
    // Writing to a string cannot fail.
    let _ = match (report.rounds.len(), report.earlier) {
        (0, 0) => writeln!(text, "No round was recorded yet."),
        (_, 0) => Ok(()),
        (_, earlier) => {
            writeln!(text, "… {} (--last N shows more)", many(earlier, "earlier round"))
        }
    };
    text
}

fn one(text: &mut String, round: &RoundReport) {
    let bold = Style::new().bold();
    let mut line = |words: &str| {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{words}");
    };
    let day = round.opened.get(..16).unwrap_or(&round.opened).replace('T', " ");
    let under = round.profile.as_ref().map_or_else(String::new, |key| format!(", under {key}"));
    line(&format!(
        "{bold}{day}  {}/{}{bold:#}  {}{under}",
        round.site,
        round.machine,
        round.state_words()
    ));
    if let Some(reason) = &round.reason {
        line(&format!("  closed so because: {reason}"));
    }
    if !round.failed.is_empty() {
        line("  what is asked of its strips or its contact time did not hold");
    }
    for missing in &round.missing {
        line(&format!("  missing: {}  [{}]", missing.words, missing.clause));
    }
    for step in &round.unconfirmed {
        line(&format!(
            "  not confirmed, and must not be skipped: step {}. {}",
            step.number, step.say
        ));
    }
    for wanting in &round.wanting {
        line(&format!("  would be good: {}", wanting.words));
    }
    for question in &round.questions {
        let lines = match question.lines.as_slice() {
            [] => String::new(),
            lines => format!("line {}: ", lines.join(", ")),
        };
        line(&format!("  asked: {lines}{}", question.ask));
    }
}
