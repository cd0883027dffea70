//! `ouncewise card`: the card of a procedure, as a page to print.

use ouncewise_paper::card::{Card, Print};
use ouncewise_paper::sheet::Paper;
use ouncewise_procedure::{Terms, Verdict};
use ouncewise_report::{Exit, Failure, verdict_says};

use super::procedures;
use crate::args;
use crate::output::Output;

/// Runs it. A text that does not hold, or not on every way, gets no card: the answer is no.
pub fn run(args: &args::Card, output: &Output) -> Result<Exit, Failure> {
    let language = &args.what.language;
    let named = procedures::named(&args.what.file, language)?;
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
    let page = Card::new(&named.family, &named.procedure, &Terms::default(), print).to_html();
    output.say(&verdict_says(&named.report));
    match &args.out {
        None => output.write(&page),
        Some(path) => {
            std::fs::write(path, page).map_err(|e| Failure::io(path, &e))?;
            output
                .say(&format!("Written to {}: open it in a browser and print it.", path.display()));
        }
    }
    Ok(Exit::Done)
}
