//! What can be typed after `rounds`.

use clap::Args;

use super::Data;

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise rounds
  ouncewise rounds --site fernhollow
  ouncewise rounds --site fernhollow --machine counter-1 --last 20")]
pub struct Rounds {
    /// A site, by its key or its name: only its machines
    #[arg(long, value_name = "SITE")]
    pub site: Option<String>,
    /// Key of a machine within the site
    #[arg(long, value_name = "KEY", requires = "site")]
    pub machine: Option<String>,
    /// How many rounds to show, the latest first
    #[arg(long, default_value_t = 10, value_name = "N")]
    pub last: usize,
    #[command(flatten)]
    pub data: Data,
}
