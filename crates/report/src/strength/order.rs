//! The order of a clean: what comes before sanitising and after it, and what was done out of order.

use ouncewise_hygiene::contact::order_faults;
use ouncewise_hygiene::label::Label;
use ouncewise_hygiene::profile::Profile;
use ouncewise_hygiene::strength::Outcome;

use super::phrases::{did, each};
use super::{StrengthFinding, StrengthWords, word};
use crate::phrase::Misphrased;

/// What is done before sanitising, whatever was mixed.
pub(super) fn before(profile: &Profile) -> String {
    let rinse = profile.rinse_between.as_ref().map_or_else(String::new, |between| {
        let unless =
            if between.unless_same_agent { ", unless one agent washes and sanitises" } else { "" };
        let basis = &between.basis;
        format!(
            ", rinse with water in between{unless} ({}; {})",
            basis.clause,
            basis.status.words()
        )
    });
    format!(
        "wash first: what is not clean cannot be sanitised{rinse}. Sanitise last: what is opened or handled after it is sanitised again"
    )
}

/// What was done in another order than code and label ask; nothing where it was not said what was done.
pub(super) fn done(
    words: &StrengthWords,
    profile: &Profile,
    label: Option<&Label>,
) -> Result<Vec<StrengthFinding>, Misphrased> {
    let Some(all) = each(words.did.as_ref(), did)? else { return Ok(Vec::new()) };
    let finding = |outcome, say: String, act: Option<String>| StrengthFinding {
        by: "order".to_owned(),
        outcome: word(outcome).to_owned(),
        say,
        act,
        clause: None,
        known: None,
    };
    let faults = order_faults(&all, profile, label);
    if faults.is_empty() {
        let say = "washed, sanitised and left alone in the order that code and label ask";
        return Ok(vec![finding(Outcome::Accepted, say.to_owned(), None)]);
    }
    let told = faults.into_iter().map(|fault| {
        let (say, act) = fault.fault.words().split_once(": ").unwrap_or((fault.fault.words(), ""));
        let say = format!("step {}: {say}", fault.at + 1);
        finding(Outcome::Refused, say, Some(act.to_owned()).filter(|act| !act.is_empty()))
    });
    Ok(told.collect())
}
