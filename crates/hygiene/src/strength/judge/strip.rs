//! Holding a solution to its strip: beside a mix that was written down, or alone.

use super::{About, By, Finding, Findings, Outcome, Question, code, held};
use crate::label::Label;
use crate::profile::at_least;
use crate::strength::aim::{Window, window};
use crate::strength::{Made, MgPerLitre};
use crate::strip::{InDate, RightStrip, StripRead, Supports};

/// What the strip supports, if it counts; otherwise why not, as a finding.
fn counting(
    question: &Question<'_>,
    label: &Label,
    findings: &mut Findings<'_>,
) -> Option<(StripReadWords, Supports)> {
    let read = question.strip?;
    let mut not =
        |say: &str, mend: &str| findings.add(By::Strip, About::Strip, Outcome::NotShown, say, mend);
    match read.kind.right_for(label.chemistry) {
        RightStrip::Yes => {}
        RightStrip::No => {
            not(
                "this strip is made for another sanitiser, so its reading says nothing",
                "read a strip that is made for this product",
            );
            return None;
        }
        RightStrip::NotStated => {
            not(
                "strips for one quat and for several differ, and the label does not say which it is",
                "ask the maker which strip reads this product, and enter it",
            );
            return None;
        }
    }
    if read.in_date == InDate::No {
        not(
            "the strips are past their date, so the reading does not count",
            "read a strip that is in date",
        );
        return None;
    }
    let Some(supports) = read.counts(label.chemistry) else {
        not(
            "the reading is not a number of the strip's card",
            "enter the number on the card that the strip matched",
        );
        return None;
    };
    if read.in_date == InDate::NotStated {
        findings.note("the expiry of the strips is not entered");
    }
    Some((StripReadWords::of(&read, supports), supports))
}

/// A reading in words: `a strip that reads 100 mg/L supports about 71 to 141 mg/L`.
struct StripReadWords(String);

impl StripReadWords {
    fn of(read: &StripRead<'_>, supports: Supports) -> Self {
        Self(format!("a strip that reads {} supports {supports}", read.class))
    }
}

/// Whether all that a strip supports is outside what label and code allow.
fn outside(supports: Supports, window: Option<Window>) -> bool {
    window.is_some_and(|window| {
        window.from <= window.to
            && (supports.all_below(window.from) || supports.all_over(window.to))
    })
}

/// Beside a mix that was written down.
pub(super) fn beside_mix(
    question: &Question<'_>,
    label: &Label,
    made: &Made,
    findings: &mut Findings<'_>,
) {
    if question.strip.is_none() {
        match &question.profile.test {
            Some(basis) => {
                let say = format!(
                    "{} asks that the strength be tested, and no strip was read",
                    basis.clause
                );
                findings.add(
                    By::Strip,
                    About::Strip,
                    Outcome::NotShown,
                    say,
                    "read a strip and enter its class",
                );
            }
            None => findings
                .note("no strip was read; the strength stands on the mix as it was written down"),
        }
        return;
    }
    let Some((words, supports)) = counting(question, label, findings) else { return };
    let near = || {
        made.doubt.is_some_and(|doubt| {
            let (low, high) = doubt.interval(0.95);
            !supports.all_over(high) && !supports.all_below(low)
        })
    };
    let window = window(question.profile, label, &question.conditions);
    let mend = "read a new strip; if it says the same, mix a new bucket and see which gallon and how many pieces";
    let (outcome, say, mend) = if supports.holds(made.strength) {
        // Where the mix itself is outside, label and code say so; the strip only agrees.
        (Outcome::Accepted, format!("{}, which agrees with the mix", words.0), "")
    } else if outside(supports, window) {
        (Outcome::Refused, format!("{}, which is outside what label and code allow", words.0), mend)
    } else if near() {
        (Outcome::Accepted, format!("{}, which agrees with the mix within its doubt", words.0), "")
    } else {
        (
            Outcome::NotShown,
            format!("{}, and the mix as written makes {}", words.0, made.strength),
            mend,
        )
    };
    findings.add(By::Strip, About::Strip, outcome, say, mend);
}

/// With no mix written down: only where all that the strip supports is within label and code.
pub(super) fn alone<'a>(question: &Question<'a>, label: &Label, findings: &mut Findings<'a>) {
    let mend = "write down the dose and the water, and read a strip";
    if question.strip.is_none() {
        findings.add(
            By::Strip,
            About::Strength,
            Outcome::NotShown,
            "neither a mix nor a strip is known",
            mend,
        );
        return;
    }
    let Some((words, supports)) = counting(question, label, findings) else { return };
    let allowed = window(question.profile, label, &question.conditions);
    let inside = allowed.is_some_and(|window| {
        at_least(supports.from.0, window.from.0)
            && supports.to.is_some_and(|to| at_least(window.to.0, to.0))
    });
    if inside {
        // Its weak end falls under the row that asks the most warmth.
        held(question.profile, label, supports.from, &question.conditions, findings);
        findings.add(
            By::Strip,
            About::Strip,
            Outcome::Accepted,
            format!("{}, all of it within label and code", words.0),
            "",
        );
        return;
    }
    // Whatever the strength is, its water and its pH are known.
    let least = allowed.map_or(supports.from, |window| window.from);
    let mut held_at_least = Findings::default();
    held(question.profile, label, least, &question.conditions, &mut held_at_least);
    let water = |finding: &Finding<'_>| {
        finding.about == About::Hardness
            || (finding.about == About::Ph && finding.outcome == Outcome::Refused)
    };
    findings.list.extend(held_at_least.list.into_iter().filter(water));
    code::conflicts(question.profile, label, &question.conditions, findings);
    if outside(supports, allowed) {
        let say = format!("{}, which is outside what label and code allow", words.0);
        findings.add(By::Strip, About::Strip, Outcome::Refused, say, "mix a new bucket");
    } else {
        let asked = allowed.map_or((MgPerLitre(f64::NAN), MgPerLitre(f64::NAN)), |window| {
            (window.from, window.to)
        });
        let say = match allowed {
            Some(_) => format!(
                "{}, and label and code ask {} to {}: the strip alone cannot show it",
                words.0, asked.0, asked.1
            ),
            None => format!("{}, and label and code leave no strength here", words.0),
        };
        findings.add(By::Strip, About::Strip, Outcome::NotShown, say, mend);
    }
}
