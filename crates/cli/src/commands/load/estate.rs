//! `ouncewise load estate`: shows what would change, then appends it. Retires, never deletes.

use ouncewise_estate::fault::passes;
use ouncewise_estate::plan::{self, Sort};
use ouncewise_estate::{Estate, files};
use ouncewise_report::{EstateReport, Exit, Failure, plan_allergens};
use ouncewise_store::Store;

use crate::args::LoadEstate;
use crate::commands::{ask, faults, folder, opened};
use crate::output::Output;

/// Runs it.
pub fn run(args: &LoadEstate, output: &Output) -> Result<Exit, Failure> {
    let files = folder::read(std::slice::from_ref(&args.dir))?;
    if files.is_empty() {
        return Err(Failure::data(format!("{} has no estate files", args.dir.display()))
            .hint("`ouncewise new DIR` writes starter files to edit"));
    }
    let (wanted, found) = files::read(&files);
    if !passes(&found) {
        output.say(&faults::render(&found, &files));
        return Err(Failure::data(format!("{}: nothing was loaded", faults::count(&found)))
            .hint("mend them all; `ouncewise check` looks without loading"));
    }
    opened::block_on(async {
        let store = opened::make(&args.data).await?;
        let exit = load(&store, &wanted, args, output).await?;
        store.close().await?;
        Ok(exit)
    })
}

async fn load(
    store: &Store,
    wanted: &Estate,
    args: &LoadEstate,
    output: &Output,
) -> Result<Exit, Failure> {
    let current = store.estate().await?;
    let plan = plan::changes(&current, wanted);
    let mut report = EstateReport {
        added: plan.count(Sort::Add),
        changed: plan.count(Sort::Change),
        retired: plan.count(Sort::Retire),
        unchanged: plan.unchanged,
        changes: plan.changes.iter().map(ToString::to_string).collect(),
        allergens: plan_allergens(&current, wanted, &plan),
        loaded: false,
    };
    if !output.json() {
        output.write(&words(&report));
    }
    if !args.dry_run && !plan.changes.is_empty() {
        // Only what takes something away needs a second look.
        let sure = report.retired == 0 && report.changed == 0;
        if !ask::go_on("Append these changes to the ledger?", args.yes || sure)? {
            return Ok(Exit::No);
        }
        store.append(ouncewise_report::described(&current, wanted, &opened::now())).await?;
        report.loaded = true;
        output.say("Loaded. Next: `ouncewise load catches FILE`, or print a sheet with `ouncewise sheet SITE/MACHINE`.");
    }
    if output.json() {
        output.result(&report, String::new);
    }
    Ok(Exit::Done)
}

fn words(report: &EstateReport) -> String {
    const SHOWN: usize = 40;
    let mut text: String =
        report.changes.iter().take(SHOWN).map(|change| format!("{}\n", brief(change))).collect();
    if report.changes.len() > SHOWN {
        text.push_str(&format!("… and {} more (--json lists all)\n", report.changes.len() - SHOWN));
    }
    text.push_str(&super::rows::allergens(&report.allergens));
    let EstateReport { added, changed, retired, unchanged, .. } = report;
    text.push_str(&format!(
        "{added} to add, {changed} to change, {retired} to retire, {unchanged} as they are\n"
    ));
    text
}

/// What is added is in the files to read; what is changed or retired is told in full.
fn brief(change: &str) -> String {
    const WIDE: usize = 78;
    if change.starts_with('+') && change.chars().count() > WIDE {
        change.chars().take(WIDE - 1).chain(['…']).collect()
    } else {
        change.to_owned()
    }
}
