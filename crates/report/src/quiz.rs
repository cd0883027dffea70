//! What new crew is asked of a procedure, and what a trainer watches before somebody does it alone.

use ouncewise_procedure::quiz::{Choice, Question, quiz as ask, sign_off};
use ouncewise_procedure::{Family, May, Procedure, Terms};
use schemars::JsonSchema;
use serde::Serialize;

use crate::HeldTo;

/// `quiz`: questions with their answers, and the form of the observed sign-off.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct QuizReport {
    /// What the procedure is called.
    pub title: String,
    /// What the procedure was held to.
    pub held_to: HeldTo,
    /// The questions.
    pub questions: Vec<QuestionAsked>,
    /// The steps that a trainer watches.
    pub watched: Vec<WatchedReport>,
}

/// A question with its choices.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct QuestionAsked {
    /// What is asked.
    pub ask: String,
    /// What may be chosen.
    pub choices: Vec<String>,
    /// Which is right, from 0.
    pub right: usize,
}

/// A step that a trainer watches.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct WatchedReport {
    /// Its number on the card.
    pub step: usize,
    /// Whether it must not be skipped.
    pub must_not_skip: bool,
    /// What it says.
    pub say: String,
    /// What to look for.
    pub look_for: String,
}

/// The quiz of a procedure, with its steps in a language.
#[must_use]
pub fn quiz(family: &Family, procedure: &Procedure, terms: &Terms, language: &str) -> QuizReport {
    let choice = |choice: &Choice| match choice {
        Choice::Rule(rule) => rule.title().to_owned(),
        Choice::Step { number, say } => format!("step {number}: {}", say.of(language)),
        Choice::May(May::Leave) => "yes, it is safe to leave".to_owned(),
        Choice::May(May::LeaveFor(time)) => format!("yes, for {time} at most"),
        Choice::May(May::FinishFirst) => "no, finish first".to_owned(),
    };
    let asked = |question: &Question| match question {
        Question::LeftOut { number, say } => {
            format!("Step {number} is left out ({}). What follows?", say.of(language))
        }
        Question::Next { number, say } => {
            format!("Which step comes after step {number} ({})?", say.of(language))
        }
        Question::Answered { number, say, answer } => {
            format!(
                "At step {number} ({}) the answer is `{answer}`. Which step comes then?",
                say.of(language)
            )
        }
        Question::CalledAway { number, say } => {
            format!(
                "You are called away after step {number} ({}). May you leave it?",
                say.of(language)
            )
        }
    };
    QuizReport {
        title: procedure.title.of(language).to_owned(),
        held_to: HeldTo::of(terms),
        questions: ask(family, procedure, terms)
            .iter()
            .map(|one| QuestionAsked {
                ask: asked(&one.question),
                choices: one.choices.iter().map(choice).collect(),
                right: one.right,
            })
            .collect(),
        watched: sign_off(family, procedure, terms)
            .iter()
            .map(|one| WatchedReport {
                step: one.number,
                must_not_skip: one.must_not_skip,
                say: one.say.of(language).to_owned(),
                look_for: one.look_for.of(language).to_owned(),
            })
            .collect(),
    }
}
