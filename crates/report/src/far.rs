//! Readings that are far off what the recipe asks: more than a line drifts, and about what a slip of the decimal point makes.

use ouncewise_estate::{Address, Estate};
use ouncewise_ledger::{Body, Record};
use ouncewise_measure::{AmountRead, DrawRead, Quantity, print};
use schemars::JsonSchema;
use serde::Serialize;

/// A reading is asked about from this many times its target on, or under the same part of it. Common practice, no source.
const TIMES: f64 = 3.0;

/// A reading of a file that was kept, and should be looked at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FarReading {
    /// Row as a spreadsheet program counts, from 1.
    pub row: u64,
    /// The line: site/machine/line.
    pub line: String,
    /// What is odd about it, as a question.
    pub words: String,
}

impl std::fmt::Display for FarReading {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "row {}, line {}: {}", self.row, self.line, self.words)
    }
}

/// What to ask about a record, if it is a catch that is far off its target.
#[must_use]
pub fn far_off(estate: &Estate, record: &Record) -> Option<(Address, String)> {
    let Body::CatchTaken { amount, draw, .. } = &record.body else { return None };
    let (machine, line) = (record.subject.machine.as_deref()?, record.subject.line.as_deref()?);
    let at = Address::new(record.scope.as_str(), machine, line).ok()?;
    let recipe = estate.line(&at)?;
    let AmountRead::Number(read) = amount.parse().ok()? else { return None };
    let times = match (draw.parse().ok()?, recipe.draw) {
        (DrawRead::Time(read), DrawRead::Time(asked)) => read.duration()?.0 / asked.duration()?.0,
        (DrawRead::Doses(read), DrawRead::Doses(asked)) => f64::from(read) / f64::from(asked),
        _ => return None,
    };
    let ratio = size(read, recipe.target)? / times;
    let whole = (times - 1.0).abs() > 0.1;
    let asked = if whole {
        format!("what the recipe asks in {draw}", draw = draw.trim())
    } else {
        format!("the target of {}", recipe.target)
    };
    let words = if ratio >= TIMES {
        format!("{read} is {} times {asked}: a slip of the decimal point?", short(ratio))
    } else if ratio > 0.0 && ratio <= 1.0 / TIMES {
        format!(
            "{read} is {} of {asked}: a slip of the decimal point, or does the line hardly run?",
            print::percent(ratio)
        )
    } else {
        return None;
    };
    Some((at, words))
}

/// One amount over another, if they are of one sort.
fn size(read: Quantity, target: Quantity) -> Option<f64> {
    match (read.volume(), target.volume()) {
        (Some(read), Some(target)) => Some(read.0 / target.0),
        (None, None) => Some(read.mass()?.0 / target.mass()?.0),
        _ => None,
    }
}

/// `10`, `3.4`.
fn short(ratio: f64) -> String {
    let text = print::significant(ratio, 2);
    text.strip_suffix(".0").unwrap_or(&text).to_owned()
}

#[cfg(test)]
mod tests {
    use ouncewise_estate::files;
    use ouncewise_ledger::{Entered, LineState, Scope, Subject};
    use uuid::Uuid;

    use super::*;

    fn asked(amount: &str, draw: &str) -> Option<String> {
        let (mut estate, _) = files::read(&ouncewise_estate::starter::files());
        let site = estate.sites.get_mut("rowan-end").unwrap();
        let line = site.machines.get_mut("counter-1").unwrap().lines.get_mut("1").unwrap();
        (line.target, line.draw) = ("40 mL".parse().unwrap(), "7 s".parse().unwrap());
        let body = Body::CatchTaken {
            state: LineState::AsFound,
            amount: amount.to_owned(),
            draw: draw.to_owned(),
            measure: "cup".to_owned(),
            water: None,
            water_draw: None,
            temperature: None,
        };
        let record = Record {
            v: 1,
            id: Uuid::nil(),
            scope: Scope::site("rowan-end").unwrap(),
            subject: Subject::line("counter-1", "1"),
            at: "2026-03-02T06:40:00.000Z".to_owned(),
            device: "t".to_owned(),
            sequence: 1,
            by: None,
            entered: Entered::Imported,
            note: None,
            body,
        };
        far_off(&estate, &record).map(|(_, words)| words)
    }

    #[test]
    fn a_slip_of_the_decimal_point_is_asked_about() {
        assert_eq!(
            asked("400 mL", "7 s").unwrap(),
            "400 mL is 10 times the target of 40 mL: a slip of the decimal point?"
        );
        assert!(asked("4.0 mL", "7 s").unwrap().starts_with("4.0 mL is 10 % of the target"));
        assert!(asked("1 L", "21 s").unwrap().contains("8.3 times what the recipe asks in 21 s"));
        // A fault, a drift and a longer draw are none; nor is what cannot be compared.
        for (amount, draw) in [
            ("0 mL", "7 s"),
            ("20 mL", "7 s"),
            ("110 mL", "7 s"),
            ("160 mL", "28 s"),
            ("400 g", "7 s"),
            ("over the 40 mL mark", "7 s"),
            ("400 mL", "1 dose"),
        ] {
            assert_eq!(asked(amount, draw), None, "{amount} in {draw}");
        }
    }
}
