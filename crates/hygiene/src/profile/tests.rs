//! Profiles: what ships, its rows at their boundaries, and every fault of one that does not read.

mod faults;
mod holding;

use super::*;

/// A reading as somebody writes it.
fn read(text: &str) -> Quantity {
    text.parse().unwrap_or_else(|error| panic!("{text}: {error}"))
}

fn shipped(id: &str) -> Profile {
    Profile::shipped(id).unwrap_or_else(|| panic!("{id} does not read"))
}

fn model() -> Profile {
    shipped("model-code")
}

/// Least strength and note row of what a strength of chlorine falls under.
fn row_of(profile: &Profile, sanitiser: Sanitiser, strength: f64) -> Option<(f64, Option<&str>)> {
    let row = profile.row(sanitiser, MgPerLitre(strength), Applied::Immersed)?;
    Some((row.from.map_or(0.0, |from| from.0), row.basis.row.as_deref()))
}

#[test]
fn every_profile_that_ships_reads_without_a_fault() {
    assert_eq!(Profile::all_shipped().len(), 4);
    for (id, text) in Profile::all_shipped() {
        match Profile::read(text) {
            Ok(profile) => assert_eq!(&profile.id, id),
            Err(faults) => panic!("{id}: {faults:#?}"),
        }
    }
    assert!(Profile::shipped("nowhere").is_none());
}

/// Each figure that ships says where it comes from and how it is known, and none that a verdict hangs on is only remembered,
/// but for one that says so.
#[test]
fn every_figure_that_ships_has_a_clause_a_source_and_a_status() {
    for (id, _) in Profile::all_shipped() {
        let profile = shipped(id);
        let mut bases: Vec<&Basis> = profile.limits.iter().map(|limit| &limit.basis).collect();
        bases.extend(profile.ceilings.iter().map(|ceiling| &ceiling.basis));
        bases.extend(profile.contacts.iter().map(|contact| &contact.basis));
        bases.push(&profile.after.basis);
        bases.extend(profile.hot_water.iter().map(|row| &row.basis));
        bases.extend(profile.rinse_between.iter().map(|rule| &rule.basis));
        bases.extend(profile.purge.iter().map(|purge| &purge.basis));
        let holding = &profile.holding;
        bases.extend(holding.cold.iter().chain(&holding.hot).map(|limit| &limit.basis));
        bases.extend(holding.time.iter().chain(&holding.date).map(|limit| &limit.basis));
        bases.extend(profile.cleaning.iter().map(|row| &row.basis));
        bases.extend(profile.lubricants.iter().map(|limit| &limit.basis));
        for basis in &bases {
            // The model code's figures are all rows of the tables; of the states the document is named.
            assert!(basis.row.is_some() || *id != "model-code", "{basis:?}");
            assert!(!basis.clause.is_empty() && !basis.source.is_empty(), "{id}: {basis:?}");
            let known = matches!(basis.status, Status::Read | Status::Read2);
            let said = basis.status == Status::Memory && basis.source.starts_with("remembered");
            assert!(known || said, "{id}: {basis:?}");
        }
        // What our own judgement asks for is never dressed up as the code's.
        for need in &profile.records {
            assert_eq!(need.basis.status, Status::Judged, "{id}: {need:?}");
        }
    }
}

/// HY-01, HY-02, HY-03 (READ, FC 4-501.114(A) by WAC 246-215-04565) with the boundary tests: 49.9 is in the row of 25, 50 in
/// that of 50, 99.9 in that of 50, 100 in that of 100; under 25 there is no row. Rows are lower bounds.
#[test]
fn chlorine_falls_under_the_row_it_reaches() {
    let model = model();
    for (strength, row) in [
        (25.0, Some((25.0, Some("HY-01")))),
        (49.0, Some((25.0, Some("HY-01")))),
        (49.9, Some((25.0, Some("HY-01")))),
        (50.0, Some((50.0, Some("HY-02")))),
        (99.9, Some((50.0, Some("HY-02")))),
        (100.0, Some((100.0, Some("HY-03")))),
        (150.0, Some((100.0, Some("HY-03")))),
        (24.9, None),
        (0.0, None),
        (-5.0, None),
        (f64::NAN, None),
    ] {
        assert_eq!(row_of(&model, Sanitiser::Chlorine, strength), row, "{strength} mg/L");
    }
    // What is 100 but for the rounding of arithmetic is 100.
    assert_eq!(
        row_of(&model, Sanitiser::Chlorine, 100.0 * (1.0 - 1e-12)),
        Some((100.0, Some("HY-03")))
    );
}

/// HY-01 to HY-03 (READ): the column of pH 8 holds up to 8.0, that of 10 from 8.01; over 10 there is none.
#[test]
fn the_ph_decides_the_column_of_temperature() {
    let model = model();
    for (strength, ph, expected) in [
        (25.0, 8.0, Some((49.0, 120.0))),
        (25.0, 10.0, Some((49.0, 120.0))),
        (50.0, 7.0, Some((24.0, 75.0))),
        (50.0, 8.0, Some((24.0, 75.0))),
        (50.0, 8.01, Some((38.0, 100.0))),
        (50.0, 10.0, Some((38.0, 100.0))),
        (50.0, 10.01, None),
        (100.0, 8.0, Some((13.0, 55.0))),
        (100.0, 10.0, Some((13.0, 55.0))),
        (100.0, 10.5, None),
        (100.0, f64::NAN, None),
    ] {
        let row = model.row(Sanitiser::Chlorine, MgPerLitre(strength), Applied::Immersed).unwrap();
        match (row.column(Some(ph)), expected) {
            (ColumnFor::This(column), Some((c, f))) => {
                assert_eq!((column.least.c, column.least.f), (c, f), "{strength}, {ph}");
            }
            (ColumnFor::NoColumn, None) => {}
            (other, _) => panic!("{strength} mg/L at pH {ph}: {other:?}"),
        }
        assert_eq!(row.column(None), ColumnFor::PhUnknown);
    }
}

/// 24 °C is printed beside 75 °F, which is 23.89 °C (READ): both figures are kept, and a reading is held to its own unit's.
#[test]
fn a_reading_is_held_to_the_figure_of_its_own_unit() {
    let least = Printed { c: 24.0, f: 75.0 };
    for (text, reached) in [
        ("24 °C", true),
        ("24.0 °C", true),
        ("23.9 °C", false),
        ("75 °F", true),
        ("74.9 °F", false),
        ("24 mL", false),
    ] {
        assert_eq!(least.reached_by(read(text)), reached, "{text}");
    }
    assert!(Printed { c: 5.0, f: 41.0 }.kept_by(read("41 °F")));
    assert!(!Printed { c: 5.0, f: 41.0 }.kept_by(read("5.1 °C")));
}

/// HY-04 (READ): iodine 12.5 to 25, 20 °C (68 °F), pH 5.0 or the maker's limit. HY-05 (READ): quat by its label, 24 °C
/// (75 °F), hardness 500 or the label's. HY-06 (READ): others by their label.
#[test]
fn iodine_quat_and_others_have_their_rows() {
    let model = model();
    for (strength, found) in [(12.4, false), (12.5, true), (25.0, true), (25.1, false)] {
        assert_eq!(row_of(&model, Sanitiser::Iodine, strength).is_some(), found, "{strength} mg/L");
    }
    let iodine = model.limits_for(Sanitiser::Iodine).next().unwrap();
    assert_eq!(
        iodine.column(None),
        ColumnFor::This(&Column { ph_to: None, least: Printed { c: 20.0, f: 68.0 } })
    );
    assert_eq!((iodine.ph_to, iodine.ph_or_label), (Some(5.0), true));
    let quat = model.limits_for(Sanitiser::Quat).next().unwrap();
    assert_eq!(
        (quat.from, quat.hardness_to, quat.hardness_or_label),
        (None, Some(MgPerLitre(500.0)), true)
    );
    assert_eq!(quat.columns[0].least, Printed { c: 24.0, f: 75.0 });
    assert!(row_of(&model, Sanitiser::Quat, 200.0).is_some());
    assert_eq!(row_of(&model, Sanitiser::Other, 1.0), Some((0.0, Some("HY-06"))));
}

/// HY-21, HY-22, HY-23 (READ): opposite rules after sanitising, as data. HY-24 (READ): a rinse between, in each of them.
#[test]
fn what_follows_sanitising_differs_by_place() {
    for (id, rule, same_agent) in [
        ("model-code", AfterRule::DrainNoRinse, true),
        ("california", AfterRule::Drain, false),
        ("new-york", AfterRule::Drain, false),
        ("uk-rinse", AfterRule::Rinse, false),
    ] {
        let profile = shipped(id);
        assert_eq!(profile.after.rule, rule, "{id}");
        assert_eq!(
            profile.rinse_between.map(|rinse| rinse.unless_same_agent),
            Some(same_agent),
            "{id}"
        );
    }
}

/// HY-25 (READ-2), HY-26, HY-27, HY-28 (READ): ceilings are data with their status, and no 200 stands for quats (HY-29, MEMORY,
/// is not shipped). HY-32 (READ-2): the figure to purge to.
#[test]
fn ceilings_carry_how_they_are_known() {
    let model = model();
    let of = |sanitiser, component: Option<&str>| {
        let own = |ceiling: &&Ceiling| {
            ceiling.sanitiser == sanitiser && ceiling.component.as_deref() == component
        };
        model.ceilings.iter().find(own).map(|ceiling| (ceiling.to.0, ceiling.basis.status))
    };
    assert_eq!(of(Sanitiser::Chlorine, None), Some((200.0, Status::Read2)));
    assert_eq!(of(Sanitiser::Iodine, None), Some((25.0, Status::Read)));
    assert_eq!(of(Sanitiser::Quat, None), Some((400.0, Status::Read)));
    assert_eq!(
        of(Sanitiser::Quat, Some("di-n-alkyl(C8-10) dimethyl ammonium chloride")),
        Some((240.0, Status::Read))
    );
    assert_eq!(
        of(Sanitiser::Quat, Some("didecyl dimethyl ammonium carbonate and bicarbonate")),
        Some((400.0, Status::Read))
    );
    assert!(
        model
            .ceilings
            .iter()
            .all(|ceiling| ceiling.sanitiser != Sanitiser::Quat || ceiling.to.0 > 200.0)
    );
    assert_eq!(
        model.purge.map(|purge| (purge.mg_per_l.0, purge.basis.status)),
        Some((4.0, Status::Read2))
    );
}

/// HY-31 (READ-2; READ for New York): who asks that the strength be tested.
#[test]
fn testing_is_asked_where_the_code_asks_it() {
    for (id, asked) in
        [("model-code", true), ("new-york", true), ("california", false), ("uk-rinse", false)]
    {
        assert_eq!(shipped(id).test.is_some(), asked, "{id}");
    }
}

/// New York asks twice the strength of what is swabbed on (READ, 10 NYCRR 14-1.112(a)(6)).
#[test]
fn a_swab_needs_its_own_strength() {
    let york = shipped("new-york");
    let swabbed =
        |strength| york.row(Sanitiser::Chlorine, MgPerLitre(strength), Applied::Swabbed).is_some();
    assert!(swabbed(100.0) && !swabbed(99.9));
    assert!(york.row(Sanitiser::Chlorine, MgPerLitre(50.0), Applied::Immersed).is_some());
    // The model code asks no more of a swab.
    assert!(model().row(Sanitiser::Chlorine, MgPerLitre(50.0), Applied::Swabbed).is_some());
}

#[test]
fn a_status_is_its_own_word() {
    for (word, status) in Status::WORDS {
        assert_eq!(status.to_string(), *word);
        assert!(!status.words().is_empty());
    }
    assert!(Status::Memory.unchecked() && !Status::Read2.unchecked());
}

/// The musts of every profile that ships, for every sanitiser: at most six entries beside catches.
#[test]
fn a_routine_round_needs_at_most_six_entries() {
    for (id, _) in Profile::all_shipped() {
        for (_, sanitiser) in Sanitiser::WORDS {
            let entries = shipped(id).entries_of_a_round(*sanitiser);
            assert!((1..=6).contains(&entries.len()), "{id}, {sanitiser}: {entries:?}");
        }
    }
}

#[test]
fn a_round_that_lacks_a_must_is_incomplete() {
    let model = model();
    let musts: Vec<RecordKind> = model
        .records
        .iter()
        .filter(|need| need.level == Level::Must)
        .map(|need| need.kind)
        .collect();
    let all = model.missing_records(Some(Sanitiser::Chlorine), &musts);
    assert!(all.complete());
    // A should that is missing leaves it complete, and is named.
    assert!(all.shoulds.iter().any(|need| need.kind == RecordKind::Verified));
    for lacking in &musts {
        let present: Vec<RecordKind> =
            musts.iter().copied().filter(|kind| kind != lacking).collect();
        let missing = model.missing_records(Some(Sanitiser::Chlorine), &present);
        // What is written only when something happened is never missing.
        let expected: &[RecordKind] = if lacking.entry() == Entry::IfItHappened {
            &[]
        } else {
            std::slice::from_ref(lacking)
        };
        let named: Vec<RecordKind> = missing.musts.iter().map(|need| need.kind).collect();
        assert_eq!(named, expected);
        assert_eq!(missing.complete(), expected.is_empty());
    }
    assert!(!model.missing_records(None, &[]).complete());
}

/// Musts come from the profile in force only: the strip in the bucket is one in New York, and a should where no code asks it.
#[test]
fn musts_are_the_profiles_own() {
    let lacks = |id: &str| {
        let profile = shipped(id);
        let missing = profile.missing_records(Some(Sanitiser::Chlorine), &[]);
        missing.musts.iter().any(|need| need.kind == RecordKind::StripBucket)
    };
    assert!(lacks("model-code") && lacks("new-york") && !lacks("uk-rinse"));
    // Hardness is asked for quats only; where the sanitiser is not known it is asked for.
    let model = model();
    let hardness = |sanitiser| {
        let missing = model.missing_records(sanitiser, &[]);
        missing.shoulds.iter().any(|need| need.kind == RecordKind::WaterHardness)
    };
    assert!(
        hardness(Some(Sanitiser::Quat)) && hardness(None) && !hardness(Some(Sanitiser::Chlorine))
    );
}

fn part(name: &str, shared: bool, replaced: bool, still_shared: bool) -> WettedPart {
    WettedPart { name: name.into(), shared, replaced, still_shared }
}

/// HY-34 (CALC): 1 % protein, 0.1 % carried over, 39 g of portion make 0.39 mg. Flushing alone cannot show a line clean.
#[test]
fn a_change_off_an_allergen_cannot_be_shown_clean_by_flushing() {
    assert!((carried_protein(0.01, 0.001, ouncewise_measure::Grams(39.0)) - 0.39).abs() < 1e-12);
    let parts = [part("pump tube", true, false, false), part("valve", true, false, false)];
    let change = allergen_change(Some(&["Milk", "soy"]), Some(&["soy"]), &parts);
    assert_eq!(
        change,
        AllergenChange::CannotBeShownClean {
            allergens: vec!["Milk".into()],
            parts: vec!["pump tube".into(), "valve".into()],
            still_shared: false
        }
    );
    assert!(!change.may_serve());
    let words = change.words();
    assert!(
        words.contains("cannot be shown clean of Milk") && words.contains("pump tube and valve"),
        "{words}"
    );
    // One part replaced is not every part.
    let half = [part("pump tube", true, true, false), part("valve", true, false, false)];
    assert!(!allergen_change(Some(&["milk"]), None, &half).may_serve());
    let whole = [part("pump tube", true, true, false), part("valve", true, true, false)];
    assert_eq!(
        allergen_change(Some(&["milk"]), None, &whole),
        AllergenChange::PartsReplaced { allergens: vec!["milk".into()] }
    );
    // The allergen is in the new product too.
    assert_eq!(
        allergen_change(Some(&["milk"]), Some(&[" MILK "]), &parts),
        AllergenChange::NothingToLeave
    );
}

/// A shared nozzle defeats a dedicated line, and a new nozzle too, while the other product still runs through it.
#[test]
fn a_shared_nozzle_defeats_a_dedicated_line() {
    let parts = [part("tube", false, false, false), part("nozzle", true, true, true)];
    let change = allergen_change(Some(&["sesame"]), Some(&[]), &parts);
    assert!(!change.may_serve());
    assert!(change.words().contains("nozzle that several lines share"), "{}", change.words());
    let own = [part("tube", false, false, false), part("nozzle", false, false, false)];
    assert_eq!(allergen_change(Some(&["sesame"]), Some(&[]), &own), AllergenChange::NothingShared);
}

#[test]
fn what_was_not_entered_counts_against_a_change() {
    let parts = [part("tube", true, false, false)];
    assert!(!allergen_change(None, Some(&[]), &parts).may_serve());
    assert!(!allergen_change(Some(&["milk"]), Some(&[]), &[]).may_serve());
    assert!(!allergen_change(None, None, &[]).may_serve());
}

/// Nine in the United States (READ-2), fourteen under EU 1169/2011 (READ-2): which are named is the profile's.
#[test]
fn each_place_names_its_allergens() {
    let count = |id: &str| shipped(id).allergens.map(|list| list.names.len());
    assert_eq!((count("model-code"), count("uk-rinse")), (Some(9), Some(14)));
}
