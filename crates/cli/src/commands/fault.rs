//! `ouncewise fault`: what may be wrong with a line, what to look at next, and in which order to act.

use std::fmt::Write;

use anstyle::Style;
use ouncewise_estate::Address;
use ouncewise_report::{Answered, Exit, Failure, FaultFinding, PartNamed, chance};

use super::{causes, opened};
use crate::args::Fault;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Fault, output: &Output) -> Result<Exit, Failure> {
    let address: Address = args
        .address
        .parse()
        .map_err(|e: ouncewise_estate::Misread| Failure::usage(e.message).hint(e.hint))?;
    let answers: Vec<Answered> =
        args.sign.iter().map(|text| text.parse()).collect::<Result<_, _>>()?;
    let causes = args.causes.as_deref().map(causes::named).transpose()?;
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let report =
            ouncewise_report::fault(&store, &address, &answers, causes, output.asked()).await?;
        store.close().await?;
        output.result(&report, || words(&report));
        Ok(Exit::Done)
    })
}

fn words(report: &FaultFinding) -> String {
    let bold = Style::new().bold();
    let mut text = String::new();
    let mut line = |words: &str| {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{words}");
    };
    let heading = |words: &str| format!("\n{bold}{words}{bold:#}");
    line(&format!(
        "{bold}{}{bold:#}  {} on {}, {}",
        report.address, report.line, report.machine, report.site
    ));
    for caution in &report.cautions {
        line(&format!("  {caution}"));
    }
    if !report.known.is_empty() {
        line(&heading("Already known from its records (--sign KEY=unknown takes one out)"));
        for known in &report.known {
            line(&format!("  {:<3}  {}  [{}: {}]", known.answer, known.ask, known.sign, known.why));
        }
    }
    if !report.answers.is_empty() {
        line(&heading("You said"));
        for answer in &report.answers {
            line(&format!("  {:<7}  {}  [{}]", answer.answer, answer.ask, answer.sign));
        }
    }
    line(&heading(
        "Likeliest causes: how likely each is there, whatever else is (they need not add up to 100 %)",
    ));
    for cause in &report.causes {
        let parts: Vec<String> = cause.parts.iter().map(part).collect();
        let parts =
            if parts.is_empty() { String::new() } else { format!("  [{}]", parts.join(", ")) };
        line(&format!("  {:>9}  {}{parts}", chance(cause.probability), cause.name));
    }
    line(&heading("Look at this next"));
    match &report.next {
        Some(next) => {
            line(&format!(
                "  {}  [--sign {}=yes or no; {:.0} min, saves {:.0} min on average]",
                next.ask, next.sign, next.minutes, next.saves_minutes
            ));
            line(&format!("  {}", next.changes));
        }
        None => line("  No question saves more minutes than it takes: begin with the first act."),
    }
    line(&heading(&format!(
        "Then act in this order: {:.0} min on average until it works, if exactly one cause is there",
        report.minutes
    )));
    for (place, act) in report.acts.iter().enumerate() {
        let opens = act.opens.as_ref().map_or_else(String::new, |opens| {
            format!(", and {:.0} min to open the {}", opens.minutes, opens.name)
        });
        let who = if act.technician { "; technician only" } else { "" };
        line(&format!(
            "  {}. {} [{:.0} min{opens}; mends it in {} of such cases{who}]",
            place + 1,
            act.does,
            act.minutes,
            chance(act.probability)
        ));
    }
    line(&heading("Before you call"));
    for said in &report.before_you_call {
        line(&format!("  {said}"));
    }
    line(&format!(
        "\n{}: {}; {}.",
        report.catalogue.name, report.catalogue.basis, report.catalogue.why
    ));
    text
}

fn part(part: &PartNamed) -> String {
    match &part.number {
        Some(number) => format!("{} {number}", part.name),
        None => part.name.clone(),
    }
}
