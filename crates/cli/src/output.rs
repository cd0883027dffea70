//! Results on stdout, talk on stderr. Colour only for people, on a terminal.

use std::io::{IsTerminal, Write};

use anstyle::{AnsiColor, Style};
use comfy_table::{ContentArrangement, Table};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use ouncewise_estate::Units;
use ouncewise_report::{ErrorReport, Failure};
use serde::Serialize;

use crate::args::Global;

/// Where a command's words go.
pub struct Output {
    json: bool,
    quiet: bool,
    color: anstream::ColorChoice,
    units: Option<Units>,
}

impl Output {
    /// Takes the choices that every command shares.
    pub fn new(global: &Global) -> Self {
        let color = match global.color {
            crate::args::Color::Auto => anstream::ColorChoice::Auto,
            crate::args::Color::Never => anstream::ColorChoice::Never,
            crate::args::Color::Always => anstream::ColorChoice::Always,
        };
        let units = global.units.map(|units| match units {
            crate::args::UnitsChoice::Metric => Units::Metric,
            crate::args::UnitsChoice::Us => Units::Us,
        });
        Self { json: global.json, quiet: global.quiet, color, units }
    }

    /// Whether results are asked for as JSON.
    pub fn json(&self) -> bool {
        self.json
    }

    /// The units that were asked for.
    pub fn asked(&self) -> Option<Units> {
        self.units
    }

    /// The units to print in, where a group chose `own`.
    pub fn units(&self, own: Units) -> Units {
        self.units.unwrap_or(own)
    }

    /// Writes a result: as JSON if asked, else as `text` says it.
    pub fn result<T: Serialize>(&self, value: &T, text: impl FnOnce() -> String) {
        if self.json {
            let mut json = serde_json::to_string_pretty(value).expect("results are plain data");
            json.push('\n');
            self.write(&json);
        } else {
            self.write(&text());
        }
    }

    /// Writes text to stdout as it is.
    pub fn write(&self, text: &str) {
        let mut out = anstream::AutoStream::new(std::io::stdout(), self.color);
        // A reader that went away wants no more; that is no failure of ours.
        let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    }

    /// Says something on stderr, unless asked to be quiet.
    pub fn say(&self, text: &str) {
        if !self.quiet {
            self.err(text);
        }
    }

    /// Says on stderr why a command failed. With `--json`, as JSON.
    pub fn failure(&self, failure: &Failure) {
        if self.json {
            let report = ErrorReport::from(failure);
            self.err(&serde_json::to_string(&report).expect("reports are plain data"));
            return;
        }
        let red = AnsiColor::Red.on_default().bold();
        let mut text = format!("{red}error:{red:#} {}", failure.message);
        if let Some(hint) = &failure.hint {
            let bold = Style::new().bold();
            text.push_str(&format!("\n  {bold}help:{bold:#} {hint}"));
        }
        self.err(&text);
    }

    fn err(&self, text: &str) {
        let mut err = anstream::AutoStream::new(std::io::stderr(), self.color);
        let _ = writeln!(err, "{text}");
    }

    /// A table as wide as the terminal.
    pub fn table(&self, head: &[&str]) -> Table {
        let mut table = Table::new();
        table.load_style(comfy_table::presets::NOTHING);
        table.set_content_arrangement(ContentArrangement::Dynamic);
        if !std::io::stdout().is_terminal() {
            table.set_width(110);
        }
        table.set_header(head);
        table
    }

    /// A progress bar for long work; it shows on a terminal only.
    pub fn progress(&self, total: Option<u64>, what: &str) -> ProgressBar {
        // A bar moves the cursor about: not where plain text was asked for.
        let plain = std::env::var_os("NO_COLOR").is_some_and(|v| !v.is_empty())
            || std::env::var_os("TERM").is_some_and(|v| v == "dumb");
        let target = if self.quiet || self.json || plain {
            ProgressDrawTarget::hidden()
        } else {
            ProgressDrawTarget::stderr()
        };
        let bar = ProgressBar::with_draw_target(total, target);
        let template = match total {
            Some(_) => "{msg} {wide_bar} {human_pos}/{human_len} {eta}",
            None => "{msg} {human_pos} {per_sec}",
        };
        bar.set_style(
            ProgressStyle::with_template(template).expect("the template is one of the two above"),
        );
        bar.set_message(what.to_owned());
        bar
    }
}
