//! `ouncewise card` and `ouncewise sign-off`: what is printed of a procedure, as a page or as a PDF.

use std::path::Path;

use ouncewise_paper::card::{Print, Printed};
use ouncewise_paper::sheet::Paper;
use ouncewise_procedure::Verdict;
use ouncewise_report::{Exit, Failure, HeldTo, verdict_says};

use super::pdf;
use super::procedures::{self, Named};
use crate::args::{self, Language};
use crate::output::Output;

/// Prints the card.
pub fn run(args: &args::Card, output: &Output) -> Result<Exit, Failure> {
    pdf::available(args.pdf.as_deref(), "--out")?;
    pdf::is_page(args.out.as_deref())?;
    let named = holding(&args.what, Printed::Card, output)?;
    let print = print(&named, &args.what, args.paper);
    #[cfg(feature = "pdf")]
    if let Some(path) = args.pdf.as_deref() {
        return pdf::write(print.to_pdf(), path, output);
    }
    written(&print.page(Printed::Card, None), args.out.as_deref(), output)
}

/// Prints the form of the observed sign-off.
pub fn sign_off(args: &args::SignOff, output: &Output) -> Result<Exit, Failure> {
    if let Err(refused) = pdf::is_page(args.out.as_deref()) {
        // The form has no PDF of its own.
        return Err(refused.hint("name it `.html`, and print it from a browser"));
    }
    let named = holding(&args.what, Printed::SignOff, output)?;
    let print = print(&named, &args.what, args.paper);
    written(&print.page(Printed::SignOff, None), args.out.as_deref(), output)
}

/// The procedure that is to be printed. Nothing is printed of a text that does not hold, or not on every way: the answer is no.
fn holding(asked: &Language, what: Printed, output: &Output) -> Result<Named, Failure> {
    let named = procedures::named(asked)?;
    let (file, says) = (&asked.file, verdict_says(&named.report));
    if matches!(named.report.verdict, Verdict::Broken | Verdict::NotCovered) {
        return Err(Failure::new(Exit::No, format!("{file}: no {}. {says}", what.word()))
            .hint(format!("`ouncewise check {file}` shows where")));
    }
    output.say(&says);
    output.say(&HeldTo::of(&named.terms).says);
    Ok(named)
}

fn print<'a>(named: &'a Named, asked: &'a Language, paper: args::Paper) -> Print<'a> {
    Print {
        family: &named.family,
        procedure: &named.procedure,
        terms: &named.terms,
        paper: match paper {
            args::Paper::A4 => Paper::A4,
            args::Paper::Letter => Paper::Letter,
        },
        language: &asked.language,
        version: &named.version,
    }
}

/// Writes a page to a file, or to the terminal.
fn written(page: &str, out: Option<&Path>, output: &Output) -> Result<Exit, Failure> {
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
