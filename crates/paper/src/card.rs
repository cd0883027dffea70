//! The card of a procedure: its steps to be read at arm's length, on one page or two, black on white.

mod html;
mod qr;
mod words;

use std::collections::BTreeSet;

use ouncewise_procedure::kit::{Bring, kit};
use ouncewise_procedure::{Family, Numbered, Procedure, Terms, numbered, skips, words::Standing};

use crate::sheet::Paper;

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
    steps: Vec<Numbered<'a>>,
    must_not_skip: BTreeSet<usize>,
    kit: Vec<Bring>,
    unreviewed: bool,
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
        let own = procedure.languages.iter().find(|(code, _)| code == print.language);
        Self {
            print,
            family,
            procedure,
            steps: numbered(family, procedure, terms),
            must_not_skip: skips(family, procedure, terms).must_not_skip().into_iter().collect(),
            kit: kit(family, procedure, 1, u32::from(procedure.lines)),
            unreviewed: own.is_none_or(|(_, standing)| *standing == Standing::Unreviewed),
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

#[cfg(test)]
mod tests {
    use super::*;
    use ouncewise_procedure::read;

    const MODEL: &str = include_str!("../../../content/procedures/screw-trim/family.toml");
    const CLEAN: &str = include_str!("../../../content/procedures/screw-trim/weekly-clean.toml");

    fn printed(language: &str, paper: Paper) -> String {
        let family = read::family("family.toml", MODEL).0.unwrap();
        let clean = read::procedure("weekly-clean.toml", CLEAN, &family).0.unwrap();
        let print = Print { paper, language, version: "0123456789abcdef0123456789abcdef" };
        Card::new(&family, &clean, &Terms::default(), print).to_html()
    }

    #[test]
    fn what_must_not_be_skipped_is_marked_by_a_sign_and_a_word() {
        let family = read::family("family.toml", MODEL).0.unwrap();
        let clean = read::procedure("weekly-clean.toml", CLEAN, &family).0.unwrap();
        let marks = skips(&family, &clean, &Terms::default()).must_not_skip().len();
        assert!(marks > 0);
        let card = printed("en", Paper::A4);
        assert_eq!(card.matches("■ MUST NOT SKIP").count(), marks);
        assert!(card.contains("0123456789ab") && card.contains("<svg"));
        assert!(card.contains("size:A4"));
        // A step that leads back to the catch says how often, and where to after that.
        assert!(card.contains("[back at most "), "{card}");
        assert!(!card.contains("<script") && !card.contains("not reviewed"));
    }

    #[test]
    fn a_translation_that_nobody_signed_says_so() {
        let card = printed("es", Paper::Letter);
        assert!(card.contains("lang=\"es\"") && card.contains("size:letter"));
        // Before each caution, and before what holds whatever the card says.
        assert!(card.matches("sin revisar").count() >= 3, "{card}");
        assert!(card.contains("■ NO OMITIR"));
        for english in ["right", "wrong", "good", "worn", "yes", "on", "off", "undecided"] {
            assert!(!card.contains(&format!("[{english} →")), "{english}");
        }
        assert!(card.contains("[gastada → paso "), "{card}");
    }
}
