//! `ouncewise sheet`: the machine sheet, as text, as a page to print, or as a PDF.

use std::io::IsTerminal;
#[cfg(feature = "pdf")]
use std::io::Write;
#[cfg(feature = "pdf")]
use std::path::Path;

use ouncewise_estate::Address;
use ouncewise_paper::sheet::{MachineSheet, Paper, Print};

use super::opened;
use crate::args::{self, Sheet};
use crate::output::Output;
use ouncewise_report::{Exit, Failure};

/// Columns of the text where nobody's terminal says otherwise.
const WIDTH: usize = 100;

/// Runs it.
pub fn run(args: &Sheet, output: &Output) -> Result<Exit, Failure> {
    let Some((site, machine)) = args.machine.split_once('/') else {
        return Err(Failure::usage(format!("`{}` does not name a machine", args.machine))
            .hint("write it as SITE/MACHINE: `fernhollow/counter-1`"));
    };
    #[cfg(not(feature = "pdf"))]
    if args.pdf.is_some() {
        return Err(Failure::usage("this program was built without PDF").hint(
            "build it with `cargo build --release --features pdf`, or write the page with `--html` and print it from a browser",
        ));
    }
    opened::block_on(async {
        let store = opened::existing(&args.data).await?;
        opened::follow(&store, output).await?;
        let estate = store.estate_at(site).await?;
        let mut standings = Vec::new();
        for key in estate.machine(site, machine).map(|m| m.lines.keys()).into_iter().flatten() {
            if let Ok(address) = Address::new(site, machine, key) {
                standings.extend(store.line(&address).await?.standing);
            }
        }
        store.close().await?;
        let today = jiff::ZonedDateTime::now().date().to_string();
        let print = Print {
            paper: match args.paper {
                args::Paper::A4 => Paper::A4,
                args::Paper::Letter => Paper::Letter,
            },
            units: estate.group.units,
            printed_on: &today,
            measure: args.measure.as_deref(),
        };
        let sheet = MachineSheet::new(&estate, site, machine, &standings, &print)
            .map_err(|e| Failure::usage(e.to_string()))?;
        #[cfg(feature = "pdf")]
        if let Some(path) = args.pdf.as_deref() {
            pdf(&sheet, path, output)?;
            return Ok(Exit::Done);
        }
        match args.html.as_deref() {
            Some(path) if path.as_os_str() == "-" => output.write(&sheet.to_html()),
            Some(path) => {
                std::fs::write(path, sheet.to_html()).map_err(|e| Failure::io(path, &e))?;
                output.say(&format!(
                    "Written to {}: open it in a browser and print it.",
                    path.display()
                ));
            }
            None => output.result(&sheet, || sheet.to_text(width())),
        }
        Ok(Exit::Done)
    })
}

/// Writes it as a PDF.
#[cfg(feature = "pdf")]
fn pdf(sheet: &MachineSheet, path: &Path, output: &Output) -> Result<(), Failure> {
    let bytes = sheet.to_pdf().map_err(|e| Failure::new(Exit::Bug, e.to_string()))?;
    if path.as_os_str() == "-" {
        // A reader that went away wants no more; that is no failure of ours.
        let mut out = std::io::stdout();
        let _ = out.write_all(&bytes).and_then(|()| out.flush());
        return Ok(());
    }
    std::fs::write(path, bytes).map_err(|e| Failure::io(path, &e))?;
    output.say(&format!("Written to {}: print it as it is.", path.display()));
    Ok(())
}

/// As wide as the terminal, within what can be read.
fn width() -> usize {
    let columns = std::io::stdout().is_terminal().then(|| std::env::var("COLUMNS").ok()).flatten();
    columns.and_then(|c| c.parse().ok()).map_or(WIDTH, |c: usize| c.clamp(60, 140))
}
