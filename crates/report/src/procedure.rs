//! What is said of a written procedure: whether its text holds, how a break comes about, and what follows from a skipped step.

use ouncewise_procedure::{
    Because, Consequence, Family, Finding, Harm, Leaving, May, Mistake, Outcome, Procedure, Report,
    Rule, Terms, Verdict, check, read, skips,
};
use schemars::JsonSchema;
use serde::Serialize;

use crate::HeldTo;

/// The most steps of a story that are told: its end is where it breaks.
const STORY: usize = 12;

macro_rules! shipped {
    ($($family:literal: $($name:literal),*;)*) => {
        /// The procedures that ship: family, its text, and each procedure's name and text.
        const SHIPPED: &[(&str, &str, &[(&str, &str)])] = &[$((
            $family,
            include_str!(concat!("../../../content/procedures/", $family, "/family.toml")),
            &[$((
                $name,
                include_str!(concat!("../../../content/procedures/", $family, "/", $name, ".toml")),
            )),*],
        )),*];
    };
}

shipped! {
    "roller-pump": "weekly-clean", "weekly-calibration", "renew-parts", "first-start-up", "take-out", "change-flavour";
    "screw-trim": "weekly-clean", "weekly-calibration", "renew-parts", "first-start-up", "take-out", "change-flavour";
}

/// The text of a family's model that ships, if it does.
#[must_use]
pub fn shipped_family(key: &str) -> Option<&'static str> {
    SHIPPED.iter().find(|(family, ..)| *family == key).map(|(_, text, _)| *text)
}

/// Every procedure that ships: its family, its name, its text.
pub fn shipped_procedures() -> impl Iterator<Item = (&'static str, &'static str, &'static str)> {
    SHIPPED
        .iter()
        .flat_map(|(family, _, all)| all.iter().map(move |(name, text)| (*family, *name, *text)))
}

/// A procedure that ships, read, with its family; nothing if there is none of that name.
#[must_use]
pub fn shipped_procedure(family: &str, name: &str) -> Option<(Family, Procedure, &'static str)> {
    let (_, _, text) = shipped_procedures().find(|(f, n, _)| *f == family && *n == name)?;
    let model = read::family("family.toml", shipped_family(family)?).0?;
    let procedure = read::procedure(&format!("{name}.toml"), text, &model).0?;
    Some((model, procedure, text))
}

/// What the check says of one procedure's text. Of a machine it says nothing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ProcedureReport {
    /// Name of the file.
    pub file: String,
    /// `checked`, `cannot-be-shown-clean`, `broken`, `not-covered`, or `unreadable`.
    pub verdict: String,
    /// The same in a sentence.
    pub says: String,
    /// How many states were looked at, with one line and with two.
    pub states: [usize; 2],
    /// What breaks a rule, and how it comes about.
    pub findings: Vec<FindingReport>,
}

/// A rule that is broken, and the shortest way to it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FindingReport {
    /// Code of the rule; `docs/procedures/rules.md` explains each.
    pub code: String,
    /// Number of the step on the card; none where it is told of the end or of the whole.
    pub step: Option<usize>,
    /// Line in the file, from 1.
    pub line: usize,
    /// What is wrong.
    pub message: String,
    /// How to mend it.
    pub hint: String,
    /// The shortest way to it, in the steps' own words; none where it is plain from the text.
    pub story: Option<String>,
}

impl ProcedureReport {
    /// Of a text that was read and checked.
    #[must_use]
    pub fn of(file: &str, report: &Report, language: &str) -> Self {
        Self {
            file: file.to_owned(),
            verdict: verdict_word(report.verdict).to_owned(),
            says: verdict_says(report),
            states: report.states,
            findings: report.findings.iter().map(|f| finding(f, language)).collect(),
        }
    }

    /// Of a text that could not be read, so that nothing of it was checked.
    #[must_use]
    pub fn unread(file: &str) -> Self {
        Self {
            file: file.to_owned(),
            verdict: "unreadable".to_owned(),
            says: "Not checked: first mend what cannot be read.".to_owned(),
            states: [0, 0],
            findings: Vec::new(),
        }
    }
}

fn finding(finding: &Finding, language: &str) -> FindingReport {
    FindingReport {
        code: finding.rule.code().to_owned(),
        step: finding.number,
        line: finding.place.line,
        message: finding.message.clone(),
        hint: finding.hint.clone(),
        story: finding.story.as_ref().map(|story| story.text(language, STORY)),
    }
}

fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Checked => "checked",
        Verdict::CannotBeShownClean => "cannot-be-shown-clean",
        Verdict::Broken => "broken",
        Verdict::NotCovered => "not-covered",
    }
}

/// A verdict in a sentence, which claims no more than was looked at.
#[must_use]
pub fn verdict_says(report: &Report) -> String {
    match report.verdict {
        Verdict::Checked => "Checked: the text holds against the model of its family. It says nothing of a machine, and not that anybody followed it.".to_owned(),
        Verdict::CannotBeShownClean => "The text holds, but it cannot be shown that nothing of another allergen is left. It says nothing of a machine.".to_owned(),
        Verdict::Broken => "The text does not hold.".to_owned(),
        Verdict::NotCovered => {
            let what = report.findings.iter().find(|f| f.rule == Rule::NotCovered);
            let what = what.map_or("not everything was looked at", |f| f.message.as_str());
            format!("Not all was covered: {what}. Nothing breaks a rule as far as was looked.")
        }
    }
}

/// `skip`: what follows when a step is left out, and where the work may be left.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SkipReport {
    /// What the procedure is called.
    pub title: String,
    /// What the check says of its text.
    pub verdict: String,
    /// The same in a sentence: the analysis says most of a text that holds.
    pub says: String,
    /// What it was held to.
    pub held_to: HeldTo,
    /// Numbers of the steps that must not be skipped.
    pub must_not_skip: Vec<usize>,
    /// Every mistake at every step, worst first.
    pub mistakes: Vec<MistakeReport>,
    /// What holds when somebody is called away, step by step.
    pub leaving: Vec<LeavingReport>,
}

/// What follows from one mistake at one step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MistakeReport {
    /// Number of the step on the card.
    pub step: usize,
    /// `left-out`, `twice` or `swapped` with the next.
    pub mistake: String,
    /// `unseen`, `caught` at a later step, or `harmless` as far as the model knows.
    pub outcome: String,
    /// Who is the worse for it, where nobody sees it: `guest`, `crew`, `portion`, `machine` or `work`.
    pub harm: Option<String>,
    /// Whether the step must not be skipped.
    pub must_not_skip: bool,
    /// Code of the rule that it breaks.
    pub code: Option<String>,
    /// The step at which harm is done, or at which it is seen; none: at the end.
    pub shows_at: Option<usize>,
    /// What follows, in one sentence.
    pub says: String,
    /// How it comes to that.
    pub story: Option<String>,
    /// What would close the hole.
    pub proposal: Option<String>,
    /// Whether it does so in the model, where it was tried.
    pub closes: Option<bool>,
}

/// Whether the work may be left after a step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LeavingReport {
    /// Number of the step on the card.
    pub step: usize,
    /// `leave`, `leave-for` a time, or `finish-first`.
    pub may: String,
    /// For how many seconds at most.
    pub seconds: Option<u32>,
    /// Why not, or what to do before.
    pub because: Vec<String>,
    /// The next step after which it may be left, where it may not now.
    pub until: Option<usize>,
    /// The same in one sentence.
    pub says: String,
}

/// What follows from each mistake in a procedure, in the words of a language.
#[must_use]
pub fn skip(family: &Family, procedure: &Procedure, terms: &Terms, language: &str) -> SkipReport {
    let checked = check(family, procedure, terms);
    let found = skips(family, procedure, terms);
    SkipReport {
        title: procedure.title.of(language).to_owned(),
        verdict: verdict_word(checked.verdict).to_owned(),
        says: verdict_says(&checked),
        held_to: HeldTo::of(terms),
        must_not_skip: found.must_not_skip(),
        mistakes: found.consequences.iter().map(|c| mistake(c, language)).collect(),
        leaving: found.leaving.iter().map(leaving).collect(),
    }
}

/// Who is the worse for it, in a word.
#[must_use]
pub fn harm_word(harm: Harm) -> &'static str {
    match harm {
        Harm::Guest => "guest",
        Harm::Crew => "crew",
        Harm::Portion => "portion",
        Harm::Machine => "machine",
        Harm::Work => "work",
    }
}

fn mistake(found: &Consequence, language: &str) -> MistakeReport {
    MistakeReport {
        step: found.number,
        mistake: match found.mistake {
            Mistake::LeftOut => "left-out",
            Mistake::Twice => "twice",
            Mistake::Swapped => "swapped",
        }
        .to_owned(),
        outcome: match found.outcome {
            Outcome::Unseen => "unseen",
            Outcome::Caught => "caught",
            Outcome::Harmless => "harmless",
        }
        .to_owned(),
        harm: found.harm.map(|harm| harm_word(harm).to_owned()),
        must_not_skip: found.is_must_not_skip(),
        code: found.rule.map(|rule| rule.code().to_owned()),
        shows_at: found.shows_at,
        says: found.text(language),
        story: found.story.as_ref().map(|story| story.text(language, STORY)),
        proposal: proposed(found),
        closes: found.proposal.as_ref().map(|proposal| proposal.closes),
    }
}

/// What would close the hole that a left-out step leaves, or that nothing was found.
fn proposed(found: &Consequence) -> Option<String> {
    let Some(proposal) = &found.proposal else {
        let open = found.mistake == Mistake::LeftOut && found.outcome == Outcome::Unseen;
        return open.then(|| "no look or ask was found that closes this".to_owned());
    };
    let tried = if proposal.closes { "it closes it" } else { "it does not close it alone" };
    let place = if proposal.after { "after" } else { "before" };
    Some(format!(
        "a step that begins with `{}`, {place} step {} (tried in the model: {tried})",
        proposal.verb, proposal.step
    ))
}

fn leaving(one: &Leaving) -> LeavingReport {
    let because: Vec<&str> = one
        .because
        .iter()
        .map(|because| match because {
            Because::Solution => "solution stands in a line",
            Because::Open => "a part is off, or a cover is open",
            Because::Untagged => "a withheld line has no tag: hang one first",
        })
        .collect();
    let (may, seconds, mut says) = match one.may {
        May::Leave => ("leave", None, "safe to leave".to_owned()),
        May::LeaveFor(time) => ("leave-for", Some(time.0), format!("at most {time}")),
        May::FinishFirst => ("finish-first", None, "finish first".to_owned()),
    };
    if let Some(until) = one.until {
        says.push_str(&format!(", then go on to step {until}"));
    }
    if !because.is_empty() {
        says.push_str(&format!(": {}", because.join("; ")));
    }
    LeavingReport {
        step: one.number,
        may: may.to_owned(),
        seconds,
        because: because.into_iter().map(str::to_owned).collect(),
        until: one.until,
        says,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_ships_can_be_read_and_has_steps_that_must_not_be_skipped() {
        // What could hurt a guest or the crew unseen must not be skipped.
        let (family, clean, _) = shipped_procedure("screw-trim", "weekly-clean").unwrap();
        let report = skip(&family, &clean, &Terms::default(), "en");
        assert_eq!(report.verdict, "checked");
        assert!(!report.must_not_skip.is_empty());
        let first = &report.mistakes[0];
        assert_eq!((first.outcome.as_str(), first.harm.as_deref()), ("unseen", Some("guest")));
        assert!(report.leaving.iter().any(|one| one.may != "leave" && !one.because.is_empty()));
        for (family, name, _) in shipped_procedures() {
            assert!(shipped_procedure(family, name).is_some(), "{family}/{name}");
        }
        assert!(shipped_procedure("screw-trim", "nothing").is_none());
        // Each hole that a left-out step leaves has a word on what would close it.
        let holes =
            report.mistakes.iter().filter(|m| m.mistake == "left-out" && m.outcome == "unseen");
        for hole in holes {
            let says = hole.proposal.as_deref().unwrap();
            assert!(says.starts_with("a step that begins with") || hole.closes.is_none(), "{says}");
        }
    }
}
