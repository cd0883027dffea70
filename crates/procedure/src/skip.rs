//! What follows when a hurried person leaves a step out, does it twice, or does two in the wrong order; and when somebody is
//! called away after it.

use std::collections::BTreeSet;

use ouncewise_estate::Place;
use serde::Serialize;

use crate::family::Family;
use crate::leave::{self, Leaving};
use crate::model::explore::{Broken, Explored, again, explore};
use crate::model::program::{Program, Spot};
use crate::procedure::Procedure;
use crate::rule::{Harm, Rule};
use crate::story::{self, Story};
use crate::terms::Terms;
use crate::words::Words;

/// What a hurried person does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mistake {
    /// Leaves the step out, and goes on as if its good answer had been given.
    LeftOut,
    /// Does it twice.
    Twice,
    /// Does the next step first.
    Swapped,
}

/// How it comes out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Nobody sees it, and it has a consequence.
    Unseen,
    /// A later step cannot be done: it is seen there.
    Caught,
    /// Nothing follows that the model knows of.
    Harmless,
}

/// What would close a hole.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Proposal {
    /// `look` where it can be seen on a part, else `ask`.
    pub verb: &'static str,
    /// Beside which step it would stand.
    pub step: usize,
    /// Whether it would stand after that step, which is the last, and not before it.
    pub after: bool,
    /// Tried in the model: with it, no way on which the step was left out does harm unseen.
    pub closes: bool,
}

/// What follows from one mistake at one step.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Consequence {
    /// The mistake.
    pub mistake: Mistake,
    /// The step's number on the card.
    pub number: usize,
    /// What the step says.
    pub say: Words,
    /// Where it was written.
    pub place: Place,
    /// How it comes out.
    pub outcome: Outcome,
    /// The rule that is broken by it, the worst of those that nobody sees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rule: Option<Rule>,
    /// Who is the worse for it, where nobody sees it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub harm: Option<Harm>,
    /// At which step the harm is done, or at which it is seen; none: at the end.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shows_at: Option<usize>,
    /// How it comes to that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub story: Option<Story>,
    /// What would close the hole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub proposal: Option<Proposal>,
}

impl Consequence {
    /// Whether the step must not be skipped: left out, it reaches a guest or the crew unseen.
    #[must_use]
    pub fn is_must_not_skip(&self) -> bool {
        self.mistake == Mistake::LeftOut
            && self.outcome == Outcome::Unseen
            && matches!(self.harm, Some(Harm::Guest | Harm::Crew))
    }

    /// In one sentence, in the words of a language.
    #[must_use]
    pub fn text(&self, language: &str) -> String {
        let what = match self.mistake {
            Mistake::LeftOut => "skipped",
            Mistake::Twice => "done twice",
            Mistake::Swapped => "done after the next",
        };
        let head = format!("Step {} {what} ({})", self.number, self.say.of(language));
        let at = |number: Option<usize>| {
            number.map_or("at the end".to_owned(), |number| format!("at step {number}"))
        };
        match (self.outcome, self.rule) {
            (Outcome::Unseen, Some(rule)) => {
                format!("{head} → {}: {}, and nobody sees it", at(self.shows_at), rule.title())
            }
            (Outcome::Caught, _) => format!("{head} → {} it cannot go on", at(self.shows_at)),
            _ => format!("{head} → nothing follows that the model knows of"),
        }
    }
}

/// What follows from every mistake, worst first, and where the work may be left.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Skips {
    /// Every mistake at every step, worst first.
    pub consequences: Vec<Consequence>,
    /// What holds when somebody is called away after a step, step by step.
    pub leaving: Vec<Leaving>,
}

impl Skips {
    /// The numbers of the steps that must not be skipped, in order.
    #[must_use]
    pub fn must_not_skip(&self) -> Vec<usize> {
        let mut numbers: Vec<usize> =
            self.consequences.iter().filter(|c| c.is_must_not_skip()).map(|c| c.number).collect();
        numbers.sort_unstable();
        numbers
    }
}

/// Looks at every mistake at every step, and at being called away after it. It says most of a procedure that is checked.
#[must_use]
pub fn skips(family: &Family, procedure: &Procedure, terms: &Terms) -> Skips {
    let right = Right::of(Program::new(family, procedure, terms), terms.most);
    let mut consequences = Vec::new();
    for spot in right.program.spots() {
        for mistake in [Mistake::LeftOut, Mistake::Twice, Mistake::Swapped] {
            if let Some(wrong) = right.program.with(spot, mistake) {
                consequences.push(consequence(&right, &wrong, spot, mistake));
            }
        }
    }
    consequences.sort_by_key(|c| (c.outcome, c.harm, c.mistake, c.number));
    Skips { consequences, leaving: leave::leaving(&right.program, &right.one) }
}

/// The procedure without any mistake, looked at with one line and with two.
struct Right<'a> {
    program: Program<'a>,
    one: Explored<1>,
    two: Explored<2>,
    /// What is broken in it: no consequence of a mistake.
    known: BTreeSet<(Rule, Option<Spot>)>,
    most: usize,
}

impl<'a> Right<'a> {
    fn of(program: Program<'a>, most: usize) -> Self {
        let one = explore::<1>(&program, most);
        let two = explore::<2>(&program.in_turn(), most);
        let broken = one.broken.iter().chain(&two.broken);
        let known = broken.map(|broken| (broken.rule, broken.spot)).collect();
        Self { program, one, two, known, most }
    }

    /// What one line breaks of a program with a mistake, and where it may carry over, what two lines break beside that: all that
    /// is not so without it.
    fn fresh(&self, wrong: &Program<'_>, changed: &[Spot], carries: bool) -> Vec<(Broken, bool)> {
        let one = again(&self.one, wrong, changed, self.most);
        let mut two = if carries {
            again(&self.two, &wrong.in_turn(), changed, self.most)
        } else {
            Vec::new()
        };
        two.retain(|broken| !broken.is_among(&one));
        let one = one.into_iter().map(|broken| (broken, false));
        let all = one.chain(two.into_iter().map(|broken| (broken, true)));
        all.filter(|(broken, _)| !self.known.contains(&(broken.rule, broken.spot))).collect()
    }
}

/// The steps that a mistake changes.
fn changed(spot: Spot, mistake: Mistake) -> Vec<Spot> {
    let next = (spot.0, spot.1 + 1);
    if mistake == Mistake::Swapped { vec![spot, next] } else { vec![spot] }
}

fn consequence(
    right: &Right<'_>,
    wrong: &Program<'_>,
    spot: Spot,
    mistake: Mistake,
) -> Consequence {
    let program = &right.program;
    let step = program.at(spot).step;
    let fresh = right.fresh(wrong, &changed(spot, mistake), true);
    let worst = fresh.iter().min_by_key(|(b, _)| (b.rule.is_noticed(), b.rule.harm(), b.way.len()));
    let mut consequence = Consequence {
        mistake,
        number: story::number(program, spot),
        say: step.say.clone(),
        place: step.at.0.clone(),
        outcome: Outcome::Harmless,
        rule: None,
        harm: None,
        shows_at: None,
        story: None,
        proposal: None,
    };
    let Some((worst, two)) = worst else { return consequence };
    let unseen = !worst.rule.is_noticed();
    consequence.outcome = if unseen { Outcome::Unseen } else { Outcome::Caught };
    consequence.rule = Some(worst.rule);
    consequence.harm = unseen.then(|| worst.rule.harm());
    consequence.shows_at = worst.spot.map(|spot| story::number(program, spot));
    consequence.story = Some(story::told(wrong, &worst.way, *two));
    if unseen && mistake == Mistake::LeftOut {
        let last = worst.way.last().map(|taken| taken.turn.spot);
        consequence.proposal =
            worst.spot.or(last).and_then(|before| propose::proposal(right, spot, before, &fresh));
    }
    consequence
}

impl<'a> Program<'a> {
    /// The same procedure with one mistake in it; none, where that makes no sense.
    pub(crate) fn with(&self, spot: Spot, mistake: Mistake) -> Option<Program<'a>> {
        let mut wrong = self.clone();
        let steps = &mut wrong.stages[usize::from(spot.0)].steps;
        let at = usize::from(spot.1);
        match mistake {
            Mistake::LeftOut => {
                let placed = &mut steps[at];
                placed.acts.clear();
                if let Some((_, goto)) = placed.answers.first() {
                    placed.next = (*goto)?;
                }
                placed.answers.clear();
            }
            Mistake::Twice => {
                let acts = &steps[at].acts;
                // A question that is asked twice is only asked again.
                let again: Vec<_> = acts.iter().filter(|act| !act.verb.asks()).copied().collect();
                if again.is_empty() {
                    return None;
                }
                steps[at].acts.splice(0..0, again);
            }
            Mistake::Swapped => {
                let plain = |at: usize| {
                    steps.get(at).is_some_and(|placed| {
                        let ask = !placed.answers.is_empty();
                        !ask && placed.step.then.is_none() && placed.limit.is_none()
                    })
                };
                if !plain(at) || !plain(at + 1) {
                    return None;
                }
                let (first, second) = steps.split_at_mut(at + 1);
                std::mem::swap(&mut first[at].acts, &mut second[0].acts);
                std::mem::swap(&mut first[at].step, &mut second[0].step);
            }
        }
        Some(wrong)
    }
}

mod propose;
#[cfg(test)]
mod tests;
