//! A procedure's text as it was typed, or copied from another.

use std::collections::BTreeMap;

use ouncewise_estate::Key;
use ouncewise_report::{Library, ToPublish};

use crate::layout::Fault;

/// What a form of a procedure says.
#[derive(Debug, Clone, Default)]
pub struct Written {
    pub family: String,
    pub name: String,
    /// The procedure that it is begun as a copy of: `screw-trim/weekly-clean`.
    pub like: String,
    pub text: String,
    /// The family's model; empty where it is the one that the group has.
    pub model: String,
    /// The version that was in force when the form was made.
    pub seen: String,
    pub act: String,
}

impl Written {
    /// From the fields of a form. Browsers end lines as telegrams did; files do not.
    pub fn from_fields(fields: Vec<(String, String)>) -> Self {
        let mut fields: BTreeMap<String, String> = fields.into_iter().collect();
        let mut of = |name: &str| fields.remove(name).unwrap_or_default();
        let lines = |text: String| text.replace("\r\n", "\n");
        let line = |text: String| text.trim().to_owned();
        Self {
            family: line(of("family")),
            name: line(of("name")),
            like: line(of("like")),
            text: lines(of("text")),
            model: lines(of("model")),
            seen: line(of("seen")),
            act: line(of("act")),
        }
    }

    /// On its way to be published.
    pub fn to_publish(&self) -> ToPublish<'_> {
        let model = Some(self.model.as_str()).filter(|model| !model.trim().is_empty());
        ToPublish { family: &self.family, name: &self.name, text: &self.text, model }
    }

    /// A new procedure begun as a copy, with its family named at its top.
    pub fn copied(&self, library: &Library) -> Result<Self, Vec<Fault>> {
        let mut wrong = Vec::new();
        for (field, key) in [("family", &self.family), ("name", &self.name)] {
            if let Err(why) = key.parse::<Key>() {
                wrong.push(Fault::new(field, format!("{}; {}", why.message, why.hint)));
            }
        }
        if library.in_force(&self.family, &self.name).is_some() {
            let what = format!(
                "there is a procedure `{}/{}` already: choose another name, or change that one",
                self.family, self.name
            );
            wrong.push(Fault::new("name", what));
        }
        let like = self.like.split_once('/').and_then(|(f, n)| library.in_force(f, n));
        let Some(like) = like else {
            wrong.push(Fault::new("like", "choose the procedure that is nearest to yours"));
            return Err(wrong);
        };
        if !wrong.is_empty() {
            return Err(wrong);
        }
        let own = |text: &str| {
            let (from, to) =
                (format!("family = \"{}\"", like.family), format!("family = \"{}\"", self.family));
            text.replacen(&from, &to, 1)
        };
        // The model of a family that has one stays; a family without one begins with a copy of this one's.
        let model = match library.model(&self.family) {
            Some(_) => String::new(),
            None => own(&like.model),
        };
        Ok(Self { text: own(&like.text), model, seen: String::new(), ..self.clone() })
    }
}
