//! Reads what `strace -f -y -xx` wrote: the calls that change files, and what was said, in the order in which they ended.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// Something that happened, as far as it matters for what is on a disk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Happened {
    Write {
        file: PathBuf,
        at: usize,
        bytes: Vec<u8>,
    },
    Truncate {
        file: PathBuf,
        size: usize,
    },
    Sync {
        file: PathBuf,
    },
    Remove {
        file: PathBuf,
    },
    /// The victim told the world.
    Said(String),
}

/// Reads a trace; `dir` is the folder that matters.
///
/// # Errors
/// A call that this reader does not know how to replay: better no answer than a wrong one.
pub fn read(text: &str, dir: &Path) -> Result<Vec<Happened>, String> {
    let mut open: HashMap<&str, String> = HashMap::new();
    let mut all = Vec::new();
    for line in text.lines() {
        let Some((thread, call)) = line.trim_start().split_once(' ') else { continue };
        let call = call.trim_start();
        if let Some(begun) = call.strip_suffix("<unfinished ...>") {
            open.insert(thread, begun.to_owned());
            continue;
        }
        let whole = match call.strip_prefix("<... ") {
            Some(rest) => {
                let begun = open.remove(thread).ok_or_else(|| format!("no beginning: {line}"))?;
                let end = rest.split_once("resumed>").ok_or_else(|| format!("no end: {line}"))?.1;
                format!("{begun}{end}")
            }
            None => call.to_owned(),
        };
        if let Some(happened) = one(&whole, dir)? {
            all.push(happened);
        }
    }
    Ok(all)
}

fn one(call: &str, dir: &Path) -> Result<Option<Happened>, String> {
    let odd = || format!("cannot replay: {}", &call[..call.len().min(200)]);
    let Some((name, rest)) = call.split_once('(') else { return Ok(None) };
    // strace pads before the sign.
    let Some((args, result)) = rest.rsplit_once(" = ") else { return Ok(None) };
    let Some(args) = args.trim_end().strip_suffix(')') else { return Ok(None) };
    if result.starts_with('-') {
        return Ok(None);
    }
    // `7</folder/file>`: what -y tells of a descriptor.
    let file = || -> Option<PathBuf> {
        let path = args.split_once('<')?.1.split_once('>')?.0;
        let path = PathBuf::from(String::from_utf8(hex(path)).ok()?);
        // The shared-memory index is made anew after a crash.
        (path.starts_with(dir) && !path.to_string_lossy().ends_with("-shm")).then_some(path)
    };
    let fields: Vec<&str> = args.split(", ").collect();
    let number =
        |text: Option<&&str>| text.and_then(|t| t.trim().parse::<usize>().ok()).ok_or_else(odd);
    Ok(match name {
        "write" if args.starts_with("1<") || args.starts_with("1,") => {
            let bytes = fields.get(1).map(|t| quoted(t)).ok_or_else(odd)?;
            Some(Happened::Said(String::from_utf8(bytes).map_err(|_| odd())?))
        }
        "pwrite64" => match file() {
            Some(file) => {
                let bytes = fields.get(1).map(|t| quoted(t)).ok_or_else(odd)?;
                let (size, at) = (number(fields.get(2))?, number(fields.get(3))?);
                // The process ended during the call: it may have been done or not, like any write not synced.
                let unknown = result.starts_with('?');
                // strace cuts long text short, and a write may be cut short itself.
                let whole = unknown || result.split(' ').next() == Some(&size.to_string());
                if bytes.len() != size || !whole {
                    return Err(odd());
                }
                Some(Happened::Write { file, at, bytes })
            }
            None => None,
        },
        "ftruncate" => match file() {
            Some(file) => Some(Happened::Truncate { file, size: number(fields.get(1))? }),
            None => None,
        },
        "fsync" | "fdatasync" if result.starts_with('?') => None,
        "fsync" | "fdatasync" => file().map(|file| Happened::Sync { file }),
        "unlink" => {
            let path = PathBuf::from(String::from_utf8(quoted(args)).map_err(|_| odd())?);
            path.starts_with(dir).then_some(Happened::Remove { file: path })
        }
        "openat" if !args.contains("O_TRUNC") => None,
        "openat" | "write" | "pwritev" | "writev" | "fallocate" | "rename" | "renameat"
        | "renameat2" | "sync_file_range" => {
            // Elsewhere they do not matter.
            if args.contains(&dir.display().to_string()) || file().is_some() {
                return Err(odd());
            }
            None
        }
        _ => None,
    })
}

/// The bytes of `"\x41\x42"`.
fn quoted(text: &str) -> Vec<u8> {
    hex(text.trim().trim_matches('"'))
}

/// `\x41\x42` to bytes; what is not so written is taken as it is.
fn hex(text: &str) -> Vec<u8> {
    let bytes = text.as_bytes();
    let mut out = Vec::with_capacity(bytes.len() / 4);
    let mut at = 0;
    while at < bytes.len() {
        let digits = bytes.get(at + 2..at + 4).and_then(|d| std::str::from_utf8(d).ok());
        match (bytes[at], digits.and_then(|d| u8::from_str_radix(d, 16).ok())) {
            (b'\\', Some(byte)) => {
                out.push(byte);
                at += 4;
            }
            (plain, _) => {
                out.push(plain);
                at += 1;
            }
        }
    }
    out
}
