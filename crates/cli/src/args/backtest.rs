//! What can be typed after `backtest`.

use std::path::PathBuf;

use clap::Args;

use super::Data;

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise backtest                       # the catches of your own ledger
  ouncewise backtest histories.csv
  ouncewise backtest histories.csv --ahead 4 --json

Without a file, each line's first catch at a visit is forecast from all that
its machine's records said before. A file has the columns unit, at (a number, or a date) and value; and, where
there are any, group (units of one group behave alike) and u (a reading's own
standard uncertainty). Forecasts are made from the first half of each unit's
readings, and scored on the second.")]
pub struct Backtest {
    /// A CSV file of readings; without it, the ledger's own catches
    pub file: Option<PathBuf>,
    /// How many readings ahead to forecast those of a file
    #[arg(long, requires = "file", default_value_t = 1, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1000))]
    pub ahead: u16,
    #[command(flatten)]
    pub data: Data,
}
