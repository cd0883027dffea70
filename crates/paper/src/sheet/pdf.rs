//! The sheet as a PDF, typeset from the same plain data as the page for a browser.
//!
//! `pdf/sheet.typ` lays it out. The data reach it as strings of a JSON file, so that nothing a person typed is read as
//! markup. What is written is tagged (PDF/UA-1), can be archived (PDF/A-2a) where its date is known, and is the same
//! bytes for the same sheet.

mod letters;
mod world;

use std::error::Error;
use std::fmt;

use typst::diag::{SourceDiagnostic, Warned};
use typst::foundations::{Datetime, Smart};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

use super::MachineSheet;
#[cfg(test)]
pub(super) use letters::plain;
use world::World;

/// How many sheets ago something must have been of use to be remembered for the next one.
const REMEMBERED: usize = 8;

/// Why a sheet could not be made into a PDF: a defect of this program, not of the sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PdfError(String);

impl fmt::Display for PdfError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the sheet could not be typeset as a PDF: {}", self.0)
    }
}

impl Error for PdfError {}

/// The sheet as bytes of a PDF.
pub(super) fn render(sheet: &MachineSheet) -> Result<Vec<u8>, PdfError> {
    let document = typeset(sheet)?;
    let date = date(&sheet.header.printed_on);
    // An archive wants to know when a document was made.
    let standards: &[PdfStandard] = match date {
        Some(_) => &[PdfStandard::A_2a, PdfStandard::Ua_1],
        None => &[PdfStandard::Ua_1],
    };
    let header = &sheet.header;
    let options = PdfOptions {
        ident: Smart::Custom(format!(
            "ouncewise machine sheet {}/{}",
            header.site_key, header.machine_key
        )),
        creator: Smart::Custom(Some(format!("ouncewise {}", header.version))),
        timestamp: date.map(Timestamp::new_utc),
        standards: PdfStandards::new(standards).map_err(|e| PdfError(e.message().to_string()))?,
        ..PdfOptions::default()
    };
    typst_pdf::pdf(&document, &options).map_err(|e| failed(&e))
}

/// The sheet on its pages.
pub(super) fn typeset(sheet: &MachineSheet) -> Result<PagedDocument, PdfError> {
    let data = letters::shown(sheet).map_err(|e| PdfError(e.to_string()))?;
    let world = World::new(data).ok_or_else(|| PdfError("its letters are missing".to_owned()))?;
    let Warned { output, .. } = typst::compile(&world);
    typst::comemo::evict(REMEMBERED);
    output.map_err(|e| failed(&e))
}

fn failed(errors: &[SourceDiagnostic]) -> PdfError {
    let all: Vec<&str> = errors.iter().map(|error| error.message.as_str()).collect();
    PdfError(all.join("; "))
}

/// A date as year, month and day, which is how the program writes the day of printing.
fn date(text: &str) -> Option<Datetime> {
    let mut parts = text.splitn(3, '-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    Datetime::from_ymd(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?)
}
