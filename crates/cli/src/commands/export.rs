//! `ouncewise export`: everything as files that `load` reads back.
use crate::args::Export;
use crate::exit::{Exit, Failure};
use crate::output::Output;

/// Runs it.
pub fn run(_args: &Export, _output: &Output) -> Result<Exit, Failure> {
    Err(Failure::new(Exit::Bug, "not built yet"))
}
