//! `ouncewise new`: starter files, to edit.

use std::collections::BTreeMap;

use ouncewise_report::{Exit, Failure, NewReport};

use super::folder;
use crate::args::New;
use crate::output::Output;

/// Runs it.
pub fn run(args: &New, output: &Output) -> Result<Exit, Failure> {
    folder::empty(&args.dir)?;
    let files: BTreeMap<String, Vec<u8>> = ouncewise_estate::starter::files();
    folder::write(&args.dir, &files)?;
    let report = NewReport { dir: args.dir.clone(), files: files.into_keys().collect() };
    output.result(&report, || {
        report.files.iter().map(|name| format!("{}\n", args.dir.join(name).display())).collect()
    });
    let dir = args.dir.display();
    output.say(&format!(
        "Edit these, then `ouncewise check {dir}` and `ouncewise load estate {dir}`."
    ));
    Ok(Exit::Done)
}
