//! The sheet as a PDF, typeset from the same plain data as the page for a browser: `pdf/sheet.typ` lays it out.

#[cfg(test)]
use typst_layout::PagedDocument;

use super::MachineSheet;
use crate::typeset::{self, Named, PdfError, Template};

/// The sheet as bytes of a PDF.
pub(super) fn render(sheet: &MachineSheet) -> Result<Vec<u8>, PdfError> {
    let header = &sheet.header;
    let named = Named {
        ident: format!("ouncewise machine sheet {}/{}", header.site_key, header.machine_key),
        version: header.version,
        printed_on: Some(&header.printed_on),
    };
    typeset::render(Template::Sheet, sheet, named)
}

/// The sheet on its pages.
#[cfg(test)]
pub(super) fn typeset(sheet: &MachineSheet) -> Result<PagedDocument, PdfError> {
    typeset::typeset(Template::Sheet, sheet)
}
