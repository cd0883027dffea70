//! `ouncewise card`: the card of a procedure, as a page to print or as a PDF.

use ouncewise_paper::card::{Card, Print};
use ouncewise_paper::sheet::Paper;
use ouncewise_procedure::Verdict;
use ouncewise_report::{Exit, Failure, HeldTo, verdict_says};

use super::{pdf, procedures};
use crate::args;
use crate::output::Output;

/// Runs it. A text that does not hold, or not on every way, gets no card: the answer is no.
pub fn run(args: &args::Card, output: &Output) -> Result<Exit, Failure> {
    pdf::available(args.pdf.as_deref(), "--out")?;
    let language = &args.what.language;
    let named = procedures::named(&args.what)?;
    if matches!(named.report.verdict, Verdict::Broken | Verdict::NotCovered) {
        let file = &args.what.file;
        let why = verdict_says(&named.report);
        return Err(Failure::new(Exit::No, format!("{file}: no card. {why}"))
            .hint(format!("`ouncewise check {file}` shows where")));
    }
    let paper = match args.paper {
        args::Paper::A4 => Paper::A4,
        args::Paper::Letter => Paper::Letter,
    };
    let print = Print { paper, language, version: &named.version };
    let card = Card::new(&named.family, &named.procedure, &named.terms, print);
    output.say(&verdict_says(&named.report));
    output.say(&HeldTo::of(&named.terms).says);
    #[cfg(feature = "pdf")]
    if let Some(path) = args.pdf.as_deref() {
        return pdf::write(card.to_pdf(), path, output);
    }
    match &args.out {
        None => output.write(&card.to_html()),
        Some(path) => {
            std::fs::write(path, card.to_html()).map_err(|e| Failure::io(path, &e))?;
            output
                .say(&format!("Written to {}: open it in a browser and print it.", path.display()));
        }
    }
    Ok(Exit::Done)
}
