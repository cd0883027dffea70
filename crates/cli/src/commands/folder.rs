//! Reading and writing folders of files.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use ouncewise_report::Failure;

/// The largest estate file that is read: far more than ten thousand sites need.
const LARGEST: u64 = 256 * 1024 * 1024;

/// All TOML and CSV files below the paths, by their name relative to the folder that was named.
pub fn read(paths: &[PathBuf]) -> Result<BTreeMap<String, Vec<u8>>, Failure> {
    places(paths)?.into_iter().map(|(name, path)| Ok((name, contents(&path)?))).collect()
}

/// Where each of them lies on the disk.
pub fn places(paths: &[PathBuf]) -> Result<BTreeMap<String, PathBuf>, Failure> {
    let mut files = BTreeMap::new();
    for path in paths {
        let meta = fs::metadata(path).map_err(|e| Failure::io(path, &e))?;
        if meta.is_dir() {
            below(path, path, &mut files)?;
        } else {
            let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into());
            add(&mut files, name, path.clone())?;
        }
    }
    Ok(files)
}

/// Adds a file. What is told, and what is written, goes by its name: no two may have the same.
fn add(files: &mut BTreeMap<String, PathBuf>, name: String, path: PathBuf) -> Result<(), Failure> {
    let whole = |path: &Path| path.canonicalize().map_err(|e| Failure::io(path, &e));
    if let Some(other) = files.get(&name)
        && whole(other)? != whole(&path)?
    {
        let (one, other) = (other.display(), path.display());
        return Err(Failure::usage(format!("`{name}` is both {one} and {other}"))
            .hint("name one folder, or one of these files, after the other"));
    }
    files.insert(name, path);
    Ok(())
}

fn below(root: &Path, dir: &Path, files: &mut BTreeMap<String, PathBuf>) -> Result<(), Failure> {
    for entry in fs::read_dir(dir).map_err(|e| Failure::io(dir, &e))? {
        let path = entry.map_err(|e| Failure::io(dir, &e))?.path();
        // A link that leads back up would never end; no estate file needs one.
        let meta = fs::symlink_metadata(&path).map_err(|e| Failure::io(&path, &e))?;
        if meta.is_dir() {
            below(root, &path, files)?;
        } else if path.extension().is_some_and(|x| x == "toml" || x == "csv") {
            let name = path.strip_prefix(root).unwrap_or(&path);
            let name = name.components().map(|c| c.as_os_str().to_string_lossy());
            let name = name.collect::<Vec<_>>().join("/");
            add(files, name, path)?;
        }
    }
    Ok(())
}

fn contents(path: &Path) -> Result<Vec<u8>, Failure> {
    let size = fs::metadata(path).map_err(|e| Failure::io(path, &e))?.len();
    if size > LARGEST {
        return Err(Failure::data(format!("{} has {size} bytes", path.display()))
            .hint("an estate file has at most 256 MiB; catches go in with `load catches`"));
    }
    fs::read(path).map_err(|e| Failure::io(path, &e))
}

/// Makes sure that a folder is there and has nothing in it.
pub fn empty(dir: &Path) -> Result<(), Failure> {
    fs::create_dir_all(dir).map_err(|e| Failure::io(dir, &e))?;
    let mut entries = fs::read_dir(dir).map_err(|e| Failure::io(dir, &e))?;
    if entries.next().is_some() {
        return Err(Failure::usage(format!("{} is not empty", dir.display()))
            .hint("name a new folder: nothing is ever written over"));
    }
    Ok(())
}

/// Writes files below a folder.
pub fn write(dir: &Path, files: &BTreeMap<String, Vec<u8>>) -> Result<(), Failure> {
    for (name, bytes) in files {
        let path = dir.join(name);
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).map_err(|e| Failure::io(parent, &e))?;
        }
        fs::write(&path, bytes).map_err(|e| Failure::io(&path, &e))?;
    }
    Ok(())
}
