//! Whether a solution is accepted: the label *and* the code must hold, each by its own figures, and the strip must agree.

mod code;
mod label;
mod strip;

use ouncewise_measure::Quantity;
use ouncewise_measure::print::probability;
use serde::Serialize;

use super::aim::window;
use super::{Made, MgPerLitre};
use crate::contact::{AfterPlan, after_plan};
use crate::label::Label;
use crate::profile::{Applied, Basis, Limit, Profile};
use crate::strip::{InDate, StripRead};

/// What comes of holding a solution to its rules, from good to bad. Of several findings the worst is the outcome; what is not
/// covered and what is not shown are never a pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// It holds.
    Accepted,
    /// A reading is missing or does not count: it may hold.
    NotShown,
    /// No row of the code, or no label, speaks of it.
    NotCovered,
    /// It breaks a figure.
    Refused,
}

impl Outcome {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Accepted => "accepted",
            Self::NotShown => "not shown",
            Self::NotCovered => "not covered",
            Self::Refused => "not accepted",
        }
    }
}

/// Who says it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum By {
    /// The profile's code.
    Code,
    /// The product's label.
    Label,
    /// The test strip.
    Strip,
}

/// What a finding is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum About {
    /// The label itself.
    Label,
    /// The strength.
    Strength,
    /// The most that may stay without a rinse.
    Ceiling,
    /// The temperature of the solution.
    Temperature,
    /// Its pH.
    Ph,
    /// The hardness of the water.
    Hardness,
    /// Label and code, which cannot both hold.
    Conflict,
    /// The strip.
    Strip,
    /// The date of the product.
    Expiry,
    /// The contact time.
    Contact,
}

/// One thing that was held to one rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding<'a> {
    /// Who says it.
    pub by: By,
    /// What about.
    pub about: About,
    /// What comes of it.
    pub outcome: Outcome,
    /// In words.
    pub say: String,
    /// What to do; empty where it holds.
    pub mend: String,
    /// Where the rule's figure comes from, for the code's.
    pub basis: Option<&'a Basis>,
}

/// The solution's state, as measured.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Conditions {
    /// Its temperature.
    pub temperature: Option<Quantity>,
    /// Its pH.
    pub ph: Option<f64>,
    /// The hardness of its water, as calcium carbonate.
    pub hardness: Option<MgPerLitre>,
    /// How it is put on.
    pub applied: Applied,
}

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Question<'a> {
    /// The rules in force.
    pub profile: &'a Profile,
    /// The product's label; without it nothing is covered.
    pub label: Option<&'a Label>,
    /// The mix as written down; nothing where there is only a strip.
    pub made: Option<&'a Made>,
    /// The solution's state.
    pub conditions: Conditions,
    /// The strip in the bucket.
    pub strip: Option<StripRead<'a>>,
    /// Whether the product is in date.
    pub product: InDate,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct StrengthVerdict<'a> {
    /// The worst of the findings.
    pub outcome: Outcome,
    /// Everything that was held to a rule.
    pub findings: Vec<Finding<'a>>,
    /// What to know beside it: the doubt by the user's own errors, figures that were only remembered.
    pub notes: Vec<String>,
    /// The row of the code that it falls under.
    pub row: Option<&'a Limit>,
}

impl StrengthVerdict<'_> {
    /// The one thing to do, where it is not accepted. Where label and code cannot both hold, no other act mends it.
    #[must_use]
    pub fn act(&self) -> Option<&str> {
        let conflict = self.findings.iter().find(|finding| finding.about == About::Conflict);
        let worst = conflict
            .or_else(|| self.findings.iter().find(|finding| finding.outcome == self.outcome))?;
        (self.outcome != Outcome::Accepted).then_some(worst.mend.as_str())
    }
}

/// Findings as they gather.
#[derive(Default)]
pub(crate) struct Findings<'a> {
    pub(crate) list: Vec<Finding<'a>>,
    pub(crate) notes: Vec<String>,
    pub(crate) row: Option<&'a Limit>,
}

impl<'a> Findings<'a> {
    pub(crate) fn add(
        &mut self,
        by: By,
        about: About,
        outcome: Outcome,
        say: impl Into<String>,
        mend: impl Into<String>,
    ) {
        self.list.push(Finding {
            by,
            about,
            outcome,
            say: say.into(),
            mend: mend.into(),
            basis: None,
        });
    }

    /// A finding of the code, with where it comes from.
    pub(crate) fn code(
        &mut self,
        about: About,
        outcome: Outcome,
        say: impl Into<String>,
        mend: impl Into<String>,
        basis: &'a Basis,
    ) {
        self.list.push(Finding {
            by: By::Code,
            about,
            outcome,
            say: say.into(),
            mend: mend.into(),
            basis: Some(basis),
        });
        if basis.status.unchecked() {
            self.note(format!("the figure of {} is {}", basis.clause, basis.status.words()));
        }
    }

    pub(crate) fn note(&mut self, note: impl Into<String>) {
        let note = note.into();
        if !self.notes.contains(&note) {
            self.notes.push(note);
        }
    }

    pub(crate) fn worst(&self) -> Outcome {
        // Nothing that was held to a rule is nothing shown.
        self.list.iter().map(|finding| finding.outcome).max().unwrap_or(Outcome::NotShown)
    }

    fn verdict(self) -> StrengthVerdict<'a> {
        StrengthVerdict {
            outcome: self.worst(),
            findings: self.list,
            notes: self.notes,
            row: self.row,
        }
    }
}

/// Judges a solution. A mix that is right by label and code and whose strip agrees is accepted; its doubt is a note.
///
/// A definite failure outweighs what is not covered, and that outweighs what is not shown: all findings are given, the worst
/// decides. Without a label nothing can be said at all.
#[must_use]
pub fn judge<'a>(question: &Question<'a>) -> StrengthVerdict<'a> {
    let mut findings = Findings::default();
    let Some(label) = question.label else {
        no_label(&mut findings);
        return findings.verdict();
    };
    let faults = label.faults();
    if let Some(fault) = faults.first() {
        findings.add(
            By::Label,
            About::Label,
            Outcome::NotCovered,
            format!("the label as entered cannot be: {}", fault.what),
            &fault.mend,
        );
        return findings.verdict();
    }
    match question.made {
        Some(made) => {
            held(question.profile, label, made.strength, &question.conditions, &mut findings);
            strip::beside_mix(question, label, made, &mut findings);
            doubt(question, label, made, &mut findings);
        }
        None => strip::alone(question, label, &mut findings),
    }
    only_way_out(&mut findings);
    rinse(question.profile, label, &mut findings);
    label::expiry(question.product, &mut findings);
    findings.verdict()
}

/// Where label and code leave nothing that satisfies both, mixing again by the one would break the other: every act is the one
/// that the conflict asks.
fn only_way_out(findings: &mut Findings<'_>) {
    let conflict = findings.list.iter().find(|finding| finding.about == About::Conflict);
    let Some(mend) = conflict.map(|finding| finding.mend.clone()) else { return };
    let mixed = [About::Strength, About::Ceiling, About::Temperature, About::Strip];
    for finding in &mut findings.list {
        if finding.outcome != Outcome::Accepted && mixed.contains(&finding.about) {
            finding.mend.clone_from(&mend);
        }
    }
}

/// Label and code that say opposite things of a rinse cannot both be followed, however right the mix is (HY-21, HY-23).
fn rinse<'a>(profile: &'a Profile, label: &Label, findings: &mut Findings<'a>) {
    let plan = after_plan(profile, Some(label));
    if plan == AfterPlan::Conflict {
        let say = "label and code say opposite things of a rinse";
        let mend = "ask the health department, or use another product";
        findings.code(About::Conflict, Outcome::NotCovered, say, mend, &profile.after.basis);
    }
}

pub(crate) fn no_label(findings: &mut Findings<'_>) {
    let mend = "enter what the product's label says: its strength for surfaces that touch food, and its contact time";
    findings.add(By::Label, About::Label, Outcome::NotCovered, "no label is entered", mend);
}

/// Holds a strength to code and label, and to both together.
pub(super) fn held<'a>(
    profile: &'a Profile,
    label: &Label,
    strength: MgPerLitre,
    conditions: &Conditions,
    findings: &mut Findings<'a>,
) {
    code::held(profile, label, strength, conditions, findings);
    label::held(label, strength, conditions, findings);
    code::conflicts(profile, label, conditions, findings);
}

/// The pH that counts: as measured, or as the maker states it for the mixed solution. One that is none counts as unknown.
pub(crate) fn known_ph(conditions: &Conditions, label: &Label) -> Option<f64> {
    conditions.ph.or(label.solution_ph).filter(|ph| (0.0..=14.0).contains(ph))
}

/// What the user's own errors say of the mix, as notes.
fn doubt(question: &Question<'_>, label: &Label, made: &Made, findings: &mut Findings<'_>) {
    let Some(doubt) = made.doubt else {
        if made.volume.0 > 0.0 {
            findings.note("no error of your measuring is stated, so no doubt is given");
        }
        return;
    };
    let (low, high) = doubt.interval(0.95);
    findings.note(format!(
        "by your own stated errors, 19 in 20 such mixes are between {low} and {high}"
    ));
    let Some(window) = window(question.profile, label, &question.conditions) else { return };
    let (below, over) = (doubt.chance_below(window.from), 1.0 - doubt.chance_below(window.to));
    if below > 0.025 {
        findings.note(format!(
            "by your own stated errors, {} of such mixes are under {}",
            probability(below, 0.025),
            window.from
        ));
    }
    if over > 0.025 {
        findings.note(format!(
            "by your own stated errors, {} of such mixes are over {}",
            probability(over, 0.025),
            window.to
        ));
    }
}
