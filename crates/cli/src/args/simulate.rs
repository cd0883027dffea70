//! What can be typed after `simulate`.

use clap::{Args, Subcommand, ValueEnum};
use ouncewise_simulate::proof::Nature;

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise simulate compare --world plain")]
pub struct Simulate {
    #[command(subcommand)]
    pub what: SimulateWhat,
}

#[derive(Debug, Subcommand)]
pub enum SimulateWhat {
    /// Try ways of doing the weekly round against each other, on the same machines
    Compare(Compare),
    /// Take each term out of our own estimate in turn, and see what it was worth
    Ablate(Ablate),
    /// Forecast where lines will really stand, and score it
    Forecasts(Forecasts),
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise simulate compare
  ouncewise simulate compare --world hard --sites 5 --seeds 8
  ouncewise simulate compare --world plain --weeks 52 --json")]
pub struct Compare {
    #[command(flatten)]
    pub estates: Estates,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise simulate ablate --world plain --sites 5 --seeds 2 --weeks 40")]
pub struct Ablate {
    #[command(flatten)]
    pub estates: Estates,
}

#[derive(Debug, Args)]
#[command(before_help = "\
Examples:
  ouncewise simulate forecasts --world plain --sites 5 --seeds 2 --weeks 40")]
pub struct Forecasts {
    #[command(flatten)]
    pub estates: Estates,
}

/// Which estates are lived through.
#[derive(Debug, Args)]
pub struct Estates {
    /// A world to live in; without it all three
    #[arg(long, value_enum, value_name = "WORLD")]
    pub world: Vec<World>,
    /// How many seeds: 1, 2 and so on; each is an estate of its own
    #[arg(long, default_value_t = 3, value_name = "N", value_parser = clap::value_parser!(u64).range(1..=1000))]
    pub seeds: u64,
    /// Sites of an estate, with one machine each
    #[arg(long, default_value_t = 20, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=100_000))]
    pub sites: u32,
    /// Lines of a machine
    #[arg(long, default_value_t = 12, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=64))]
    pub lines: u32,
    /// Weeks to live through
    #[arg(long, default_value_t = 104, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=2_000))]
    pub weeks: u32,
}

/// A world.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, ValueEnum)]
pub enum World {
    /// Lines walk and wear; no surprises
    Plain,
    /// Biased cups, faults of every kind, people in a hurry, readings made up
    Hard,
    /// The same with noise, wear and faults that no model would assume
    Unlike,
}

impl World {
    /// Its numbers.
    pub fn nature(self) -> Nature {
        match self {
            Self::Plain => Nature::plain(),
            Self::Hard => Nature::hard(),
            Self::Unlike => Nature::unlike(),
        }
    }
}
