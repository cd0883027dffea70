//! What a food code says of rinsing a sanitiser out, and down to which strength.

use ouncewise_hygiene::flush::DRINKING_WATER;
use ouncewise_hygiene::profile::{AfterRule, Profile, Sanitiser, Status};
use ouncewise_hygiene::strength::MgPerLitre;

/// The most chlorine that may stay, and how it is known: the code's own figure, or what drinking water may hold.
pub(super) fn figure(profile: Option<&Profile>) -> (MgPerLitre, Status) {
    profile
        .and_then(|profile| profile.purge.as_ref())
        .map_or((DRINKING_WATER, Status::Read2), |purge| (purge.mg_per_l, purge.basis.status))
}

/// What a sanitiser is called, where somebody said which it is: `chlorine 100 ppm`.
pub(super) fn named(text: &str) -> (Option<Sanitiser>, &str) {
    let found = Sanitiser::WORDS
        .iter()
        .find_map(|(word, kind)| Some((Some(*kind), text.strip_prefix(word)?.trim())));
    found.unwrap_or((None, text))
}

/// What a crew does by the code that was named: where that forbids running water, what it does instead comes first. Where none was
/// named, nobody runs water without asking which holds.
pub(super) fn minding(profile: Option<&Profile>, crew: &str) -> String {
    match profile {
        None => format!("only where your food code allows a rinse: {crew}"),
        Some(Profile { name, after, .. }) if after.rule == AfterRule::DrainNoRinse => format!(
            "run no water through it, {name} forbids that after sanitising: drain it where it may be opened, and throw the first line volume of product away; where a rinse is allowed: {crew}"
        ),
        Some(_) => crew.to_owned(),
    }
}

/// What to mind of a rinse after sanitising, by the code that was named or by none.
pub(super) fn notes(profile: Option<&Profile>, kind: Option<Sanitiser>) -> Vec<String> {
    let mut notes = Vec::new();
    notes.push(match profile {
        None => "a food code may forbid a rinse after sanitising: name yours, or ask your lead, before water goes through".to_owned(),
        Some(profile) => {
            let name = &profile.name;
            let basis = &profile.after.basis;
            let basis = format!("{}; {}", basis.clause, basis.status.words());
            match profile.after.rule {
                AfterRule::DrainNoRinse => format!(
                    "{name} forbids a rinse after sanitising ({basis}): let the line drain, and run no water through it; where the label asks for a rinse, ask the health department which holds"
                ),
                AfterRule::Drain => format!(
                    "{name} asks that it drains, and says nothing of a rinse ({basis}): the label decides"
                ),
                AfterRule::Rinse => format!(
                    "{name} asks for a rinse with drinking water after sanitising ({basis})"
                ),
            }
        }
    });
    if kind.is_none() {
        notes.push("nobody said which sanitiser it is: what drinking water may hold is known for chlorine alone; write `chlorine 100 ppm` or `quat 200 ppm`".to_owned());
    }
    notes
}
