//! Strips beside a mix, and alone.

use super::*;

fn own() -> Label {
    label(Chemistry::Isocyanurate, range(50.0, 200.0))
}

fn strip_finding<'a>(found: &'a StrengthVerdict<'_>) -> &'a Finding<'a> {
    found.findings.iter().find(|finding| finding.by == By::Strip).expect("a strip's finding")
}

/// A label-correct mix with an agreeing strip is accepted, its doubt a note (HY-59, HY-61, CALC): a strip that reads 100 supports
/// about 71 to 141.
#[test]
fn a_right_mix_with_an_agreeing_strip_is_accepted() {
    let model = shipped("model-code");
    let stated = StatedErrors {
        water: Some(Stated { half_width: 0.1, shape: Shape::TwoSigma }),
        ..StatedErrors::default()
    };
    let mixed = packet_in("2.5 gal (US)").made(Some(&stated)).unwrap();
    let strip = chlorine_strip();
    let own = label(Chemistry::Isocyanurate, one("100"));
    let found = verdict(&model, &own, &mixed, at("15 °C", 7.0), Some(reading(&strip, 100.0)));
    assert_eq!(found.outcome, Outcome::Accepted, "{:?}", found.findings);
    assert_eq!(found.act(), None);
    assert!(
        found.notes.iter().any(|note| note.contains("50 %") && note.contains("under 100 mg/L")),
        "{:?}",
        found.notes
    );
    assert!(strip_finding(&found).say.contains("about 71 to 141 mg/L"));
    // In warm water, and where the label allows it, less than 100 is good too: no such note.
    let wide = self::own();
    let found = verdict(&model, &wide, &mixed, at("24 °C", 7.0), Some(reading(&strip, 100.0)));
    assert_eq!(found.outcome, Outcome::Accepted);
    assert!(!found.notes.iter().any(|note| note.contains("under")), "{:?}", found.notes);
}

/// Without the user's own errors there is no figure of doubt, and that is said.
#[test]
fn no_doubt_is_invented() {
    let model = shipped("model-code");
    let mixed = made(&packet_in("2.5 gal (US)"));
    let strip = chlorine_strip();
    let own = own();
    let found = verdict(&model, &own, &mixed, at("15 °C", 7.0), Some(reading(&strip, 100.0)));
    assert!(
        found.notes.iter().any(|note| note.contains("no error of your measuring")),
        "{:?}",
        found.notes
    );
    assert!(!found.notes.iter().any(|note| note.contains('%')), "{:?}", found.notes);
}

/// HY-31 (READ-2; New York READ): where the code asks a test, no strip is not shown; where it does not, it is a note.
#[test]
fn no_strip_is_not_shown_where_the_code_asks_one() {
    let mixed = made(&packet_in("2.5 gal (US)"));
    let own = own();
    for (id, expected) in [
        ("model-code", Outcome::NotShown),
        ("new-york", Outcome::NotShown),
        ("california", Outcome::Accepted),
        ("uk-rinse", Outcome::Accepted),
    ] {
        let profile = shipped(id);
        let found = verdict(&profile, &own, &mixed, at("24 °C", 7.0), None);
        assert_eq!(found.outcome, expected, "{id}: {:?}", found.findings);
        let noted = found.notes.iter().any(|note| note.contains("no strip was read"));
        assert_eq!(noted, expected == Outcome::Accepted, "{id}");
    }
}

#[test]
fn a_strip_that_disagrees_is_not_passed_over() {
    let model = shipped("model-code");
    let mixed = made(&packet_in("2.5 gal (US)"));
    let strip = chlorine_strip();
    let own = own();
    let outcome = |class, conditions| {
        verdict(&model, &own, &mixed, conditions, Some(reading(&strip, class))).outcome
    };
    // 50 supports 22 to 71: not this mix, but within what is allowed in warm water.
    assert_eq!(outcome(50.0, at("24 °C", 7.0)), Outcome::NotShown);
    // In cold water 100 is asked, and all of it is under.
    assert_eq!(outcome(50.0, at("15 °C", 7.0)), Outcome::Refused);
    assert_eq!(outcome(10.0, at("24 °C", 7.0)), Outcome::Refused);
    assert_eq!(outcome(100.0, at("24 °C", 7.0)), Outcome::Accepted);
    // 200 supports 141 or more.
    assert_eq!(outcome(200.0, at("24 °C", 7.0)), Outcome::NotShown);
    // A number that is not on the card.
    assert_eq!(outcome(75.0, at("24 °C", 7.0)), Outcome::NotShown);
}

/// HY-62 (READ): a wrong strip gives a wrong number; single and multi quats need their own.
#[test]
fn a_wrong_strip_says_nothing() {
    let model = shipped("model-code");
    let mixed = Made::stated(MgPerLitre(200.0));
    let conditions = Conditions { hardness: Some(MgPerLitre(100.0)), ..at("24 °C", 7.0) };
    for (chemistry, reads, expected) in [
        (Chemistry::QuatSingle, StripReads::QuatSingle, Outcome::Accepted),
        (Chemistry::QuatMulti, StripReads::QuatMulti, Outcome::Accepted),
        (Chemistry::QuatSingle, StripReads::QuatMulti, Outcome::NotShown),
        (Chemistry::QuatMulti, StripReads::QuatSingle, Outcome::NotShown),
        (Chemistry::QuatUnstated, StripReads::QuatSingle, Outcome::NotShown),
        (Chemistry::QuatUnstated, StripReads::Chlorine, Outcome::NotShown),
        (Chemistry::QuatSingle, StripReads::Chlorine, Outcome::NotShown),
    ] {
        let kind = classes(reads, &[0.0, 100.0, 200.0, 400.0]);
        let own = label(chemistry, range(150.0, 400.0));
        let found = verdict(&model, &own, &mixed, conditions, Some(reading(&kind, 200.0)));
        assert_eq!(
            found.outcome,
            expected,
            "{chemistry:?} with {reads:?}: {:?}",
            strip_finding(&found)
        );
    }
}

#[test]
fn strips_past_their_date_do_not_count() {
    let model = shipped("model-code");
    let mixed = made(&packet_in("2.5 gal (US)"));
    let strip = chlorine_strip();
    let own = own();
    for (in_date, expected) in
        [(InDate::No, Outcome::NotShown), (InDate::NotStated, Outcome::Accepted)]
    {
        let read = StripRead { in_date, ..reading(&strip, 100.0) };
        let found = verdict(&model, &own, &mixed, at("24 °C", 7.0), Some(read));
        assert_eq!(found.outcome, expected, "{in_date:?}");
    }
}

/// Alone, a strip shows a strength only where all that its class supports is within label and code.
#[test]
fn a_strip_alone_shows_only_what_its_class_supports() {
    let model = shipped("model-code");
    let strip = chlorine_strip();
    let own = own();
    let alone = |class, conditions| {
        let question = Question {
            profile: &model,
            label: Some(&own),
            made: None,
            conditions,
            strip: Some(reading(&strip, class)),
            product: InDate::Yes,
        };
        judge(&question).outcome
    };
    // 100 supports 71 to 141, inside 50 to 200, and under the row of 50.
    assert_eq!(alone(100.0, at("24 °C", 7.0)), Outcome::Accepted);
    // In cold water the code asks 100: a strip that reads 100 cannot show that.
    assert_eq!(alone(100.0, at("15 °C", 7.0)), Outcome::NotShown);
    assert_eq!(alone(50.0, at("24 °C", 7.0)), Outcome::NotShown);
    assert_eq!(alone(10.0, at("24 °C", 7.0)), Outcome::Refused);
    // The highest class has no end.
    assert_eq!(alone(200.0, at("24 °C", 7.0)), Outcome::NotShown);
    let none = Question {
        profile: &model,
        label: Some(&own),
        made: None,
        conditions: at("24 °C", 7.0),
        strip: None,
        product: InDate::Yes,
    };
    assert_eq!(judge(&none).outcome, Outcome::NotShown);
}

/// Water too hard for a quat is refused also where the strip alone cannot show the strength (HY-05, READ: 500 mg/L at most).
#[test]
fn hard_water_is_refused_beside_a_strip_alone() {
    let model = shipped("model-code");
    let quat = label(Chemistry::QuatMulti, one("200"));
    let kind = classes(StripReads::QuatMulti, &[100.0, 200.0, 400.0]);
    let outcome = |hardness: f64| {
        let conditions = Conditions { hardness: Some(MgPerLitre(hardness)), ..at("24 °C", 7.0) };
        judge(&Question {
            profile: &model,
            label: Some(&quat),
            made: None,
            conditions,
            strip: Some(reading(&kind, 200.0)),
            product: InDate::Yes,
        })
        .findings
        .iter()
        .find(|finding| finding.about == About::Hardness)
        .map(|finding| finding.outcome)
    };
    assert_eq!(outcome(501.0), Some(Outcome::Refused));
    assert_eq!(outcome(500.0), Some(Outcome::Accepted));
}
