//! What is printed of a procedure: its card, with its steps to be read at arm's length, on one page or two, black on white; and the
//! form of the observed sign-off.

mod html;
#[cfg(feature = "pdf")]
mod pdf;
mod qr;
mod shown;
mod sign_off;
#[cfg(test)]
mod tests;
mod words;

use ouncewise_procedure::words::{Standing, Words};
use ouncewise_procedure::{Family, Procedure, Terms};

use crate::sheet::Paper;
use shown::ShownCaution;

pub use html::style;

/// What is printed of a procedure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Printed {
    /// Its steps, for whoever does them.
    Card,
    /// The form of the observed sign-off, for whoever watches them done.
    SignOff,
}

impl Printed {
    /// As it is called in commands and addresses.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Card => "card",
            Self::SignOff => "sign-off",
        }
    }
}

/// A procedure, and how it is printed. It says nothing of whether the text holds: check that first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Print<'a> {
    /// The model of its family.
    pub family: &'a Family,
    /// The procedure.
    pub procedure: &'a Procedure,
    /// What it is held to.
    pub terms: &'a Terms,
    /// The paper, upright.
    pub paper: Paper,
    /// The language, by its short code.
    pub language: &'a str,
    /// SHA-256 of its text and its model, in hexadecimal: its version.
    pub version: &'a str,
}

impl Print<'_> {
    /// As one HTML document. Nothing is fetched and nothing runs, but for the style where its address is given: for a server
    /// that allows no style inside a page.
    #[must_use]
    pub fn page(&self, what: Printed, style_at: Option<&str>) -> String {
        html::page(self, what, style_at)
    }

    /// The card as a PDF with the words of the page for a browser, on one page or two wherever that can be read at arm's length.
    ///
    /// # Errors
    /// If it could not be typeset, which no card that can be made should cause.
    #[cfg(feature = "pdf")]
    pub fn to_pdf(&self) -> Result<Vec<u8>, crate::PdfError> {
        pdf::render(self)
    }

    /// The words that are not the procedure's own.
    fn said(&self) -> &'static words::Said {
        words::of(self.language)
    }

    /// Family, version and food code.
    fn about(&self) -> Vec<String> {
        let said = self.said();
        let version = self.version.get(..12).unwrap_or(self.version);
        let code = self.terms.code.as_deref().unwrap_or(said.no_code);
        let after = words::after(self.terms.after, self.language);
        vec![
            self.family.key.clone(),
            format!("{} {version}", said.version),
            format!("{}: {code} ({after})", said.code),
        ]
    }

    /// The words that mark what nobody has signed in this language, those that are not the procedure's own included.
    fn unreviewed(&self) -> Option<&'static str> {
        let own = self.procedure.languages.iter().find(|(code, _)| code == self.language);
        let signed = own.is_some_and(|(_, standing)| *standing != Standing::Unreviewed);
        (!signed).then_some(self.said().unreviewed)
    }

    /// What holds whatever the rest says.
    fn standing(&self) -> String {
        self.said().standing.join(" ")
    }

    /// What to look for at a step, if there is anything.
    fn look_for(&self, words: &Words) -> Option<String> {
        let words = words.of(self.language);
        (!words.is_empty()).then(|| format!("{}: {words}", self.said().look_for))
    }

    /// The cautions of a step: what could hurt, what it could do, and how to avoid it.
    fn cautions(&self, keys: &[String]) -> Vec<ShownCaution> {
        let own = keys.iter().filter_map(|key| self.family.caution(key));
        own.map(|own| ShownCaution {
            signal: words::signal(own.signal, self.language),
            says: [&own.hazard, &own.consequence, &own.avoid]
                .map(|words| words.of(self.language))
                .join(" "),
        })
        .collect()
    }
}
