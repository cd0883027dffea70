//! Whatever is written: nothing panics, every fault lies inside its text, and what is read is written so that it reads back the same.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use ouncewise_estate::Fault;
use ouncewise_procedure::{Family, Terms, check, read, skips, write};
use proptest::prelude::*;

const FAMILY: &str = include_str!("../../../content/procedures/roller-pump/family.toml");
const CLEAN: &str = include_str!("../../../content/procedures/roller-pump/weekly-clean.toml");
const CHANGE: &str = include_str!("../../../content/procedures/roller-pump/change-flavour.toml");

fn inside(faults: &[Fault], text: &str) {
    for fault in faults {
        let span = fault.place.span.clone().unwrap();
        assert!(span.start <= span.end && span.end <= text.len(), "{fault:?}");
    }
}

/// Reads, checks and writes whatever it is.
fn through(family: &Family, text: &str) {
    let (procedure, faults) = read::procedure("p.toml", text, family);
    inside(&faults, text);
    let Some(procedure) = procedure else { return };
    let terms = Terms { most: 2000, ..Terms::default() };
    drop(check(family, &procedure, &terms));
    let written = write(&procedure);
    let (again, _) = read::procedure("p.toml", &written, family);
    // What was refused is left out on both sides.
    assert_eq!(again.map(|again| write(&again)), Some(written));
    if faults.is_empty() {
        drop(skips(family, &procedure, &Terms { most: 300, ..terms }));
        let (again, faults) = read::procedure("p.toml", &write(&procedure), family);
        assert_eq!(faults, Vec::new());
        assert_eq!(again.unwrap(), procedure);
    }
}

/// A text with some of its lines dropped, doubled, or swapped, and some words put in the place of others.
fn edited(text: &str, edits: &[(usize, usize, u8)]) -> String {
    let words =
        ["next", "end", "leave", "out", "all", "machine", "each-line", "drain", "rinse", "change"];
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    for (a, b, how) in edits {
        let (a, b) = (a % lines.len(), b % lines.len());
        match how % 4 {
            0 if lines.len() > 1 => drop(lines.remove(a)),
            1 => lines.insert(b, lines[a].clone()),
            2 => lines.swap(a, b),
            _ => {
                let line = &lines[a];
                if let (Some(from), Some(to)) = (line.find('"'), line.rfind('"')) {
                    let word = words[b % words.len()];
                    lines[a] = format!("{}\"{word}{}", &line[..from], &line[to..]);
                }
            }
        }
    }
    lines.join("\n")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn edited_procedures_go_through(edits in prop::collection::vec(any::<(usize, usize, u8)>(), 1..6)) {
        let family = read::family("f.toml", FAMILY).0.unwrap();
        through(&family, &edited(CLEAN, &edits));
        through(&family, &edited(CHANGE, &edits));
    }

    #[test]
    fn edited_families_go_through(edits in prop::collection::vec(any::<(usize, usize, u8)>(), 1..6)) {
        let text = edited(FAMILY, &edits);
        let (family, faults) = read::family("f.toml", &text);
        inside(&faults, &text);
        if let Some(family) = family {
            through(&family, CLEAN);
        }
    }

    #[test]
    fn any_text_goes_through(text in "(?s).{0,200}") {
        let family = read::family("f.toml", FAMILY).0.unwrap();
        through(&family, &text);
        inside(&read::family("f.toml", &text).1, &text);
    }
}
