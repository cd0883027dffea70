//! Which food code a procedure is held to, as it was chosen and as it is said.

use ouncewise_estate::Estate;
use ouncewise_hygiene::profile::{AfterRule, Profile};
use ouncewise_procedure::Terms;
use schemars::JsonSchema;
use serde::Serialize;

use crate::Failure;
use crate::phrase::Misphrased;

/// What a procedure was held to beside the model of its family.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct HeldTo {
    /// The food code with its edition; none, where nobody chose one.
    pub code: Option<String>,
    /// What follows sanitising: `drain-no-rinse`, `drain` or `rinse`.
    pub after: String,
    /// Whether water must run between washing and sanitising.
    pub rinse_between: bool,
    /// Whether the contact time counts only from a strip that was right at the outlet.
    pub outlet: bool,
    /// The same in a sentence.
    pub says: String,
}

impl HeldTo {
    /// Of the terms of a check.
    #[must_use]
    pub fn of(terms: &Terms) -> Self {
        let (after, what) = match terms.after {
            AfterRule::DrainNoRinse => ("drain-no-rinse", "sanitiser is drained and not rinsed"),
            AfterRule::Drain => ("drain", "sanitiser is drained"),
            AfterRule::Rinse => ("rinse", "sanitiser is rinsed out"),
        };
        let between = if terms.rinse_between {
            "water runs between detergent and sanitiser"
        } else {
            "no water is asked between detergent and sanitiser"
        };
        let outlet = if terms.outlet {
            " from a right strip at the outlet on"
        } else {
            ", and no strip is asked at the outlet"
        };
        let by = terms.code.as_deref().map_or_else(
            || "No food code was chosen, so the usual was taken".to_owned(),
            |code| format!("Held to {code}"),
        );
        let says = format!("{by}: {what}, {between}, contact as the label says{outlet}.");
        Self {
            code: terms.code.clone(),
            after: after.to_owned(),
            rinse_between: terms.rinse_between,
            outlet: terms.outlet,
            says,
        }
    }
}

/// How much of a name that is none is said again.
const MOST_OF_A_NAME: usize = 64;

/// The food code that was named: one that ships, by its key, or the text of a profile file.
pub(crate) fn food_code(named: &str) -> Result<Profile, Misphrased> {
    let text = named.trim_start_matches('\u{feff}');
    let key = text.trim();
    if let Some(profile) = Profile::shipped(key) {
        return Ok(profile);
    }
    if !text.contains('=') {
        let known: Vec<&str> = Profile::all_shipped().iter().map(|(id, _)| *id).collect();
        let what = match key.lines().next() {
            None => ": none is named".to_owned(),
            Some(line) => {
                let name: String = line.chars().take(MOST_OF_A_NAME).collect();
                format!(" `{name}` does not ship")
            }
        };
        let hint = format!("name one of {}, or give a profile file of your own", known.join(", "));
        return Err(Misphrased::new("profile", what).hint(hint));
    }
    Profile::read(text).map_err(|faults| {
        let faults: Vec<String> = faults.iter().map(ToString::to_string).collect();
        Misphrased::new("profile", format!(" has faults: {}", faults.join("; ")))
            .hint("mend them; `ouncewise check` shows each at its place")
            .of_data()
    })
}

/// The terms of the food code that was named. Without any, the usual.
///
/// # Errors
/// If there is no such profile, or it has faults.
pub fn terms(named: Option<&str>) -> Result<Terms, Failure> {
    let profile = named.map(food_code).transpose().map_err(|wrong| wrong.failure("--"))?;
    Ok(profile.map_or_else(Terms::default, |profile| Terms::of(&profile)))
}

/// The terms of the food code that is in force at a site: its own, else its group's; without a site, the group's. The usual,
/// where none is in force.
#[must_use]
pub fn terms_at(estate: &Estate, site: Option<&str>) -> Terms {
    let profile = match site {
        Some(site) => estate.profile_in_force(site),
        None => estate.group.jurisdiction.as_ref().and_then(|key| estate.profile(key.as_str())),
    };
    profile.map_or_else(Terms::default, |profile| Terms::of(&profile))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_food_code_that_ships_says_what_follows_sanitising() {
        // The rows `[after]` of content/profiles.
        for (key, after) in [
            ("model-code", "drain-no-rinse"),
            ("california", "drain"),
            ("new-york", "drain"),
            ("uk-rinse", "rinse"),
        ] {
            let held = HeldTo::of(&terms(Some(key)).unwrap());
            assert_eq!(held.after, after, "{key}");
            assert!(held.says.starts_with(&format!("Held to {}", held.code.unwrap())), "{key}");
        }
        let usual = HeldTo::of(&terms(None).unwrap());
        assert!(usual.outlet);
        assert!(usual.code.is_none() && usual.says.starts_with("No food code was chosen"));
    }

    #[test]
    fn a_profile_of_ones_own_is_taken_and_one_that_is_none_is_refused() {
        let (_, text) = Profile::all_shipped()[0];
        let own = text.replacen("id = \"", "id = \"our-", 1);
        assert!(terms(Some(&own)).unwrap().code.is_some());
        // Which record a profile must have is what it asks of the strip at the outlet.
        let without = own.replacen("kind = \"strip-outlet\"", "kind = \"water-hardness\"", 1);
        assert!(terms(Some(&own)).unwrap().outlet && !terms(Some(&without)).unwrap().outlet);
        assert!(
            terms(Some("nowhere")).is_err_and(|e| e.hint.is_some_and(|h| h.contains("uk-rinse")))
        );
        assert!(terms(Some("id = 3")).is_err());
    }

    #[test]
    fn of_a_food_code_that_is_none_no_more_is_said_again_than_a_name() {
        let says = |named: &str| food_code(named).unwrap_err().to_string();
        assert!(says("\u{feff} ").starts_with("none is named"));
        assert!(says(" nowhere\nand more").starts_with("`nowhere` does not ship"));
        assert!(says(&"x".repeat(5000)).len() < 250);
        // What a spreadsheet or an editor puts before a text is no part of it.
        let (key, text) = Profile::all_shipped()[0];
        assert!(food_code(&format!(" {key}\n")).is_ok());
        assert!(food_code(&format!("\u{feff}{text}")).is_ok());
    }

    #[test]
    fn without_a_site_the_groups_food_code_holds() {
        let mut estate = Estate::default();
        assert_eq!(terms_at(&estate, None), Terms::default());
        estate.group.jurisdiction = Some("uk-rinse".parse().unwrap());
        assert_eq!(terms_at(&estate, None), terms(Some("uk-rinse")).unwrap());
        assert_eq!(terms_at(&estate, Some("nowhere")), Terms::default());
    }
}
