//! What `ouncewise learn` takes.

use clap::Args;

use super::Data;

/// How families of machines behave, by your own records.
#[derive(Debug, Args)]
#[command(before_help = "Examples:
  ouncewise learn                        # what your records tell of each family
  ouncewise learn screw-trim --adopt     # from now on, estimates go by it")]
pub struct Learn {
    /// Key of a family; all of them without it
    pub family: Option<String>,
    /// Adopt what was learnt: a record in the group's ledger, which every estimate then names
    #[arg(long)]
    pub adopt: bool,
    #[command(flatten)]
    pub data: Data,
}
