//! `ouncewise load list` and `load undo`.

use ouncewise_report::{Exit, Failure, LoadReport, LoadsReport, UndoReport, many};
use ouncewise_store::{Load, Undone};

use crate::args::{LoadList, LoadUndo};
use crate::commands::{ask, opened};
use crate::output::Output;

/// Loads with their numbers: counted from 1 in order of time.
fn numbered(mut loads: Vec<Load>) -> Vec<(usize, Load)> {
    loads.sort_by_key(|load| (load.at_ms, load.id));
    loads.into_iter().enumerate().map(|(i, load)| (i + 1, load)).collect()
}

/// Lists what was loaded, newest first.
pub fn list(args: &LoadList, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let loads = numbered(store.loads().await?);
        store.close().await?;
        let loads = loads.iter().rev().map(|(number, load)| LoadReport::new(*number, load));
        let report = LoadsReport { loads: loads.collect() };
        output.result(&report, || words(&report, output));
        Ok(Exit::Done)
    })
}

fn words(report: &LoadsReport, output: &Output) -> String {
    if report.loads.is_empty() {
        return "Nothing was loaded yet. Bring in a spreadsheet: `ouncewise load sheet FILE`.\n"
            .to_owned();
    }
    let mut table = output.table(&["load", "when (UTC)", "file", "records", ""]);
    for load in &report.loads {
        let when = load.at.get(..16).unwrap_or(&load.at).replace('T', " ");
        let withdrawn = if load.withdrawn_at.is_some() { "withdrawn" } else { "" };
        table.add_row([
            &load.number.to_string(),
            &when,
            &load.name,
            &load.added.to_string(),
            withdrawn,
        ]);
    }
    format!("{table}\n")
}

/// Withdraws a load.
pub fn undo(args: &LoadUndo, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let loads = numbered(store.loads().await?);
        let wanted = loads.into_iter().find(|(number, _)| *number == args.load);
        let Some((number, load)) = wanted else {
            return Err(Failure::usage(format!("there is no load {}", args.load))
                .hint("`ouncewise load list` shows their numbers"));
        };
        if load.undone_ms.is_some() {
            return Err(Failure::usage(format!("load {number} was withdrawn before"))
                .hint("`ouncewise load list` shows what still stands"));
        }
        let question = format!(
            "Withdraw the {} of load {number} ({})?",
            many(load.added, "record"),
            load.name
        );
        if !ask::go_on(&question, args.yes)? {
            return Ok(Exit::No);
        }
        let Undone { withdrawn, set_up, kept } = store.undo(load.id, None).await?;
        store.close().await?;
        output.result(&UndoReport { withdrawn, set_up, kept }, || {
            let with = match set_up {
                0 => String::new(),
                things => format!(", and {} that it set up", many(things, "thing")),
            };
            let stay = if kept == 0 {
                String::new()
            } else {
                format!(
                    " {} that it set up stay: other records are about them, so a new answer does not change them; \
                     Set up does, or `ouncewise load estate`.",
                    many(kept, "thing")
                )
            };
            format!(
                "{} withdrawn{with}. They stay in the ledger, marked; the file can be loaded again.{stay}\n",
                many(withdrawn, "record")
            )
        });
        Ok(Exit::Done)
    })
}
