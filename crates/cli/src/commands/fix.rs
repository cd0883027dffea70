//! `ouncewise check --fix`: what is safe to mend in procedures, shown as a difference, asked about, and written whole or not at all.

use std::io::Write;
use std::path::{Path, PathBuf};

use ouncewise_estate::files::Files;
use ouncewise_report::{Failure, FixReport, many};
use similar::TextDiff;

use super::{ask, folder, procedures};
use crate::output::Output;

/// Mends what is safe to mend among the files, and says what. Nothing is written unless somebody says yes.
pub fn run(
    files: &Files,
    paths: &[PathBuf],
    yes: bool,
    output: &Output,
) -> Result<Vec<FixReport>, Failure> {
    let mut fixed = Vec::new();
    let mut texts: Vec<(PathBuf, String)> = Vec::new();
    let mut places = folder::places(paths)?;
    for (name, before, mended) in procedures::mended(files, paths) {
        let Some(path) = places.remove(&name) else { continue };
        if mended.changes.is_empty() {
            continue;
        }
        let diff = TextDiff::from_lines(before.as_str(), mended.text.as_str());
        let shown = diff.unified_diff().context_radius(1).header(&name, "mended").to_string();
        output.say(shown.trim_end());
        fixed.extend(mended.changes.into_iter().map(|change| FixReport {
            file: name.clone(),
            line: change.line,
            says: change.says,
        }));
        texts.push((path, mended.text));
    }
    if texts.is_empty() {
        output.say("Nothing that is safe to mend was found.");
        return Ok(fixed);
    }
    let question =
        format!("Write {} to {}?", many(fixed.len(), "change"), many(texts.len(), "file"));
    if !ask::go_on(&question, yes)? {
        output.say("Nothing was written.");
        return Ok(Vec::new());
    }
    for (path, text) in &texts {
        write(path, text)?;
    }
    Ok(fixed)
}

/// Writes a file whole or not at all: beside it first, then in its place.
fn write(path: &Path, text: &str) -> Result<(), Failure> {
    let failed = |e: &std::io::Error| Failure::io(path, e);
    // What a link leads to is written, and the link stays.
    let path = path.canonicalize().map_err(|e| failed(&e))?;
    let dir = path.parent().unwrap_or(Path::new("."));
    let mut file = tempfile::NamedTempFile::new_in(dir).map_err(|e| failed(&e))?;
    file.write_all(text.as_bytes()).map_err(|e| failed(&e))?;
    let kept = std::fs::metadata(&path).map_err(|e| failed(&e))?.permissions();
    file.as_file().set_permissions(kept).map_err(|e| failed(&e))?;
    file.as_file().sync_all().map_err(|e| failed(&e))?;
    file.persist(&path).map_err(|e| failed(&e.error))?;
    Ok(())
}
