//! `ouncewise sheet`: the machine sheet, as text or as a page to print.
use crate::args::Sheet;
use crate::exit::{Exit, Failure};
use crate::output::Output;

/// Runs it.
pub fn run(_args: &Sheet, _output: &Output) -> Result<Exit, Failure> {
    Err(Failure::new(Exit::Bug, "not built yet"))
}
