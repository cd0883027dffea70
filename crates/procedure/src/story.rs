//! The way to a broken rule as people tell it: in the steps' own words.

use ouncewise_estate::Place;
use serde::Serialize;

use crate::model::explore::Taken;
use crate::model::program::{Program, Spot};
use crate::words::Words;

/// One step of a story.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Told {
    /// The step's number on the card.
    pub number: usize,
    /// Which line did it, from 1; none where it was the machine.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<u8>,
    /// What the step says.
    pub say: Words,
    /// What it does, as written.
    pub acts: String,
    /// The answer that was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub answer: Option<String>,
    /// Where it was written.
    pub place: Place,
}

/// A way through a procedure, step by step.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Story {
    /// Its steps; the last one breaks the rule, unless that is told of the end.
    pub steps: Vec<Told>,
}

impl Story {
    /// In one language: `Step 3 (line 1): Run water. → …`, at most the last `most` steps.
    #[must_use]
    pub fn text(&self, language: &str, most: usize) -> String {
        let from = self.steps.len().saturating_sub(most);
        let mut text = if from > 0 { "… → ".to_owned() } else { String::new() };
        for (nth, told) in self.steps[from..].iter().enumerate() {
            if nth > 0 {
                text.push_str(" → ");
            }
            text.push_str(&format!("Step {}", told.number));
            if let Some(line) = told.line {
                text.push_str(&format!(" (line {line})"));
            }
            let words = told.say.of(language);
            text.push_str(&format!(": {}", if words.is_empty() { &told.acts } else { words }));
            if let Some(answer) = &told.answer {
                text.push_str(&format!(" [{answer}]"));
            }
        }
        text
    }
}

/// The number of a step on the card: steps are counted through all stages, from 1.
pub(crate) fn number(program: &Program<'_>, spot: Spot) -> usize {
    let before = &program.stages[..usize::from(spot.0)];
    before.iter().map(|stage| stage.steps.len()).sum::<usize>() + usize::from(spot.1) + 1
}

/// What a step does, as written.
pub(crate) fn acts(step: &crate::procedure::Step) -> String {
    let phrases: Vec<String> = step.phrases.iter().map(ToString::to_string).collect();
    phrases.join("; ")
}

pub(crate) fn told(program: &Program<'_>, way: &[Taken], lines: bool) -> Story {
    let steps = way.iter().map(|Taken { turn, answer }| {
        let placed = program.at(turn.spot);
        Told {
            number: number(program, turn.spot),
            line: turn.who.filter(|_| lines).map(|who| who + 1),
            say: placed.step.say.clone(),
            acts: acts(placed.step),
            answer: answer.map(|answer| placed.answers[usize::from(answer)].0.to_owned()),
            place: placed.step.at.0.clone(),
        }
    });
    Story { steps: steps.collect() }
}
