//! The dose in the wrong vessel: a sachet sized for one gallon, mixed in another.

use ouncewise_measure::{Quantity, Unit};
use rust_decimal::Decimal;

use super::judge::{About, By, Conditions, Finding, Findings, Outcome, held};
use super::{Made, Mix};
use crate::label::{Label, LabelStrength};
use crate::profile::Profile;

/// A vessel that differs by less than this is not told by one dilution of a label alone: water that is measured to a tenth, 19
/// times in 20 (HY-59, ASSUMED there), hides it. A 4 L bucket for a US gallon makes 211 mg/L of 200.
const TOLD_APART: f64 = 0.1;

/// What happens to a dose in another vessel that is easily taken for the one meant.
#[derive(Debug, Clone, PartialEq)]
pub struct VesselWarning<'a> {
    /// The other vessel.
    pub water: Quantity,
    /// What the same dose makes in it.
    pub made: Made,
    /// What comes of that by label and code.
    pub outcome: Outcome,
    /// The clause of the row that it falls under, if any.
    pub clause: Option<&'a str>,
    /// In words.
    pub say: String,
}

/// Vessels that are easily taken for this much water: the same number in the other country's unit, and the metric bucket that
/// stands in for a gallon (4 L for a US gallon, JUDGE).
#[must_use]
pub fn lookalikes(water: Quantity) -> Vec<Quantity> {
    let four = Decimal::from(4);
    let times =
        |unit| water.number.checked_mul(four).map(|number| Quantity::new(number.normalize(), unit));
    let part = |unit| {
        water
            .number
            .checked_div(four)
            .map(|number| Quantity::new(number.round_dp(4).normalize(), unit))
    };
    let same = |unit| Some(Quantity::new(water.number, unit));
    let others = match water.unit {
        Unit::GallonUs => [same(Unit::GallonImperial), times(Unit::Litre)],
        Unit::GallonImperial => [same(Unit::GallonUs), times(Unit::Litre)],
        Unit::Litre => [part(Unit::GallonUs), part(Unit::GallonImperial)],
        Unit::QuartUs => [same(Unit::QuartImperial), same(Unit::Litre)],
        Unit::QuartImperial => [same(Unit::QuartUs), same(Unit::Litre)],
        Unit::PintUs => [same(Unit::PintImperial), None],
        Unit::PintImperial => [same(Unit::PintUs), None],
        _ => [None, None],
    };
    others.into_iter().flatten().filter(|other| !other.number.is_zero()).collect()
}

/// That a strength falls under another row, and what either asks of the warmth (HY-55, CALC).
fn another_row(before: &Findings<'_>, after: &Findings<'_>) -> String {
    let say = |findings: &Findings<'_>, about: About| {
        let of_code = |finding: &&Finding<'_>| finding.by == By::Code && finding.about == about;
        findings.list.iter().find(of_code).map(|finding| finding.say.clone())
    };
    let warmth = |findings: &Findings<'_>| {
        let columns = findings.row.map_or(&[][..], |row| row.columns.as_slice());
        let words = columns.iter().map(|column| match column.ph_to {
            Some(to) => format!("{} up to pH {to}", column.least),
            None => column.least.to_string(),
        });
        words.collect::<Vec<_>>().join(", ")
    };
    let row = say(after, About::Strength).unwrap_or_default();
    let (was, is) = (warmth(before), warmth(after));
    if was == is || is.is_empty() {
        return row;
    }
    let was = if was.is_empty() { String::new() } else { format!(" and not {was}") };
    format!("{row}, which asks {is}{was}")
}

/// Where the same dose in another vessel would come out differently by label and code (HY-54, HY-55, CALC): under another row,
/// over a ceiling, or good where the one written down is not. That a label's one dilution is missed by less than water can be
/// measured is no reason. `vessels` are those to try, such as [`lookalikes`] and the buckets
/// that the site has.
#[must_use]
pub fn vessel_warnings<'a>(
    profile: &'a Profile,
    label: &Label,
    mix: &Mix,
    conditions: &Conditions,
    vessels: &[Quantity],
) -> Vec<VesselWarning<'a>> {
    let judged = |water: Quantity| {
        let made = Mix { water, ..*mix }.made(None).ok()?;
        let mut findings = Findings::default();
        held(profile, label, made.strength, conditions, &mut findings);
        Some((made, findings))
    };
    let Some((written, before)) = judged(mix.water) else { return Vec::new() };
    let clause = |findings: &Findings<'a>| findings.row.map(|row| row.basis.clause.as_str());
    let code = |findings: &Findings<'a>| {
        let of_code = findings.list.iter().filter(|finding| finding.by == By::Code);
        of_code.map(|finding| finding.outcome).max()
    };
    let least = |findings: &Findings<'a>| findings.row.and_then(|row| row.from);
    vessels
        .iter()
        .filter_map(|&water| {
            let (made, after) = judged(water)?;
            let (was, is) = (before.worst(), after.worst());
            let row_stays = least(&before) == least(&after);
            if was == is && row_stays {
                return None;
            }
            let one = matches!(label.strength, Some(LabelStrength::One { .. }));
            let near = (made.strength.0 / written.strength.0 - 1.0).abs() < TOLD_APART;
            if one && near && is > was && row_stays && code(&before) == code(&after) {
                return None;
            }
            let first = || after.list.iter().find(|finding| finding.outcome == is);
            let why = if is == was && !row_stays {
                another_row(&before, &after)
            } else {
                first().map_or_else(String::new, |finding| finding.say.clone())
            };
            let say = if is < was {
                format!(
                    "in {water} the same dose makes {}, which is {}: was it that?",
                    made.strength,
                    is.words()
                )
            } else if is == was {
                format!(
                    "in {water} the same dose makes {} and not {}: {why}",
                    made.strength, written.strength
                )
            } else {
                format!(
                    "in {water} the same dose makes {}, which is {}: {why}",
                    made.strength,
                    is.words()
                )
            };
            Some(VesselWarning { water, made, outcome: is, clause: clause(&after), say })
        })
        .collect()
}
