//! The steps in the order of the card, passages in their places: what a card, a page or a round goes through.

use serde::Serialize;

use crate::family::Family;
use crate::model::program::{Goto, Program};
use crate::procedure::{Over, Procedure, Step};
use crate::story;
use crate::terms::Terms;

/// A step with its number on the card.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Numbered<'a> {
    /// Its number, counted through all stages from 1: the same that findings, stories and the skip analysis name.
    pub number: usize,
    /// The key of its stage.
    pub stage: &'a str,
    /// What its stage goes over.
    pub over: Over,
    /// The step.
    pub step: &'a Step,
    /// Where each answer leads; without answers where it leads, if that is not the next step.
    pub leads: Vec<Lead<'a>>,
    /// How often it may lead back, and where to after that.
    pub again: Option<Again>,
}

/// The end of a way back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Again {
    /// How often it may lead back.
    pub at_most: u8,
    /// After that, to the step of this number; to the end, if none.
    pub then: Option<usize>,
}

/// Where a step leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Lead<'a> {
    /// At which answer; always, if none.
    pub answer: Option<&'a str>,
    /// To the step of this number; to the end, if none.
    pub to: Option<usize>,
}

/// The steps of a procedure as they are numbered under a food code.
#[must_use]
pub fn numbered<'a>(
    family: &'a Family,
    procedure: &'a Procedure,
    terms: &Terms,
) -> Vec<Numbered<'a>> {
    let program = Program::new(family, procedure, terms);
    let steps = program.spots().map(|spot| {
        let stage = &procedure.stages[usize::from(spot.0)];
        let placed = program.at(spot);
        let number = story::number(&program, spot);
        let to = |goto: Goto| match goto {
            Goto::Step(step) => Some(story::number(&program, (spot.0, step))),
            Goto::Stage(stage) if usize::from(stage) < program.stages.len() => {
                Some(story::number(&program, (stage, 0)))
            }
            Goto::Stage(_) | Goto::End => None,
        };
        let answered = placed.answers.iter().filter_map(|(answer, goto)| {
            goto.map(|goto| Lead { answer: Some(answer), to: to(goto) })
        });
        let mut leads: Vec<Lead<'a>> = answered.collect();
        let always = Lead { answer: None, to: to(placed.next) };
        let here = program.stages[usize::from(spot.0)].steps.len();
        let falls_through = always.to == Some(number + 1) || usize::from(spot.1) + 1 == here;
        if leads.is_empty() && (placed.step.then.is_some() || !falls_through) {
            leads.push(always);
        }
        let again =
            placed.limit.map(|limit| Again { at_most: limit.at_most, then: to(limit.or_else) });
        Numbered { number, stage: &stage.id, over: stage.over, step: placed.step, leads, again }
    });
    steps.collect()
}
