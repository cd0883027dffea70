//! What can be typed after `skip`, `card`, `quiz`, `sign-off` and `kit`, and the language of what is said of a procedure.

use std::path::PathBuf;

use clap::Args;

use super::{Data, Paper};

/// The food code that a procedure is held to.
#[derive(Debug, Clone, Args)]
pub struct Code {
    /// Food code that procedures are held to: one that ships (model-code,
    /// california, new-york, uk-rinse), or a profile file; without it: drain, do
    /// not rinse
    #[arg(long, value_name = "KEY|FILE")]
    pub profile: Option<String>,
}

/// Which procedure, and in which language.
#[derive(Debug, Clone, Args)]
pub struct Language {
    /// File of the procedure, with its `family.toml` beside it; or one as it
    /// ships: `screw-trim/weekly-clean` (what a group published instead is on
    /// its page)
    #[arg(value_name = "FILE")]
    pub file: String,
    /// Language of the steps, by its short code
    #[arg(long, default_value = "en", value_name = "CODE")]
    pub language: String,
    #[command(flatten)]
    pub code: Code,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise skip screw-trim/weekly-clean
  ouncewise skip screw-trim/weekly-clean --all
  ouncewise skip screw-trim/weekly-clean --profile uk-rinse")]
pub struct Skip {
    #[command(flatten)]
    pub what: Language,
    /// Show what is seen at a later step too, and what nothing follows from
    #[arg(long)]
    pub all: bool,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise card screw-trim/weekly-clean --out card.html
  ouncewise card screw-trim/weekly-clean --language es --paper letter
  ouncewise card screw-trim/weekly-clean --profile uk-rinse --out card.html

A text that does not hold gets no card.")]
pub struct Card {
    #[command(flatten)]
    pub what: Language,
    /// Paper, upright
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    pub paper: Paper,
    /// File to write the page to; without it, to the terminal
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Write it as a PDF, to this file (`-` for stdout); for a program that was built with `--features pdf`
    #[arg(long, value_name = "FILE", conflicts_with = "out")]
    pub pdf: Option<PathBuf>,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise quiz screw-trim/weekly-clean
  ouncewise quiz screw-trim/weekly-clean --json")]
pub struct Quiz {
    #[command(flatten)]
    pub what: Language,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise sign-off screw-trim/weekly-clean --out form.html
  ouncewise sign-off screw-trim/weekly-clean --language es --paper letter")]
pub struct SignOff {
    #[command(flatten)]
    pub what: Language,
    /// Paper, upright
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    pub paper: Paper,
    /// File to write the page to; without it, to the terminal
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise kit screw-trim/weekly-clean
  ouncewise kit screw-trim/weekly-clean --machines 3 --lines 6
  ouncewise kit fernhollow
  ouncewise kit fernhollow/counter-1 --procedure weekly-calibration

In the place of FILE stands a site of the ledger, or SITE/MACHINE: then each
machine's weekly clean is meant, under the food code of that site.")]
pub struct Kit {
    #[command(flatten)]
    pub what: Language,
    /// For so many machines, one after the other; 1 without it
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=999))]
    pub machines: Option<u32>,
    /// Lines of each; without it, as many as the procedure says
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=99))]
    pub lines: Option<u32>,
    /// Of a site or machine: the procedure to follow, by its key within each
    /// family; without it, the weekly clean
    #[arg(long, value_name = "KEY")]
    pub procedure: Option<String>,
    #[command(flatten)]
    pub data: Data,
}
