//! What can be typed after `doubts`.

use clap::Args;

use super::Data;

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise doubts
  ouncewise doubts --site fernhollow --since 2026-01

It is off until a site's owner agreed: set ask_about_doubtful = true for the
owner (or, for the group's own sites, for the group). It asks only where three
signs or more come together, and what it asks may well have an honest answer.")]
pub struct Doubts {
    /// Key of a site: only its records
    #[arg(long, value_name = "KEY")]
    pub site: Option<String>,
    /// The first month to look at
    #[arg(long, value_name = "YYYY-MM")]
    pub since: Option<String>,
    #[command(flatten)]
    pub data: Data,
}
