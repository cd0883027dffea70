//! What can be typed after `parts`.

use clap::Args;

use super::Data;

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise parts
  ouncewise parts --family screw-trim
  ouncewise parts --family screw-trim --part nozzle-seal --planned 6 --failed 60

What failed, what was found worn and what was replaced by plan are kept apart.
A record of a new part may say why the old one came out; where it does not, what
was found at the last look within a day says it. Ages are days in use, without
those in which the machine was paused.")]
pub struct Parts {
    /// Key of a family: only its parts
    #[arg(long, value_name = "KEY")]
    pub family: Option<String>,
    /// Key of a part: only that one
    #[arg(long, value_name = "KEY")]
    pub part: Option<String>,
    /// What a planned replacement costs, with its work
    #[arg(long, value_name = "COST", requires_all = ["failed", "part"])]
    pub planned: Option<f64>,
    /// What one after a failure costs, with what it spoils; in the same unit
    #[arg(long, value_name = "COST", requires_all = ["planned", "part"])]
    pub failed: Option<f64>,
    #[command(flatten)]
    pub data: Data,
}
