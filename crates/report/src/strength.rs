//! The strength of a sanitiser without a store: what was mixed, its label and the code in phrases, and what comes of it.

mod hot;
mod order;
mod outlet;
mod phrases;
#[cfg(test)]
mod tests;

use ouncewise_hygiene::contact::{
    ClockStart, ContactVerdict, after_plan, judge_contact, least_contact,
};
use ouncewise_hygiene::label::{Caution, Hazard, Label, LabelStrength, STANDING, cautions};
use ouncewise_hygiene::profile::{FieldFault, LimitTold, Sanitiser};
use ouncewise_hygiene::strength::{
    About, By, Conditions, DECAY_PER_DAY, Finding, Made, MgPerLitre, Needed, Outcome, Question,
    StrengthVerdict, aim, hocl_fraction, judge, lookalikes, soil_words, standing, vessel_warnings,
};
use ouncewise_hygiene::strip::{AtOutlet, StripRead};
use ouncewise_measure::Millilitres;
use ouncewise_measure::print::{self, Units, percent};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::phrase::Misphrased;
use phrases::Read;

/// A solution of sanitiser, in phrases. What is left out is not known, and nothing is assumed for it.
#[derive(Debug, Clone, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct StrengthWords {
    /// The rules: `model-code`, `california`, `new-york`, `uk-rinse`, or the text of a profile file of your own; where there is an estate, also its key.
    pub profile: String,
    /// What the active is: `hypochlorite`, `isocyanurate`, `other-chlorine`, `iodine`, `quat-single`, `quat-multi`,
    /// `quat-unstated` or `other`. Without it and `label_strength` no label is known.
    pub chemistry: Option<String>,
    /// What the label allows on surfaces that touch food: `100 to 200 ppm`, or its one dilution, `100 ppm`.
    pub label_strength: Option<String>,
    /// The label's contact time: `60 s`.
    pub label_contact: Option<String>,
    /// The coldest solution that the label allows: `24 °C`.
    pub label_temperature: Option<String>,
    /// The highest pH at which the label says that it works.
    pub label_ph: Option<String>,
    /// The hardest water that the label allows: `500 mg/L`, `30 gpg`.
    pub label_hardness: Option<String>,
    /// What the label says of a rinse after sanitising: `asks`, `forbids` or `silent`.
    pub label_rinse: Option<String>,
    /// What a quat is made of, each with its share of all active, where a code limits one by itself:
    /// `didecyl dimethyl ammonium chloride 60 %; alkyl dimethyl benzyl ammonium chloride 40 %`.
    pub components: Option<String>,
    /// The label's own signal word, as it stands there.
    pub signal_word: Option<String>,
    /// How strong the product is: `0.9464 g available` or `1.7 g of 56 %` in a piece, `56 % dry`, a liquid as
    /// `5.25 % hypochlorite`, `5 % available` (by mass), `5.4 % trade` or `100000 mg/L`, or the label's own dilution,
    /// `30 mL in 15 L gives 200 ppm`.
    pub product: Option<String>,
    /// Density of a liquid product: `1.08 g/mL`.
    pub density: Option<String>,
    /// What went in: `1 sachet`, `3 tablets`, `30 mL`, `1.7 g`.
    pub dose: Option<String>,
    /// The water that it was made up to: `10 L`, `2.5 gal (US)`.
    pub water: Option<String>,
    /// How it is put on: `immersed` or run through a line, which is taken where it is not said, or `swabbed`.
    pub applied: Option<String>,
    /// Temperature of the solution.
    pub temperature: Option<String>,
    /// Its pH.
    pub ph: Option<String>,
    /// Hardness of the water: `250 mg/L`, `15 gpg`, `14 °dH`, `25 °fH`.
    pub hardness: Option<String>,
    /// The strips, what they read and the numbers of their card: `chlorine 10 50 100 200`.
    pub strips: Option<String>,
    /// The class read in the bucket: `100 ppm`.
    pub bucket: Option<String>,
    /// The class read at the outlet.
    pub outlet: Option<String>,
    /// The last day of the strips: `2027-03-31`.
    pub strips_expire: Option<String>,
    /// The last day of the product.
    pub product_expires: Option<String>,
    /// The day on which it is asked; without it no expiry is judged.
    pub today: Option<String>,
    /// How far off the dose may be, 19 times in 20: `5 %`.
    pub dose_error: Option<String>,
    /// How far off the product's own strength may be, at most: `5 %`.
    pub assay_error: Option<String>,
    /// How far off the water may be, 19 times in 20: `10 %`.
    pub water_error: Option<String>,
    /// How long the solution stayed, from when the strip at the outlet agreed with the bucket: `60 s`.
    pub contact: Option<String>,
    /// How long the bucket stood since it was mixed: `8 h`.
    pub stood: Option<String>,
    /// What was done to the line or part, in its order: `washed, rinsed, sanitised, drained, served`; also
    /// `washed with sanitiser` and `handled`.
    pub did: Option<String>,
    /// Sanitising by hot water instead of a solution: its temperature, `77 °C`, with its time in `contact`.
    pub hot_water: Option<String>,
}

/// One thing that was held to one rule.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct StrengthFinding {
    /// Who says it: `code`, `label` or `strip`; `order` of what was done before and after.
    pub by: String,
    /// `accepted`, `not-shown`, `not-covered` or `refused`.
    pub outcome: String,
    /// What is so.
    pub say: String,
    /// What to do, where it does not hold.
    pub act: Option<String>,
    /// The clause of the code.
    pub clause: Option<String>,
    /// How its figure is known, in words.
    pub known: Option<String>,
}

/// One limit of a code, in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LimitReport {
    /// What it says.
    pub words: String,
    /// The clause of the code.
    pub clause: String,
    /// How its figure is known, in words.
    pub known: String,
}

impl From<LimitTold> for LimitReport {
    fn from(told: LimitTold) -> Self {
        Self { words: told.words, clause: told.clause, known: told.known.to_owned() }
    }
}

/// A caution that goes with the work.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CautionSaid {
    /// The signal word; for a chemical the label's own.
    pub word: String,
    /// What can happen.
    pub what: String,
    /// How to avoid it.
    pub avoid: String,
}

impl From<&Caution> for CautionSaid {
    fn from(caution: &Caution) -> Self {
        Self {
            word: caution.printed_word(None),
            what: caution.what.to_owned(),
            avoid: caution.avoid.to_owned(),
        }
    }
}

/// `calc strength`: whether a solution is accepted, and what goes with it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StrengthReport {
    /// The rules it was held to: name, code and edition.
    pub profile: String,
    /// `accepted`, `not-shown`, `not-covered` or `refused`: the worst of the findings, those of the contact time too.
    pub outcome: String,
    /// The outcome in words.
    pub verdict: String,
    /// The one thing to do, where it is not accepted.
    pub act: Option<String>,
    /// Strength of the mix by arithmetic, in mg/L, where dose, product and water are known.
    pub mg_per_l: Option<f64>,
    /// Everything that was held to a rule.
    pub findings: Vec<StrengthFinding>,
    /// What to aim at, where a label is known.
    pub aim: Option<String>,
    /// How that is mixed from this product.
    pub mix: Vec<String>,
    /// What the same dose makes in a vessel that is easily taken for this one.
    pub vessels: Vec<String>,
    /// What the strip at the outlet says.
    pub outlet: Option<String>,
    /// What a bucket that stood says.
    pub stood: Option<String>,
    /// The least contact time in seconds, where label and code both give one.
    pub least_contact: Option<f64>,
    /// Who asks which contact time, or what is missing; and how the time that was kept compares.
    pub contact: Vec<StrengthFinding>,
    /// How much of the chlorine is hypochlorous acid, for explanation, or why no share is given.
    pub hypochlorous: Option<String>,
    /// What comes before.
    pub before: String,
    /// What was done out of order, or that it was in order; empty where it was not said.
    pub order: Vec<StrengthFinding>,
    /// What comes after.
    pub after: String,
    /// The code's limits of time and temperature for food, in words.
    pub food: Vec<LimitReport>,
    /// What to know beside it.
    pub notes: Vec<String>,
    /// The cautions of the work.
    pub cautions: Vec<CautionSaid>,
    /// What stands over all of this.
    pub standing: String,
}

impl StrengthReport {
    /// Whether all that was stated is accepted: the solution, the outlet's strip, the contact time, and what follows.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.outcome == word(Outcome::Accepted)
    }
}

/// Whether a solution is accepted by its label, the code and its strip, and what goes with it. Told in these
/// units.
///
/// # Errors
///
/// If a phrase cannot be read, or the profile has faults.
pub fn calculate_strength(
    words: &StrengthWords,
    units: Units,
) -> Result<StrengthReport, Misphrased> {
    if let Some(water) = hot::asked(words)? {
        return hot::judged(words, water);
    }
    let read = Read::new(words)?;
    let Read { profile, conditions, .. } = &read;
    let label = read.label.as_ref();
    let made = read
        .mix
        .as_ref()
        .map(|mix| mix.made(read.errors.as_ref()))
        .transpose()
        .map_err(|faults| fault(&faults[0]))?;
    let strip = |class: Option<MgPerLitre>| {
        Some(StripRead { kind: read.strips.as_ref()?, class: class?, in_date: read.strips_in_date })
    };
    let bucket = strip(read.bucket);
    let verdict = judge(&Question {
        profile,
        label,
        made: made.as_ref(),
        conditions: *conditions,
        strip: bucket,
        product: read.product_in_date,
    });
    let strength = made.as_ref().map(|made| made.strength).or(read.bucket);
    let outlet = label.and_then(|label| {
        outlet::says(&read, label, made.as_ref(), bucket.as_ref(), strip(read.outlet).as_ref())
    });
    let outlet_said = outlet.map(|outlet| outlet::finding(outlet, read.outlet));
    let mut worst = verdict.outcome.max(outlet.map_or(Outcome::Accepted, outlet::outcome));
    let mut contact = Vec::new();
    let mut least = None;
    if let Some(strength) = strength {
        let asked = least_contact(profile, label, strength, conditions);
        least = asked.least.map(|least| least.0);
        contact.extend(asked.findings.iter().map(finding));
        worst = worst.max(asked.outcome);
        if let Some(kept) = read.contact {
            let start = match outlet {
                Some(AtOutlet::Arrived) => ClockStart::OutletOnStrength,
                _ => ClockStart::Elsewhere,
            };
            let judged = judge_contact(&asked, kept, start);
            worst = worst.max(judged.outcome);
            contact.push(of_contact(judged));
        }
    }
    let (aim, mix) = label
        .filter(|label| label.strength.is_some())
        .map_or((None, Vec::new()), |label| aimed(&read, label, conditions, units));
    let vessels = match (label, &read.mix) {
        (Some(label), Some(mix)) => {
            vessel_warnings(profile, label, mix, conditions, &lookalikes(mix.water))
        }
        _ => Vec::new(),
    };
    let order = order::done(words, profile, label)?;
    if order.iter().any(|one| one.outcome == word(Outcome::Refused)) {
        worst = Outcome::Refused;
    }
    let mut notes = verdict.notes.clone();
    let chlorine = label.is_some_and(|label| label.chemistry.sanitiser() == Sanitiser::Chlorine);
    if chlorine && matches!(outlet, Some(AtOutlet::Weaker | AtOutlet::TooWeak)) {
        notes.push(soil_words());
    }
    let act = acts(&verdict);
    let mut findings: Vec<StrengthFinding> = verdict.findings.iter().map(finding).collect();
    findings.extend(outlet_said);
    // What is worst in itself says what to do; a part that is not as bad does not hide it.
    let of_part = || {
        let parts = findings.iter().chain(&contact).chain(&order);
        let mut worst = parts.filter(|finding| finding.outcome == word(worst));
        worst.find_map(|finding| finding.act.clone())
    };
    let act = if verdict.outcome == worst { act } else { of_part().or(act) };
    Ok(StrengthReport {
        profile: format!("{}: {}, {}", profile.name, profile.code, profile.edition),
        outcome: word(worst).to_owned(),
        verdict: worst.words().to_owned(),
        act,
        mg_per_l: made.as_ref().map(|made| made.strength.0),
        findings,
        aim,
        mix,
        vessels: vessels.into_iter().map(|warning| warning.say).collect(),
        outlet: outlet.map(|outlet| outlet.words().to_owned()),
        stood: stood(&read, made.as_ref(), bucket.as_ref()),
        least_contact: least,
        contact,
        hypochlorous: hypochlorous(&read),
        before: order::before(profile),
        order,
        after: after_plan(profile, label).words().to_owned(),
        food: profile.holding_told().into_iter().map(LimitReport::from).collect(),
        notes,
        cautions: cautions(&[Hazard::Chemical, Hazard::Food, Hazard::Floor])
            .filter(|caution| caution.goes_with(label.map(|label| label.chemistry)))
            .map(|caution| CautionSaid {
                word: caution.printed_word(label.and_then(|label| label.signal_word.as_deref())),
                what: caution.what.to_owned(),
                avoid: caution.avoid.to_owned(),
            })
            .collect(),
        standing: STANDING.to_owned(),
    })
}

/// What to aim at, and how it is mixed.
fn aimed(
    read: &Read,
    label: &Label,
    conditions: &Conditions,
    units: Units,
) -> (Option<String>, Vec<String>) {
    let aim = aim(&read.profile, label, conditions, read.errors.as_ref(), 0.975);
    let mut ways = Vec::new();
    if let (Some(strength), Some(mix)) = (aim.strength(), &read.mix) {
        let water = mix.water.volume().unwrap_or_default();
        match mix.product.needed(strength, water, mix.fill) {
            Ok(Needed::Mass(mass)) => {
                ways.push(format!("{} made up to {}", print::mass(mass, units), mix.water));
            }
            Ok(Needed::Volume(volume)) => {
                ways.push(format!("{} made up to {}", print::volume(volume, units), mix.water));
            }
            Ok(Needed::Pieces { count, water: made }) => {
                let (count, water) = in_bucket(count, made, water);
                let pieces = if count == 1 { "piece" } else { "pieces" };
                ways.push(format!("{count} {pieces} made up to {}", print::volume(water, units)));
            }
            Err(fault) => ways.push(format!("{}: {}", fault.what, fault.mend)),
        }
        let range = aim.window.map(|window| mix.water_for(window.from, window.to));
        if let (Some(Ok((least, most))), LabelStrength::Range { .. }) =
            (range, label_strength(label))
        {
            ways.push(format!(
                "this dose is in range from {} to {}",
                print::volume(least, units),
                print::volume(most, units)
            ));
        }
    }
    if matches!(label.strength, Some(LabelStrength::One { .. })) {
        ways.push(
            "the label gives one dilution and no range: measure the water better, and do not add more product"
                .to_owned(),
        );
    }
    (Some(aim.words()), ways)
}

/// Whole pieces that fit the bucket; where not even one does, that one and the larger bucket that it needs.
fn in_bucket(count: u32, made: Millilitres, bucket: Millilitres) -> (u32, Millilitres) {
    let each = made.0 / f64::from(count);
    let fits =
        (1..=count.min(1000)).rev().find(|fit| f64::from(*fit) * each <= bucket.0 * (1.0 + 1e-9));
    let fits = fits.unwrap_or(1);
    (fits, Millilitres(f64::from(fits) * each))
}

fn label_strength(label: &Label) -> LabelStrength {
    label.strength.unwrap_or(LabelStrength::Range { from: MgPerLitre(0.0), to: MgPerLitre(0.0) })
}

/// What a bucket that stood says: the strip that was read now, beside what was mixed.
fn stood(read: &Read, made: Option<&Made>, bucket: Option<&StripRead<'_>>) -> Option<String> {
    let stood = read.stood?;
    let chemistry = read.label.as_ref()?.chemistry;
    if chemistry != ouncewise_hygiene::label::Chemistry::Hypochlorite {
        return Some("only for plain hypochlorite is it published what standing takes".to_owned());
    }
    let (Some(made), Some(supports)) = (made, bucket.and_then(|strip| strip.counts(chemistry)))
    else {
        return Some("write down the mix, and read a strip in the bucket now".to_owned());
    };
    let share = |now: MgPerLitre| now.0 / made.strength.0;
    // The highest class of a card has no end: it shows no loss.
    let left = (share(supports.from), supports.to.map_or(1.0, share));
    Some(standing(left, stood.0 / 3600.0, DECAY_PER_DAY).words().to_owned())
}

fn hypochlorous(read: &Read) -> Option<String> {
    let chemistry = read.label.as_ref()?.chemistry;
    let (ph, celsius) = (read.conditions.ph?, read.conditions.temperature?.temperature()?);
    Some(match hocl_fraction(chemistry, ph, celsius) {
        Ok(share) => format!(
            "for explanation, and no part of the verdict: at this pH and temperature {} of the chlorine is hypochlorous acid, the part that works fast",
            percent(share)
        ),
        Err(why) => why.to_string(),
    })
}

fn of_contact(judged: ContactVerdict<'_>) -> StrengthFinding {
    StrengthFinding {
        by: said_by(judged.by).to_owned(),
        outcome: word(judged.outcome).to_owned(),
        say: judged.say,
        act: Some(judged.mend).filter(|act| !act.is_empty()),
        clause: judged.basis.map(|basis| basis.clause.clone()),
        known: judged.basis.map(|basis| basis.status.words().to_owned()),
    }
}

fn finding(of: &Finding<'_>) -> StrengthFinding {
    StrengthFinding {
        by: said_by(of.by).to_owned(),
        outcome: word(of.outcome).to_owned(),
        say: of.say.clone(),
        act: Some(of.mend.clone()).filter(|act| !act.is_empty()),
        clause: of.basis.map(|basis| basis.clause.clone()),
        known: of.basis.map(|basis| basis.status.words().to_owned()),
    }
}

/// What to do about the solution: where several figures are broken, all that mends them, as one alone would not.
fn acts(verdict: &StrengthVerdict<'_>) -> Option<String> {
    let mut acts: Vec<&str> = verdict.act().filter(|act| !act.is_empty()).into_iter().collect();
    let conflict = verdict.findings.iter().any(|finding| finding.about == About::Conflict);
    if verdict.outcome == Outcome::Refused && !conflict {
        for finding in verdict.findings.iter().filter(|one| one.outcome == Outcome::Refused) {
            if !finding.mend.is_empty() && !acts.contains(&finding.mend.as_str()) {
                acts.push(&finding.mend);
            }
        }
    }
    (!acts.is_empty()).then(|| acts.join("; and "))
}

fn said_by(by: By) -> &'static str {
    match by {
        By::Code => "code",
        By::Label => "label",
        By::Strip => "strip",
    }
}

fn word(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Accepted => "accepted",
        Outcome::NotShown => "not-shown",
        Outcome::NotCovered => "not-covered",
        Outcome::Refused => "refused",
    }
}

/// A fault of a mix, at the phrase that it came from.
fn fault(fault: &FieldFault) -> Misphrased {
    let field = match fault.key.as_str() {
        "dose" => "dose",
        "water" => "water",
        "density" => "density",
        "dose_error" => "dose-error",
        "assay_error" => "assay-error",
        "water_error" => "water-error",
        "classes" => "strips",
        _ => "product",
    };
    Misphrased::new(field, format!(": {}", fault.what)).hint(fault.mend.as_str())
}
