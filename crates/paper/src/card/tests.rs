//! The card: what stands on it, and on how many pages.

#[cfg(feature = "pdf")]
mod pdf;

use super::*;
use ouncewise_procedure::{read, skips};

const MODEL: &str = include_str!("../../../../content/procedures/screw-trim/family.toml");
const CLEAN: &str = include_str!("../../../../content/procedures/screw-trim/weekly-clean.toml");

fn printed(language: &str, paper: Paper) -> String {
    let family = read::family("family.toml", MODEL).0.unwrap();
    let clean = read::procedure("weekly-clean.toml", CLEAN, &family).0.unwrap();
    print(&family, &clean, &Terms::default(), paper, language).page(Printed::Card, None)
}

fn print<'a>(
    family: &'a Family,
    procedure: &'a Procedure,
    terms: &'a Terms,
    paper: Paper,
    language: &'a str,
) -> Print<'a> {
    let version = "0123456789abcdef0123456789abcdef";
    Print { family, procedure, terms, paper, language, version }
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
