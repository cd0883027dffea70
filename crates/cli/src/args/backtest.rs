//! What can be typed after `backtest`.

use std::path::PathBuf;

use clap::Args;

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise backtest histories.csv
  ouncewise backtest histories.csv --ahead 4 --json

The file has the columns unit, at (a number, or a date) and value; and, where
there are any, group (units of one group behave alike) and u (a reading's own
standard uncertainty). Forecasts are made from the first half of each unit's
readings, and scored on the second.")]
pub struct Backtest {
    /// A CSV file of readings
    pub file: PathBuf,
    /// How many readings ahead to forecast
    #[arg(long, default_value_t = 1, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1000))]
    pub ahead: u16,
}
