//! Label and code that cannot both hold, in either direction.

use super::*;

fn conflict(id: &str, label: &Label, strength: f64, conditions: Conditions) -> Option<String> {
    let profile = shipped(id);
    let made = Made::stated(MgPerLitre(strength));
    let found = verdict(&profile, label, &made, conditions, None);
    assert!(
        found.outcome >= Outcome::NotCovered
            || found.findings.iter().all(|finding| finding.about != About::Conflict)
    );
    found
        .findings
        .iter()
        .find(|finding| finding.about == About::Conflict)
        .map(|finding| finding.say.clone())
}

/// The label ends where the code has not begun: California's 100 (READ) over a label of 25 to 50.
#[test]
fn the_code_asks_more_than_the_label_allows() {
    let own = label(Chemistry::Hypochlorite, range(25.0, 50.0));
    for strength in [50.0, 100.0] {
        let say = conflict("california", &own, strength, at("24 °C", 7.0)).expect("a conflict");
        assert!(say.contains("50 mg/L") && say.contains("100 mg/L"), "{say}");
    }
    assert_eq!(conflict("model-code", &own, 50.0, at("24 °C", 7.0)), None);
}

/// The label begins over what may stay without a rinse (HY-25, READ-2), or over the row's own end (HY-04, READ).
#[test]
fn the_label_asks_more_than_the_code_allows() {
    let strong = label(Chemistry::Hypochlorite, range(400.0, 600.0));
    let say = conflict("model-code", &strong, 500.0, at("24 °C", 7.0)).expect("a conflict");
    assert!(say.contains("400 mg/L") && say.contains("200 mg/L"), "{say}");
    let iodine = label(Chemistry::Iodine, range(30.0, 50.0));
    assert!(conflict("model-code", &iodine, 30.0, at("24 °C", 5.0)).is_some());
    // The guidance of the United Kingdom rinses, and has no ceiling.
    assert_eq!(conflict("uk-rinse", &strong, 500.0, at("24 °C", 7.0)), None);
}

/// The label's warmest is under the code's least for the strongest that it allows.
#[test]
fn no_temperature_satisfies_both() {
    let own = Label {
        temperature_to: Some(read("40 °C")),
        ..label(Chemistry::Hypochlorite, range(25.0, 40.0))
    };
    let say = conflict("model-code", &own, 30.0, at("40 °C", 7.0)).expect("a conflict");
    assert!(say.contains("no temperature satisfies both"), "{say}");
    let stronger = Label {
        temperature_to: Some(read("40 °C")),
        ..label(Chemistry::Hypochlorite, range(25.0, 100.0))
    };
    assert_eq!(conflict("model-code", &stronger, 100.0, at("20 °C", 7.0)), None);
}

/// The stricter of the two holds, whichever it is.
#[test]
fn the_stricter_of_the_two_holds() {
    let model = shipped("model-code");
    let cold = at("15 °C", 7.0);
    let of = |label: &Label, conditions: &Conditions| {
        window(&model, label, conditions).map(|window| (window.from.0, window.to.0))
    };
    // The label is stricter at both ends.
    assert_eq!(
        of(&label(Chemistry::Hypochlorite, range(120.0, 150.0)), &cold),
        Some((120.0, 150.0))
    );
    // The code is: 100 in the cold, 200 at most.
    assert_eq!(
        of(&label(Chemistry::Hypochlorite, range(50.0, 400.0)), &cold),
        Some((100.0, 200.0))
    );
    // Warm water opens the rows below.
    assert_eq!(
        of(&label(Chemistry::Hypochlorite, range(30.0, 400.0)), &at("24 °C", 7.0)),
        Some((50.0, 200.0))
    );
    assert_eq!(
        of(&label(Chemistry::Hypochlorite, range(30.0, 400.0)), &at("49 °C", 7.0)),
        Some((30.0, 200.0))
    );
    assert_eq!(of(&label(Chemistry::Hypochlorite, range(30.0, 400.0)), &at("49 °C", 11.0)), None);
    // What is not known excludes nothing.
    assert_eq!(
        of(&label(Chemistry::Hypochlorite, range(30.0, 400.0)), &Conditions::default()),
        Some((30.0, 200.0))
    );
    let swabbed = Conditions { applied: Applied::Swabbed, ..at("75 °F", 7.0) };
    let york = shipped("new-york");
    let found =
        window(&york, &label(Chemistry::Hypochlorite, range(30.0, 400.0)), &swabbed).unwrap();
    assert_eq!((found.from.0, found.to.0), (100.0, 200.0));
}

/// Each way of mixing again would break the label or the code: neither is what to do.
#[test]
fn what_to_do_in_a_conflict_goes_against_neither() {
    let model = shipped("model-code");
    for (from, to, strength) in [(300.0, 400.0, 324.0), (5.0, 20.0, 10.8), (300.0, 400.0, 150.0)] {
        let own = label(Chemistry::Hypochlorite, range(from, to));
        let made = Made::stated(MgPerLitre(strength));
        let found = verdict(&model, &own, &made, at("24 °C", 7.0), None);
        assert!(found.act().is_some_and(|act| act.contains("both allow")), "{found:?}");
        assert!(found.findings.iter().all(|finding| !finding.mend.contains("mix again")));
    }
}
