//! Looking at a sheet, trying its reading, and keeping it: what `ouncewise load sheet` does, in steps.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::BufReader;
use std::sync::Arc;

use ouncewise_estate::sheets::mapping::{self, LOOKED_AT, Means};
use ouncewise_estate::sheets::{About, Mapping, Row, Table};
use ouncewise_estate::{Estate, plan};
use ouncewise_ledger::{Body, merkle};
use ouncewise_report::{Failure, LoadReport, RowsReport};
use ouncewise_store::{LoadOptions, Store};
use tempfile::NamedTempFile;
use uuid::Uuid;

use super::uploads::Sheet;
use crate::App;
use crate::layout::Fault;
use crate::wrong::Wrong;

/// How many readings are shown as they were understood.
const SAMPLES: usize = 6;

/// What would become of a sheet.
pub struct Tried {
    /// What became of its rows.
    pub rows: RowsReport,
    /// What the estate lacks and the sheet speaks of, in words.
    pub sets_up: Vec<String>,
    /// Some readings as they were understood.
    pub samples: Vec<String>,
}

fn open(
    file: &NamedTempFile,
    which: Option<&str>,
    name: &str,
) -> Result<Table<BufReader<File>>, Failure> {
    let handle = File::open(file.path()).map_err(|e| Failure::io(file.path(), &e))?;
    Table::open_sheet(BufReader::with_capacity(1 << 18, handle), which)
        .map_err(|r| ouncewise_report::refused(name, &[r]))
}

/// Work on a sheet keeps a thread busy: not one that answers others.
async fn aside<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Failure> + Send + 'static,
) -> Result<T, Failure> {
    let broken = |_| {
        Failure::data(
            "this sheet cannot be read: it stopped the reader; save it as CSV, and try that",
        )
    };
    tokio::task::spawn_blocking(work).await.map_err(broken)?
}

/// Looks at a sheet and proposes how to read it.
pub async fn look(
    app: &App,
    name: String,
    file: Arc<NamedTempFile>,
    which: Option<String>,
) -> Result<Sheet, Failure> {
    let (estate, now) = (app.store().estate().await?, app.now());
    let mappings = app.mappings().map(ToOwned::to_owned);
    aside(move || {
        let mut table = open(&file, which.as_deref(), &name)?;
        let which = table.sheet().map(ToOwned::to_owned);
        let others =
            table.sheets().iter().filter(|other| which.as_ref() != Some(other)).cloned().collect();
        let seen =
            table.take_rows(LOOKED_AT).map_err(|r| ouncewise_report::refused(&name, &[r]))?;
        let known = mappings.and_then(|dir| ouncewise_report::remembered(&dir, &seen));
        let about = About { file: &name, sheet: which.as_deref() };
        let (mapping, known) = match known {
            Some(mapping) => (mapping, true),
            None => {
                let proposed = mapping::propose(&seen, about, &estate, now)
                    .map_err(|r| ouncewise_report::refused(&name, &[r]))?;
                (proposed, false)
            }
        };
        Ok(Sheet { name, file, which, others, seen: Arc::new(seen), mapping, known, kept: None })
    })
    .await
}

/// Takes over what a form says of the reading; what it cannot say stands in the faults.
pub fn correct(mapping: &mut Mapping, fields: &BTreeMap<String, String>) -> Vec<Fault> {
    let mut wrong = Vec::new();
    for column in &mut mapping.columns {
        let letter = &column.letter;
        if let Some(means) = fields.get(&format!("means-{letter}")) {
            match serde_json::from_value::<Means>(serde_json::Value::String(means.clone())) {
                Ok(means) => column.means = means,
                Err(_) => wrong.push(Fault::new(
                    format!("means-{letter}"),
                    format!("column {letter}: choose what it holds"),
                )),
            }
        }
        if let Some(unit) = fields.get(&format!("unit-{letter}")) {
            column.unit = Some(unit.trim().to_owned()).filter(|unit| !unit.is_empty());
        }
    }
    for (nth, question) in mapping.questions.clone().iter().enumerate() {
        let Some(answer) = fields.get(&format!("answer-{nth}")).map(|answer| answer.trim()) else {
            continue;
        };
        if answer.is_empty() {
            continue;
        }
        if let Err(refusal) = mapping.set(&question.id, answer) {
            wrong.push(Fault::new(format!("answer-{nth}"), refusal.to_string()));
        }
    }
    wrong
}

/// The mapping with the likeliest answer wherever none was given: what a page shows chosen, it does.
fn decided(mapping: &Mapping) -> Mapping {
    let mut mapping = mapping.clone();
    mapping.accept_defaults();
    mapping
}

/// What would become of a sheet, without keeping anything.
pub async fn try_out(app: &App, sheet: &Sheet) -> Result<Tried, Failure> {
    let (estate, now, sheet) = (app.store().estate().await?, app.now(), sheet.clone());
    aside(move || {
        let mapping = decided(&sheet.mapping);
        let wanted = wanted(&sheet, &mapping, &estate)?;
        let sets_up =
            plan::changes(&estate, &wanted).changes.iter().map(ToString::to_string).collect();
        let table = open(&sheet.file, sheet.which.as_deref(), &sheet.name)?;
        let applied = mapping::apply(&mapping, table, &wanted, now)
            .map_err(|all| ouncewise_report::refused(&sheet.name, &all))?;
        let mut samples = Vec::new();
        let rows = ouncewise_report::try_out(applied.inspect(|row| {
            if samples.len() < SAMPLES
                && let Some(sample) = understood(row)
            {
                samples.push(sample);
            }
        }));
        Ok(Tried { rows, sets_up, samples })
    })
    .await
}

fn wanted(sheet: &Sheet, mapping: &Mapping, estate: &Estate) -> Result<Estate, Failure> {
    mapping::estate_from(mapping, &sheet.seen, estate)
        .map_err(|all| ouncewise_report::refused(&sheet.name, &all))
}

/// A row that becomes a record, in words.
fn understood(row: &Row) -> Option<String> {
    let Row::Draft { row, draft } = row else { return None };
    let record = &draft.record;
    let what = match &record.body {
        Body::CatchTaken { state, amount, draw, measure, .. } => {
            let state = match state {
                ouncewise_ledger::LineState::AsFound => "as found",
                ouncewise_ledger::LineState::AsLeft => "as left",
            };
            format!("{amount} in {draw}, {state}, read with {measure}")
        }
        Body::ClaimMade { said } => format!("the log says “{said}”, no measurement"),
        other => other.kind().replace('-', " "),
    };
    let subject = &record.subject;
    let place: Vec<&str> =
        [Some(record.scope.as_str()), subject.machine.as_deref(), subject.line.as_deref()]
            .into_iter()
            .flatten()
            .collect();
    Some(format!("Row {row}: {}, {}: {what}", crate::words::day(&record.at), place.join("/")))
}

/// Keeps a sheet: sets up what the estate lacks, loads its rows, and remembers how it was read.
pub async fn keep(app: &App, sheet: &Sheet) -> Result<RowsReport, Wrong> {
    let mapping = decided(&sheet.mapping);
    let estate = app.store().estate().await?;
    let grown = {
        let (sheet, mapping, estate) = (sheet.clone(), mapping.clone(), estate.clone());
        aside(move || wanted(&sheet, &mapping, &estate)).await?
    };
    let described = ouncewise_report::described(&estate, &grown, &app.now_at());
    if !described.is_empty() {
        app.store().append(described).await?;
    }
    let estate = app.store().estate().await?;
    let table = open(&sheet.file, sheet.which.as_deref(), &sheet.name)?;
    let rows = mapping::apply(&mapping, table, &estate, app.now())
        .map_err(|all| ouncewise_report::refused(&sheet.name, &all))?;
    let mark = format!("{} {}", sheet.name, sheet.file.path().display());
    let options = LoadOptions {
        name: sheet.name.clone(),
        hash: merkle::leaf_hash(mark.as_bytes()).to_string(),
        all_or_nothing: false,
    };
    let report = match ouncewise_report::load(app.store(), rows, options, |_| {}).await? {
        Ok(report) | Err(report) => report,
    };
    if let Some(dir) = app.mappings() {
        ouncewise_report::remember(dir, &sheet.name, &mapping)?;
    }
    Ok(report)
}

/// What was brought in, newest first.
pub async fn loads(store: &Store) -> Result<Vec<LoadReport>, Wrong> {
    let mut loads = store.loads().await?;
    loads.sort_by_key(|load| (load.at_ms, load.id));
    let mut all: Vec<LoadReport> =
        loads.iter().enumerate().map(|(i, load)| LoadReport::new(i + 1, load)).collect();
    all.reverse();
    Ok(all)
}

/// One of them.
pub async fn load(store: &Store, id: Uuid) -> Result<LoadReport, Wrong> {
    let id = id.to_string();
    loads(store).await?.into_iter().find(|load| load.id == id).ok_or_else(|| {
        Wrong::missing(
            "nothing was brought in under that number",
            "the page “Bring in a sheet” lists what was",
        )
    })
}
