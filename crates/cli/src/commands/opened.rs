//! Opening the store that `--data` names.

use std::future::Future;
use std::path::PathBuf;

use ouncewise_store::{FILE, Location, Store};

use crate::args::Data;
use crate::output::Output;
use ouncewise_report::{Exit, Failure};

/// Where the store is: `--data`, `OUNCEWISE_DATA`, or a folder among the user's own data.
pub fn location(data: &Data) -> Result<Location, Failure> {
    match data.data.as_deref() {
        Some(url) if url.starts_with("postgres://") || url.starts_with("postgresql://") => {
            Ok(Location::Url(url.to_owned()))
        }
        Some("") => Err(Failure::usage("--data is empty").hint("name a folder")),
        Some(dir) => Ok(Location::Dir(PathBuf::from(dir))),
        None => directories::ProjectDirs::from("", "", "ouncewise")
            .map(|dirs| Location::Dir(dirs.data_dir().to_owned()))
            .ok_or_else(|| {
                Failure::usage("this user has no home folder").hint("name a folder with --data")
            }),
    }
}

/// Opens the store, making it where there is none.
pub async fn make(data: &Data) -> Result<Store, Failure> {
    Ok(Store::open(&location(data)?).await?)
}

/// Whether a store is there. Of one at an address, only opening it can tell.
pub fn is_there(data: &Data) -> Result<bool, Failure> {
    Ok(match location(data)? {
        Location::Dir(dir) => dir.join(FILE).exists(),
        Location::Url(_) => true,
    })
}

/// Opens the store that is there. Where there is none, says what to do next.
pub async fn existing(data: &Data) -> Result<Store, Failure> {
    let location = location(data)?;
    if let Location::Dir(dir) = &location
        && !dir.join(FILE).exists()
    {
        return Err(Failure::new(
            Exit::Unavailable,
            format!("there is no ledger in {} yet", dir.display()),
        )
        .hint(
            "bring in your own spreadsheet with `ouncewise load sheet FILE`, \
             describe a group with `ouncewise new DIR`, or look around with `ouncewise demo --keep DIR`",
        ));
    }
    Ok(Store::open(&location).await?)
}

/// Runs the asynchronous part of a command to its end.
pub fn block_on<T>(work: impl Future<Output = Result<T, Failure>>) -> Result<T, Failure> {
    tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(|e| Failure::new(Exit::Unavailable, format!("cannot start: {e}")))?
        .block_on(work)
}

/// This moment as a record spells it, in the time zone of this machine.
pub fn now() -> String {
    let now = jiff::ZonedDateTime::now();
    ouncewise_ledger::time::at(now.timestamp(), now.offset())
}

/// Has the store follow its lines' histories, and shows how far it is where that takes long.
pub async fn follow(store: &Store, output: &Output) -> Result<(), Failure> {
    let all = store.behind().await?;
    if all == 0 {
        return Ok(());
    }
    let bar = output.progress(Some(all), "Following histories, site by site");
    loop {
        let left = store.follow_on().await?;
        if left == 0 {
            bar.finish_and_clear();
            return Ok(());
        }
        bar.set_position(all.saturating_sub(left));
    }
}
