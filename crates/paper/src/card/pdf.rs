//! The card as a PDF, typeset from the same plain data as the page for a browser: `pdf/card.typ` lays it out.

#[cfg(test)]
use typst_layout::PagedDocument;

use super::Print;
use super::shown::Shown;
use crate::typeset::{self, Named, PdfError, Template};

/// The card as bytes of a PDF.
pub(super) fn render(print: &Print<'_>) -> Result<Vec<u8>, PdfError> {
    let named = Named {
        ident: format!("ouncewise card {} {}", print.version, print.language),
        version: env!("CARGO_PKG_VERSION"),
        // A card is the same bytes on every day: it is told apart by the version of its text.
        printed_on: None,
    };
    typeset::render(Template::Card, &Shown::of(print), named)
}

/// The card on its pages.
#[cfg(test)]
pub(super) fn typeset(print: &Print<'_>) -> Result<PagedDocument, PdfError> {
    typeset::typeset(Template::Card, &Shown::of(print))
}
