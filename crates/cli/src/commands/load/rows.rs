//! Files of rows: opened, loaded with progress, and told to people.

use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;

use ouncewise_estate::Estate;
use ouncewise_estate::sheets::{Refusal, Row};
use ouncewise_ledger::{Draft, merkle};
use ouncewise_report::{AllergenReport, Failure, RowsReport, allergen_caution};
use ouncewise_store::{LoadOptions, Store};

use crate::output::Output;

/// How many refusals are shown to people.
const SHOWN: usize = 20;

/// A report in words.
pub fn words(report: &RowsReport) -> String {
    let mut text = String::new();
    for refusal in report.refusals.iter().take(SHOWN) {
        text.push_str(&format!("{refusal}\n"));
    }
    if report.refused > SHOWN as u64 {
        text.push_str(&format!(
            "… and {} more refused (--json lists them)\n",
            report.refused - SHOWN as u64
        ));
    }
    for far in report.far.iter().take(SHOWN) {
        text.push_str(&format!("{far}\n"));
    }
    if report.far_off > SHOWN as u64 {
        text.push_str(&format!(
            "… and {} more far off the target (--json lists them)\n",
            report.far_off - SHOWN as u64
        ));
    }
    text + &allergens(&report.allergens) + &report.summary() + "\n"
}

/// What flushing cannot show after changes of product, with its caution.
pub fn allergens(all: &[AllergenReport]) -> String {
    if all.is_empty() {
        return String::new();
    }
    let each: String = all.iter().map(|one| format!("{one}\n")).collect();
    format!("{each}{}\n", allergen_caution())
}

/// How a load of this file goes about it.
pub fn from(file: &Path, all_or_nothing: bool) -> LoadOptions {
    LoadOptions { name: name(file), hash: mark(file), all_or_nothing }
}

/// Loads rows, after what they need of the estate.
pub async fn load(
    store: &Store,
    described: Vec<Draft>,
    rows: impl Iterator<Item = Row>,
    estate: &Estate,
    options: LoadOptions,
    output: &Output,
) -> Result<RowsReport, Failure> {
    let bar = output.progress(None, "loading");
    let progress = bar.clone();
    let loaded = ouncewise_report::load(store, described, rows, estate, options, move |drafts| {
        progress.set_position(drafts);
    })
    .await;
    bar.finish_and_clear();
    loaded?.map_err(|report| {
        output.say(&words(&report));
        Failure::data(format!("{} refused, so nothing was loaded", report.refused))
            .hint("mend them, or leave out --all-or-nothing to load the good rows")
    })
}

/// What a load of this file is called.
pub fn name(file: &Path) -> String {
    file.file_name().map_or_else(|| "stdin".into(), |n| n.to_string_lossy()).into()
}

/// A file to read; `-` is the standard input.
pub fn open(path: &Path) -> Result<Box<dyn Read>, Failure> {
    if path.as_os_str() == "-" {
        return Ok(Box::new(std::io::stdin().lock()));
    }
    let file = File::open(path).map_err(|e| Failure::io(path, &e))?;
    if file.metadata().is_ok_and(|meta| meta.is_dir()) {
        return Err(Failure::usage(format!("{} is a folder", path.display()))
            .hint("name a CSV or XLSX file"));
    }
    Ok(Box::new(BufReader::with_capacity(1 << 20, file)))
}

/// What to call a load of this file: its name and size, hashed with the time it was changed.
/// Only a mark to tell loads apart; what keeps a row from going in twice is its own id.
fn mark(path: &Path) -> String {
    let meta = std::fs::metadata(path).ok();
    let text = format!("{} {meta:?}", path.display());
    merkle::leaf_hash(text.as_bytes()).to_string()
}

/// One failure from all that is wrong with a sheet.
pub fn refused(path: &Path, refusals: &[Refusal]) -> Failure {
    ouncewise_report::refused(&path.display().to_string(), refusals)
}
