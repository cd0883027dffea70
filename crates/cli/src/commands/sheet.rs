//! `ouncewise sheet`: the machine sheet, as text, as a page to print, or as a PDF.

use std::io::IsTerminal;

use ouncewise_estate::Address;
use ouncewise_paper::sheet::{MachineSheet, Paper, Print};

use super::{opened, pdf};
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
    pdf::available(args.pdf.as_deref(), "--html")?;
    pdf::is_page(args.html.as_deref())?;
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
            units: output.units(estate.group.units),
            printed_on: &today,
            measure: args.measure.as_deref(),
        };
        let sheet = MachineSheet::new(&estate, site, machine, &standings, &print)
            .map_err(|e| Failure::usage(e.to_string()))?;
        #[cfg(feature = "pdf")]
        if let Some(path) = args.pdf.as_deref() {
            return pdf::write(sheet.to_pdf(), path, output);
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

/// As wide as the terminal, within what can be read.
fn width() -> usize {
    let columns = std::io::stdout().is_terminal().then(|| std::env::var("COLUMNS").ok()).flatten();
    columns.and_then(|c| c.parse().ok()).map_or(WIDTH, |c: usize| c.clamp(60, 140))
}
