//! `ouncewise load sheet`: a spreadsheet with headings of one's own, read by a mapping that is
//! proposed, shown, corrected and remembered.

use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, IsTerminal, Write};
use std::path::Path;

use jiff::Timestamp;
use ouncewise_estate::plan;
use ouncewise_estate::sheets::mapping::{self, LOOKED_AT, Means};
use ouncewise_estate::sheets::{About, Mapping, Table, TableRow};
use ouncewise_report::{Assumed, Exit, Failure, RefusalReport, RowsReport, SheetReport, many};
use ouncewise_store::Location;

use super::rows;
use crate::args::LoadSheet;
use crate::commands::{ask, opened};
use crate::output::Output;

/// Runs it. Without `--yes` nothing is kept.
pub fn run(args: &LoadSheet, output: &Output) -> Result<Exit, Failure> {
    let file = &args.file;
    let now = Timestamp::now();
    let name = rows::name(file);
    let sheet = args.sheet.as_deref();
    let mut table = open(file, sheet)?;
    let others: Vec<String> = table
        .sheets()
        .iter()
        .filter(|name| table.sheet() != Some(name.as_str()))
        .cloned()
        .collect();
    let seen = table.take_rows(LOOKED_AT).map_err(|r| rows::refused(file, &[r]))?;
    let folder = match opened::location(&args.data)? {
        Location::Dir(dir) => Some(dir.join("mappings")),
        Location::Url(_) => None,
    };
    opened::block_on(async {
        let store = opened::make(&args.data).await?;
        let estate = store.estate().await?;
        let about = About { file: &name, sheet: table.sheet() };
        let mut mapping = match &args.mapping {
            Some(path) => read(path)?,
            None => {
                match folder.as_deref().and_then(|dir| ouncewise_report::remembered(dir, &seen)) {
                    Some(mapping) => {
                        output.say("This sheet has the headings of one that was loaded before: read the same way.");
                        mapping
                    }
                    None => mapping::propose(&seen, about, &estate, now)
                        .map_err(|r| rows::refused(file, &[r]))?,
                }
            }
        };
        let mut answered = Vec::new();
        for answer in &args.answer {
            let (id, choice) = answer.split_once('=').ok_or_else(|| {
                Failure::usage(format!("--answer `{answer}` has no `=`"))
                    .hint("write --answer 'QUESTION=CHOICE'")
            })?;
            mapping
                .set(id, choice)
                .map_err(|r| Failure::usage(format!("--answer `{answer}`: {r}")))?;
            if mapping.question(id).is_some_and(|question| question.sets_up) {
                answered.push(id.to_owned());
            }
        }
        let assumed = Assumed::of(&mapping, args.defaults);
        if args.defaults {
            mapping.accept_defaults();
        } else if std::io::stdin().is_terminal() && !output.json() {
            ask_all(&mut mapping)?;
        }
        if let Some(path) = &args.save_mapping {
            fs::write(path, mapping.to_toml()).map_err(|e| Failure::io(path, &e))?;
            output.say(&format!(
                "The mapping is in {}: correct it, and use it with --mapping.",
                path.display()
            ));
        }
        let wanted = mapping::estate_from(&mapping, &seen, &estate)
            .map_err(|all| rows::refused(file, &all))?;
        let sets_up: Vec<String> =
            plan::changes(&estate, &wanted).changes.iter().map(ToString::to_string).collect();
        let applied = mapping::apply(&mapping, open(file, sheet)?, &wanted, now)
            .map_err(|all| rows::refused(file, &all))?;
        let tried = ouncewise_report::try_out(applied, &wanted);
        let mut report = SheetReport {
            open: mapping.open().map(|q| q.id.clone()).collect(),
            // Where nothing is set up, nothing was assumed for it; an answer for it changes nothing.
            assumed: if sets_up.is_empty() { Vec::new() } else { assumed },
            unused_answers: if sets_up.is_empty() { answered } else { Vec::new() },
            mapping,
            sets_up,
            other_sheets: others,
            rows: tried,
        };
        if !output.json() {
            output.write(&words(&report, &seen, output));
        }
        if let Some(path) = &args.refused {
            write_refused(path, &report.rows)?;
        }
        let keep = args.yes
            || (!output.json()
                && std::io::stdin().is_terminal()
                && report.rows.records > 0
                && ask::go_on("Keep it?", false)?);
        if !keep {
            output.say(if !report.open.is_empty() {
                "Nothing was kept. Answer what is open (--answer, or --defaults for the likeliest answers), \
                 and keep it with --yes."
            } else if report.rows.records == 0 {
                "Nothing here could be read as a record. Write the mapping out with --save-mapping FILE, \
                 say in it what each column means, and use it with --mapping FILE."
            } else {
                "Nothing was kept: this only looked. Keep it with --yes; `ouncewise load undo` takes it back."
            });
        } else if args.all_or_nothing && report.rows.refused > 0 {
            return Err(Failure::data(format!(
                "{} refused, so nothing was loaded",
                report.rows.refused
            ))
            .hint("mend them, or leave out --all-or-nothing to load the good rows"));
        } else {
            let described = ouncewise_report::described(&estate, &wanted, &opened::now());
            let applied = mapping::apply(&report.mapping, open(file, sheet)?, &wanted, now)
                .map_err(|all| rows::refused(file, &all))?;
            let options = rows::from(file, false);
            report.rows = rows::load(&store, described, applied, &wanted, options, output).await?;
            if let Some(dir) = &folder {
                ouncewise_report::remember(dir, &name, &report.mapping)?;
            }
            if !output.json() {
                output.write(&(report.rows.summary() + "\n"));
            }
            output.say("Take it back with `ouncewise load undo`; see `ouncewise week`.");
        }
        store.close().await?;
        if output.json() {
            output.result(&report, String::new);
        }
        Ok(if report.rows.refused == 0 { Exit::Done } else { Exit::Data })
    })
}

fn open(path: &Path, sheet: Option<&str>) -> Result<Table<Box<dyn std::io::Read>>, Failure> {
    if path.as_os_str() == "-" {
        return Err(Failure::usage("a sheet is read twice, and stdin cannot be")
            .hint("save it to a file first"));
    }
    Table::open_sheet(rows::open(path)?, sheet).map_err(|r| rows::refused(path, &[r]))
}

fn read(path: &Path) -> Result<Mapping, Failure> {
    let text = fs::read_to_string(path).map_err(|e| Failure::io(path, &e))?;
    Mapping::from_toml(&text).map_err(|all| rows::refused(path, &all))
}

/// Asks what the sheet does not tell.
fn ask_all(mapping: &mut Mapping) -> Result<(), Failure> {
    let open: Vec<_> = mapping.open().cloned().collect();
    let mut err = std::io::stderr();
    for question in open {
        loop {
            let mut text = format!("\n{}\n", question.asks);
            for sample in &question.sample {
                text.push_str(&format!("    {sample}\n"));
            }
            if !question.choices.is_empty() {
                text.push_str(&format!("  one of: {}\n", question.choices.join(", ")));
            }
            let _ = write!(err, "{text}  [{}] ", question.default).and_then(|()| err.flush());
            let mut answer = String::new();
            std::io::stdin()
                .lock()
                .read_line(&mut answer)
                .map_err(|e| Failure::io(Path::new("stdin"), &e))?;
            let answer = match answer.trim() {
                "" => question.default.as_str(),
                typed => typed,
            };
            match mapping.set(&question.id, answer) {
                Ok(()) => break,
                Err(refusal) => {
                    let _ = writeln!(err, "  {refusal}");
                }
            }
        }
    }
    Ok(())
}

fn words(report: &SheetReport, seen: &[TableRow], output: &Output) -> String {
    let mut table = output.table(&["column", "heading", "is read as", "for example", "because"]);
    for (number, column) in report.mapping.columns.iter().enumerate() {
        let sample = seen
            .iter()
            .filter(|row| row.number > report.mapping.heading_row)
            .map(|row| row.get(column_number(&column.letter).unwrap_or(number)))
            .find(|cell| !cell.trim().is_empty())
            .unwrap_or("");
        let mut means = if column.means == Means::Nothing {
            "(not loaded)".to_owned()
        } else {
            serde_json::to_value(column.means)
                .ok()
                .and_then(|v| v.as_str().map(ToOwned::to_owned))
                .unwrap_or_default()
        };
        let more = [
            &column.unit,
            &column.state,
            &column.site,
            &column.machine,
            &column.line,
            &column.date,
        ];
        for more in more.into_iter().flatten() {
            means.push_str(&format!(", {more}"));
        }
        table.add_row([&column.letter, &column.heading, &means, sample, &column.because]);
    }
    let mut text = format!("{table}\n\n");
    if !report.other_sheets.is_empty() {
        let others = report.other_sheets.join(", ");
        text.push_str(&format!(
            "Not read: the workbook's other sheets ({others}); read each with --sheet NAME\n"
        ));
    }
    let mut shapes: BTreeMap<&str, usize> = BTreeMap::new();
    for change in &report.sets_up {
        let what = change.split_whitespace().nth(1).unwrap_or("thing");
        *shapes.entry(what).or_default() += 1;
    }
    if !shapes.is_empty() {
        let list: Vec<String> = shapes
            .iter()
            .map(|(what, n)| format!("{n} × {}", what.trim_end_matches(':')))
            .collect();
        text.push_str(&format!("Set up from this sheet: {}\n", list.join(", ")));
    }
    for Assumed { question, asks, answer } in &report.assumed {
        text.push_str(&format!("Assumed: {asks} {answer}.  --answer '{question}=…'\n"));
    }
    if !report.assumed.is_empty() {
        text.push_str(&format!(
            "{} had no answer: the likeliest is taken, and can be changed as above.\n",
            many(report.assumed.len(), "question")
        ));
    }
    for id in &report.unused_answers {
        text.push_str(&format!(
            "The answer to `{id}` changes nothing: all that this sheet speaks of is there already. \
             Change it under Set up, or in its files with `ouncewise load estate`.\n"
        ));
    }
    for id in &report.open {
        // What only sets up is assumed, or there already.
        if let Some(question) = report.mapping.question(id).filter(|q| !q.sets_up) {
            let choices = match question.choices.join(" | ") {
                none if none.is_empty() => none,
                some => format!(" [{some}]"),
            };
            text.push_str(&format!(
                "Open: {}{choices}  --answer '{id}={}'\n",
                question.asks, question.default
            ));
        }
    }
    text.push_str(&rows::words(&report.rows));
    text
}

fn column_number(letter: &str) -> Option<usize> {
    letter
        .bytes()
        .try_fold(0usize, |sum, b| {
            b.is_ascii_uppercase()
                .then(|| sum.checked_mul(26)?.checked_add(usize::from(b - b'A') + 1))
                .flatten()
        })?
        .checked_sub(1)
}

/// Every row that was not loaded, as a CSV file with its reason.
fn write_refused(path: &Path, report: &RowsReport) -> Result<(), Failure> {
    let mut out = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_path(path)
        .map_err(|e| Failure::new(Exit::Io, format!("{}: {e}", path.display())))?;
    let failed = |e: csv::Error| Failure::new(Exit::Io, format!("{}: {e}", path.display()));
    out.write_record(["row", "column", "code", "reason", "hint"]).map_err(failed)?;
    for RefusalReport { row, column, code, reason, hint } in
        report.refusals.iter().chain(&report.listings)
    {
        out.write_record([
            &row.to_string(),
            column.as_deref().unwrap_or(""),
            code,
            reason,
            hint.as_deref().unwrap_or(""),
        ])
        .map_err(failed)?;
    }
    out.flush().map_err(|e| Failure::io(path, &e))
}
