//! `ouncewise check`: every fault of estate files, at its place, all at once.

use super::{causes, faults, folder, profiles};
use crate::args::Check;
use crate::output::Output;
use ouncewise_estate::Estate;
use ouncewise_estate::fault::passes;
use ouncewise_estate::files::{self, Files};
use ouncewise_report::{CheckReport, Exit, Failure, FaultReport, many};

/// Runs it. The answer is no if there is a fault that is more than a warning.
pub fn run(args: &Check, output: &Output) -> Result<Exit, Failure> {
    let files = folder::read(&args.paths)?;
    let (rules, rest): (Files, Files) =
        files.clone().into_iter().partition(|(name, bytes)| profiles::is_one(name, bytes));
    let (lists, rest): (Files, Files) =
        rest.into_iter().partition(|(name, bytes)| causes::is_one(name, bytes));
    let no_estate = rest.is_empty() && !(rules.is_empty() && lists.is_empty());
    let (estate, mut found) =
        if no_estate { (Estate::default(), Vec::new()) } else { files::read(&rest) };
    found.extend(rules.iter().flat_map(|(name, bytes)| profiles::faults(name, bytes)));
    found.extend(lists.iter().flat_map(|(name, bytes)| causes::faults(name, bytes)));
    let report = CheckReport {
        passes: passes(&found),
        files: files.len(),
        sites: estate.sites.len(),
        machines: estate.sites.values().map(|s| s.machines.len()).sum(),
        lines: estate.lines().count(),
        faults: found.iter().map(FaultReport::from).collect(),
    };
    output.result(&report, || {
        format!(
            "{}{}: {}, {}, {} in {}\n",
            faults::render(&found, &files),
            faults::count(&found),
            many(report.sites, "site"),
            many(report.machines, "machine"),
            many(report.lines, "line"),
            many(report.files, "file")
        )
    });
    Ok(if report.passes { Exit::Done } else { Exit::No })
}
