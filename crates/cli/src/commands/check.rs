//! `ouncewise check`: every fault of estate files and of procedures, at its place, all at once.

use super::{causes, faults, fix, folder, procedures, profiles};
use crate::args::Check;
use crate::output::Output;
use ouncewise_estate::Estate;
use ouncewise_estate::fault::passes;
use ouncewise_estate::files::{self, Files};
use ouncewise_report::{CheckReport, Exit, Failure, FaultReport, HeldTo, many};

/// Runs it. The answer is no if there is a fault that is more than a warning.
pub fn run(args: &Check, output: &Output) -> Result<Exit, Failure> {
    let terms = profiles::terms(&args.code)?;
    let mut files = folder::read(&args.paths)?;
    let mut fixed = Vec::new();
    if args.fix {
        fixed = fix::run(&files, &args.paths, args.yes, output)?;
        files = folder::read(&args.paths)?;
    }
    let (rules, rest): (Files, Files) =
        files.clone().into_iter().partition(|(name, bytes)| profiles::is_one(name, bytes));
    let (written, rest): (Files, Files) =
        rest.into_iter().partition(|(name, bytes)| procedures::is_one(name, bytes));
    let (lists, rest): (Files, Files) =
        rest.into_iter().partition(|(name, bytes)| causes::is_one(name, bytes));
    let no_estate =
        rest.is_empty() && !(rules.is_empty() && lists.is_empty() && written.is_empty());
    let (estate, mut found) =
        if no_estate { (Estate::default(), Vec::new()) } else { files::read(&rest) };
    found.extend(rules.iter().flat_map(|(name, bytes)| profiles::faults(name, bytes)));
    found.extend(lists.iter().flat_map(|(name, bytes)| causes::faults(name, bytes)));
    let procedures = procedures::checked(&written, &args.paths, &terms);
    found.extend(procedures.faults);
    let report = CheckReport {
        passes: passes(&found),
        files: files.len(),
        sites: estate.sites.len(),
        machines: estate.sites.values().map(|s| s.machines.len()).sum(),
        lines: estate.lines().count(),
        faults: found.iter().map(FaultReport::from).collect(),
        fixed,
        held_to: (!procedures.procedures.is_empty()).then(|| HeldTo::of(&terms)),
        procedures: procedures.procedures,
    };
    output.result(&report, || {
        let told: String = report.procedures.iter().map(procedures::stories).collect();
        let held =
            report.held_to.as_ref().map_or_else(String::new, |held| format!("{}\n", held.says));
        let drawn = faults::render(&found, &files);
        let count = faults::count(&found);
        let read = many(report.files, "file");
        let about = if no_estate {
            let texts = many(report.procedures.len(), "procedure");
            format!("{texts} in {read}")
        } else {
            format!(
                "{}, {}, {} in {read}",
                many(report.sites, "site"),
                many(report.machines, "machine"),
                many(report.lines, "line")
            )
        };
        format!("{drawn}{told}{held}{count}: {about}\n")
    });
    Ok(if report.passes { Exit::Done } else { Exit::No })
}
