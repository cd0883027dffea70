//! The machine sheet: one page for one machine, filled in by pen at the machine and keyed in later.

mod catching;
mod cautions;
mod html;
mod last;
mod legend;
#[cfg(feature = "pdf")]
mod pdf;
mod probe;
mod readout;
mod row;
mod setting;
#[cfg(test)]
mod tests;
mod text;

use ouncewise_estate::fault::nearest;
use ouncewise_estate::{Estate, EstateError, Key, State, Units};
use ouncewise_estimate::Standing;
use serde::Serialize;

pub use row::{Leave, Pen, Row, Says, Water, Window};
pub use setting::{Setting, Way};

/// The paper that a sheet is printed on, landscape.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Paper {
    /// ISO A4, 297 mm by 210 mm.
    A4,
    /// US Letter, 11 in by 8.5 in.
    Letter,
}

/// How a sheet is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Print<'a> {
    /// The paper.
    pub paper: Paper,
    /// Units in which recipes are repeated, where neither they nor the measure are in them. A measure is read in its own
    /// unit always.
    pub units: Units,
    /// The day on which it is printed, as people read it.
    pub printed_on: &'a str,
    /// Key of a measure of the site that stands in for each line's usual one.
    pub measure: Option<&'a str>,
}

/// One machine's sheet, as plain data.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MachineSheet {
    /// The paper that it is laid out for.
    pub paper: Paper,
    /// Which machine, and when it was printed.
    pub header: Header,
    /// The measures that its lines are caught with, and how each is read.
    pub measures: Vec<Legend>,
    /// How this machine is set.
    pub setting: Setting,
    /// How the sheet is used, in order.
    pub steps: Vec<String>,
    /// Its lines, in the order in which people list them.
    pub rows: Vec<Row>,
    /// What is said once for several lines, such as a measure that cannot decide.
    pub notes: Vec<String>,
    /// What holds whatever the sheet says.
    pub cautions: Vec<String>,
    /// How what was written becomes records.
    pub key_in: String,
}

/// Which machine a sheet is for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Header {
    /// Name of the group.
    pub group: String,
    /// Name of the site.
    pub site: String,
    /// Key of the site.
    pub site_key: String,
    /// Name of the machine.
    pub machine: String,
    /// Key of the machine.
    pub machine_key: String,
    /// Name of its family.
    pub family: String,
    /// Serial number, where known.
    pub serial: Option<String>,
    /// `idle`, `paused` or `removed`, where it is not in use.
    pub out_of_use: Option<&'static str>,
    /// The day on which it was printed.
    pub printed_on: String,
    /// Version of this program.
    pub version: &'static str,
}

/// A measure that lines of this machine are caught with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Legend {
    /// Its key at the site, which is written beside a catch.
    pub key: String,
    /// What it is called.
    pub name: String,
    /// How it is read, in words.
    pub read: String,
}

impl MachineSheet {
    /// The sheet of one machine. `standings` say what the last catches showed; those of other machines are passed over.
    ///
    /// # Errors
    /// If there is no such site, machine or family. A line that cannot be judged is no error: its row says why.
    pub fn new(
        estate: &Estate,
        site: &str,
        machine: &str,
        standings: &[Standing],
        print: &Print<'_>,
    ) -> Result<MachineSheet, Box<EstateError>> {
        let unknown = |what: String, key: &str, keys: &mut dyn Iterator<Item = &Key>| {
            let near = nearest(key, keys.map(Key::as_str)).map(str::to_owned);
            Box::new(EstateError::Unknown { what, key: key.to_owned(), near })
        };
        let Some(here) = estate.sites.get(site) else {
            return Err(unknown("site".to_owned(), site, &mut estate.sites.keys()));
        };
        let Some(stands) = here.machines.get(machine) else {
            let what = format!("machine at {site}");
            return Err(unknown(what, machine, &mut here.machines.keys()));
        };
        let Some(family) = estate.families.get(&stands.family) else {
            let keys = &mut estate.families.keys();
            return Err(unknown("family".to_owned(), &stands.family, keys));
        };
        let named = |name: &str, key: &str| if name.is_empty() { key } else { name }.to_owned();
        let header = Header {
            group: estate.group.name.clone(),
            site: named(&here.name, site),
            site_key: site.to_owned(),
            machine: named(&stands.name, machine),
            machine_key: machine.to_owned(),
            family: family.name.clone(),
            serial: stands.serial.clone(),
            out_of_use: (stands.state != State::Open).then(|| stands.state.word()),
            printed_on: print.printed_on.to_owned(),
            version: env!("CARGO_PKG_VERSION"),
        };
        let lines = row::rows(estate, site, machine, standings, print);
        Ok(MachineSheet {
            paper: print.paper,
            measures: legend::measures(estate, site, &lines),
            setting: Setting::of(&family.adjuster),
            steps: cautions::steps(&lines, &family.adjuster),
            notes: legend::notes(&lines, print.units),
            cautions: cautions::standing(),
            key_in: cautions::key_in(&lines),
            rows: lines.into_iter().map(|line| line.row).collect(),
            header,
        })
    }

    /// As plain text for a terminal, wrapped to so many columns (at least 40).
    #[must_use]
    pub fn to_text(&self, width: usize) -> String {
        text::render(self, width.max(40))
    }

    /// As one HTML document with its print style inside: nothing is fetched and nothing runs.
    #[must_use]
    pub fn to_html(&self) -> String {
        html::render(self, None)
    }

    /// As an HTML document whose style is at an address, for a server that allows no style inside a page.
    #[must_use]
    pub fn to_page(&self, style_at: &str) -> String {
        html::render(self, Some(style_at))
    }

    /// As a PDF with the words of the page for a browser, on one page wherever that can be read.
    ///
    /// # Errors
    /// If it could not be typeset, which no sheet that can be made should cause.
    #[cfg(feature = "pdf")]
    pub fn to_pdf(&self) -> Result<Vec<u8>, crate::PdfError> {
        pdf::render(self)
    }

    /// The style that belongs to [`MachineSheet::to_page`]: it depends on the paper and on the words in the margin.
    #[must_use]
    pub fn style(&self) -> String {
        html::style(self)
    }
}
