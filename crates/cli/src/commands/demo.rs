//! `ouncewise demo`: Larkfield Counters, a made-up group whose truth is known.

use jiff::civil::{Date, date};
use ouncewise_estate::{Estate, Units, plan};
use ouncewise_ledger::{Draft, Entered, Record};
use ouncewise_simulate::larkfield;
use ouncewise_store::{LoadOptions, Location, Store};

use super::{folder, week};
use crate::args::{Demo, UnitsChoice};
use crate::exit::{Exit, Failure};
use crate::output::Output;

/// The last day of the made-up year: a Sunday, so that the week is whole.
const LAST_DAY: Date = date(2026, 3, 1);

/// Runs it.
pub fn run(args: &Demo, output: &Output) -> Result<Exit, Failure> {
    let units = match args.units {
        UnitsChoice::Metric => Units::Metric,
        UnitsChoice::Us => Units::Us,
    };
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
        let store = Store::open(&Location::Dir(dir.clone())).await?;
        fill(&store, &larkfield::estate(units), args.seed, output).await?;
        week::show(&store, None, args.top, output).await?;
        store.close().await?;
        Ok(())
    })?;
    match &args.keep {
        Some(dir) => {
            output.say(&format!("Kept in {0}: try `ouncewise week --data {0}`.", dir.display()));
        }
        None => output
            .say("All of this is made up. Keep it to look around: `ouncewise demo --keep DIR`."),
    }
    Ok(Exit::Done)
}

/// Appends the estate and a year of records.
async fn fill(store: &Store, estate: &Estate, seed: u64, output: &Output) -> Result<(), Failure> {
    let first_day = larkfield::weeks(estate, seed, LAST_DAY)
        .next()
        .and_then(|week| week.drafts.first().map(|draft| draft.record.at.clone()))
        .ok_or_else(|| Failure::new(Exit::Bug, "the demo has no records"))?;
    let described = described(&Estate::default(), estate, &first_day);
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

/// The records that lead from one estate to another, all at the same moment.
pub fn described(current: &Estate, wanted: &Estate, at: &str) -> Vec<Draft> {
    plan::changes(current, wanted)
        .changes
        .into_iter()
        .enumerate()
        .map(|(sequence, change)| {
            Draft::from(Record {
                v: 1,
                id: uuid::Uuid::now_v7(),
                scope: change.scope,
                subject: change.subject,
                at: at.to_owned(),
                device: "desk".to_owned(),
                sequence: sequence as u64,
                by: None,
                entered: Entered::AtDesk,
                note: None,
                body: change.body,
            })
        })
        .collect()
}
