//! The strip at the outlet: beside the bucket's strip, or the mix where none was read there, and held to label and code.

use ouncewise_hygiene::label::Label;
use ouncewise_hygiene::strength::{Made, MgPerLitre, Outcome, window};
use ouncewise_hygiene::strip::{AtOutlet, StripRead, at_outlet, beside_bucket};

use super::phrases::Read;
use super::{StrengthFinding, word};

/// What it says; nothing where none is stated, or nothing is known of the bucket.
pub(super) fn says(
    read: &Read,
    label: &Label,
    made: Option<&Made>,
    bucket: Option<&StripRead<'_>>,
    outlet: Option<&StripRead<'_>>,
) -> Option<AtOutlet> {
    read.outlet?;
    let Some(outlet) = outlet else { return Some(AtOutlet::SaysNothing) };
    // What was read in the bucket counts before what the mix ought to make.
    let says = match (bucket, made) {
        (Some(bucket), _) => beside_bucket(bucket, outlet, label.chemistry),
        (None, Some(made)) => at_outlet(made.strength, outlet, label.chemistry),
        (None, None) => AtOutlet::SaysNothing,
    };
    let allowed = window(&read.profile, label, &read.conditions);
    let weak = allowed
        .zip(outlet.counts(label.chemistry))
        .is_some_and(|(allowed, supports)| supports.all_below(allowed.from));
    Some(if says == AtOutlet::Arrived && weak { AtOutlet::TooWeak } else { says })
}

pub(super) fn outcome(says: AtOutlet) -> Outcome {
    match says {
        AtOutlet::Arrived => Outcome::Accepted,
        AtOutlet::TooWeak => Outcome::Refused,
        AtOutlet::Weaker | AtOutlet::Stronger | AtOutlet::SaysNothing => Outcome::NotShown,
    }
}

/// As one of the findings, so that the verdict can be read from them.
pub(super) fn finding(says: AtOutlet, read: Option<MgPerLitre>) -> StrengthFinding {
    let (what, act) = match says {
        AtOutlet::Arrived => ("as strong as the bucket", ""),
        AtOutlet::Weaker => (
            "weaker than the bucket",
            "run on until the strip at the outlet agrees with the bucket, and start the contact time then",
        ),
        AtOutlet::TooWeak => ("weaker than label and code allow", "mix a new bucket"),
        AtOutlet::Stronger => ("stronger than the bucket", "read both again with new strips"),
        AtOutlet::SaysNothing => (
            "a reading that does not count",
            "read the bucket and the outlet with strips made for the product, in date, against their own card",
        ),
    };
    let read = read.map_or_else(String::new, |read| format!(" ({read})"));
    StrengthFinding {
        by: "strip".to_owned(),
        outcome: word(outcome(says)).to_owned(),
        say: format!("at the outlet{read}: {what}"),
        act: Some(act.to_owned()).filter(|act| !act.is_empty()),
        clause: None,
        known: None,
    }
}
