//! A solution from phrases to its report: label and code both, the wrong gallon, and what is never a pass.

use ouncewise_measure::print::Units;

use super::*;

fn some(text: &str) -> Option<String> {
    Some(text.to_owned())
}

/// One sachet of 0.9464 g available chlorine, made for 2.5 US gallons (HY-54, CALC).
fn sachet() -> StrengthWords {
    StrengthWords {
        profile: "model-code".to_owned(),
        chemistry: some("isocyanurate"),
        label_strength: some("100 to 200 ppm"),
        label_contact: some("60 s"),
        product: some("0.9464 g available"),
        dose: some("1 sachet"),
        water: some("2 gal (US)"),
        temperature: some("75 °F"),
        ph: some("7"),
        strips: some("chlorine 10 50 100 200"),
        bucket: some("100 ppm"),
        ..StrengthWords::default()
    }
}

#[test]
fn a_mix_that_label_code_and_strip_hold_is_accepted() {
    let report = calculate_strength(&sachet(), Units::Metric).unwrap();
    assert_eq!(report.outcome, "accepted", "{report:#?}");
    assert!((report.mg_per_l.unwrap() - 125.0).abs() < 0.1, "{report:#?}");
    // HY-07 asks 10 s, the label 60 s: the longer holds.
    assert_eq!(report.least_contact, Some(60.0));
    assert!(report.findings.iter().any(|finding| finding.clause.is_some()));
    assert!(report.mix.iter().any(|way| way.contains("4.73 L to 9.46 L")), "{:?}", report.mix);
    assert!(report.hypochlorous.unwrap().contains("cyanurate"));
    assert!(report.after.contains("do not rinse"));
    assert!(!report.cautions.is_empty());
}

#[test]
fn without_a_label_nothing_is_covered_and_without_a_row_neither() {
    let bare = StrengthWords { label_strength: None, label_contact: None, ..sachet() };
    let report = calculate_strength(&bare, Units::Metric).unwrap();
    assert_eq!(report.outcome, "not-covered", "{report:#?}");
    assert!(!report.holds());
    let weak =
        StrengthWords { label_strength: some("10 to 20 ppm"), water: some("50 L"), ..sachet() };
    assert!(!calculate_strength(&weak, Units::Metric).unwrap().holds());
}

/// HY-54, HY-55 (CALC): the same sachet in the other gallon is under another row, or out of the label's range.
#[test]
fn a_gallon_that_looks_alike_is_warned_of() {
    let words = StrengthWords { water: some("2.5 gal (US)"), ..sachet() };
    let report = calculate_strength(&words, Units::Metric).unwrap();
    assert!(
        report.vessels.iter().any(|say| say.contains("gal (imperial)")),
        "{:?}",
        report.vessels
    );
}

#[test]
fn the_contact_clock_starts_at_the_outlet() {
    let kept = |outlet: Option<String>| {
        let words = StrengthWords { contact: some("60 s"), outlet, ..sachet() };
        calculate_strength(&words, Units::Metric).unwrap().contact.pop().unwrap().outcome
    };
    assert_eq!(kept(None), "not-shown");
    assert_eq!(kept(some("100 ppm")), "accepted");
    assert_eq!(kept(some("50 ppm")), "not-shown");
}

#[test]
fn each_phrase_that_cannot_be_read_says_which_it_is() {
    let wrong = |change: fn(&mut StrengthWords)| {
        let mut words = sachet();
        change(&mut words);
        match calculate_strength(&words, Units::Metric) {
            Err(wrong) => {
                assert!(!wrong.to_string().is_empty());
                wrong.field
            }
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(wrong(|w| w.profile = "atlantis".to_owned()), "profile");
    assert_eq!(wrong(|w| w.chemistry = some("soap")), "chemistry");
    assert_eq!(wrong(|w| w.label_strength = some("strong")), "label-strength");
    assert_eq!(wrong(|w| w.product = some("5 %")), "product");
    assert_eq!(wrong(|w| w.dose = some("½ sachet")), "dose");
    assert_eq!(wrong(|w| w.dose = some("30 mL")), "dose");
    assert_eq!(wrong(|w| w.water = None), "water");
    assert_eq!(wrong(|w| w.water = some("10 g")), "water");
    assert_eq!(wrong(|w| w.ph = some("15")), "ph");
    assert_eq!(wrong(|w| w.strips = some("chlorine 100 50")), "strips");
    assert_eq!(wrong(|w| w.strips_expire = some("soon")), "strips-expire");
    assert_eq!(wrong(|w| w.water_error = some("90 %")), "water-error");
    let faulty = StrengthWords { profile: "id = 'ours'\nspeed = 3".to_owned(), ..sachet() };
    let wrong = calculate_strength(&faulty, Units::Metric).unwrap_err();
    assert_eq!(wrong.field, "profile");
    let what = wrong.to_string();
    assert!(what.contains("speed") && what.contains("edition"), "{what}");
}

#[test]
fn every_scale_of_a_liquid_is_its_own_and_the_label_may_give_the_dilution() {
    let strength = |product: &str| {
        let words = StrengthWords {
            product: some(product),
            density: some("1.08 g/mL"),
            dose: some("30 mL"),
            water: some("15 L"),
            ..sachet()
        };
        calculate_strength(&words, Units::Metric).unwrap().mg_per_l.unwrap()
    };
    // HY-52 (CALC): 5.25 % NaOCl by mass at 1.08 g/mL is 5.40 trade percent.
    assert!((strength("5.25 % hypochlorite") / strength("5.4 % trade") - 1.0).abs() < 1e-3);
    assert!((strength("30 mL in 15 L gives 200 ppm") - 200.0).abs() < 1e-6);
}

/// 20 mL of 5 trade percent in 10 L: 100 mg/L (C1V1 = C2V2, HY-53, CALC), of a label that allows 50 to 200.
fn bleach() -> StrengthWords {
    StrengthWords {
        profile: "model-code".to_owned(),
        chemistry: some("hypochlorite"),
        label_strength: some("50 to 200 ppm"),
        label_contact: some("60 s"),
        product: some("5 % trade"),
        dose: some("20 mL"),
        water: some("10 L"),
        temperature: some("24 °C"),
        ph: some("7"),
        strips: some("chlorine 10 50 100 200"),
        bucket: some("100 ppm"),
        ..StrengthWords::default()
    }
}

/// The verdict is the worst of all that was stated; the sources of the single parts are HY-10, HY-21 and the note on strips at
/// the outlet.
#[test]
fn a_part_that_fails_is_the_verdict() {
    let of = |words: StrengthWords| calculate_strength(&words, Units::Metric).unwrap();
    assert!(of(bleach()).holds());
    let whole = StrengthWords { outlet: some("100 ppm"), contact: some("60 s"), ..bleach() };
    assert!(of(whole).holds());

    let rinse = of(StrengthWords { label_rinse: some("asks"), ..bleach() });
    assert_eq!(rinse.outcome, "not-covered", "{rinse:#?}");
    assert!(rinse.act.as_deref().unwrap().contains("health department"));
    let outlet = of(StrengthWords { outlet: some("50 ppm"), ..bleach() });
    assert_eq!(outlet.outcome, "not-shown", "{outlet:#?}");
    assert!(outlet.act.as_deref().unwrap().contains("run on"));
    let short = of(StrengthWords { outlet: some("100 ppm"), contact: some("6 s"), ..bleach() });
    assert_eq!((short.outcome.as_str(), short.verdict.as_str()), ("refused", "not accepted"));
    assert!(short.act.as_deref().unwrap().contains("start the time again"));
    let unstated = of(StrengthWords { label_contact: None, ..bleach() });
    assert_eq!(unstated.outcome, "not-shown", "{unstated:#?}");
    assert!(unstated.act.as_deref().unwrap().contains("contact time"));
    let no_strip =
        StrengthWords { strips: None, bucket: None, outlet: some("100 ppm"), ..bleach() };
    assert_eq!(of(no_strip).outcome, "not-shown");
    for report in [rinse, outlet, short, unstated] {
        assert!(!report.holds());
    }
}

/// HY-10 (READ): the label's time, where it is the longer, is no figure of the code's clause.
#[test]
fn a_clause_stands_beside_its_own_figure_only() {
    let kept = |label: &str| {
        let words = StrengthWords {
            label_contact: some(label),
            outlet: some("100 ppm"),
            contact: some("60 s"),
            ..bleach()
        };
        calculate_strength(&words, Units::Metric).unwrap().contact.pop().unwrap()
    };
    let labels = kept("60 s");
    assert_eq!((labels.by.as_str(), labels.clause), ("label", None));
    // The model code asks 10 s (HY-07), more than a label of 5 s.
    let codes = kept("5 s");
    assert_eq!((codes.by.as_str(), codes.clause.is_some()), ("code", true));
}

/// Both strips alike are no weakness at the outlet, whatever the mix as written makes; that they are both too weak is.
#[test]
fn the_outlet_is_held_to_the_bucket_and_not_to_the_mix() {
    let both = |water: &str, class: &str| {
        let words = StrengthWords {
            water: some(water),
            bucket: some(class),
            outlet: some(class),
            contact: some("60 s"),
            ..bleach()
        };
        calculate_strength(&words, Units::Metric).unwrap()
    };
    for (water, class) in [("10 L", "50 ppm"), ("6.667 L", "100 ppm")] {
        let report = both(water, class);
        assert!(report.outlet.as_deref().unwrap().contains("has reached"), "{report:#?}");
        assert_eq!(report.contact.last().unwrap().outcome, "accepted", "{report:#?}");
    }
    let weak = both("10 L", "10 ppm");
    assert_eq!(weak.outcome, "refused");
    let outlet = weak.outlet.unwrap();
    assert!(
        outlet.contains("label and code allow") && !outlet.contains("in the bucket"),
        "{outlet}"
    );
    assert_eq!(weak.contact.last().unwrap().outcome, "not-shown");
}

/// Mixing again can satisfy the label or the code, and not both (HY-25: 200 mg/L at most).
#[test]
fn in_a_conflict_nothing_goes_against_the_label() {
    for (label, water) in [("300 to 400 ppm", "3.086 L"), ("5 to 20 ppm", "92.6 L")] {
        let words = StrengthWords {
            label_strength: some(label),
            water: some(water),
            strips: None,
            bucket: None,
            ..bleach()
        };
        let report = calculate_strength(&words, Units::Metric).unwrap();
        assert!(!report.holds());
        assert!(report.act.as_deref().unwrap().contains("label and your code both allow"));
        let acts = report.findings.iter().filter_map(|finding| finding.act.as_deref());
        assert!(acts.clone().all(|act| !act.contains("mix again")), "{report:#?}");
        let aim = report.aim.as_deref().unwrap();
        assert!(!aim.contains("warm the water") && aim.contains("both allow"), "{aim}");
    }
    // Where warm water opens a row, it is said.
    let cold = StrengthWords {
        label_strength: some("50 to 90 ppm"),
        temperature: some("10 °C"),
        ..bleach()
    };
    assert!(
        calculate_strength(&cold, Units::Metric).unwrap().aim.unwrap().contains("warm the water")
    );
}

/// New York (READ: 10 NYCRR 14-4.112): swabbing asks twice the strength of immersion, 100 and not 50.
#[test]
fn swabbing_is_asked_and_held() {
    let york = |applied: Option<String>| {
        let words = StrengthWords {
            profile: "new-york".to_owned(),
            water: some("12.5 L"),
            applied,
            ..bleach()
        };
        calculate_strength(&words, Units::Metric).unwrap()
    };
    assert!(york(None).holds() && york(some("immersed")).holds());
    assert!(!york(some("swabbed")).holds());
}

/// HY-27 (READ): 240 mg/L of that quat, and 400 of all.
#[test]
fn a_component_is_held_to_its_own_ceiling() {
    let made = |share: &str| {
        let words = StrengthWords {
            chemistry: some("quat-multi"),
            label_strength: some("150 to 400 ppm"),
            components: Some(format!("di-n-alkyl(C8-10) dimethyl ammonium chloride {share}")),
            product: some("30 mL in 10 L gives 400 ppm"),
            dose: some("30 mL"),
            hardness: some("200 mg/L"),
            strips: some("quat-multi 100 200 400 800"),
            bucket: some("400 ppm"),
            ..bleach()
        };
        calculate_strength(&words, Units::Metric)
    };
    assert_eq!(made("50 %").unwrap().outcome, "accepted");
    let over = made("70 %").unwrap();
    assert_eq!(over.outcome, "refused");
    assert!(over.findings.iter().any(|finding| finding.say.contains("240 mg/L")), "{over:#?}");
    assert!(made("lots").is_err() && made("120 %").is_err());
    // Nothing of chlorine goes with a quat.
    assert!(over.cautions.iter().all(|caution| !caution.what.contains("hlorine")));
}

/// All that is broken is to be mended, and the pieces fit the bucket.
#[test]
fn what_to_do_mends_everything_and_fits_the_bucket() {
    let words = StrengthWords {
        label_strength: some("100 ppm"),
        water: some("10 L"),
        temperature: some("20 °C"),
        ..sachet()
    };
    let act = calculate_strength(&words, Units::Metric).unwrap().act.unwrap();
    assert!(act.contains("warmer") && act.contains("one dilution"), "{act}");
    let mix = calculate_strength(&sachet(), Units::Metric).unwrap().mix;
    assert!(mix[0].starts_with("1 piece made up to 6.3"), "{mix:?}");
}

/// HY-47 (CALC): no isocyanurate has more than 91.5 % available chlorine. HY-53 (CALC): 30 mL of 5 % is 1500 mg, and no
/// millilitre holds that.
#[test]
fn what_no_product_and_no_solution_can_be_is_refused() {
    let faulty = |words: &StrengthWords| match calculate_strength(words, Units::Metric) {
        Err(fault) => (fault.field, fault.to_string()),
        other => panic!("{words:?}: {other:?}"),
    };
    let (field, says) = faulty(&StrengthWords { product: some("1.7 g of 99 %"), ..sachet() });
    assert!(field == "product" && says.contains("91.5 %"), "{says}");
    let (field, says) =
        faulty(&StrengthWords { product: some("99 % dry"), dose: some("2 g"), ..sachet() });
    assert!(field == "product" && says.contains("91.5 %"), "{says}");
    let bleach = |dose, water| StrengthWords {
        chemistry: some("hypochlorite"),
        product: some("5 % trade"),
        dose: some(dose),
        water: some(water),
        ..sachet()
    };
    let (field, says) = faulty(&bleach("30 mL", "1 mL"));
    assert_eq!(field, "water");
    assert!(says.contains("30 mL") && says.contains("stronger than the product"), "{says}");
    assert_eq!(faulty(&bleach("30 mL", "29 mL")).0, "water");
    let made =
        calculate_strength(&bleach("30 mL", "30 mL"), Units::Metric).unwrap().mg_per_l.unwrap();
    assert!((made / 50_000.0 - 1.0).abs() < 1e-9, "{made}");
    // By a label's own dilution, too.
    let by_label =
        StrengthWords { product: some("30 mL in 15 L gives 200 ppm"), ..bleach("30 mL", "20 mL") };
    assert_eq!(faulty(&by_label).0, "water");
}

/// HY-24 (READ: FC 4-603.16) and HY-140 (READ): sanitising is of cleaned surfaces, with a rinse in between; HY-21 (READ: FC
/// 4-904.14): and no rinse after it.
#[test]
fn what_was_done_out_of_order_is_refused_and_says_where() {
    let did = |did| {
        calculate_strength(&StrengthWords { did: some(did), ..sachet() }, Units::Metric).unwrap()
    };
    let good = did("washed, rinsed, sanitised, drained, served");
    assert!(good.holds() && good.order[0].outcome == "accepted", "{good:#?}");
    for (order, says, at) in [
        ("rinsed, sanitised, drained, served", "without being washed", "step 2"),
        ("washed, sanitised, drained, served", "over detergent", "step 2"),
        ("washed, rinsed, sanitised, drained, handled, served", "handled after", "step 6"),
        ("washed, rinsed, sanitised, rinsed, served", "which the code forbids", "step 5"),
        ("washed, rinsed, sanitised, served", "with sanitiser in it", "step 4"),
        ("washed; served", "without being sanitised", "step 2"),
    ] {
        let report = did(order);
        let found = &report.order[0];
        assert!(!report.holds() && report.outcome == "refused", "{order}");
        assert!(found.say.contains(says) && found.say.starts_with(at), "{order}: {found:?}");
        assert_eq!(report.act, found.act, "{order}");
    }
    assert!(
        good.before.contains("wash first") && good.before.contains("4-603.16"),
        "{}",
        good.before
    );
    // One agent for both needs no rinse in between, and the other code asks for the rinse that this one forbids.
    assert!(did("washed with sanitiser, sanitised, drained, served").holds());
    let Err(fault) = calculate_strength(
        &StrengthWords { did: some("washed, blessed"), ..sachet() },
        Units::Metric,
    ) else {
        panic!("no such act")
    };
    assert_eq!(fault.field, "did");
}

/// HY-65 and HY-66 (READ): soil uses chlorine up, which is said where the outlet is weak, and of chlorine only.
#[test]
fn a_weak_outlet_of_chlorine_may_be_soil() {
    let at = |outlet| StrengthWords { outlet: some(outlet), ..sachet() };
    let soil = |words: &StrengthWords| {
        let notes = calculate_strength(words, Units::Metric).unwrap().notes;
        notes.iter().any(|note| note.contains("7.5 mg/L"))
    };
    assert!(soil(&at("50 ppm")) && !soil(&at("100 ppm")) && !soil(&sachet()));
    let quat = StrengthWords {
        chemistry: some("quat-multi"),
        strips: some("quat-multi 100 200 400"),
        label_strength: some("200 ppm"),
        product: some("30 mL in 15 L gives 200 ppm"),
        dose: some("20 mL"),
        water: some("10 L"),
        bucket: some("200 ppm"),
        ..at("100 ppm")
    };
    assert!(!soil(&quat));
}
