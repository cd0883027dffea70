//! `ouncewise demo`: Larkfield Counters, a made-up group whose truth is known.

use std::net::SocketAddr;

use jiff::Timestamp;
use jiff::civil::{Date, date};
use jiff::tz::Offset;
use ouncewise_estate::{Estate, Units};
use ouncewise_simulate::larkfield;
use ouncewise_store::{Clock, LoadOptions, Location, Store};
use ouncewise_web::{ServeError, bind};

use super::{folder, serve, week};
use crate::args::Demo;
use crate::output::Output;
use ouncewise_report::{Exit, Failure};

/// The last day of the made-up year: a Sunday, so that the week is whole.
const LAST_DAY: Date = date(2026, 3, 1);

/// Runs it.
pub fn run(args: &Demo, output: &Output) -> Result<Exit, Failure> {
    let units = output.units(Units::default());
    // The folder goes when this ends, unless it is to be kept.
    let temporary;
    let dir = match &args.keep {
        Some(dir) => {
            folder::empty(dir)?;
            dir.clone()
        }
        None => {
            temporary = tempfile::tempdir().map_err(|e| Failure::io(&std::env::temp_dir(), &e))?;
            temporary.path().to_owned()
        }
    };
    super::opened::block_on(async {
        let location = Location::Dir(dir.clone());
        let store = Store::open(&location).await?;
        fill(&store, &larkfield::estate(units), args.seed, output).await?;
        week::show(&store, None, args.top, last_evening(), output).await?;
        match &args.keep {
            Some(dir) => output
                .say(&format!("Kept in {0}: see it again with `ouncewise serve --data {0}`.", dir.display())),
            None => output
                .say("All of this is made up, and goes when you stop. Keep it with `ouncewise demo --keep DIR`."),
        }
        if args.no_serve || output.json() {
            return Ok(store.close().await?);
        }
        let listener = match (args.listen, bind(args.listen.unwrap_or(serve::USUAL)).await) {
            (None, Err(ServeError::Listen(taken, _))) => bind(SocketAddr::new(taken.ip(), 0)).await,
            (_, bound) => bound,
        };
        let listener = listener.map_err(|e| serve::refused(&e))?;
        serve::until_stopped(
            store,
            listener,
            evening_of_last_day(),
            serve::mappings(&location),
            output,
        )
        .await
    })?;
    Ok(Exit::Done)
}

/// The evening of the last day.
fn last_evening() -> Timestamp {
    Offset::UTC.to_timestamp(LAST_DAY.at(20, 0, 0, 0)).unwrap_or(Timestamp::MAX)
}

/// The clock of the made-up group: it is the evening of its last day, and goes on from there.
fn evening_of_last_day() -> Clock {
    let (begun, evening) = (Timestamp::now(), last_evening());
    Clock::new(move || {
        evening.saturating_add(Timestamp::now().duration_since(begun)).unwrap_or(Timestamp::MAX)
    })
}

/// Appends the estate and a year of records.
async fn fill(store: &Store, estate: &Estate, seed: u64, output: &Output) -> Result<(), Failure> {
    let first_day = larkfield::weeks(estate, seed, LAST_DAY)
        .next()
        .and_then(|week| week.drafts.first().map(|draft| draft.record.at.clone()))
        .ok_or_else(|| Failure::new(Exit::Bug, "the demo has no records"))?;
    let described = ouncewise_report::described(&Estate::default(), estate, &first_day);
    store.append(described).await?;
    let bar = output.progress(None, "living through a year");
    let progress = bar.clone();
    let options = LoadOptions { name: "demo".to_owned(), ..LoadOptions::default() };
    let mut loader =
        store.loader(options, move |so_far| progress.set_position(so_far.drafts)).await?;
    for draft in larkfield::drafts(estate, seed, LAST_DAY) {
        loader.push(draft).await?;
    }
    loader.finish().await?;
    bar.finish_and_clear();
    Ok(())
}
