//! What can be typed after `publish`.

use clap::Args;

use super::Data;

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise publish screw-trim/weekly-clean --dry-run
  ouncewise publish screw-trim/weekly-clean --yes
  ouncewise publish screw-trim/weekly-clean --withdraw --yes

A text that does not hold is not published.")]
pub struct Publish {
    /// File of the procedure, with its `family.toml` beside it; or one that
    /// ships or was published: `screw-trim/weekly-clean`
    #[arg(value_name = "PATH")]
    pub path: String,
    /// Name to publish it under; without it, the name of its file
    #[arg(long, value_name = "KEY", conflicts_with = "withdraw")]
    pub name: Option<String>,
    /// Withdraw the version that was published last: what was in force before
    /// it is so again
    #[arg(long)]
    pub withdraw: bool,
    /// Only tell what would be done
    #[arg(long)]
    pub dry_run: bool,
    /// Do not ask
    #[arg(long, short)]
    pub yes: bool,
    #[command(flatten)]
    pub data: Data,
}
