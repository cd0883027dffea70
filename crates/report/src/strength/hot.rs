//! Sanitising by hot water, which has no label and no strength: its temperature and its time, held to the code.

use ouncewise_hygiene::contact::judge_hot_water;
use ouncewise_hygiene::label::{Hazard, STANDING, cautions};
use ouncewise_hygiene::strength::Outcome;
use ouncewise_measure::{Quantity, Seconds};

use super::phrases::{celsius, each};
use super::{CautionSaid, LimitReport, StrengthReport, StrengthWords, of_contact, order, word};
use crate::held_to::food_code;
use crate::phrase::{Misphrased, duration};

/// The temperature of the hot water, where that is asked.
pub(super) fn asked(words: &StrengthWords) -> Result<Option<Quantity>, Misphrased> {
    each(words.hot_water.as_ref(), |text| celsius("hot-water", text))
}

/// What the code says of it.
pub(super) fn judged(words: &StrengthWords, water: Quantity) -> Result<StrengthReport, Misphrased> {
    let of_a_solution = [
        &words.chemistry,
        &words.label_strength,
        &words.product,
        &words.dose,
        &words.water,
        &words.bucket,
        &words.outlet,
        &words.stood,
    ];
    let said = |text: &Option<String>| text.as_deref().is_some_and(|text| !text.trim().is_empty());
    if of_a_solution.into_iter().any(said) {
        let what = ": hot water and a solution are two ways to sanitise";
        let hint = "ask of one of them, and leave the fields of the other blank";
        return Err(Misphrased::new("hot-water", what).hint(hint));
    }
    let profile = food_code(&words.profile)?;
    let kept = each(words.contact.as_ref(), |text| duration("contact", text))?;
    // A time that nobody said is none.
    let verdict = judge_hot_water(&profile, water, kept.unwrap_or(Seconds(f64::NAN)));
    let outcome = verdict.outcome;
    let finding = of_contact(verdict);
    let order = order::done(words, &profile, None)?;
    let out_of_order = order.iter().any(|one| one.outcome == word(Outcome::Refused));
    let worst = if out_of_order { Outcome::Refused } else { outcome };
    let parts = || std::iter::once(&finding).chain(&order);
    let act = parts().filter(|part| part.outcome == word(worst)).find_map(|part| part.act.clone());
    Ok(StrengthReport {
        profile: format!("{}: {}, {}", profile.name, profile.code, profile.edition),
        outcome: word(worst).to_owned(),
        verdict: worst.words().to_owned(),
        act,
        mg_per_l: None,
        findings: vec![finding],
        aim: None,
        mix: Vec::new(),
        vessels: Vec::new(),
        outlet: None,
        stood: None,
        least_contact: None,
        contact: Vec::new(),
        hypochlorous: None,
        before: order::before(&profile),
        order,
        after: "drain well, and do not dry with a cloth".to_owned(),
        food: profile.holding_told().into_iter().map(LimitReport::from).collect(),
        notes: vec![
            "the water must be that hot where it leaves the line, and for all of that time"
                .to_owned(),
        ],
        cautions: cautions(&[Hazard::Heat, Hazard::Food, Hazard::Floor])
            .map(CautionSaid::from)
            .collect(),
        standing: STANDING.to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use ouncewise_measure::print::Units;

    use super::*;
    use crate::strength::calculate_strength;

    fn water(profile: &str, at: &str, time: Option<&str>) -> StrengthReport {
        let words = StrengthWords {
            profile: profile.to_owned(),
            hot_water: Some(at.to_owned()),
            contact: time.map(str::to_owned),
            ..StrengthWords::default()
        };
        calculate_strength(&words, Units::Metric).unwrap_or_else(|fault| panic!("{fault:?}"))
    }

    // HY-11 (READ: WAC 04550): 77 °C (171 °F) for 30 s.
    #[test]
    fn hot_water_is_held_to_the_codes_row() {
        for (at, time, outcome) in [
            ("77 °C", Some("30 s"), "accepted"),
            ("171 °F", Some("1 min"), "accepted"),
            ("76.9 °C", Some("30 s"), "refused"),
            ("170.9 °F", Some("30 s"), "refused"),
            ("77 °C", Some("29 s"), "refused"),
            ("77 °C", None, "not-shown"),
        ] {
            let report = water("model-code", at, time);
            assert_eq!(report.outcome, outcome, "{at} {time:?}: {:?}", report.findings);
            assert_eq!(report.act.is_none(), outcome == "accepted", "{report:?}");
        }
        let report = water("model-code", "80 °C", Some("30 s"));
        assert!(report.findings[0].clause.is_some() && report.holds());
        assert!(report.cautions.iter().any(|caution| caution.what.contains("scalds")));
        // A code without such a row covers nothing.
        let ours = "id = 'ours'\nname = 'Ours'\ncode = 'c'\nedition = 'e'\n[after]\nrule = 'drain'\nclause = 'c'\nstatus = 'JUDGE'\nsource = 's'\n";
        assert_eq!(water(ours, "90 °C", Some("60 s")).outcome, "not-covered");
    }

    #[test]
    fn hot_water_and_a_solution_are_not_asked_together() {
        let words = StrengthWords {
            profile: "model-code".to_owned(),
            hot_water: Some("77 °C".to_owned()),
            bucket: Some("100 ppm".to_owned()),
            ..StrengthWords::default()
        };
        let Err(fault) = calculate_strength(&words, Units::Metric) else {
            panic!("two ways at once")
        };
        assert_eq!(fault.field, "hot-water");
    }
}
