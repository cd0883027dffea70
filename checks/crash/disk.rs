//! A disk that is full, and a folder that may not be written: a clear error, and nothing lost.

use std::path::Path;

use ouncewise_ledger::Draft;
use ouncewise_store::{FILE, Kind, Location, Store, StoreError, Synchronous};

use crate::Found;
use crate::victim::{draft, furnish, hold, open};

/// Moments at which the disk runs out.
const POINTS: u64 = 50;

/// `dir` is on a small disk of its own: it is filled so that a run breaks off at each of fifty points.
pub async fn full(dir: &Path) -> Found {
    let mut refusals = 0;
    let mut kept = 0;
    for point in 0..POINTS {
        let home = dir.join("full");
        let ballast = dir.join("ballast");
        let _ = std::fs::remove_dir_all(&home);
        let _ = std::fs::remove_file(&ballast);
        if point % 2 == 0 {
            furnish(&home).await?;
        }
        fill(&ballast, 8192 * point)?;
        // A full disk may refuse the opening already.
        let mut answered = 0;
        match open_raw(&home).await {
            Err(e) => {
                refused(&e)?;
                refusals += 1;
            }
            Ok(store) => {
                let broke = loop {
                    match store.append(vec![big(answered)]).await {
                        Ok(_) => answered += 1,
                        Err(e) => break e,
                    }
                };
                refused(&broke)?;
                refusals += 1;
                std::fs::remove_file(&ballast).map_err(|e| e.to_string())?;
                // The same open store goes on once there is room.
                for _ in 0..2 {
                    store
                        .append(vec![big(answered)])
                        .await
                        .map_err(|e| format!("with room again: {e}"))?;
                    answered += 1;
                }
                store.close().await.map_err(|e| e.to_string())?;
            }
        }
        let _ = std::fs::remove_file(&ballast);
        kept +=
            hold(&home, &[answered, 0, 0, 0]).await.map_err(|e| format!("point {point}: {e}"))?;
    }
    Ok(format!(
        "disk full at {POINTS} points: {refusals} clear errors, 0 damaged, 0 of {kept} records lost, and each store went on with room again"
    ))
}

async fn open_raw(dir: &Path) -> Result<Store, StoreError> {
    Store::open(&Location::Dir(dir.to_owned())).await
}

/// A record that fills a disk quickly.
fn big(n: u64) -> Draft {
    Draft { note: Some("x".repeat(6_000)), ..draft(0, n) }
}

fn refused(error: &StoreError) -> Result<(), String> {
    let words = error.to_string();
    if matches!(error, StoreError::Full { .. })
        && error.kind().exit_code() == 74
        && words.contains("Free some space")
    {
        return Ok(());
    }
    Err(format!("a full disk is said to be: {words}"))
}

/// Takes up the disk but for `left` bytes.
fn fill(ballast: &Path, left: u64) -> Result<(), String> {
    let mut file = std::fs::File::create(ballast).map_err(|e| e.to_string())?;
    let block = [0_u8; 4096];
    while std::io::Write::write_all(&mut file, &block).is_ok() {}
    let size = file.metadata().map_err(|e| e.to_string())?.len();
    file.set_len(size.saturating_sub(left)).map_err(|e| e.to_string())
}

/// `dir/store` holds a store, and everything under `dir` has been made read-only since.
pub async fn read_only(dir: &Path) -> Found {
    let home = dir.join("store");
    if !home.exists() {
        furnish(&home).await?;
        let store = open(&home, Synchronous::Full).await?;
        store.append(vec![draft(0, 0)]).await.map_err(|e| e.to_string())?;
        store.close().await.map_err(|e| e.to_string())?;
        return Ok(String::new());
    }
    let before = std::fs::read(home.join(FILE)).map_err(|e| e.to_string())?;
    for place in [home.clone(), dir.join("new")] {
        let error = match open_raw(&place).await {
            Ok(_) => return Err(format!("{} could be opened", place.display())),
            Err(e) => e,
        };
        let words = error.to_string();
        if error.kind() != Kind::Io
            || !words.contains("cannot be written")
            || !words.contains("--data")
        {
            return Err(format!("a folder that may not be written is said to be: {words}"));
        }
    }
    if std::fs::read(home.join(FILE)).map_err(|e| e.to_string())? != before {
        return Err("the store was changed".to_owned());
    }
    Ok("read-only folder: a clear error for a store and for a new one, nothing changed".to_owned())
}
