//! Verdicts under profiles that ship: every row of H §1.1 with its boundaries, and never a pass for what is not covered.

use super::*;

/// A label that allows all of the range, so that the code alone decides.
fn wide(chemistry: Chemistry) -> Label {
    label(chemistry, range(0.1, 1000.0))
}

/// What the code says of a strength, the label allowing it, with no word about the strip.
fn by_code(profile: &Profile, label: &Label, strength: f64, conditions: Conditions) -> Outcome {
    let made = Made::stated(MgPerLitre(strength));
    let found = verdict(profile, label, &made, conditions, None);
    found
        .findings
        .iter()
        .filter(|finding| finding.by != By::Strip)
        .map(|finding| finding.outcome)
        .max()
        .unwrap()
}

/// HY-01, HY-02, HY-03 (READ): temperature by strength and pH, each at its boundary, in both units.
#[test]
fn chlorine_by_temperature_and_ph() {
    use Outcome::{Accepted, NotCovered, Refused};
    let model = shipped("model-code");
    let label = wide(Chemistry::Hypochlorite);
    for (strength, temperature, ph, expected) in [
        (25.0, "49 °C", 8.0, Accepted),
        (25.0, "48.9 °C", 8.0, Refused),
        (25.0, "120 °F", 10.0, Accepted),
        (25.0, "119.9 °F", 10.0, Refused),
        (49.9, "38 °C", 7.0, Refused),
        (49.9, "49 °C", 7.0, Accepted),
        (50.0, "24 °C", 8.0, Accepted),
        (50.0, "75 °F", 8.0, Accepted),
        (50.0, "23.9 °C", 8.0, Refused),
        (50.0, "24 °C", 8.01, Refused),
        (50.0, "38 °C", 8.01, Accepted),
        (50.0, "100 °F", 10.0, Accepted),
        (99.9, "13 °C", 7.0, Refused),
        (100.0, "13 °C", 7.0, Accepted),
        (100.0, "55 °F", 10.0, Accepted),
        (100.0, "12.9 °C", 10.0, Refused),
        (200.0, "13 °C", 10.0, Accepted),
        // No row: never a pass.
        (24.9, "60 °C", 7.0, NotCovered),
        (100.0, "49 °C", 10.01, NotCovered),
        (50.0, "49 °C", 11.0, NotCovered),
        // HY-25 (READ-2): over the ceiling.
        (200.1, "24 °C", 7.0, Refused),
        (250.0, "24 °C", 7.0, Refused),
    ] {
        let found = by_code(&model, &label, strength, at(temperature, ph));
        assert_eq!(found, expected, "{strength} mg/L, {temperature}, pH {ph}");
    }
}

/// HY-04 (READ): iodine 12.5 to 25, 20 °C (68 °F), pH 5.0 or the maker's own limit.
#[test]
fn iodine_by_temperature_and_ph() {
    use Outcome::{Accepted, NotCovered, Refused};
    let model = shipped("model-code");
    let plain = wide(Chemistry::Iodine);
    for (strength, temperature, ph, expected) in [
        (12.5, "20 °C", 5.0, Accepted),
        (25.0, "68 °F", 4.0, Accepted),
        (12.4, "20 °C", 5.0, NotCovered),
        (12.5, "19.9 °C", 5.0, Refused),
        (12.5, "67.9 °F", 5.0, Refused),
        (12.5, "20 °C", 5.1, Refused),
        (25.1, "20 °C", 5.0, Refused),
    ] {
        assert_eq!(
            by_code(&model, &plain, strength, at(temperature, ph)),
            expected,
            "{strength}, {temperature}, pH {ph}"
        );
    }
    let higher = Label { ph_to: Some(7.0), ..wide(Chemistry::Iodine) };
    assert_eq!(by_code(&model, &higher, 12.5, at("20 °C", 6.5)), Accepted);
    assert_eq!(by_code(&model, &higher, 12.5, at("20 °C", 7.1)), Refused);
    // New York lets no label stand instead (READ).
    assert_eq!(by_code(&shipped("new-york"), &higher, 12.5, at("75 °F", 6.5)), Refused);
}

/// HY-05 (READ): quat at the label's strength, 24 °C (75 °F), hardness 500 or the label's own.
#[test]
fn quat_by_temperature_and_hardness() {
    use Outcome::{Accepted, NotShown, Refused};
    let model = shipped("model-code");
    let own = label(Chemistry::QuatSingle, range(150.0, 400.0));
    let quat = |strength, temperature: &str, hardness: Option<f64>, label: &Label| {
        let hardness = hardness.map(MgPerLitre);
        by_code(&model, label, strength, Conditions { hardness, ..at(temperature, 7.0) })
    };
    for (strength, temperature, hardness, expected) in [
        (200.0, "24 °C", Some(500.0), Accepted),
        (200.0, "75 °F", Some(500.0), Accepted),
        (200.0, "23.9 °C", Some(500.0), Refused),
        (200.0, "24 °C", Some(500.1), Refused),
        (200.0, "24 °C", None, NotShown),
        (200.0, "24 °C", Some(f64::NAN), NotShown),
        (149.0, "24 °C", Some(100.0), Refused),
        (401.0, "24 °C", Some(100.0), Refused),
    ] {
        assert_eq!(
            quat(strength, temperature, hardness, &own),
            expected,
            "{strength}, {temperature}, {hardness:?}"
        );
    }
    let harder = Label { hardness_to: Some(MgPerLitre(750.0)), ..own.clone() };
    assert_eq!(quat(200.0, "24 °C", Some(700.0), &harder), Accepted);
    let softer = Label { hardness_to: Some(MgPerLitre(200.0)), ..own };
    assert_eq!(quat(200.0, "24 °C", Some(300.0), &softer), Refused);
}

/// HY-27 (READ): 400 of all quats, and 240 of one of them; HY-29 (MEMORY): no 200 is hard-coded.
#[test]
fn a_quats_ceilings_are_its_own() {
    let model = shipped("model-code");
    let name = "di-n-alkyl(C8-10) dimethyl ammonium chloride";
    let own = |share| Label {
        components: vec![crate::label::Component { name: name.into(), share }],
        ..label(Chemistry::QuatMulti, range(150.0, 500.0))
    };
    let conditions = Conditions { hardness: Some(MgPerLitre(100.0)), ..at("24 °C", 7.0) };
    assert_eq!(by_code(&model, &own(0.5), 400.0, conditions), Outcome::Accepted);
    assert_eq!(by_code(&model, &own(0.5), 401.0, conditions), Outcome::Refused);
    assert_eq!(by_code(&model, &own(0.8), 300.0, conditions), Outcome::Accepted);
    assert_eq!(by_code(&model, &own(0.8), 301.0, conditions), Outcome::Refused);
    // Without the label's components the limit on one of them is not held, and that is said.
    let unknown = label(Chemistry::QuatMulti, range(150.0, 500.0));
    let made = Made::stated(MgPerLitre(300.0));
    let found = verdict(&model, &unknown, &made, conditions, None);
    assert!(found.notes.iter().any(|note| note.contains(name)), "{:?}", found.notes);
}

/// HY-06 (READ): the label governs all. No label entered is not covered, and so is a label without a strength.
#[test]
fn no_label_is_not_covered() {
    for (id, _) in Profile::all_shipped() {
        let profile = shipped(id);
        let made = Made::stated(MgPerLitre(100.0));
        let strip = chlorine_strip();
        let question = Question {
            profile: &profile,
            label: None,
            made: Some(&made),
            conditions: at("40 °C", 7.0),
            strip: Some(reading(&strip, 100.0)),
            product: InDate::Yes,
        };
        let found = judge(&question);
        assert_eq!(found.outcome, Outcome::NotCovered, "{id}");
        assert!(found.act().is_some_and(|act| act.contains("label")), "{id}");
        let bare = Label { strength: None, ..wide(Chemistry::Hypochlorite) };
        let found = judge(&Question { label: Some(&bare), ..question });
        assert_ne!(found.outcome, Outcome::Accepted, "{id}");
        assert!(
            found
                .findings
                .iter()
                .any(|finding| finding.by == By::Label && finding.outcome == Outcome::NotCovered)
        );
    }
}

/// A code without a row for the sanitiser covers nothing: New York leaves quats to an official.
#[test]
fn a_sanitiser_without_a_row_is_not_covered() {
    let york = shipped("new-york");
    let own = label(Chemistry::QuatSingle, range(150.0, 400.0));
    let conditions = Conditions { hardness: Some(MgPerLitre(100.0)), ..at("30 °C", 7.0) };
    assert_eq!(by_code(&york, &own, 200.0, conditions), Outcome::NotCovered);
}

/// The same bucket, and a verdict for each place: the reason for profiles.
#[test]
fn the_same_bucket_has_a_verdict_for_each_place() {
    let own = label(Chemistry::Isocyanurate, range(50.0, 200.0));
    let made = Made::stated(MgPerLitre(50.0));
    let strip = chlorine_strip();
    let outcome = |id: &str, conditions| {
        verdict(&shipped(id), &own, &made, conditions, Some(reading(&strip, 50.0))).outcome
    };
    let warm = at("75 °F", 7.0);
    assert_eq!(outcome("model-code", warm), Outcome::Accepted);
    assert_eq!(outcome("new-york", warm), Outcome::Accepted);
    assert_eq!(outcome("california", warm), Outcome::NotCovered);
    assert_eq!(outcome("uk-rinse", warm), Outcome::Accepted);
    let cool = at("20 °C", 7.0);
    assert_eq!(outcome("model-code", cool), Outcome::Refused);
    assert_eq!(outcome("uk-rinse", cool), Outcome::Accepted);
}

/// What is not known is not shown, with the one thing to do; the maker's pH for the mixed solution may stand in.
#[test]
fn what_is_not_known_is_not_shown() {
    let model = shipped("model-code");
    let own = label(Chemistry::Isocyanurate, range(50.0, 200.0));
    let made = Made::stated(MgPerLitre(100.0));
    let strip = chlorine_strip();
    let judged = |label: &Label, conditions| {
        let found = verdict(&model, label, &made, conditions, Some(reading(&strip, 100.0)));
        (found.outcome, found.act().unwrap_or_default().to_owned())
    };
    let (outcome, act) = judged(&own, Conditions { ph: None, ..at("24 °C", 7.0) });
    assert_eq!(outcome, Outcome::NotShown);
    assert!(act.contains("pH"), "{act}");
    let stated = Label { solution_ph: Some(6.5), ..own.clone() };
    assert_eq!(judged(&stated, Conditions { ph: None, ..at("24 °C", 7.0) }).0, Outcome::Accepted);
    let (outcome, act) = judged(&own, Conditions { temperature: None, ..at("24 °C", 7.0) });
    assert_eq!(outcome, Outcome::NotShown);
    assert!(act.contains("temperature"), "{act}");
    // A volume is no temperature, and 15 is no pH.
    assert_eq!(
        judged(&own, Conditions { temperature: Some(read("3 L")), ..at("24 °C", 7.0) }).0,
        Outcome::NotShown
    );
    assert_eq!(judged(&own, at("24 °C", 15.0)).0, Outcome::NotShown);
    assert_eq!(judged(&own, at("24 °C", -3.0)).0, Outcome::NotShown);
}

/// The label's own limits hold beside the code's, in whichever unit it prints them.
#[test]
fn the_labels_own_limits_hold_too() {
    let model = shipped("model-code");
    let own = Label {
        temperature_from: Some(read("90 °F")),
        temperature_to: Some(read("45 °C")),
        ..label(Chemistry::Isocyanurate, range(50.0, 200.0))
    };
    for (temperature, expected) in [
        ("90 °F", Outcome::Accepted),
        ("32 °C", Outcome::Refused),
        ("32.3 °C", Outcome::Accepted),
        ("113 °F", Outcome::Accepted),
        ("114 °F", Outcome::Refused),
    ] {
        assert_eq!(by_code(&model, &own, 100.0, at(temperature, 7.0)), expected, "{temperature}");
    }
}

/// A label's one dilution is met by what rounds to it as printed, or is as near as the lead has decided.
#[test]
fn one_dilution_is_met_as_printed() {
    let model = shipped("model-code");
    for (strength, expected) in [
        (100.0, true),
        (99.6, true),
        (100.4, true),
        (99.4, false),
        (100.6, false),
        (94.6, false),
        (105.0, false),
    ] {
        let found = by_code(
            &model,
            &label(Chemistry::Isocyanurate, one("100")),
            strength,
            at("24 °C", 7.0),
        );
        assert_eq!(found == Outcome::Accepted, expected, "{strength}");
    }
    let within = LabelStrength::One { mg_per_l: "100".parse().unwrap(), within: Some(0.06) };
    for (strength, expected) in [(94.6, true), (106.0, true), (93.9, false)] {
        let found =
            by_code(&model, &label(Chemistry::Isocyanurate, within), strength, at("24 °C", 7.0));
        assert_eq!(found == Outcome::Accepted, expected, "{strength}, within 6 %");
    }
    // The act is to measure better, never to exceed it.
    let made = Made::stated(MgPerLitre(94.6));
    let own = label(Chemistry::Isocyanurate, one("100"));
    let found = verdict(&model, &own, &made, at("24 °C", 7.0), None);
    let says = found
        .findings
        .iter()
        .find(|finding| finding.by == By::Label && finding.about == About::Strength)
        .unwrap();
    assert!(says.mend.contains("measure the water better"), "{}", says.mend);
}

#[test]
fn a_product_past_its_date_is_refused() {
    let model = shipped("model-code");
    let own = label(Chemistry::Isocyanurate, range(50.0, 200.0));
    let made = Made::stated(MgPerLitre(100.0));
    let strip = chlorine_strip();
    for (product, expected) in [
        (InDate::Yes, Outcome::Accepted),
        (InDate::No, Outcome::Refused),
        (InDate::NotStated, Outcome::Accepted),
    ] {
        let question = Question {
            profile: &model,
            label: Some(&own),
            made: Some(&made),
            conditions: at("24 °C", 7.0),
            strip: Some(reading(&strip, 100.0)),
            product,
        };
        let found = judge(&question);
        assert_eq!(found.outcome, expected, "{product:?}");
        assert_eq!(
            found.notes.iter().any(|note| note.contains("expiry")),
            product == InDate::NotStated
        );
    }
}

/// A figure that was only remembered says so beside the verdict that hangs on it.
#[test]
fn a_remembered_figure_says_so() {
    let california = shipped("california");
    let own = label(Chemistry::Iodine, range(12.5, 25.0));
    let made = Made::stated(MgPerLitre(25.0));
    let found = verdict(&california, &own, &made, at("24 °C", 5.0), None);
    assert!(found.notes.iter().any(|note| note.contains("only remembered")), "{:?}", found.notes);
}

/// Numbers that are none are never accepted.
#[test]
fn no_number_is_no_pass() {
    let model = shipped("model-code");
    let own = wide(Chemistry::Hypochlorite);
    for strength in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.0, -100.0] {
        assert_ne!(
            by_code(&model, &own, strength, at("49 °C", 7.0)),
            Outcome::Accepted,
            "{strength}"
        );
    }
    let broken = label(Chemistry::Hypochlorite, range(f64::NAN, 200.0));
    assert_eq!(by_code(&model, &broken, 100.0, at("49 °C", 7.0)), Outcome::NotCovered);
}
