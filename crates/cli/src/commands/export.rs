//! `ouncewise export`: everything as files that `load` reads back.

use std::collections::{BTreeMap, HashMap};
use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::Path;

use ouncewise_estate::files;
use ouncewise_estate::sheets::rounds;
use ouncewise_ledger::{Body, Draft, LineState, PersonId, Record, Scope, order};
use ouncewise_measure::{AmountRead, DrawRead, Unit};
use ouncewise_report::{Exit, ExportReport, Failure, many};
use ouncewise_store::Store;
use uuid::Uuid;

use super::{folder, opened};
use crate::args::Export;
use crate::output::Output;

/// How many records are read at once.
const PAGE: u32 = 2_000;

/// Runs it.
pub fn run(args: &Export, output: &Output) -> Result<Exit, Failure> {
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        folder::empty(&args.dir)?;
        let estate = store.estate().await?;
        folder::write(&args.dir, &files::write(&estate))?;
        let names: HashMap<PersonId, String> = store
            .people()
            .await?
            .into_iter()
            .filter_map(|person| Some((person.id, person.name?)))
            .collect();
        let heads = store.heads().await?;
        let bar = output.progress(Some(heads.iter().map(|head| head.size).sum()), "writing");
        let mut all = Writer::create(&args.dir.join("records.jsonl"))?;
        let mut tables = Tables::create(&args.dir)?;
        let mut count = 0;
        for head in &heads {
            let records = records(&store, &head.site, head.size).await?;
            let notes: HashMap<Uuid, String> =
                store.notes(&head.site).await?.into_iter().map(|n| (n.id, n.text)).collect();
            count += records.len() as u64;
            bar.inc(head.size);
            for record in &records {
                let draft = draft(record, &names, &notes);
                let line = ouncewise_ledger::canonical::to_bytes(&draft)
                    .map_err(|e| Failure::new(Exit::Bug, e.to_string()))?;
                all.line(&line)?;
            }
            for record in order::standing(records, order::no_skew) {
                tables.row(&record, &names, &notes)?;
            }
        }
        all.end()?;
        tables.end()?;
        bar.finish_and_clear();
        store.close().await?;
        let report = ExportReport { dir: args.dir.clone(), records: count };
        output.result(&report, || {
            format!("{} written to {}\n", many(count, "record"), args.dir.display())
        });
        Ok(Exit::Done)
    })
}

/// All records of one ledger, in order of receipt.
async fn records(store: &Store, scope: &Scope, size: u64) -> Result<Vec<Record>, Failure> {
    let mut records = Vec::new();
    while (records.len() as u64) < size {
        let page = store.entries(scope, records.len() as u64, PAGE).await?;
        if page.is_empty() {
            break;
        }
        records.extend(page.into_iter().map(|entry| entry.record));
    }
    Ok(records)
}

/// The record with name and note in clear. Where they were erased, their id and hash stay.
fn draft(
    record: &Record,
    names: &HashMap<PersonId, String>,
    notes: &HashMap<Uuid, String>,
) -> Draft {
    let person = record.by.and_then(|by| names.get(&by).cloned());
    let note = notes.get(&record.id).cloned();
    Draft {
        record: Record {
            by: if person.is_some() { None } else { record.by },
            note: if note.is_some() { None } else { record.note.clone() },
            ..record.clone()
        },
        person,
        note,
    }
}

/// A file of lines.
struct Writer {
    path: std::path::PathBuf,
    file: BufWriter<File>,
}

impl Writer {
    fn create(path: &Path) -> Result<Self, Failure> {
        let file = File::create_new(path).map_err(|e| Failure::io(path, &e))?;
        Ok(Self { path: path.to_owned(), file: BufWriter::new(file) })
    }

    fn line(&mut self, line: &[u8]) -> Result<(), Failure> {
        self.file
            .write_all(line)
            .and_then(|()| self.file.write_all(b"\n"))
            .map_err(|e| Failure::io(&self.path, &e))
    }

    fn end(mut self) -> Result<(), Failure> {
        self.file.flush().map_err(|e| Failure::io(&self.path, &e))
    }
}

/// What a spreadsheet can hold: the columns of `docs/sheets.md`, and in the order of this list.
const TABLES: [(&str, &[&str]); 5] = [
    (
        "catches.csv",
        &[
            "state",
            "amount",
            "unit",
            "mark",
            "seconds",
            "doses",
            "measure",
            "water",
            "water_seconds",
            "temperature",
        ],
    ),
    ("adjustments.csv", &["done", "setting", "meant"]),
    ("parts.csv", &["part", "found", "number", "lot", "why"]),
    ("products.csv", &["product", "lot"]),
    ("rounds.csv", &ROUNDS),
];

/// The kind, and what any kind of a round's records says.
const ROUNDS: [&str; rounds::COLUMNS.len() + 1] = {
    let mut columns = ["kind"; rounds::COLUMNS.len() + 1];
    columns.split_at_mut(1).1.copy_from_slice(rounds::COLUMNS);
    columns
};

const FIRST: [&str; 4] = ["at", "site", "machine", "line"];
const LAST: [&str; 4] = ["by", "sequence", "id", "note"];

struct Tables(Vec<csv::Writer<File>>);

impl Tables {
    fn create(dir: &Path) -> Result<Self, Failure> {
        let mut writers = Vec::new();
        for (name, columns) in TABLES {
            let path = dir.join(name);
            let file = File::create_new(&path).map_err(|e| Failure::io(&path, &e))?;
            let mut writer =
                csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(file);
            let heading = FIRST.iter().chain(columns).chain(&LAST);
            writer.write_record(heading).map_err(|e| failed(&e))?;
            writers.push(writer);
        }
        Ok(Self(writers))
    }

    /// Writes a record into the table that has room for it. What has no table is in records.jsonl only.
    fn row(
        &mut self,
        record: &Record,
        names: &HashMap<PersonId, String>,
        notes: &HashMap<Uuid, String>,
    ) -> Result<(), Failure> {
        let Some((table, cells)) = cells(record) else { return Ok(()) };
        let Some(site) = record.scope.site_key() else { return Ok(()) };
        let Some(machine) = record.subject.machine.as_deref().or(of_site(record)) else {
            return Ok(());
        };
        let sequence = record.sequence.to_string();
        let id = record.id.to_string();
        let first =
            [record.at.as_str(), site, machine, record.subject.line.as_deref().unwrap_or("")];
        let middle = TABLES[table].1.iter().map(|c| cells.get(c).map_or("", String::as_str));
        let by = record.by.and_then(|by| names.get(&by)).map_or("", String::as_str);
        let last = [by, &sequence, &id, notes.get(&record.id).map_or("", String::as_str)];
        self.0[table]
            .write_record(first.into_iter().chain(middle).chain(last))
            .map_err(|e| failed(&e))
    }

    fn end(self) -> Result<(), Failure> {
        for mut writer in self.0 {
            writer.flush().map_err(|e| failed(&e.into()))?;
        }
        Ok(())
    }
}

/// What stands for the machine of a record that is of a whole site.
fn of_site(record: &Record) -> Option<&'static str> {
    matches!(record.body, Body::BoxOpened { .. }).then_some("")
}

fn failed(error: &csv::Error) -> Failure {
    Failure::new(Exit::Io, error.to_string())
}

/// Number of the table, and the cells by column.
fn cells(record: &Record) -> Option<(usize, BTreeMap<&'static str, String>)> {
    let mut cells = BTreeMap::new();
    let mut put = |column, value: &Option<String>| {
        if let Some(value) = value {
            cells.insert(column, value.clone());
        }
    };
    let table = match &record.body {
        Body::CatchTaken { state, amount, draw, measure, water, water_draw, temperature } => {
            let state = match state {
                LineState::AsFound => "as-found",
                LineState::AsLeft => "as-left",
            };
            put("state", &Some(state.to_owned()));
            put("measure", &Some(measure.clone()));
            put("water", water);
            put("temperature", temperature);
            let seconds = |draw: &str| match draw.parse() {
                Ok(DrawRead::Time(time)) if time.unit == Unit::Second => {
                    Some(time.number.to_string())
                }
                Ok(DrawRead::Time(time)) => time.duration().map(|seconds| seconds.0.to_string()),
                _ => None,
            };
            put("water_seconds", &water_draw.as_deref().and_then(seconds));
            match draw.parse().ok()? {
                DrawRead::Time(_) => put("seconds", &seconds(draw)),
                DrawRead::Doses(doses) => put("doses", &Some(doses.to_string())),
            }
            match amount.parse().ok()? {
                AmountRead::Number(quantity) => {
                    put("amount", &Some(quantity.number.to_string()));
                    put("unit", &Some(quantity.unit.to_string()));
                }
                AmountRead::Mark { .. } => put("mark", &Some(amount.clone())),
            }
            0
        }
        Body::LineAdjusted { done, setting, meant } => {
            put("done", &Some(done.clone()));
            put("setting", setting);
            put("meant", meant);
            1
        }
        Body::PartInspected { found } => {
            put("part", &record.subject.part);
            put("found", &Some(found.clone()));
            2
        }
        Body::PartReplaced { number, lot, why } => {
            put("part", &record.subject.part);
            put("number", number);
            put("lot", lot);
            put("why", why);
            2
        }
        Body::ProductChanged { product } => {
            put("product", &Some(product.clone()));
            3
        }
        Body::ContainerChanged { lot } => {
            // A container without a lot has no cell that would say so.
            put("lot", &Some(lot.clone().unwrap_or_else(|| "unknown".to_owned())));
            3
        }
        body => {
            let (kind, said) = rounds::cells(body)?;
            put("kind", &Some(kind.to_owned()));
            for (column, text) in said {
                put(column, &Some(text));
            }
            4
        }
    };
    Some((table, cells))
}
