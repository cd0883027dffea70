//! A quiz for new crew, made from what the model says of a procedure, and the form of an observed sign-off. Plain data: pages and
//! paper give it its look.

use serde::Serialize;

use crate::family::Family;
use crate::leave::May;
use crate::model::program::{Goto, Program};
use crate::procedure::Procedure;
use crate::rule::Rule;
use crate::skip::{Mistake, Outcome, skips};
use crate::story;
use crate::terms::Terms;
use crate::words::Words;

/// What is asked.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "about")]
pub enum Question {
    /// What goes wrong if this step is left out? The answers are rules.
    LeftOut {
        /// The step's number on the card.
        number: usize,
        /// What it says.
        say: Words,
    },
    /// Which step comes next after this one? The answers are steps.
    Next {
        /// The step's number on the card.
        number: usize,
        /// What it says.
        say: Words,
    },
    /// The answer at this step is so: which step comes then? The answers are steps.
    Answered {
        /// The step's number on the card.
        number: usize,
        /// What it says.
        say: Words,
        /// The answer.
        answer: String,
    },
    /// You are called away after this step: may you leave it?
    CalledAway {
        /// The step's number on the card.
        number: usize,
        /// What it says.
        say: Words,
    },
}

/// One answer to choose.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Choice {
    /// A consequence.
    Rule(Rule),
    /// A step.
    Step {
        /// Its number on the card.
        number: usize,
        /// What it says.
        say: Words,
    },
    /// Whether the work may be left.
    May(May),
}

/// A question with its choices, and which is right.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Asked {
    /// What is asked.
    pub question: Question,
    /// What may be chosen.
    pub choices: Vec<Choice>,
    /// Which is right, from 0: for the answer sheet.
    pub right: usize,
}

/// A step that a trainer watches before somebody does it alone.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Watched {
    /// Its number on the card.
    pub number: usize,
    /// Whether it must not be skipped.
    pub must_not_skip: bool,
    /// What it says.
    pub say: Words,
    /// What to look for.
    pub look_for: Words,
    /// The signal that stands before it, if one does: the keys of its cautions.
    pub cautions: Vec<String>,
}

/// Questions from the model: ten at least, where the procedure has that much in it. The right answer moves from place to place,
/// the same way each time.
#[must_use]
pub fn quiz(family: &Family, procedure: &Procedure, terms: &Terms) -> Vec<Asked> {
    let analysis = skips(family, procedure, terms);
    let program = Program::new(family, procedure, terms);
    let mut asked = Vec::new();
    let mut rules: Vec<Rule> = Vec::new();
    let unseen = |c: &&crate::skip::Consequence| {
        c.mistake == Mistake::LeftOut && c.outcome == Outcome::Unseen
    };
    for one in analysis.consequences.iter().filter(unseen) {
        rules.extend(one.rule.filter(|rule| !rules.contains(rule)));
    }
    for one in analysis.consequences.iter().filter(unseen) {
        let Some(rule) = one.rule else { continue };
        let wrong: Vec<Choice> = rules
            .iter()
            .cycle()
            .skip(one.number)
            .take(rules.len())
            .filter(|other| **other != rule)
            .take(3)
            .map(|other| Choice::Rule(*other))
            .collect();
        let question = Question::LeftOut { number: one.number, say: one.say.clone() };
        asked.extend(put(question, Choice::Rule(rule), wrong, one.number));
    }
    let steps: Vec<(usize, &Words)> = program
        .spots()
        .map(|spot| (story::number(&program, spot), &program.at(spot).step.say))
        .collect();
    let step =
        |(number, say): &(usize, &Words)| Choice::Step { number: *number, say: (*say).clone() };
    for spot in program.spots() {
        let placed = program.at(spot);
        let number = story::number(&program, spot);
        for (answer, goto) in &placed.answers {
            let Some(Goto::Step(to)) = goto else { continue };
            let Some(then) = steps.get(story::number(&program, (spot.0, *to)) - 1) else {
                continue;
            };
            let others = steps.iter().cycle().skip(number).take(steps.len());
            let wrong = others.filter(|(_, say)| say != &then.1).take(3).map(step).collect();
            let say = placed.step.say.clone();
            let question = Question::Answered { number, say, answer: (*answer).to_owned() };
            asked.extend(put(question, step(then), wrong, number));
        }
        let last = usize::from(spot.1) + 1 == program.stages[usize::from(spot.0)].steps.len();
        if last || !placed.answers.is_empty() || placed.step.then.is_some() {
            continue;
        }
        let Some(next) = steps.get(number) else { continue };
        let others = steps.iter().cycle().skip(number + 2).take(steps.len());
        let wrong = others.filter(|(n, say)| *n != number && say != &next.1).take(3).map(step);
        let question = Question::Next { number, say: placed.step.say.clone() };
        asked.extend(put(question, step(next), wrong.collect(), number));
    }
    for one in &analysis.leaving {
        let mut all = vec![May::Leave, May::FinishFirst];
        all.extend(matches!(one.may, May::LeaveFor(_)).then_some(one.may));
        let wrong = all.into_iter().filter(|may| *may != one.may).map(Choice::May).collect();
        let question = Question::CalledAway { number: one.number, say: one.say.clone() };
        asked.extend(put(question, Choice::May(one.may), wrong, one.number));
    }
    asked
}

fn put(question: Question, right: Choice, mut choices: Vec<Choice>, turn: usize) -> Option<Asked> {
    if choices.is_empty() {
        return None;
    }
    let at = turn % (choices.len() + 1);
    choices.insert(at, right);
    Some(Asked { question, choices, right: at })
}

/// The steps that a trainer watches: those that must not be skipped, and those with a caution.
#[must_use]
pub fn sign_off(family: &Family, procedure: &Procedure, terms: &Terms) -> Vec<Watched> {
    let must = skips(family, procedure, terms).must_not_skip();
    let program = Program::new(family, procedure, terms);
    let mut watched = Vec::new();
    for spot in program.spots() {
        let number = story::number(&program, spot);
        let step = program.at(spot).step;
        if must.contains(&number) || !step.cautions.is_empty() {
            watched.push(Watched {
                number,
                must_not_skip: must.contains(&number),
                say: step.say.clone(),
                look_for: step.look_for.clone(),
                cautions: step.cautions.clone(),
            });
        }
    }
    watched
}
