//! Writes an estate of any size as its files, and its catches as one CSV file: what the benchmarks load.
//!
//! `cargo run --release -p ouncewise-simulate --example fleet -- DIR SITES WEEKS [CATCHES]`: one machine of twelve
//! lines at each site, and no more catches than that. Same arguments, same files.

use std::error::Error;
use std::fs::{self, File};
use std::io::{BufWriter, Write};
use std::path::Path;

use ouncewise_estate::files;
use ouncewise_ledger::{Body, Draft, LineState};
use ouncewise_measure::{AmountRead, DrawRead};
use ouncewise_simulate::fleet::{self, Config};

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let (dir, sites, weeks, most) = match args.as_slice() {
        [dir, sites, weeks] => (Path::new(dir), sites, weeks, usize::MAX),
        [dir, sites, weeks, most] => (Path::new(dir), sites, weeks, most.parse()?),
        _ => {
            return Err(
                "say a folder, a number of sites, of weeks and, if you like, of catches".into()
            );
        }
    };
    let fleet = fleet::generate(Config {
        sites: sites.parse()?,
        lines_per_machine: 12,
        weeks: weeks.parse()?,
        ..Config::new(7, jiff::civil::date(2025, 3, 3))
    });
    for (name, text) in files::write(&fleet.estate) {
        let path = dir.join("estate").join(name);
        fs::create_dir_all(path.parent().ok_or("a file lies in a folder")?)?;
        fs::write(path, text)?;
    }
    let mut file = BufWriter::new(File::create(dir.join("catches.csv"))?);
    writeln!(
        file,
        "at,site,machine,line,state,amount,unit,mark,seconds,doses,measure,water,water_seconds,temperature,by,sequence"
    )?;
    for row in fleet.drafts().filter_map(|draft| row(&draft)).take(most) {
        writeln!(file, "{row}")?;
    }
    Ok(file.flush()?)
}

/// A catch as a row; nothing for any other record. No cell of these holds a comma.
fn row(Draft { record, person, .. }: &Draft) -> Option<String> {
    let Body::CatchTaken { state, amount, draw, measure, water, water_draw, temperature } =
        &record.body
    else {
        return None;
    };
    let state = match state {
        LineState::AsFound => "as-found",
        LineState::AsLeft => "as-left",
    };
    let (amount, unit, mark) = match amount.parse().ok()? {
        AmountRead::Number(read) => (read.number.to_string(), read.unit.to_string(), ""),
        AmountRead::Mark { .. } => (String::new(), String::new(), amount.as_str()),
    };
    let seconds = |draw: &str| match draw.parse() {
        Ok(DrawRead::Time(time)) => time.number.to_string(),
        _ => String::new(),
    };
    let doses = match draw.parse().ok()? {
        DrawRead::Doses(doses) => doses.to_string(),
        DrawRead::Time(_) => String::new(),
    };
    let text = |cell: &Option<String>| cell.clone().unwrap_or_default();
    Some(
        [
            &record.at,
            record.scope.as_str(),
            record.subject.machine.as_deref()?,
            record.subject.line.as_deref()?,
            state,
            &amount,
            &unit,
            mark,
            &seconds(draw),
            &doses,
            measure,
            &text(water),
            &water_draw.as_deref().map(seconds).unwrap_or_default(),
            &text(temperature),
            person.as_deref().unwrap_or_default(),
            &record.sequence.to_string(),
        ]
        .join(","),
    )
}
