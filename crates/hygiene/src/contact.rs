//! Contact time: the longer of label and code, on a clock that starts when the *outlet* reaches its strength; and the order of
//! washing, sanitising, handling and serving.

mod order;
#[cfg(test)]
mod tests;

pub use order::{AfterPlan, Did, OrderFault, OutOfOrder, after_plan, order_faults};

use ouncewise_measure::{Quantity, Seconds};

use crate::label::Label;
use crate::profile::{Basis, ColumnFor, Contact, Profile, at_least};
use crate::strength::{
    About, By, Conditions, Finding, Findings, MgPerLitre, Outcome, known_ph, no_label,
};

/// The least contact time that label and code ask.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastContact<'a> {
    /// The longer of the two; nothing where one of them is not known.
    pub least: Option<Seconds>,
    /// Who asks it.
    pub by: By,
    /// The row of the code that applies, if one does.
    pub row: Option<&'a Contact>,
    /// Accepted where a time is known, else why not.
    pub outcome: Outcome,
    /// What is missing, or what asks the time.
    pub findings: Vec<Finding<'a>>,
}

/// From where the clock ran.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ClockStart {
    /// When the strip at the outlet agreed with the bucket.
    OutletOnStrength,
    /// Otherwise: when the pump started, or from the bucket's strip.
    Elsewhere,
}

/// A contact time held to its least.
#[derive(Debug, Clone, PartialEq)]
pub struct ContactVerdict<'a> {
    /// What comes of it.
    pub outcome: Outcome,
    /// Who asks that time, or whose time is not known.
    pub by: By,
    /// In words.
    pub say: String,
    /// What to do; empty where it holds.
    pub mend: String,
    /// Where the code's figure comes from; nothing where the time that is held to is the label's.
    pub basis: Option<&'a Basis>,
}

/// The least contact time for a solution: the code's row for its strength, temperature and pH, and the label's, whichever is
/// longer (HY-07 to HY-10, READ). Without a label, or without a row, it is not covered.
///
/// An exception that is shorter applies only where all that it asks is known.
#[must_use]
pub fn least_contact<'a>(
    profile: &'a Profile,
    label: Option<&Label>,
    strength: MgPerLitre,
    conditions: &Conditions,
) -> LeastContact<'a> {
    let mut findings = Findings::default();
    let Some(label) = label else {
        no_label(&mut findings);
        return unknown(findings, None);
    };
    if let Some(fault) = label.faults().first() {
        let say = format!("the label as entered cannot be: {}", fault.what);
        findings.add(By::Label, About::Label, Outcome::NotCovered, say, &fault.mend);
        return unknown(findings, None);
    }
    let row = profile.contacts.iter().find(|row| applies(row, label, strength, conditions));
    let Some(row) = row else {
        let say = format!(
            "{} has no contact time for {} at {strength}",
            profile.name,
            label.chemistry.sanitiser()
        );
        let mend = "ask the health department, and add its row to your profile";
        findings.add(By::Code, About::Contact, Outcome::NotCovered, say, mend);
        return unknown(findings, None);
    };
    let Some(own) = label.contact else {
        let mend = "enter the contact time that the label gives; if it gives none, ask the maker";
        findings.add(
            By::Label,
            About::Contact,
            Outcome::NotShown,
            "the label's contact time is not entered",
            mend,
        );
        return unknown(findings, Some(row));
    };
    let code = row.seconds.unwrap_or(0.0);
    let by = if code > own.0 { By::Code } else { By::Label };
    match row.seconds {
        Some(seconds) => findings.code(
            About::Contact,
            Outcome::Accepted,
            format!("the code asks {seconds} s"),
            "",
            &row.basis,
        ),
        None => findings.code(
            About::Contact,
            Outcome::Accepted,
            "the code takes the label's time",
            "",
            &row.basis,
        ),
    }
    findings.add(
        By::Label,
        About::Contact,
        Outcome::Accepted,
        format!("the label asks {} s", own.0),
        "",
    );
    LeastContact {
        least: Some(Seconds(code.max(own.0))),
        by,
        row: Some(row),
        outcome: findings.worst(),
        findings: findings.list,
    }
}

fn unknown<'a>(findings: Findings<'a>, row: Option<&'a Contact>) -> LeastContact<'a> {
    LeastContact {
        least: None,
        by: By::Label,
        row,
        outcome: findings.worst(),
        findings: findings.list,
    }
}

fn applies(row: &Contact, label: &Label, strength: MgPerLitre, conditions: &Conditions) -> bool {
    row.sanitiser == label.chemistry.sanitiser()
        && strength.0 > 0.0
        && row.from.is_none_or(|from| at_least(strength.0, from.0))
        && row.below.is_none_or(|below| !at_least(strength.0, below.0))
        && match row.column(known_ph(conditions, label)) {
            ColumnFor::NoneAsked => true,
            ColumnFor::This(column) => {
                conditions.temperature.is_some_and(|read| column.least.reached_by(read))
            }
            ColumnFor::PhUnknown | ColumnFor::NoColumn => false,
        }
}

/// Holds a contact time to its least. A clock that did not start at the outlet shows nothing: the solution reaches the outlet
/// after the pump has started, and the wall of the line last.
#[must_use]
pub fn judge_contact<'a>(
    least: &LeastContact<'a>,
    elapsed: Seconds,
    start: ClockStart,
) -> ContactVerdict<'a> {
    // A clause stands only beside its own figure: the label's longer time is not the code's.
    let of_code =
        least.row.filter(|row| row.seconds.is_some() && row.seconds.map(Seconds) == least.least);
    let basis = of_code.map(|row| &row.basis);
    let by = if basis.is_some() { By::Code } else { By::Label };
    let verdict = |outcome, say: String, mend: &str| ContactVerdict {
        outcome,
        by,
        say,
        mend: mend.to_owned(),
        basis,
    };
    let Some(asked) = least.least else {
        let worst = least.findings.iter().find(|finding| finding.outcome == least.outcome);
        let (say, mend) = worst.map_or(("no least time is known", ""), |finding| {
            (finding.say.as_str(), finding.mend.as_str())
        });
        let by = worst.map_or(By::Label, |finding| finding.by);
        return ContactVerdict { by, ..verdict(least.outcome, say.to_owned(), mend) };
    };
    let whole = format!("{} s of contact, of {} s asked", elapsed.0, asked.0);
    if start != ClockStart::OutletOnStrength {
        let mend = "start the clock when the strip at the outlet agrees with the bucket, and wait the whole time";
        return verdict(
            Outcome::NotShown,
            format!("{whole}, on a clock that did not start at the outlet"),
            mend,
        );
    }
    if elapsed.0 >= asked.0 {
        verdict(Outcome::Accepted, whole, "")
    } else if elapsed.0 >= 0.0 {
        verdict(Outcome::Refused, whole, "leave the solution in and start the time again")
    } else {
        verdict(
            Outcome::NotShown,
            "no contact time is known".into(),
            "note when the outlet reached its strength, and when it was drained",
        )
    }
}

/// Holds sanitising by hot water to the profile's row (HY-11, READ); not covered where it has none.
#[must_use]
pub fn judge_hot_water(
    profile: &Profile,
    temperature: Quantity,
    elapsed: Seconds,
) -> ContactVerdict<'_> {
    let Some(row) = &profile.hot_water else {
        return ContactVerdict {
            outcome: Outcome::NotCovered,
            by: By::Code,
            say: format!("{} has no row for hot water", profile.name),
            mend: "sanitise by a means that the profile covers".into(),
            basis: None,
        };
    };
    let verdict = |outcome, say: String, mend: &str| ContactVerdict {
        outcome,
        by: By::Code,
        say,
        mend: mend.to_owned(),
        basis: Some(&row.basis),
    };
    if temperature.temperature().is_none() || elapsed.0.is_nan() {
        return verdict(
            Outcome::NotShown,
            "its temperature or time is not known".into(),
            "measure both",
        );
    }
    let say =
        format!("{temperature} for {} s, of {} for {} s asked", elapsed.0, row.least, row.seconds);
    if row.least.reached_by(temperature) && elapsed.0 >= row.seconds {
        verdict(Outcome::Accepted, say, "")
    } else {
        verdict(
            Outcome::Refused,
            say,
            "bring the water to its temperature, and hold it for the whole time",
        )
    }
}
