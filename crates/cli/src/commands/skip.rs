//! `ouncewise skip`: what follows when a step is left out, done twice or too late, and where the work may be left.

use std::fmt::Write;

use anstyle::Style;
use ouncewise_report::{Exit, Failure, SkipReport};

use super::procedures;
use crate::args::Skip;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Skip, output: &Output) -> Result<Exit, Failure> {
    let language = &args.what.language;
    let named = procedures::named(&args.what)?;
    let report = ouncewise_report::skip(&named.family, &named.procedure, &named.terms, language);
    output.result(&report, || words(&report, args.all));
    Ok(Exit::Done)
}

fn words(report: &SkipReport, all: bool) -> String {
    let bold = Style::new().bold();
    let mut text = String::new();
    let mut line = |words: &str| {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{words}");
    };
    let heading = |words: &str| format!("\n{bold}{words}{bold:#}");
    line(&format!("{bold}{}{bold:#}", report.title));
    line(&format!("  {}", report.says));
    line(&format!("  {}", report.held_to.says));
    let numbers: Vec<String> = report.must_not_skip.iter().map(usize::to_string).collect();
    line(&heading("Must not skip: left out, they reach a guest or the crew, and nobody sees it"));
    match numbers.as_slice() {
        [] => line("  No step, as far as the model knows."),
        numbers => line(&format!("  Steps {}", numbers.join(", "))),
    }
    line(&heading("What follows, worst first"));
    let shown = |outcome: &str| all || outcome == "unseen";
    for found in report.mistakes.iter().filter(|m| shown(&m.outcome)) {
        let who = found.harm.as_deref().unwrap_or("");
        let mark = if found.must_not_skip { "MUST NOT SKIP  " } else { "" };
        line(&format!("  {who:<7}  {mark}{}", found.says));
        if let Some(proposal) = &found.proposal {
            line(&format!("           To close it: {proposal}."));
        }
    }
    let caught = report.mistakes.iter().filter(|m| m.outcome == "caught").count();
    let harmless = report.mistakes.iter().filter(|m| m.outcome == "harmless").count();
    if !all {
        line(&format!(
            "  A later step catches {caught} more mistakes, and from {harmless} nothing follows that the model knows of (--all shows them)."
        ));
    }
    line(&heading("Called away after a step"));
    for one in &report.leaving {
        line(&format!("  {:>3}.  {}", one.step, one.says));
    }
    text
}
