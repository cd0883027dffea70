//! `ouncewise learn`: how families behave, by the group's own records.

use std::fmt::Write;

use anstyle::Style;
use ouncewise_report::{Exit, Failure, LearnReport, LearntFamily, adopting, learn, many};

use super::opened;
use crate::args::Learn;
use crate::output::Output;

/// Runs it.
pub fn run(args: &Learn, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        let threads = std::thread::available_parallelism().map_or(1, usize::from);
        let progress = output.progress(None, "Reading machines");
        let learnt = learn(&store, args.family.as_deref(), threads, |family, read| {
            if !read {
                progress.set_message(format!("Fitting {family}, machines read:"));
            } else {
                progress.inc(1);
            }
        })
        .await?;
        progress.finish_and_clear();
        let drafts = if args.adopt { adopting(&learnt, &opened::now()) } else { Vec::new() };
        let adopted = !drafts.is_empty();
        if adopted {
            store.append(drafts).await?;
            opened::follow(&store, output).await?;
        }
        store.close().await?;
        let families = learnt.into_iter().map(|(family, _)| family).collect();
        let report = LearnReport { families, adopted };
        output.result(&report, || words(&report, output));
        Ok(Exit::Done)
    })
}

fn words(report: &LearnReport, output: &Output) -> String {
    let mut text = String::new();
    for family in &report.families {
        about(&mut text, family, output);
    }
    let fitted = report.families.iter().any(|family| family.gain.is_some());
    // Writing to a string cannot fail.
    let _ = match (report.adopted, fitted) {
        (true, _) => writeln!(
            text,
            "Adopted: a record of the group’s ledger says so, and every estimate names it."
        ),
        (false, true) => {
            writeln!(text, "Nothing was changed. `ouncewise learn --adopt` adopts what was learnt.")
        }
        (false, false) => writeln!(text, "No family has enough machines: the stated priors stay."),
    };
    text
}

fn about(text: &mut String, family: &LearntFamily, output: &Output) {
    let bold = Style::new().bold();
    let _ = writeln!(
        text,
        "{bold}{}{bold:#}: {} with {}; in force: {}",
        family.family,
        many(family.machines, "machine"),
        many(family.readings, "reading"),
        family.in_force
    );
    let Some(gain) = family.gain else {
        let _ = writeln!(
            text,
            "  fewer than {} machines tell too little: what is in force stays\n",
            family.needed
        );
        return;
    };
    let mut table = output.table(&["value", "now", "learnt", "what it means"]);
    for value in &family.values {
        table.add_row([
            value.name.clone(),
            value.now.clone(),
            value.fitted.clone().unwrap_or_default(),
            value.meaning.clone(),
        ]);
    }
    let _ = writeln!(
        text,
        "{table}\n  what was learnt explains the readings better by {gain:.1} (difference of log-likelihoods; under 2 is little)\n"
    );
}
