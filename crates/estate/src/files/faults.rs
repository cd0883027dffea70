//! Every code of a fault is documented, and every documented example is tried.

use std::collections::BTreeSet;

use super::{Files, read};
use crate::fault::Severity;
use crate::fields::code::ALL;

const DOC: &str = include_str!("../../../../docs/faults.md");

/// The examples of a piece of the document: files by name, `(no file)` takes one away.
fn put(files: &mut Files, text: &str) {
    let mut parts = text.split("```");
    while let (Some(_), Some(block)) = (parts.next(), parts.next()) {
        let (head, body) = block.split_once('\n').unwrap();
        let name =
            head.split(' ').nth(1).unwrap_or_else(|| panic!("a block without a file: {head}"));
        if body.trim() == "(no file)" {
            files.remove(name);
        } else {
            files.insert(name.to_owned(), unescape(body));
        }
    }
}

/// `\xE9` is that byte, which a document in UTF-8 cannot hold.
fn unescape(text: &str) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    while let Some(at) = bytes.windows(2).position(|w| w == b"\\x") {
        let byte =
            u8::from_str_radix(std::str::from_utf8(&bytes[at + 2..at + 4]).unwrap(), 16).unwrap();
        bytes.splice(at..at + 4, [byte]);
    }
    bytes
}

#[test]
fn every_code_has_its_example_wrong_and_right() {
    let mut sections = DOC.split("\n## ");
    let mut base = Files::new();
    put(&mut base, sections.next().unwrap());
    assert_eq!(read(&base).1, [], "the small estate is good");

    let mut documented = BTreeSet::new();
    for section in sections {
        let code = &section[..4];
        let (wrong, right) = section
            .split_once("\nRight:\n")
            .unwrap_or_else(|| panic!("{code} has no right example"));
        let told = |text: &str| {
            let mut files = base.clone();
            put(&mut files, text);
            read(&files).1
        };
        let faults = told(wrong);
        let fault = faults
            .iter()
            .find(|f| f.code == code)
            .unwrap_or_else(|| panic!("{code} is not told: {faults:#?}"));
        assert!(
            faults.iter().all(|f| f.code == code || code == "E006"),
            "{code} brings others: {faults:#?}"
        );
        assert!(fault.hint.as_ref().is_some_and(|h| !h.is_empty()), "{code} has no hint");
        let warning = section.contains("\n\nWarning.");
        assert_eq!(fault.severity == Severity::Warning, warning, "{code} is not of its severity");
        let faults = told(right);
        assert!(faults.is_empty(), "the right example of {code}: {faults:#?}");
        documented.insert(code.to_owned());
    }
    let all: BTreeSet<String> = ALL.iter().map(|(code, _)| (*code).to_owned()).collect();
    assert_eq!(documented, all);
}

/// Messages are words for people: lower case, no full stop, no wrapped lines.
#[test]
fn what_is_told_is_worded_alike() {
    let mut files = Files::new();
    for section in DOC.split("\n## ").skip(1) {
        put(&mut files, section.split_once("\nRight:\n").unwrap().0);
        for fault in read(&files).1 {
            let first = fault.message.chars().next().unwrap();
            assert!(!first.is_uppercase() && !fault.message.ends_with('.'), "{fault}");
            assert!(!fault.to_string().contains('\n'), "{fault}");
        }
    }
}
