//! `ouncewise sign-off`: the form of the observed sign-off, as a page to print.

use ouncewise_paper::card::{Print, SignOff};
use ouncewise_report::{Exit, Failure, HeldTo, verdict_says};

use super::card::{holds, paper, written};
use super::procedures;
use crate::args;
use crate::output::Output;

/// Runs it. Nobody is signed off on a text that does not hold: the answer is no.
pub fn run(args: &args::SignOff, output: &Output) -> Result<Exit, Failure> {
    let language = &args.what.language;
    let named = procedures::named(&args.what)?;
    holds(&named, &args.what.file, "form")?;
    let print = Print { paper: paper(args.paper), language, version: &named.version };
    let form = SignOff::new(&named.family, &named.procedure, &named.terms, print);
    output.say(&verdict_says(&named.report));
    output.say(&HeldTo::of(&named.terms).says);
    written(&form.to_html(), args.out.as_deref(), output)
}
