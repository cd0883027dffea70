//! The steps in the order of the card, passages in their places: what a card, a page or a round goes through.

use serde::Serialize;

use crate::family::Family;
use crate::model::program::Program;
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
        Numbered {
            number: story::number(&program, spot),
            stage: &stage.id,
            over: stage.over,
            step: program.at(spot).step,
        }
    });
    steps.collect()
}
