//! `ouncewise check`: every fault of estate files, at its place, all at once.

use ouncewise_estate::fault::passes;
use ouncewise_estate::files;
use serde::Serialize;

use super::{faults, folder};
use crate::args::Check;
use crate::exit::{Exit, Failure};
use crate::output::Output;

#[derive(Serialize)]
struct CheckReport<'a> {
    passes: bool,
    sites: usize,
    machines: usize,
    lines: usize,
    faults: &'a [ouncewise_estate::Fault],
}

/// Runs it. The answer is no if there is a fault that is more than a warning.
pub fn run(args: &Check, output: &Output) -> Result<Exit, Failure> {
    let files = folder::read(&args.paths)?;
    let (estate, found) = files::read(&files);
    let report = CheckReport {
        passes: passes(&found),
        sites: estate.sites.len(),
        machines: estate.sites.values().map(|s| s.machines.len()).sum(),
        lines: estate.lines().count(),
        faults: &found,
    };
    output.result(&report, || {
        let CheckReport { sites, machines, lines, .. } = report;
        format!(
            "{}{}: {sites} sites, {machines} machines, {lines} lines in {} files\n",
            faults::render(&found, &files),
            faults::count(&found),
            files.len()
        )
    });
    Ok(if report.passes { Exit::Done } else { Exit::No })
}
