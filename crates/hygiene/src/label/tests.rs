//! Labels that cannot be, and cautions.

use super::*;
use crate::profile::Status;

fn plain() -> Label {
    let strength = LabelStrength::Range { from: MgPerLitre(50.0), to: MgPerLitre(200.0) };
    Label::new("a sanitiser", Chemistry::Isocyanurate, strength, Seconds(60.0))
}

#[test]
fn a_label_that_cannot_be_names_every_fault() {
    assert!(plain().faults().is_empty());
    let broken = Label {
        strength: Some(LabelStrength::Range { from: MgPerLitre(200.0), to: MgPerLitre(50.0) }),
        contact: Some(Seconds(0.0)),
        temperature_from: Some("50 °C".parse().unwrap()),
        temperature_to: Some("75 °F".parse().unwrap()),
        ph_to: Some(15.0),
        solution_ph: Some(f64::NAN),
        hardness_to: Some(MgPerLitre(-1.0)),
        components: vec![Component { name: "a quat".into(), share: 1.5 }],
        ..plain()
    };
    let faults = broken.faults();
    let keys: Vec<&str> = faults.iter().map(|fault| fault.key.as_str()).collect();
    assert_eq!(
        keys,
        [
            "strength",
            "contact",
            "hardness_to",
            "ph_to",
            "solution_ph",
            "temperature_to",
            "components"
        ]
    );
    let no_temperature = Label { temperature_from: Some("5 mL".parse().unwrap()), ..plain() };
    assert_eq!(no_temperature.faults()[0].key, "temperature_from");
}

#[test]
fn a_range_is_written_with_its_lower_strength_first() {
    let range = |from, to| LabelStrength::Range { from: MgPerLitre(from), to: MgPerLitre(to) };
    for text in ["100 to 200 ppm", "100–200 ppm", "100-200 ppm", "100 ppm - 200 ppm"] {
        assert_eq!(text.parse(), Ok(range(100.0, 200.0)), "{text}");
    }
    assert_eq!("12,5 to 12,5 mg/L".parse(), Ok(range(12.5, 12.5)));
    for text in ["200 to 100 ppm", "200-100 ppm"] {
        let fault = text.parse::<LabelStrength>().unwrap_err();
        assert!(fault.mend.contains("lower strength first"), "{text}: {fault}");
    }
    assert!("-100 ppm".parse::<LabelStrength>().is_err());
}

#[test]
fn a_printed_dilution_counts_by_its_digits() {
    let ends = |text: &str, within| {
        let (from, to) = LabelStrength::One { mg_per_l: text.parse().unwrap(), within }.ends();
        (from.0, to.0)
    };
    assert_eq!(ends("100", None), (99.5, 100.5));
    assert_eq!(ends("12.5", None), (12.45, 12.55));
    assert_eq!(ends("100", Some(0.05)), (95.0, 105.0));
}

/// A chemical label's word is printed verbatim and never graded again; ours stands only where it has none.
#[test]
fn a_labels_signal_word_is_printed_verbatim() {
    let with = |word: &str| Label { signal_word: Some(word.into()), ..plain() };
    let acid = cautions(&[Hazard::Chemical]).next().unwrap();
    for word in ["DANGER", "Keep Out of Reach: CAUTION", "Danger", "AVERTISSEMENT"] {
        assert_eq!(acid.printed_word(with(word).signal_word.as_deref()), word);
    }
    assert_eq!(acid.printed_word(with("  ").signal_word.as_deref()), "WARNING");
    assert_eq!(acid.printed_word(plain().signal_word.as_deref()), "WARNING");
    assert_eq!(acid.printed_word(None), "WARNING");
    // Where only the label has a word, none of ours stands in for it.
    let undiluted = cautions(&[Hazard::Chemical]).find(|caution| caution.word.is_none()).unwrap();
    assert_eq!(undiluted.printed_word(None), "See the label");
    // The label's word is for the chemical, not for the mains.
    let power = cautions(&[Hazard::Electricity]).next().unwrap();
    assert_eq!(power.printed_word(with("CAUTION").signal_word.as_deref()), "WARNING");
}

/// HY-160 to HY-163 (READ, ANSI Z535.4 and Z535.6): the order of the words, and no triangle for NOTICE.
#[test]
fn signal_words_are_in_order() {
    assert!(
        SignalWord::Notice < SignalWord::Caution
            && SignalWord::Caution < SignalWord::Warning
            && SignalWord::Warning < SignalWord::Danger
    );
    assert!(!SignalWord::Notice.triangle() && SignalWord::Caution.triangle());
    // DANGER is for the most extreme only: none of ours.
    let every = [
        Hazard::Chemical,
        Hazard::Electricity,
        Hazard::Pressure,
        Hazard::MovingParts,
        Hazard::Food,
        Hazard::Floor,
        Hazard::Machine,
    ];
    assert!(cautions(&every).all(|caution| caution.word != Some(SignalWord::Danger)));
}

/// Every hazard has a caution, each says what can happen and how to avoid it, and carries how it is known.
#[test]
fn every_hazard_has_its_caution() {
    let every = [
        Hazard::Chemical,
        Hazard::Electricity,
        Hazard::Pressure,
        Hazard::MovingParts,
        Hazard::Food,
        Hazard::Floor,
        Hazard::Machine,
    ];
    for hazard in every {
        let own: Vec<&Caution> = cautions(std::slice::from_ref(&hazard)).collect();
        assert!(!own.is_empty(), "{hazard:?}");
        for caution in own {
            assert_eq!(caution.hazard, hazard);
            assert!(
                !caution.what.is_empty() && !caution.avoid.is_empty() && !caution.source.is_empty(),
                "{caution:?}"
            );
            assert!(caution.status != Status::Memory, "{caution:?}");
        }
    }
    assert_eq!(cautions(&[]).count(), 0);
    let text = |hazard| cautions(&[hazard]).map(|caution| caution.avoid).collect::<String>();
    assert!(text(Hazard::Electricity).contains("plug in your own sight and control"));
    assert!(text(Hazard::Electricity).contains("lock on the panel isolates nothing"));
    assert!(text(Hazard::Pressure).contains("Vent or open nothing that holds pressure"));
    assert!(text(Hazard::Food).contains("stop: that is always right"));
    assert!(cautions(&[Hazard::Pressure, Hazard::Electricity]).any(|caution| caution.technician));
    assert!(STANDING.contains("the stricter applies, and this sheet is not them"));
}

/// HY-33 (CALC from 21 CFR 178.3570, READ): a 10 L bag of 65 Brix (13.16 kg) may take 13.2 mg of silicone or 132 mg of mineral
/// oil; a smear of 0.1 g that all gets there is 7.6 ppm, over the silicone's limit.
#[test]
fn a_thin_film_is_little() {
    assert!((film_allowance(13_160.0, 1.0) - 13.2).abs() < 0.05);
    assert!((film_allowance(13_160.0, 10.0) - 132.0).abs() < 0.5);
    assert!((film_share(0.1, 13_160.0) - 7.6).abs() < 0.05);
    let model = crate::profile::Profile::shipped("model-code").unwrap();
    let silicone =
        model.lubricants.iter().find(|limit| limit.lubricant.starts_with("silicone")).unwrap();
    assert!(film_share(0.1, 13_160.0) > silicone.ppm_to);
    assert!(
        Lubricate::Must.words().contains("thin film")
            && Lubricate::Never.words().contains("no lubricant")
    );
}
