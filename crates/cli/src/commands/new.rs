//! `ouncewise new`: starter files, to edit.

use std::collections::BTreeMap;

use super::folder;
use crate::args::New;
use crate::exit::{Exit, Failure};
use crate::output::Output;

/// Runs it.
pub fn run(args: &New, output: &Output) -> Result<Exit, Failure> {
    folder::empty(&args.dir)?;
    let files: BTreeMap<String, Vec<u8>> = ouncewise_estate::starter::files();
    folder::write(&args.dir, &files)?;
    let names: Vec<&String> = files.keys().collect();
    output.result(&names, || {
        names.iter().map(|name| format!("{}\n", args.dir.join(name).display())).collect()
    });
    let dir = args.dir.display();
    output.say(&format!(
        "Edit these, then `ouncewise check {dir}` and `ouncewise load estate {dir}`."
    ));
    Ok(Exit::Done)
}
