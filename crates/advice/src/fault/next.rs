//! What to do next: causes by probability, acts in the order of least expected minutes, and the questions that save most.

use super::catalogue::Catalogue;
use super::noisy_or::{PosteriorError, Seen};
use super::order::{Faults, Plan, Task};

/// What answers so far make of a line's trouble. Places are those of the catalogue.
#[derive(Debug, Clone, PartialEq)]
pub struct Next {
    /// Causes, each with the probability that it is there whatever else is, the likeliest first.
    pub causes: Vec<(usize, f64)>,
    /// For each cause in its place, the probability that it is the one, if exactly one of them is there.
    pub alone: Vec<f64>,
    /// The acts in their order, with the expected minutes, if exactly one of the causes is there.
    pub plan: Plan,
    /// Questions that nobody has answered, those that save most first.
    pub questions: Vec<Question>,
}

/// A question that is still open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Question {
    /// The sign that it asks for.
    pub sign: usize,
    /// How likely the answer is yes.
    pub yes: f64,
    /// Expected minutes that the answer saves, those of looking taken off: below 0 it is not worth asking.
    pub saves: f64,
    /// The act to begin with if the answer is yes.
    pub first_if_yes: Option<usize>,
    /// The act to begin with if the answer is no. Where both are the present one, the answer changes nothing at once.
    pub first_if_no: Option<usize>,
}

/// Causes, acts and questions after what was seen. Acts and questions are weighed as if exactly one of the causes is there: the
/// next act is nearly always the same if there are more, and after it one looks again.
///
/// # Errors
/// If the answers do not fit the catalogue in number, or cannot be together.
pub fn next(catalogue: &Catalogue, seen: &[Seen]) -> Result<Next, PosteriorError> {
    let model = catalogue.model();
    let plan = |seen: &[Seen]| {
        let single = model.single(seen)?;
        let task = Task {
            faults: Faults::One,
            chances: single.causes,
            steps: catalogue.steps(),
            access: catalogue.access.iter().map(|a| a.minutes).collect(),
        };
        Ok((single.evidence, task.best(), task.chances))
    };
    let posterior = model.posterior(seen)?;
    let (evidence, now, alone) = plan(seen)?;
    let mut questions = Vec::new();
    for (sign, of) in catalogue.signs.iter().enumerate().filter(|(s, _)| seen[*s] == Seen::Unknown)
    {
        let answered = |answer: Seen| {
            let mut seen = seen.to_vec();
            seen[sign] = answer;
            match plan(&seen) {
                Ok((after, plan, _)) => Ok(Some((after / evidence, plan))),
                Err(PosteriorError::Impossible) => Ok(None),
                Err(other) => Err(other),
            }
        };
        let (yes, no) = (answered(Seen::Yes)?, answered(Seen::No)?);
        let cost =
            |answer: &Option<(f64, Plan)>| answer.as_ref().map_or(0.0, |(p, plan)| p * plan.cost);
        let first = |answer: &Option<(f64, Plan)>| {
            answer.as_ref().and_then(|(_, plan)| plan.order.first().copied())
        };
        questions.push(Question {
            sign,
            yes: yes.as_ref().map_or(0.0, |(p, _)| *p),
            saves: now.cost - cost(&yes) - cost(&no) - of.minutes,
            first_if_yes: first(&yes),
            first_if_no: first(&no),
        });
    }
    questions.sort_by(|a, b| b.saves.total_cmp(&a.saves).then(a.sign.cmp(&b.sign)));
    let mut causes: Vec<(usize, f64)> = posterior.causes.into_iter().enumerate().collect();
    causes.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    Ok(Next { causes, alone, plan: now, questions })
}
