//! What can be typed after `fault`.

use clap::Args;

use super::Data;

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise fault fernhollow/counter-1/3
  ouncewise fault fernhollow/counter-1/3 --sign drips-centre=yes \\
      --sign bubbles=no

What its records answer is not asked. It says what to look at next, which
answer would change the first step, and in which order to act.")]
pub struct Fault {
    /// Address: site/machine/line
    pub address: String,
    /// What you saw: the key of a sign, `=`, and yes, no or unknown, such as
    /// `drips-centre=yes`; `unknown` takes out what the records say of it
    #[arg(long, value_name = "KEY=yes|no|unknown")]
    pub sign: Vec<String>,
    /// Take these causes: a list that ships (`piston`, `pressure`, `roller-pump`),
    /// or a file of your own
    #[arg(long, value_name = "NAME|FILE")]
    pub causes: Option<String>,
    #[command(flatten)]
    pub data: Data,
}
