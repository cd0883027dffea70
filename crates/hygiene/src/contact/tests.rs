//! Contact times of H §1.2 with their boundaries, the clock, and the order of a clean.

use super::*;
use crate::label::{Chemistry, LabelRinse, LabelStrength};
use crate::profile::Status;

fn shipped(id: &str) -> Profile {
    Profile::shipped(id).unwrap_or_else(|| panic!("{id} does not read"))
}

fn read(text: &str) -> Quantity {
    text.parse().unwrap()
}

fn label(chemistry: Chemistry, seconds: f64) -> Label {
    let strength = LabelStrength::Range { from: MgPerLitre(1.0), to: MgPerLitre(1000.0) };
    Label::new("a sanitiser", chemistry, strength, Seconds(seconds))
}

fn at(temperature: &str, ph: f64) -> Conditions {
    Conditions { temperature: Some(read(temperature)), ph: Some(ph), ..Conditions::default() }
}

fn seconds(id: &str, label: &Label, strength: f64, conditions: Conditions) -> Option<f64> {
    least_contact(&shipped(id), Some(label), MgPerLitre(strength), &conditions)
        .least
        .map(|least| least.0)
}

/// HY-07, HY-08 (READ, FC 4-703.11(C) by WAC 246-215-04710): 10 s for chlorine; 7 s for a solution of 50 in the warmth of its
/// row, which we take as the row of 50 to 99 (JUDGE). At each boundary.
#[test]
fn chlorine_by_strength_temperature_and_ph() {
    let short = label(Chemistry::Hypochlorite, 1.0);
    for (strength, temperature, ph, expected) in [
        (25.0, "49 °C", 7.0, Some(10.0)),
        (49.9, "49 °C", 7.0, Some(10.0)),
        (50.0, "24 °C", 8.0, Some(7.0)),
        (50.0, "75 °F", 8.0, Some(7.0)),
        (50.0, "23.9 °C", 8.0, Some(10.0)),
        (50.0, "24 °C", 8.01, Some(10.0)),
        (50.0, "38 °C", 8.01, Some(7.0)),
        (50.0, "100 °F", 10.0, Some(7.0)),
        (50.0, "38 °C", 10.01, Some(10.0)),
        (99.9, "24 °C", 8.0, Some(7.0)),
        (100.0, "24 °C", 8.0, Some(10.0)),
        (24.9, "49 °C", 7.0, None),
    ] {
        assert_eq!(
            seconds("model-code", &short, strength, at(temperature, ph)),
            expected,
            "{strength}, {temperature}, pH {ph}"
        );
    }
    // The shorter exception needs all of its conditions known.
    assert_eq!(
        seconds("model-code", &short, 50.0, Conditions { ph: None, ..at("24 °C", 7.0) }),
        Some(10.0)
    );
    assert_eq!(
        seconds("model-code", &short, 50.0, Conditions { temperature: None, ..at("24 °C", 7.0) }),
        Some(10.0)
    );
}

/// HY-09 (READ): 30 s for other chemical sanitisers.
#[test]
fn others_stand_thirty_seconds() {
    for chemistry in
        [Chemistry::Iodine, Chemistry::QuatSingle, Chemistry::QuatUnstated, Chemistry::Other]
    {
        assert_eq!(
            seconds("model-code", &label(chemistry, 1.0), 200.0, at("24 °C", 5.0)),
            Some(30.0),
            "{chemistry:?}"
        );
    }
}

/// HY-10 (READ): the label's time where it is longer, and the code's where that is.
#[test]
fn the_longer_of_label_and_code_holds() {
    let conditions = at("24 °C", 7.0);
    for (own, expected, by) in
        [(60.0, 60.0, By::Label), (10.0, 10.0, By::Label), (5.0, 10.0, By::Code)]
    {
        let model = shipped("model-code");
        let own = label(Chemistry::Isocyanurate, own);
        let least = least_contact(&model, Some(&own), MgPerLitre(100.0), &conditions);
        assert_eq!(
            (least.least, least.by, least.outcome),
            (Some(Seconds(expected)), by, Outcome::Accepted)
        );
        assert_eq!(least.row.map(|row| row.basis.status), Some(Status::Read));
    }
}

/// State differences (READ): California 100 mg/L 30 s, iodine 25 and quat 200 a minute; New York 50 mg/L a minute.
#[test]
fn states_ask_their_own_times() {
    let conditions = at("75 °F", 5.0);
    let of =
        |id: &str, chemistry, strength| seconds(id, &label(chemistry, 1.0), strength, conditions);
    assert_eq!(of("california", Chemistry::Isocyanurate, 100.0), Some(30.0));
    assert_eq!(of("california", Chemistry::Isocyanurate, 99.0), None);
    assert_eq!(of("california", Chemistry::Iodine, 25.0), Some(60.0));
    assert_eq!(of("california", Chemistry::QuatMulti, 200.0), Some(60.0));
    assert_eq!(of("california", Chemistry::Other, 80.0), Some(1.0));
    assert_eq!(of("new-york", Chemistry::Isocyanurate, 50.0), Some(60.0));
    assert_eq!(of("new-york", Chemistry::Iodine, 12.5), Some(60.0));
    assert_eq!(of("new-york", Chemistry::QuatSingle, 200.0), None);
    // The United Kingdom's guidance takes the maker's time.
    assert_eq!(
        seconds("uk-rinse", &label(Chemistry::QuatSingle, 300.0), 200.0, conditions),
        Some(300.0)
    );
}

/// No label, no row, no time on the label: not covered or not shown, never a pass.
#[test]
fn a_time_that_is_not_known_is_no_pass() {
    let model = shipped("model-code");
    let conditions = at("24 °C", 7.0);
    let strength = MgPerLitre(100.0);
    let none = least_contact(&model, None, strength, &conditions);
    assert_eq!((none.least, none.outcome), (None, Outcome::NotCovered));
    let silent = Label { contact: None, ..label(Chemistry::Isocyanurate, 1.0) };
    let silent = least_contact(&model, Some(&silent), strength, &conditions);
    assert_eq!((silent.least, silent.outcome), (None, Outcome::NotShown));
    let weak = label(Chemistry::Isocyanurate, 1.0);
    let weak = least_contact(&model, Some(&weak), MgPerLitre(10.0), &conditions);
    assert_eq!((weak.least, weak.outcome), (None, Outcome::NotCovered));
    for least in [&none, &silent, &weak] {
        let judged = judge_contact(least, Seconds(3600.0), ClockStart::OutletOnStrength);
        assert_eq!(judged.outcome, least.outcome);
        assert!(!judged.mend.is_empty());
    }
    let nonsense = label(Chemistry::Isocyanurate, f64::NAN);
    assert_eq!(
        least_contact(&model, Some(&nonsense), strength, &conditions).outcome,
        Outcome::NotCovered
    );
}

/// The clock starts at the outlet (H §3.3): a minute from the pump's start shows nothing.
#[test]
fn the_clock_starts_at_the_outlet() {
    let model = shipped("model-code");
    let own = label(Chemistry::Isocyanurate, 60.0);
    let least = least_contact(&model, Some(&own), MgPerLitre(100.0), &at("24 °C", 7.0));
    let judged = |elapsed, start| judge_contact(&least, Seconds(elapsed), start).outcome;
    assert_eq!(judged(60.0, ClockStart::OutletOnStrength), Outcome::Accepted);
    assert_eq!(judged(59.9, ClockStart::OutletOnStrength), Outcome::Refused);
    assert_eq!(judged(600.0, ClockStart::Elsewhere), Outcome::NotShown);
    assert_eq!(judged(f64::NAN, ClockStart::OutletOnStrength), Outcome::NotShown);
    assert_eq!(judged(-5.0, ClockStart::OutletOnStrength), Outcome::NotShown);
}

/// HY-11 (READ, WAC 246-215-04550): 30 s at 77 °C (171 °F); New York 170 °F (READ); none in the United Kingdom's profile.
#[test]
fn hot_water_has_its_own_row() {
    let judged = |id: &str, temperature: &str, elapsed| {
        judge_hot_water(&shipped(id), read(temperature), Seconds(elapsed)).outcome
    };
    assert_eq!(judged("model-code", "77 °C", 30.0), Outcome::Accepted);
    assert_eq!(judged("model-code", "171 °F", 30.0), Outcome::Accepted);
    assert_eq!(judged("model-code", "76.9 °C", 30.0), Outcome::Refused);
    assert_eq!(judged("model-code", "170 °F", 30.0), Outcome::Refused);
    assert_eq!(judged("model-code", "77 °C", 29.0), Outcome::Refused);
    assert_eq!(judged("new-york", "170 °F", 30.0), Outcome::Accepted);
    assert_eq!(judged("model-code", "77 mL", 30.0), Outcome::NotShown);
    assert_eq!(judged("model-code", "77 °C", f64::NAN), Outcome::NotShown);
    assert_eq!(judged("uk-rinse", "90 °C", 60.0), Outcome::NotCovered);
}

/// HY-21, HY-22, HY-23 (READ): opposite rules; where label and code say opposite things it is a conflict, in both directions.
#[test]
fn a_rinse_is_the_profiles_and_the_labels() {
    let with = |rinse| Label { rinse, ..label(Chemistry::Isocyanurate, 60.0) };
    for (id, rinse, expected) in [
        ("model-code", LabelRinse::Silent, AfterPlan::DrainNoRinse),
        ("model-code", LabelRinse::Forbids, AfterPlan::DrainNoRinse),
        ("model-code", LabelRinse::Asks, AfterPlan::Conflict),
        ("california", LabelRinse::Silent, AfterPlan::Drain),
        ("california", LabelRinse::Asks, AfterPlan::Rinse),
        ("california", LabelRinse::Forbids, AfterPlan::DrainNoRinse),
        ("uk-rinse", LabelRinse::Silent, AfterPlan::Rinse),
        ("uk-rinse", LabelRinse::Asks, AfterPlan::Rinse),
        ("uk-rinse", LabelRinse::Forbids, AfterPlan::Conflict),
    ] {
        assert_eq!(after_plan(&shipped(id), Some(&with(rinse))), expected, "{id}, {rinse:?}");
        assert!(!expected.words().is_empty());
    }
    assert_eq!(after_plan(&shipped("uk-rinse"), None), AfterPlan::Rinse);
}

fn faults(id: &str, did: &[Did], label: Option<&Label>) -> Vec<(usize, OrderFault)> {
    order_faults(did, &shipped(id), label)
        .into_iter()
        .map(|fault| (fault.at, fault.fault))
        .collect()
}

/// HY-24, HY-140 (READ): washed, rinsed, then sanitised; nothing handled after the last of it.
#[test]
fn washing_comes_before_sanitising_and_handling_before_both() {
    use Did::{Drained, Handled, Rinsed, Sanitised, Served, Washed, WashedWithSanitiser};
    let good = [Handled, Washed, Rinsed, Handled, Sanitised, Drained, Served];
    assert_eq!(faults("model-code", &good, None), []);
    for (did, expected) in [
        (&[Sanitised, Drained, Served][..], vec![(0, OrderFault::NotWashed)]),
        (&[Washed, Sanitised, Drained, Served][..], vec![(1, OrderFault::NotRinsedBetween)]),
        (&[Washed, Rinsed, Served][..], vec![(2, OrderFault::NotSanitised)]),
        (
            &[Washed, Rinsed, Sanitised, Handled, Drained, Served][..],
            vec![(5, OrderFault::HandledAfter)],
        ),
        (&[Washed, Rinsed, Sanitised, Served][..], vec![(3, OrderFault::NotDrained)]),
        (&[Washed, Rinsed, Drained, Sanitised, Served][..], vec![(4, OrderFault::NotDrained)]),
        (
            &[Washed, Rinsed, Sanitised, Rinsed, Drained, Served][..],
            vec![(5, OrderFault::RinsedAfter)],
        ),
        // Sanitised before it was washed does not count for after it.
        (
            &[Washed, Rinsed, Sanitised, Washed, Rinsed, Served][..],
            vec![(5, OrderFault::NotSanitised)],
        ),
        // Served again, it is soiled again.
        (
            &[Washed, Rinsed, Sanitised, Drained, Served, Sanitised, Drained, Served][..],
            vec![(5, OrderFault::NotWashed)],
        ),
        // Sanitised again after it was handled is good.
        (&[Washed, Rinsed, Sanitised, Handled, Sanitised, Drained, Served][..], vec![]),
        // One agent that washes and sanitises needs no rinse between (4-501.115, READ).
        (&[WashedWithSanitiser, Sanitised, Drained, Served][..], vec![]),
    ] {
        assert_eq!(faults("model-code", did, None), expected, "{did:?}");
    }
    assert!(OrderFault::HandledAfter.words().contains("sanitise it again"));
}

/// HY-23 (READ): in two stages even with a product that does both, then rinsed with drinking water.
#[test]
fn the_united_kingdom_rinses_after() {
    use Did::{Drained, Rinsed, Sanitised, Served, Washed, WashedWithSanitiser};
    assert_eq!(faults("uk-rinse", &[Washed, Rinsed, Sanitised, Rinsed, Served], None), []);
    assert_eq!(
        faults("uk-rinse", &[Washed, Rinsed, Sanitised, Drained, Served], None),
        [(4, OrderFault::NotRinsedAfter)]
    );
    assert_eq!(
        faults("uk-rinse", &[WashedWithSanitiser, Sanitised, Rinsed, Served], None),
        [(1, OrderFault::NotRinsedBetween)]
    );
    let forbids = Label { rinse: LabelRinse::Forbids, ..label(Chemistry::QuatSingle, 60.0) };
    assert_eq!(
        faults("uk-rinse", &[Washed, Rinsed, Sanitised, Rinsed, Served], Some(&forbids)),
        [(4, OrderFault::Conflict)]
    );
}
