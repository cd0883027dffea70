//! What was typed into the form, as text: kept until it is understood.

use std::collections::BTreeMap;

use uuid::Uuid;

use super::answers::Here;

/// The fields of one line.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LineTyped {
    /// Amounts as found.
    pub found: String,
    /// Seconds or doses of them.
    pub found_draw: String,
    /// Water of them, on a ratio line.
    pub found_water: String,
    /// Key of the measure.
    pub measure: String,
    /// What was adjusted.
    pub done: String,
    /// Amounts as left.
    pub left: String,
    /// Seconds or doses of them.
    pub left_draw: String,
    /// Water of them.
    pub left_water: String,
    /// Why it was not caught.
    pub why: String,
}

/// The whole form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Typed {
    /// Its own id.
    pub form: Uuid,
    /// Day of the round.
    pub day: String,
    /// Time of the round.
    pub time: String,
    /// Who did it.
    pub by: String,
    /// `paper` or `machine`.
    pub how: String,
    /// `yes` where what is odd was read and done so all the same.
    pub sure: String,
    /// What the button says: `check`, `change` or `keep`.
    pub act: String,
    /// By line.
    pub lines: BTreeMap<String, LineTyped>,
}

impl Typed {
    /// A form with what is usual filled in.
    pub fn blank(here: &Here, form: Uuid) -> Self {
        let lines = here.lines.iter().map(|line| {
            let usual = LineTyped {
                found_draw: line.draw.clone(),
                left_draw: line.draw.clone(),
                measure: line.measure.clone(),
                ..LineTyped::default()
            };
            (line.key.clone(), usual)
        });
        Self {
            form,
            day: here.now.date().to_string(),
            time: here.now.time().strftime("%H:%M").to_string(),
            by: String::new(),
            how: "paper".to_owned(),
            sure: String::new(),
            act: String::new(),
            lines: lines.collect(),
        }
    }

    /// From the fields of a form that was sent. What it does not name is empty; a form without an id of its own gets one.
    pub fn from_fields(here: &Here, fields: Vec<(String, String)>) -> Self {
        let fields: BTreeMap<String, String> = fields.into_iter().collect();
        let of =
            |name: &str| fields.get(name).map(|text| text.trim().to_owned()).unwrap_or_default();
        let lines = here.lines.iter().map(|line| {
            let of = |name: &str| of(&field(name, &line.key));
            let typed = LineTyped {
                found: of("found"),
                found_draw: of("found-draw"),
                found_water: of("found-water"),
                measure: of("measure"),
                done: of("done"),
                left: of("left"),
                left_draw: of("left-draw"),
                left_water: of("left-water"),
                why: of("why"),
            };
            (line.key.clone(), typed)
        });
        Self {
            form: of("form").parse().unwrap_or_else(|_| Uuid::now_v7()),
            day: of("day"),
            time: of("time"),
            by: of("by"),
            how: of("how"),
            sure: of("sure"),
            act: of("act"),
            lines: lines.collect(),
        }
    }

    /// All fields by name, to be sent again.
    pub fn fields(&self) -> Vec<(String, &str)> {
        let mut all = vec![
            ("day".to_owned(), self.day.as_str()),
            ("time".to_owned(), &self.time),
            ("by".to_owned(), &self.by),
            ("how".to_owned(), &self.how),
        ];
        for (key, line) in &self.lines {
            for (name, value) in [
                ("found", &line.found),
                ("found-draw", &line.found_draw),
                ("found-water", &line.found_water),
                ("measure", &line.measure),
                ("done", &line.done),
                ("left", &line.left),
                ("left-draw", &line.left_draw),
                ("left-water", &line.left_water),
                ("why", &line.why),
            ] {
                all.push((field(name, key), value));
            }
        }
        all
    }
}

/// The name, and the id, of a line's field.
pub fn field(name: &str, line: &str) -> String {
    format!("{name}-{line}")
}
