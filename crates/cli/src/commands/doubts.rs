//! `ouncewise doubts`: records that are worth a question, at sites whose owner agreed.

use std::fmt::Write;

use anstyle::Style;
use ouncewise_report::{DoubtsReport, Exit, Failure, doubts, many};

use super::opened;
use crate::args::Doubts;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Doubts, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let report = doubts(&store, args.site.as_deref(), args.since.as_deref()).await?;
        store.close().await?;
        output.result(&report, || words(&report));
        Ok(Exit::Done)
    })
}

fn words(report: &DoubtsReport) -> String {
    let bold = Style::new().bold();
    let mut text = String::new();
    for question in &report.questions {
        let name = question.name.as_deref().unwrap_or(&question.by);
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "{bold}{}  {}{bold:#}  {name}, {}\n  seen: {}\n  asked: {}\n",
            question.site,
            question.month,
            many(question.readings, "reading"),
            question.signs.join("; "),
            question.ask,
        );
    }
    if report.sites > 0 {
        let asked = match report.questions.len() {
            0 => "nothing is asked".to_owned(),
            count => format!("{} asked", many(count, "question")),
        };
        let _ = writeln!(
            text,
            "{} of a person at a site were looked at: {asked}. All of it may be honest. What was brought in from files is not looked at: a spreadsheet rounds and fills down, and that looks the same.",
            many(report.months, "month")
        );
    }
    if report.not_agreed > 0 {
        let _ = writeln!(
            text,
            "{} not looked at: whose they are did not agree (ask_about_doubtful).",
            match report.not_agreed {
                1 => "1 site was".to_owned(),
                count => format!("{count} sites were"),
            }
        );
    }
    text
}
