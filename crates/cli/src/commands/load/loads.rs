//! `ouncewise load list` and `load undo`.

use jiff::Timestamp;
use ouncewise_store::Load;
use serde::Serialize;

use crate::args::{LoadList, LoadUndo};
use crate::commands::{ask, opened};
use crate::exit::{Exit, Failure};
use crate::output::Output;

#[derive(Serialize)]
struct Listed {
    /// Counted from 1 in order of time.
    number: usize,
    #[serde(flatten)]
    load: Load,
}

/// Loads by number, oldest first.
fn numbered(mut loads: Vec<Load>) -> Vec<Listed> {
    loads.sort_by_key(|load| (load.at_ms, load.id));
    loads.into_iter().enumerate().map(|(i, load)| Listed { number: i + 1, load }).collect()
}

/// Lists what was loaded, newest first.
pub fn list(args: &LoadList, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let mut loads = numbered(store.loads().await?);
        store.close().await?;
        loads.reverse();
        output.result(&loads, || {
            if loads.is_empty() {
                return "nothing was loaded yet: `ouncewise load sheet FILE`\n".to_owned();
            }
            let mut table = output.table(&["load", "when (UTC)", "file", "records", ""]);
            for Listed { number, load } in &loads {
                let when = Timestamp::from_millisecond(load.at_ms)
                    .map_or_else(|_| String::new(), |t| t.strftime("%Y-%m-%d %H:%M").to_string());
                let undone = if load.undone_ms.is_some() { "withdrawn" } else { "" };
                table.add_row([
                    &number.to_string(),
                    &when,
                    &load.name,
                    &load.added.to_string(),
                    undone,
                ]);
            }
            format!("{table}\n")
        });
        Ok(Exit::Done)
    })
}

/// Withdraws a load.
pub fn undo(args: &LoadUndo, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let loads = numbered(store.loads().await?);
        let wanted = loads.into_iter().find(|l| usize::try_from(args.load) == Ok(l.number));
        let Some(Listed { number, load }) = wanted else {
            return Err(Failure::usage(format!("there is no load {}", args.load))
                .hint("`ouncewise load list` shows their numbers"));
        };
        if load.undone_ms.is_some() {
            return Err(Failure::usage(format!("load {number} was withdrawn before")));
        }
        let question =
            format!("Withdraw the {} records of load {number} ({})?", load.added, load.name);
        if !ask::go_on(&question, args.yes)? {
            return Ok(Exit::No);
        }
        let withdrawn = store.undo(load.id, None).await?;
        store.close().await?;
        output.result(&serde_json::json!({ "withdrawn": withdrawn }), || {
            format!("{withdrawn} records withdrawn; they stay in the ledger, marked. The file can be loaded again.\n")
        });
        Ok(Exit::Done)
    })
}
