//! How long one portion is drawn, where the sheet sets up lines: one length for all, and another for a product whose readings
//! ran otherwise.

use std::collections::BTreeMap;

use ouncewise_measure::DrawRead;

use super::{Mapping, Question};

/// The question about all new lines.
pub(super) const ALL: &str = "recipe-draw";

/// The question about the lines of one product.
fn of(product: &str) -> String {
    format!("{ALL} {product:?}")
}

/// The middle of some seconds, to the half second.
fn middle(seconds: &[f64]) -> Option<f64> {
    let mut sorted = seconds.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len().checked_sub(1)? / 2).map(|s| ((s * 2.0).round() / 2.0).max(0.5))
}

/// The questions: `seconds` are those of the readings, by product.
pub(super) fn questions(seconds: &BTreeMap<String, Vec<f64>>) -> Vec<Question> {
    let all: Vec<f64> = seconds.values().flatten().copied().collect();
    let usual = middle(&all);
    let ask = |id: String, asks: String, default: String| Question {
        id,
        asks,
        choices: Vec::new(),
        default,
        answer: None,
        because: None,
        sample: Vec::new(),
        sets_up: true,
    };
    let default = usual.map_or_else(|| "1 dose".to_owned(), |s| format!("{s} s"));
    let asks = "how long is one portion drawn at every new line: seconds, or doses? (the default is the middle of all seconds in the sheet)";
    let mut questions = vec![ask(ALL.to_owned(), asks.to_owned(), default)];
    for (product, own) in seconds.iter().filter(|(_, own)| own.len() > 1) {
        if let Some(own) = middle(own).filter(|own| Some(*own) != usual) {
            let asks = format!("how long is one portion of {product} drawn?");
            questions.push(ask(of(product), asks, format!("{own} s")));
        }
    }
    questions
}

/// The answers, for all lines and by product.
pub(super) struct Draws {
    all: DrawRead,
    own: BTreeMap<String, DrawRead>,
}

impl Draws {
    /// From a mapping whose questions are answered.
    ///
    /// # Errors
    /// The question whose answer is no draw, and why.
    pub(super) fn read(mapping: &Mapping) -> Result<Self, (String, String)> {
        let read = |id: &str, text: &str| {
            text.parse::<DrawRead>().map_err(|error| (id.to_owned(), error.to_string()))
        };
        let all = read(ALL, mapping.likely(ALL).unwrap_or("1 dose"))?;
        let about = mapping.questions.iter().filter(|q| q.id.starts_with("recipe-draw \""));
        let own = about.map(|question| -> Result<_, (String, String)> {
            let answer = question.answer.as_deref().unwrap_or(&question.default);
            Ok((question.id.clone(), read(&question.id, answer)?))
        });
        Ok(Self { all, own: own.collect::<Result<_, _>>()? })
    }

    /// Whether any is in doses.
    pub(super) fn in_doses(&self) -> bool {
        let mut all = self.own.values().chain([&self.all]);
        all.any(|draw| matches!(draw, DrawRead::Doses(_)))
    }

    /// How long a portion of a product is drawn.
    pub(super) fn draw(&self, product: &str) -> DrawRead {
        self.own.get(&of(product)).copied().unwrap_or(self.all)
    }
}
