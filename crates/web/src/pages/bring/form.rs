//! What somebody says of the reading of a sheet: taken over, or said beside the field why not.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use ouncewise_estate::sheets::mapping::{Column, Means, Question};
use ouncewise_estate::{Percent, Zone};
use ouncewise_measure::quantity::{Dimension, Fault as UnitFault};
use ouncewise_measure::{AmountRead, DrawRead, Unit};

use super::look::{holds_readings, settle_columns};
use super::uploads::Reading;
use super::words::{field, from_key, means};
use crate::layout::Fault;

/// The longest text that is taken as an answer, in letters.
const LONGEST: usize = 200;

/// The fields of a form by their names.
pub type Fields = BTreeMap<String, String>;

/// Meanings that a row can have once only.
const ONCE: [Means; 10] = [
    Means::Site,
    Means::SiteNumber,
    Means::Machine,
    Means::Serial,
    Means::Line,
    Means::Date,
    Means::Time,
    Means::Unit,
    Means::State,
    Means::Measure,
];

/// Takes over what a form says. What it does not name stays.
pub fn correct(reading: &mut Reading, fields: &Fields) -> Vec<Fault> {
    let mut wrong = Vec::new();
    let columns = fields.keys().any(|name| name.starts_with("means-"));
    for column in &mut reading.mapping.columns {
        correct_column(column, fields, &mut wrong);
    }
    if columns {
        // What the form says of a column is the answer to what it holds.
        for question in &mut reading.mapping.questions {
            if let Some(letter) = question.id.strip_prefix("column ")
                && let Some(said) = fields.get(&format!("means-{letter}"))
                && from_key(said).is_some()
            {
                question.answer = Some(said.clone());
            }
        }
        settle_columns(&mut reading.mapping);
        hold_together(&reading.mapping.columns, &mut wrong);
    }
    for question in &mut reading.mapping.questions {
        let name = field(question);
        let Some(said) = fields.get(&name).map(|said| said.trim()) else { continue };
        match answered(question, said) {
            Ok(true) => {
                reading.left_open.remove(&question.id);
                question.answer = Some(said.to_owned());
            }
            Ok(false) => {
                reading.left_open.insert(question.id.clone());
                question.answer = None;
            }
            Err(what) => wrong.push(Fault::new(name, what)),
        }
    }
    // One thing is said about a field at a time.
    let mut told = BTreeSet::new();
    wrong.retain(|fault| told.insert(fault.field.clone()));
    wrong
}

fn correct_column(column: &mut Column, fields: &Fields, wrong: &mut Vec<Fault>) {
    let name = |what: &str| format!("{what}-{}", column.letter);
    let said = |what: &str| fields.get(&name(what)).map(|text| text.trim());
    let some = |text: &str| Some(text.to_owned()).filter(|text| !text.is_empty());
    let mut changed = column.clone();
    if let Some(text) = said("means") {
        match from_key(text) {
            Some(means) => changed.means = means,
            None => wrong.push(Fault::new(name("means"), "choose what this column holds")),
        }
    }
    if let Some(text) = said("unit") {
        match fits(text, changed.means) {
            Ok(()) => changed.unit = some(text),
            Err(what) => wrong.push(Fault::new(name("unit"), what)),
        }
    }
    if let Some(text) = said("state") {
        match text {
            "" | "as-found" | "as-left" => changed.state = some(text),
            _ => wrong.push(Fault::new(name("state"), "choose before, after, or neither")),
        }
    }
    if let Some(text) = said("fill") {
        changed.fill_down = text == "yes";
    }
    for (what, kept) in [
        ("site", &mut changed.site),
        ("machine", &mut changed.machine),
        ("line", &mut changed.line),
        ("date", &mut changed.date),
    ] {
        let Some(text) = said(what).filter(|text| kept.as_deref().unwrap_or_default() != *text)
        else {
            continue;
        };
        if text.chars().count() > LONGEST {
            wrong.push(Fault::new(name(what), "write a shorter name"));
        } else if what == "date" && !text.is_empty() && text.parse::<Date>().is_err() {
            wrong.push(Fault::new(name(what), "write the day as 2026-03-02"));
        } else {
            *kept = some(text);
            // The name in the heading is told now: nothing is left to ask.
            if what != "date" {
                changed.called = None;
            }
        }
    }
    if changed != *column {
        "as you said".clone_into(&mut changed.because);
        *column = changed;
    }
}

/// Whether a unit fits what a column holds.
fn fits(text: &str, means: Means) -> Result<(), String> {
    if text.is_empty() {
        return Ok(());
    }
    let dimension = match text.parse::<Unit>() {
        Ok(unit) => unit.dimension(),
        // Which ounce is meant is asked further down.
        Err(error) if error.fault == UnitFault::WhichUnit => Dimension::Volume,
        Err(error) => return Err(format!("{}; write mL, g, or fl oz (US)", error.what)),
    };
    match (means, dimension) {
        (Means::Temperature, Dimension::Temperature)
        | (Means::Amount | Means::Water | Means::Target, Dimension::Volume | Dimension::Mass) => {
            Ok(())
        }
        (Means::Temperature, _) => Err("a temperature is in °C or °F".to_owned()),
        (Means::Amount | Means::Water | Means::Target, _) => {
            Err("an amount is a volume or a weight: write mL, g, or fl oz (US)".to_owned())
        }
        _ => Ok(()),
    }
}

/// What is wrong with the columns taken together.
fn hold_together(columns: &[Column], wrong: &mut Vec<Fault>) {
    for once in ONCE {
        let mut with = columns.iter().filter(|column| column.means == once);
        if let (Some(first), Some(second)) = (with.next(), with.next()) {
            let what = format!(
                "columns {} and {} are both “{}”, and a row has one; say of one of them what else it is, or that it is not read",
                first.letter,
                second.letter,
                means(once)
            );
            wrong.push(Fault::new(format!("means-{}", second.letter), what));
        }
    }
    if !columns.iter().any(holds_readings)
        && let Some(first) = columns.first()
    {
        let what = "no column holds readings; say which one holds the amounts caught, ticks, or what was adjusted";
        wrong.push(Fault::new(format!("means-{}", first.letter), what));
    }
}

/// Whether a text answers a question; `false` where it leaves it open.
fn answered(question: &Question, said: &str) -> Result<bool, String> {
    if said.is_empty() {
        return match (question.sets_up, question.choices.is_empty()) {
            (true, true) => Err(format!("write an answer, such as {}", question.default)),
            (true, false) => Err("choose one of the answers".to_owned()),
            (false, _) => Ok(false),
        };
    }
    if !question.choices.is_empty() {
        let known = question.choices.iter().any(|choice| choice == said);
        return if known { Ok(true) } else { Err("choose one of the answers".to_owned()) };
    }
    if said.chars().count() > LONGEST {
        return Err("write a shorter answer".to_owned());
    }
    // What the sheet itself says is read as it stands there.
    if said == question.default {
        return Ok(true);
    }
    let both = |what: String, mend: String| format!("{what}; {mend}");
    match question.id.as_str() {
        "year" => match said.parse::<i16>() {
            Ok(2000..=2100) => Ok(true),
            _ => Err("write the year with four digits, such as 2026".to_owned()),
        },
        "date" if said.parse::<Date>().is_err() => Err("write the day as 2026-03-02".to_owned()),
        "draw" if said == "recipe" => Ok(true),
        id if id == "draw" || id.starts_with("recipe-draw") => match said.parse::<DrawRead>() {
            Ok(_) => Ok(true),
            Err(error) => Err(both(error.what, error.mend)),
        },
        "tolerance" => match said.parse::<Percent>() {
            Ok(_) => Ok(true),
            Err(error) => Err(both(error.message, error.hint)),
        },
        "time-zone" => match said.parse::<Zone>() {
            Ok(_) => Ok(true),
            Err(error) => Err(both(error.message, error.hint)),
        },
        id if id == "target" || id.starts_with("target ") => match said.parse::<AmountRead>() {
            Ok(AmountRead::Number(amount)) if !amount.number.is_zero() => Ok(true),
            Ok(_) => Err("write how much a portion is, such as 30 mL".to_owned()),
            Err(error) => Err(both(error.what, error.mend)),
        },
        _ => Ok(true),
    }
}
