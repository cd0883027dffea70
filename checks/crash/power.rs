//! Power loss, simulated: every write and sync of a run is traced; at random points a disk is rebuilt that keeps
//! all that was synced and none, half or a torn part of the rest; what a store says on it is held against what
//! had been answered for by then.
//!
//! The simulator must be able to fail: with `synchronous` set to less than full it has to find losses, and a tree of
//! writes replayed without any sync has to look damaged or empty. It treats the order of names in a folder as kept.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Instant;

use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

use crate::Found;
use crate::kill::said;
use crate::trace::{self, Happened};
use crate::victim::{WRITERS, furnish, hold};

/// Records of each writer in a traced run.
const RECORDS: u64 = 150;

const KINDS: [Lost; 3] = [Lost::All, Lost::Half, Lost::Torn];

/// What becomes of writes that were not synced.
#[derive(Debug, Clone, Copy)]
enum Lost {
    /// None reach the disk.
    All,
    /// Each one does or does not.
    Half,
    /// They do in order, up to one that is cut at a sector of 512 bytes.
    Torn,
}

pub async fn check(dir: &Path) -> Found {
    let started = Instant::now();
    let full = run(dir, "full", 700).await?;
    let normal = run(dir, "normal", 60).await?;
    let off = run(dir, "off", 60).await?;
    if full.damaged + full.lost > 0 {
        return Err(format!("power lost: {full}; first: {}", full.first));
    }
    if normal.lost == 0 {
        return Err(format!(
            "the control that must lose records did not: synchronous NORMAL: {normal}"
        ));
    }
    if off.damaged == 0 {
        return Err(format!("the control that must be damaged was not: synchronous OFF: {off}"));
    }
    Ok(format!(
        "power lost: {full}; controls: NORMAL {normal}; OFF {off}; {:.0} s",
        started.elapsed().as_secs_f64()
    ))
}

struct Tally {
    images: u32,
    damaged: u32,
    lost: u32,
    operations: usize,
    syncs: usize,
    first: String,
}

impl std::fmt::Display for Tally {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Tally { images, damaged, lost, operations, syncs, .. } = self;
        write!(
            f,
            "{images} images of {operations} operations and {syncs} syncs, {damaged} damaged, {lost} with acknowledged records lost"
        )
    }
}

/// Traces a run, and looks at what would be left at `points` moments of it.
async fn run(dir: &Path, synchronous: &str, points: usize) -> Result<Tally, String> {
    let home = dir.join(format!("power-{synchronous}"));
    furnish(&home).await?;
    let mut disk = Disk::of(&home)?;
    let happened = traced(&home, synchronous)?;
    let syncs = happened.iter().filter(|h| matches!(h, Happened::Sync { .. })).count();
    let mut random = StdRng::seed_from_u64(7);
    let first_said =
        happened.iter().position(|h| matches!(h, Happened::Said(_))).ok_or("nothing was said")?;
    let mut moments: Vec<usize> =
        (0..points).map(|_| random.random_range(first_said..=happened.len())).collect();
    moments.sort_unstable();
    let mut moments = moments.into_iter().peekable();
    let image = dir.join("image");
    let mut answered = [0_u64; WRITERS as usize];
    let mut tally = Tally {
        images: 0,
        damaged: 0,
        lost: 0,
        operations: happened.len(),
        syncs,
        first: String::new(),
    };
    for (n, what) in
        happened.iter().chain(std::iter::once(&Happened::Said(String::new()))).enumerate()
    {
        while moments.next_if_eq(&n).is_some() {
            for lost in KINDS {
                disk.image(&image, lost, &mut random)?;
                tally.images += 1;
                if let Err(miss) = hold(&image, &answered).await {
                    if miss.starts_with("lost") {
                        tally.lost += 1;
                    } else {
                        tally.damaged += 1;
                    }
                    if tally.first.is_empty() {
                        tally.first = format!("at operation {n}, {lost:?}: {miss}");
                    }
                }
            }
        }
        match what {
            Happened::Said(lines) => {
                for (writer, n) in lines.lines().filter_map(said) {
                    answered[writer] = n + 1;
                }
            }
            other => disk.take(other),
        }
    }
    if answered != [RECORDS; WRITERS as usize] {
        return Err(format!("the trace tells of {answered:?} answers, not of {RECORDS} each"));
    }
    Ok(tally)
}

/// Runs the victim under `strace`.
fn traced(home: &Path, synchronous: &str) -> Result<Vec<Happened>, String> {
    let program = std::env::current_exe().map_err(|e| e.to_string())?;
    let log = home.with_extension("trace");
    let calls = "trace=openat,write,writev,pwrite64,pwritev,ftruncate,fallocate,fsync,fdatasync,sync_file_range,unlink,rename,renameat,renameat2";
    let done = Command::new("strace")
        .args(["-f", "-y", "-xx", "-s", "1000000", "-e", calls, "-o"])
        .args([log.as_os_str(), program.as_os_str(), "write".as_ref(), home.as_os_str()])
        .args([synchronous, &RECORDS.to_string(), "0", "0", "0", "0"])
        .stdout(Stdio::null())
        .status()
        .map_err(|e| format!("strace: {e}"))?;
    if !done.success() {
        return Err(format!("the traced run failed: {done}"));
    }
    let text = std::fs::read_to_string(&log).map_err(|e| e.to_string())?;
    trace::read(&text, home)
}

/// A disk: what is on it for certain, and what was written since.
struct Disk {
    home: PathBuf,
    files: BTreeMap<PathBuf, (Vec<u8>, Vec<Happened>)>,
}

impl Disk {
    /// What is in a folder now, all of it synced.
    fn of(home: &Path) -> Result<Disk, String> {
        let mut files = BTreeMap::new();
        for entry in std::fs::read_dir(home).map_err(|e| e.to_string())? {
            let path = entry.map_err(|e| e.to_string())?.path();
            let bytes = std::fs::read(&path).map_err(|e| e.to_string())?;
            files.insert(path, (bytes, Vec::new()));
        }
        Ok(Disk { home: home.to_owned(), files })
    }

    fn take(&mut self, what: &Happened) {
        match what {
            Happened::Write { file, .. } | Happened::Truncate { file, .. } => {
                self.files.entry(file.clone()).or_default().1.push(what.clone());
            }
            Happened::Sync { file } => {
                if let Some((bytes, waiting)) = self.files.get_mut(file) {
                    waiting.drain(..).for_each(|what| apply(bytes, &what, usize::MAX));
                }
            }
            Happened::Remove { file } => {
                self.files.remove(file);
            }
            Happened::Said(_) => {}
        }
    }

    /// Writes out what would be there if the power went now.
    fn image(&self, to: &Path, lost: Lost, random: &mut StdRng) -> Result<(), String> {
        let _ = std::fs::remove_dir_all(to);
        std::fs::create_dir_all(to).map_err(|e| e.to_string())?;
        for (path, (synced, waiting)) in &self.files {
            let mut bytes = synced.clone();
            let cut = random.random_range(0..=waiting.len());
            for (n, what) in waiting.iter().enumerate() {
                match lost {
                    Lost::All => {}
                    Lost::Half if random.random_bool(0.5) => apply(&mut bytes, what, usize::MAX),
                    Lost::Half => {}
                    Lost::Torn if n < cut => apply(&mut bytes, what, usize::MAX),
                    Lost::Torn if n == cut => {
                        apply(&mut bytes, what, 512 * random.random_range(0..8));
                    }
                    Lost::Torn => {}
                }
            }
            let name = path.strip_prefix(&self.home).map_err(|e| e.to_string())?;
            std::fs::write(to.join(name), bytes).map_err(|e| e.to_string())?;
        }
        Ok(())
    }
}

/// Does what was done, or only the first `most` bytes of it.
fn apply(bytes: &mut Vec<u8>, what: &Happened, most: usize) {
    match what {
        Happened::Write { at, bytes: new, .. } => {
            let new = &new[..new.len().min(most)];
            if bytes.len() < at + new.len() {
                bytes.resize(at + new.len(), 0);
            }
            bytes[*at..at + new.len()].copy_from_slice(new);
        }
        Happened::Truncate { size, .. } => bytes.resize(*size, 0),
        _ => {}
    }
}
