//! Profiles that do not read: every fault at once, each with its key and how to mend it.

use super::*;
use proptest::prelude::*;

fn faults(text: &str) -> Vec<FieldFault> {
    Profile::read(text).expect_err("it has faults")
}

fn keys(faults: &[FieldFault]) -> Vec<&str> {
    faults.iter().map(|fault| fault.key.as_str()).collect()
}

const WHOLE: &str = r#"
id = "ours"
name = "Ours"
code = "Our code"
edition = "2024"

[[limit]]
sanitiser = "chlorine"
from = 50
temperature = [{ ph_to = 8, c = 24, f = 75 }, { ph_to = 10, c = 38, f = 100 }]
clause = "1.1"
status = "READ"
source = "the book"

[[contact]]
sanitiser = "chlorine"
seconds = 10
clause = "1.2"
status = "READ"
source = "the book"

[after]
rule = "drain"
clause = "1.3"
status = "READ"
source = "the book"
"#;

#[test]
fn a_leads_own_profile_reads() {
    let own = Profile::read(WHOLE).unwrap();
    assert_eq!((own.id.as_str(), own.limits.len(), own.records.len()), ("ours", 1, 0));
    // One that ships, under another name and with one figure changed.
    let (_, text) = Profile::all_shipped()[0];
    let changed = text
        .replace("id = \"model-code\"", "id = \"our-county\"")
        .replace("from = 50\ntemp", "from = 75\ntemp");
    let changed = Profile::read(&changed).unwrap();
    assert!(
        changed
            .row(Sanitiser::Chlorine, MgPerLitre(60.0), Applied::Immersed)
            .is_some_and(|row| row.from == Some(MgPerLitre(25.0)))
    );
}

#[test]
fn nothing_at_all_names_everything_that_is_needed() {
    assert_eq!(keys(&faults("")), ["id", "name", "code", "edition", "after"]);
}

#[test]
fn every_fault_is_named_with_its_key_and_how_to_mend_it() {
    let text = r#"
id = "Our County"
name = ""
code = 7
edition = "2024"
speed = 3

[[limit]]
sanitiser = "clorine"
from = -5
tempreature = []
clause = "1.1"
status = "SEEN"

[[limit]]
sanitiser = "iodine"
from = 25
to = 12.5
temperature = [{ ph_to = 10, c = 38, f = 100 }, { ph_to = 8, c = 24, f = 85 }, { ph_to = 15 }]
as_label = true
clause = "1.2"
status = "READ"
source = "the book"

[[contact]]
sanitiser = "quat"
clause = "1.3"
status = "READ"
source = "the book"

[after]
rule = "wipe"
clause = "1.4"
status = "READ"
source = "the book"

[[record]]
kind = "selfie"
clause = "1.5"
status = "READ"
source = "the book"
"#;
    let faults = faults(text);
    for key in [
        "id",
        "name",
        "code",
        "speed",
        "limit[1].sanitiser",
        "limit[1].from",
        "limit[1].tempreature",
        "limit[1].status",
        "limit[1].source",
        "limit[2].to",
        "limit[2].as_label",
        "limit[2].temperature",
        "limit[2].temperature[2].f",
        "limit[2].temperature[3].ph_to",
        "limit[2].temperature[3].c",
        "contact[1].seconds",
        "after.rule",
        "record[1].kind",
    ] {
        assert!(keys(&faults).contains(&key), "{key} is not in {:?}", keys(&faults));
    }
    for fault in &faults {
        assert!(!fault.what.is_empty() && !fault.mend.is_empty(), "{fault:?}");
    }
    let of = |key: &str| faults.iter().find(|fault| fault.key == key).unwrap();
    assert!(of("limit[1].sanitiser").mend.contains("`chlorine`"));
    assert!(of("limit[1].tempreature").mend.contains("other keys here"));
}

#[test]
fn a_slip_of_a_key_is_recognised() {
    let slip = WHOLE.replace("seconds = 10", "second = 10");
    let faults = faults(&slip);
    assert!(
        faults
            .iter()
            .any(|fault| fault.key == "contact[1].second" && fault.mend.contains("`seconds`")),
        "{faults:?}"
    );
}

#[test]
fn two_rows_cannot_begin_at_the_same_strength() {
    let (_, text) = Profile::all_shipped()[0];
    let faults = faults(&text.replace("from = 100\n", "from = 50\n"));
    assert_eq!(keys(&faults), ["limit[3].from"]);
}

#[test]
fn what_is_not_toml_names_its_line() {
    let faults = faults("id = \"ours\"\nname = Ours\n");
    assert_eq!(keys(&faults), ["line 2"]);
    assert!(!faults[0].mend.is_empty());
}

#[test]
fn each_key_that_must_be_there_is_missed() {
    for line in WHOLE.lines().filter(|line| !line.is_empty() && !line.starts_with("temperature")) {
        let without = WHOLE.replacen(&format!("{line}\n"), "", 1);
        assert!(Profile::read(&without).is_err(), "reads without {line:?}");
    }
}

proptest! {
    #[test]
    fn no_text_panics(text in any::<String>()) {
        if let Err(faults) = Profile::read(&text) {
            prop_assert!(!faults.is_empty());
        }
    }

    /// A shipped profile with one line changed either reads, or says why.
    #[test]
    fn a_changed_line_is_read_or_refused(which in 0usize..4, line in any::<prop::sample::Index>(), with in "[a-z_]{0,8} = ?[\"\\[{0-9a-z.-]{0,6}") {
        let (_, text) = Profile::all_shipped()[which];
        let lines: Vec<&str> = text.lines().collect();
        let at = line.index(lines.len());
        let changed: Vec<&str> = lines.iter().enumerate().map(|(index, line)| if index == at { with.as_str() } else { line }).collect();
        if let Err(faults) = Profile::read(&changed.join("\n")) {
            for fault in faults {
                prop_assert!(!fault.key.is_empty() && !fault.what.is_empty() && !fault.mend.is_empty(), "{fault:?}");
            }
        }
    }
}
