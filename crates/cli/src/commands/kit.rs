//! `ouncewise kit`: what to bring along for a procedure, and how long it takes.

use ouncewise_report::{Exit, Failure, KitReport};

use super::procedures;
use crate::args::Kit;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Kit, output: &Output) -> Result<Exit, Failure> {
    let named = procedures::named(&args.what)?;
    let lines = args.lines.unwrap_or(u32::from(named.procedure.lines));
    let report = ouncewise_report::kit(
        &named.family,
        &named.procedure,
        &named.terms,
        args.machines,
        lines,
        &args.what.language,
    );
    output.result(&report, || words(&report));
    Ok(Exit::Done)
}

fn words(report: &KitReport) -> String {
    let mut text = format!("{}\n{}\n\nBring along\n", report.title, report.held_to.says);
    for thing in &report.bring {
        let spare = if thing.spare { " (if the old one is worn or due)" } else { "" };
        text.push_str(&format!("  [ ] {:>3}  {}{spare}\n", thing.count, thing.name));
    }
    text.push_str(&format!("\nTime\n  {}\n", report.says));
    if !report.untimed.is_empty() {
        let numbers: Vec<String> = report.untimed.iter().map(usize::to_string).collect();
        text.push_str(&format!(
            "  Steps {} say no time and are counted as none.\n",
            numbers.join(", ")
        ));
    }
    text
}
