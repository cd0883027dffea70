//! From plain data to a PDF: what the sheet and the card share.
//!
//! The data reach a template as strings of a JSON file, so that nothing a person typed is read as markup. What is written
//! is tagged (PDF/UA-1), can be archived (PDF/A-2a) where its date is known, and is the same bytes for the same data.

mod letters;
mod world;

use std::error::Error;
use std::fmt;

use serde::Serialize;
use typst::diag::{SourceDiagnostic, Warned};
use typst::foundations::{Datetime, Smart};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

#[cfg(test)]
pub(crate) use letters::plain;
pub(crate) use world::Template;
use world::World;

/// How many documents ago something must have been of use to be remembered for the next one.
const REMEMBERED: usize = 8;

/// Why something could not be made into a PDF: a defect of this program, not of what is printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PdfError(String);

impl fmt::Display for PdfError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "it could not be typeset as a PDF: {}", self.0)
    }
}

impl Error for PdfError {}

/// How a document is named, and when it was made.
pub(crate) struct Named<'a> {
    /// What it is, the same for the same document.
    pub(crate) ident: String,
    /// Version of this program.
    pub(crate) version: &'a str,
    /// The day of printing, where it is known: an archive wants to know it.
    pub(crate) printed_on: Option<&'a str>,
}

/// Data as bytes of a PDF.
pub(crate) fn render(
    template: Template,
    data: &impl Serialize,
    named: Named<'_>,
) -> Result<Vec<u8>, PdfError> {
    let document = typeset(template, data)?;
    let date = named.printed_on.and_then(date);
    let standards: &[PdfStandard] = match date {
        Some(_) => &[PdfStandard::A_2a, PdfStandard::Ua_1],
        None => &[PdfStandard::Ua_1],
    };
    let options = PdfOptions {
        ident: Smart::Custom(named.ident),
        creator: Smart::Custom(Some(format!("ouncewise {}", named.version))),
        timestamp: date.map(Timestamp::new_utc),
        standards: PdfStandards::new(standards).map_err(|e| PdfError(e.message().to_string()))?,
        ..PdfOptions::default()
    };
    typst_pdf::pdf(&document, &options).map_err(|e| failed(&e))
}

/// Data on pages.
pub(crate) fn typeset(
    template: Template,
    data: &impl Serialize,
) -> Result<PagedDocument, PdfError> {
    let data = letters::shown(data).map_err(|e| PdfError(e.to_string()))?;
    let world =
        World::new(template, data).ok_or_else(|| PdfError("its letters are missing".to_owned()))?;
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
