//! `ouncewise load`: an estate, records in known columns, or a sheet with headings of one's own.

mod estate;
mod known;
mod loads;
mod records;
mod rows;
mod sheet;

use ouncewise_estate::sheets::Door;

use crate::args::{Load, LoadWhat};
use crate::output::Output;
use ouncewise_report::{Exit, Failure};

/// Runs it.
pub fn run(args: &Load, output: &Output) -> Result<Exit, Failure> {
    match &args.what {
        LoadWhat::Estate(args) => estate::run(args, output),
        LoadWhat::Catches(args) => known::run(args, Door::Catches, output),
        LoadWhat::Adjustments(args) => known::run(args, Door::Adjustments, output),
        LoadWhat::Parts(args) => known::run(args, Door::Parts, output),
        LoadWhat::Products(args) => known::run(args, Door::Products, output),
        LoadWhat::Rounds(args) => known::run(args, Door::Rounds, output),
        LoadWhat::Records(args) => records::run(args, output),
        LoadWhat::Sheet(args) => sheet::run(args, output),
        LoadWhat::List(args) => loads::list(args, output),
        LoadWhat::Undo(args) => loads::undo(args, output),
    }
}
