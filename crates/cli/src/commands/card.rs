//! `ouncewise card`: the card of a procedure, as a page to print or as a PDF.

use std::path::Path;

use ouncewise_paper::card::{Card, Print};
use ouncewise_paper::sheet::Paper;
use ouncewise_procedure::Verdict;
use ouncewise_report::{Exit, Failure, HeldTo, verdict_says};

use super::pdf;
use super::procedures::{self, Named};
use crate::args;
use crate::output::Output;

/// Runs it. A text that does not hold, or not on every way, gets no card: the answer is no.
pub fn run(args: &args::Card, output: &Output) -> Result<Exit, Failure> {
    pdf::available(args.pdf.as_deref(), "--out")?;
    let language = &args.what.language;
    let named = procedures::named(&args.what)?;
    holds(&named, &args.what.file, "card")?;
    let print = Print { paper: paper(args.paper), language, version: &named.version };
    let card = Card::new(&named.family, &named.procedure, &named.terms, print);
    output.say(&verdict_says(&named.report));
    output.say(&HeldTo::of(&named.terms).says);
    #[cfg(feature = "pdf")]
    if let Some(path) = args.pdf.as_deref() {
        return pdf::write(card.to_pdf(), path, output);
    }
    written(&card.to_html(), args.out.as_deref(), output)
}

/// Refuses what would be printed of a text that does not hold, or not on every way.
pub fn holds(named: &Named, file: &str, what: &str) -> Result<(), Failure> {
    if matches!(named.report.verdict, Verdict::Broken | Verdict::NotCovered) {
        let why = verdict_says(&named.report);
        return Err(Failure::new(Exit::No, format!("{file}: no {what}. {why}"))
            .hint(format!("`ouncewise check {file}` shows where")));
    }
    Ok(())
}

pub fn paper(asked: args::Paper) -> Paper {
    match asked {
        args::Paper::A4 => Paper::A4,
        args::Paper::Letter => Paper::Letter,
    }
}

/// Writes a page to a file, or to the terminal.
pub fn written(page: &str, out: Option<&Path>, output: &Output) -> Result<Exit, Failure> {
    match out {
        None => output.write(page),
        Some(path) => {
            std::fs::write(path, page).map_err(|e| Failure::io(path, &e))?;
            output
                .say(&format!("Written to {}: open it in a browser and print it.", path.display()));
        }
    }
    Ok(Exit::Done)
}
