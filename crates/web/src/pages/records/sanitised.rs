//! What the records of a round's sanitising say, in words.

use ouncewise_ledger::{Body, Holds, Stage};

/// In words; nothing for other kinds.
pub fn what(body: &Body) -> Option<String> {
    Some(match body {
        Body::RoundOpened { profile: Some(profile), .. } => {
            format!("round opened, under the profile {profile}")
        }
        Body::RoundClosed { complete, reason } => {
            let how = if *complete { "complete" } else { "incomplete" };
            with(format!("round closed, {how}"), &[("", reason)])
        }
        Body::BoxOpened {
            holds,
            name,
            registration,
            lot,
            expiry,
            active: _,
            contact,
            strength,
            signal_word,
        } => {
            let holds = match holds {
                Holds::Sanitiser => "sanitiser",
                Holds::Strips => "strips",
            };
            with(
                format!("box of {holds} opened: {name}"),
                &[
                    ("registration ", registration),
                    ("lot ", lot),
                    ("good until ", expiry),
                    ("contact time ", contact),
                    ("label strength ", strength),
                    ("signal word ", signal_word),
                ],
            )
        }
        Body::SolutionMixed { product, dose, water, temperature, ph, hardness, from_box: _ } => {
            with(
                format!("solution mixed: {dose} of {product} in {water}"),
                &[("at ", temperature), ("pH ", ph), ("hardness ", hardness)],
            )
        }
        Body::StripRead { reading, place, from_box: _ } => {
            format!("strip at the {place}: {reading}")
        }
        Body::ContactStarted {} => "contact time begun".to_owned(),
        Body::ContactEnded { lasted } => {
            with("contact time ended".to_owned(), &[("after ", lasted)])
        }
        Body::Flushed { stage, amount } => {
            let stage = match stage {
                Stage::Before => "before",
                Stage::After => "after",
            };
            format!("flushed {stage} the sanitiser: {amount}")
        }
        Body::Drained { vented: true } => "drained, with the top open".to_owned(),
        Body::Drained { vented: false } => "drained, with the top shut".to_owned(),
        Body::Purged { reading, amount } => {
            with("sanitiser purged".to_owned(), &[("", amount), ("strip afterwards ", reading)])
        }
        Body::Discarded { amount } => with("first volume thrown away".to_owned(), &[("", amount)]),
        Body::Lubricated { lubricant, statement } => {
            with(format!("lubricated with {lubricant}"), &[("", statement)])
        }
        Body::ProductChecked { temperature, lot, opened } => with(
            "product looked at".to_owned(),
            &[("", temperature), ("lot ", lot), ("opened ", opened)],
        ),
        Body::Verified {} => "looked over by a second person".to_owned(),
        Body::Deviated { happened, done, released } => {
            let released = if *released { "released" } else { "not released" };
            format!("went wrong: {happened}; done: {done}; {released}")
        }
        _ => return None,
    })
}

/// A sentence, and after it what else is known, each after a comma and its own words.
fn with(mut says: String, more: &[(&str, &Option<String>)]) -> String {
    for (word, value) in more {
        if let Some(value) = value {
            says.push_str(", ");
            says.push_str(word);
            says.push_str(value);
        }
    }
    says
}
