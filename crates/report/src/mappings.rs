//! Mappings of sheets that were loaded before, each in a file of its own.

use std::fs;
use std::path::{Path, PathBuf};

use ouncewise_estate::sheets::{Mapping, TableRow};

use crate::failure::Failure;

/// A mapping that was used before for a sheet with the same headings.
#[must_use]
pub fn remembered(dir: &Path, rows: &[TableRow]) -> Option<Mapping> {
    let mut paths: Vec<PathBuf> =
        fs::read_dir(dir).ok()?.filter_map(|entry| Some(entry.ok()?.path())).collect();
    paths.sort();
    paths
        .iter()
        .filter_map(|path| Mapping::from_toml(&fs::read_to_string(path).ok()?).ok())
        .find(|mapping| mapping.fits(rows))
}

/// Keeps a mapping for the next sheet with the same headings; `name` is the file that it was used for.
///
/// # Errors
///
/// If the folder cannot be written to.
pub fn remember(dir: &Path, name: &str, mapping: &Mapping) -> Result<(), Failure> {
    fs::create_dir_all(dir).map_err(|e| Failure::io(dir, &e))?;
    let slug =
        ouncewise_estate::Key::suggest(name).map_or_else(|| "sheet".to_owned(), |k| k.to_string());
    let path = dir.join(format!("{slug}.toml"));
    fs::write(&path, mapping.to_toml()).map_err(|e| Failure::io(&path, &e))
}
