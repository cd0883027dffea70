//! Holding a solution to the rows of a profile.

use super::{About, By, Conditions, Findings, Outcome, known_ph};
use crate::label::Label;
use crate::profile::{ColumnFor, Limit, Profile, at_least};
use crate::strength::MgPerLitre;

/// Ceilings, the row, and the row's temperature, pH and hardness.
pub(super) fn held<'a>(
    profile: &'a Profile,
    label: &Label,
    strength: MgPerLitre,
    conditions: &Conditions,
    findings: &mut Findings<'a>,
) {
    ceilings(profile, label, strength, findings);
    let sanitiser = label.chemistry.sanitiser();
    let Some(row) = profile.row(sanitiser, strength, conditions.applied) else {
        no_row(profile, label, strength, conditions, findings);
        return;
    };
    findings.row = Some(row);
    let say = match row.least(conditions.applied) {
        Some(least) => format!("{strength} falls under the row that begins at {least}"),
        None => "the code takes the label's strength".into(),
    };
    findings.code(About::Strength, Outcome::Accepted, say, "", &row.basis);
    temperature(row, label, conditions, findings);
    highest_ph(row, label, conditions, findings);
    hardness(row, label, conditions, findings);
}

fn ceilings<'a>(
    profile: &'a Profile,
    label: &Label,
    strength: MgPerLitre,
    findings: &mut Findings<'a>,
) {
    let own =
        profile.ceilings.iter().filter(|ceiling| ceiling.sanitiser == label.chemistry.sanitiser());
    for ceiling in own {
        let share = match &ceiling.component {
            None => 1.0,
            Some(name) => match label
                .components
                .iter()
                .find(|component| component.name.eq_ignore_ascii_case(name))
            {
                Some(component) => component.share,
                None if label.components.is_empty() && !at_least(ceiling.to.0, strength.0) => {
                    findings.note(format!(
                        "the label's components are not entered, so {} on {name} was not held",
                        ceiling.to
                    ));
                    continue;
                }
                None => continue,
            },
        };
        let of = ceiling.component.as_ref().map_or_else(String::new, |name| format!(" of {name}"));
        let held = MgPerLitre(strength.0 * share);
        if at_least(ceiling.to.0, held.0) {
            let say =
                format!("{held}{of} is within the {} that may stay without a rinse", ceiling.to);
            findings.code(About::Ceiling, Outcome::Accepted, say, "", &ceiling.basis);
        } else {
            let say =
                format!("{held}{of} is over the {} that may stay without a rinse", ceiling.to);
            let mend = "pour it away safely and mix again, weaker: more is not better";
            findings.code(About::Ceiling, Outcome::Refused, say, mend, &ceiling.basis);
        }
    }
}

fn no_row(
    profile: &Profile,
    label: &Label,
    strength: MgPerLitre,
    conditions: &Conditions,
    findings: &mut Findings<'_>,
) {
    let sanitiser = label.chemistry.sanitiser();
    let (least, most) = ends(profile, label, conditions);
    let (say, mend) = match (least, most) {
        (None, _) if profile.limits_for(sanitiser).next().is_none() => (
            format!("{} has no row for {sanitiser}", profile.name),
            "ask the health department whether it takes this sanitiser, and add its row to your profile".to_owned(),
        ),
        (Some(least), _) if !at_least(strength.0, least.0) => (
            format!("{strength} is under {least}, where the code's rows for {sanitiser} begin"),
            "mix again, stronger, within the label".to_owned(),
        ),
        (_, Some(most)) => (
            format!("{strength} is over {most}, where the code's rows for {sanitiser} end"),
            "mix again, weaker, within the label".to_owned(),
        ),
        _ => (
            format!("no row of {} covers {strength} of {sanitiser}", profile.name),
            "mix again, within label and code".to_owned(),
        ),
    };
    findings.add(By::Code, About::Strength, Outcome::NotCovered, say, mend);
}

/// Where the code's rows for the label's sanitiser begin and end; nothing where a row leaves it to the label, or has no end.
fn ends(
    profile: &Profile,
    label: &Label,
    conditions: &Conditions,
) -> (Option<MgPerLitre>, Option<MgPerLitre>) {
    let rows = || profile.limits_for(label.chemistry.sanitiser());
    let mut least: Option<MgPerLitre> = None;
    let mut most: Option<MgPerLitre> = None;
    for row in rows() {
        let Some(from) = row.least(conditions.applied) else { return (None, None) };
        if least.is_none_or(|least| from < least) {
            least = Some(from);
        }
        if let Some(to) = row.to
            && most.is_none_or(|most| to > most)
        {
            most = Some(to);
        }
    }
    if rows().any(|row| row.to.is_none()) {
        most = None;
    }
    (least, most)
}

fn temperature<'a>(
    row: &'a Limit,
    label: &Label,
    conditions: &Conditions,
    findings: &mut Findings<'a>,
) {
    let ph = known_ph(conditions, label);
    let column = match row.column(ph) {
        ColumnFor::NoneAsked => return,
        ColumnFor::This(column) => column,
        ColumnFor::PhUnknown => {
            let least: Vec<String> = row
                .columns
                .iter()
                .map(|column| match column.ph_to {
                    Some(to) => format!("{} up to pH {to}", column.least),
                    None => column.least.to_string(),
                })
                .collect();
            let say = format!(
                "the least temperature depends on the pH, which is not known: {}",
                least.join(", ")
            );
            let mend = "measure the pH of the solution, or enter once what the maker states for it";
            findings.code(About::Ph, Outcome::NotShown, say, mend, &row.basis);
            return;
        }
        ColumnFor::NoColumn => {
            let say = format!("no row covers a pH of {}", ph.unwrap_or(f64::NAN));
            let mend =
                "do not use it as a sanitiser; see what else went into the water, and mix again";
            findings.code(About::Ph, Outcome::NotCovered, say, mend, &row.basis);
            return;
        }
    };
    let asked = match column.ph_to {
        Some(to) => format!("{} up to pH {to}", column.least),
        None => column.least.to_string(),
    };
    match conditions.temperature {
        Some(read) if column.least.reached_by(read) => {
            findings.code(
                About::Temperature,
                Outcome::Accepted,
                format!("{read} reaches {asked}"),
                "",
                &row.basis,
            );
        }
        Some(read) if read.temperature().is_some() => {
            let say = format!("{read} is under {asked}");
            findings.code(
                About::Temperature,
                Outcome::Refused,
                say,
                "mix again with warmer water",
                &row.basis,
            );
        }
        _ => {
            let say = format!("the code asks {asked}, and no temperature is known");
            findings.code(
                About::Temperature,
                Outcome::NotShown,
                say,
                "measure the temperature of the solution",
                &row.basis,
            );
        }
    }
}

fn highest_ph<'a>(
    row: &'a Limit,
    label: &Label,
    conditions: &Conditions,
    findings: &mut Findings<'a>,
) {
    let Some(own) = row.ph_to else { return };
    let most = if row.ph_or_label { label.ph_to.unwrap_or(own) } else { own };
    match known_ph(conditions, label) {
        Some(ph) if ph <= most => {
            findings.code(
                About::Ph,
                Outcome::Accepted,
                format!("pH {ph} is within {most}"),
                "",
                &row.basis,
            );
        }
        Some(ph) => {
            let mend = "it does not work at this pH: mix again, with other water if the water is the cause";
            findings.code(
                About::Ph,
                Outcome::Refused,
                format!("pH {ph} is over {most}"),
                mend,
                &row.basis,
            );
        }
        None => {
            let say = format!("the code asks a pH of {most} or less, and none is known");
            let mend = "measure the pH of the solution, or enter once what the maker states for it";
            findings.code(About::Ph, Outcome::NotShown, say, mend, &row.basis);
        }
    }
}

fn hardness<'a>(
    row: &'a Limit,
    label: &Label,
    conditions: &Conditions,
    findings: &mut Findings<'a>,
) {
    let Some(own) = row.hardness_to else { return };
    let most = if row.hardness_or_label { label.hardness_to.unwrap_or(own) } else { own };
    match conditions.hardness.filter(|hardness| hardness.0 >= 0.0) {
        Some(hard) if at_least(most.0, hard.0) => {
            findings.code(
                About::Hardness,
                Outcome::Accepted,
                format!("water of {hard} is within {most}"),
                "",
                &row.basis,
            );
        }
        Some(hard) => {
            let mend = "use softer water, or a product whose label takes water as hard as yours";
            findings.code(
                About::Hardness,
                Outcome::Refused,
                format!("water of {hard} is over {most}"),
                mend,
                &row.basis,
            );
        }
        None => {
            let say =
                format!("the code asks water of {most} or softer, and its hardness is not known");
            let mend = "enter the hardness once, from the water company's report";
            findings.code(About::Hardness, Outcome::NotShown, say, mend, &row.basis);
        }
    }
}

/// Where label and code leave no strength, or no temperature, that satisfies both: in either direction.
pub(super) fn conflicts<'a>(
    profile: &'a Profile,
    label: &Label,
    conditions: &Conditions,
    findings: &mut Findings<'a>,
) {
    let mut conflict = |say: String| {
        let mend = "use a product whose label and your code both allow; ask the health department if in doubt";
        findings.add(By::Code, About::Conflict, Outcome::NotCovered, say, mend);
    };
    if let Some(strength) = label.strength {
        let (low, high) = strength.ends();
        let (least, most) = ends(profile, label, conditions);
        if let Some(least) = least.filter(|least| !at_least(high.0, least.0)) {
            conflict(format!(
                "no strength satisfies both: the label ends at {high}, the code begins at {least}"
            ));
        }
        if let Some(most) = most.filter(|most| !at_least(most.0, low.0)) {
            conflict(format!(
                "no strength satisfies both: the label begins at {low}, the code ends at {most}"
            ));
        }
        let whole = profile.ceilings.iter().filter(|ceiling| {
            ceiling.sanitiser == label.chemistry.sanitiser() && ceiling.component.is_none()
        });
        for ceiling in whole.filter(|ceiling| !at_least(ceiling.to.0, low.0)) {
            conflict(format!(
                "no strength satisfies both: the label begins at {low}, and {} may stay without a rinse",
                ceiling.to
            ));
        }
    }
    // The strongest that the label allows falls under the row that asks the least warmth.
    let strongest = label.strength.map_or(MgPerLitre(0.0), |strength| strength.ends().1);
    if let Some(warmest) = label.temperature_to
        && let Some(row) = profile.row(label.chemistry.sanitiser(), strongest, conditions.applied)
        && let ColumnFor::This(column) = row.column(known_ph(conditions, label))
        && !column.least.reached_by(warmest)
    {
        conflict(format!(
            "no temperature satisfies both: the label ends at {warmest}, the code asks {}",
            column.least
        ));
    }
}
