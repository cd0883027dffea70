//! The card of a procedure: its steps to be read at arm's length, on one page or two, black on white; and the form of the observed
//! sign-off.

mod html;
#[cfg(feature = "pdf")]
mod pdf;
mod qr;
mod shown;
mod sign_off;
#[cfg(test)]
mod tests;
mod words;

use std::collections::BTreeSet;

use ouncewise_procedure::kit::{Bring, kit};
use ouncewise_procedure::{Family, Numbered, Procedure, Terms, numbered, skips, words::Standing};

use crate::sheet::Paper;

pub use sign_off::{SignOff, style as sign_off_style};

/// How a card is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Print<'a> {
    /// The paper, upright.
    pub paper: Paper,
    /// The language, by its short code.
    pub language: &'a str,
    /// SHA-256 of the text, in hexadecimal: the version of the card.
    pub version: &'a str,
}

/// A card, ready to be printed.
#[derive(Debug, Clone, PartialEq)]
pub struct Card<'a> {
    print: Print<'a>,
    family: &'a Family,
    procedure: &'a Procedure,
    terms: Terms,
    steps: Vec<Numbered<'a>>,
    must_not_skip: BTreeSet<usize>,
    kit: Vec<Bring>,
    unreviewed: bool,
}

/// Whether nobody has signed the text of a procedure in a language, or it has none in it.
fn unreviewed(procedure: &Procedure, language: &str) -> bool {
    let own = procedure.languages.iter().find(|(code, _)| code == language);
    own.is_none_or(|(_, standing)| *standing == Standing::Unreviewed)
}

impl<'a> Card<'a> {
    /// The card of a procedure. It says nothing of whether the text holds: check that first.
    #[must_use]
    pub fn new(
        family: &'a Family,
        procedure: &'a Procedure,
        terms: &Terms,
        print: Print<'a>,
    ) -> Self {
        Self {
            unreviewed: unreviewed(procedure, print.language),
            print,
            family,
            procedure,
            terms: terms.clone(),
            steps: numbered(family, procedure, terms),
            must_not_skip: skips(family, procedure, terms).must_not_skip().into_iter().collect(),
            kit: kit(family, procedure, 1, u32::from(procedure.lines)),
        }
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

    /// As a PDF with the words of the page for a browser, on one page or two wherever that can be read at arm's length.
    ///
    /// # Errors
    /// If it could not be typeset, which no card that can be made should cause.
    #[cfg(feature = "pdf")]
    pub fn to_pdf(&self) -> Result<Vec<u8>, crate::PdfError> {
        pdf::render(self)
    }

    /// The first part of the version, as it is printed.
    fn short(&self) -> &str {
        self.print.version.get(..12).unwrap_or(self.print.version)
    }
}

/// The style that belongs to [`Card::to_page`].
#[must_use]
pub fn style(paper: Paper) -> String {
    html::style(paper)
}
