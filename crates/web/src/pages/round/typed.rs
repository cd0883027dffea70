//! What was typed into the form, as text: kept until it is understood.

use std::collections::BTreeMap;

use ouncewise_ledger::Holds;
use uuid::Uuid;

use super::here::Here;

/// The whole form.
pub struct Typed {
    /// Its own id.
    pub form: Uuid,
    fields: BTreeMap<String, String>,
}

impl Typed {
    /// A form with what is usual filled in.
    pub fn blank(here: &Here, form: Uuid) -> Self {
        let mut fields = BTreeMap::from([
            ("day".to_owned(), here.now.date().to_string()),
            ("opened".to_owned(), here.now.time().strftime("%H:%M").to_string()),
            ("how".to_owned(), "paper".to_owned()),
        ]);
        for name in ["procedure", "steps-of"] {
            fields.insert(name.to_owned(), here.usual.clone().unwrap_or_default());
        }
        for (key, _) in &here.lines {
            fields.insert(format!("line-{key}"), "yes".to_owned());
        }
        // The box that was opened last is most likely the one in use.
        for (name, holds) in [("sanitiser", Holds::Sanitiser), ("strips", Holds::Strips)] {
            let latest = here.boxes_of(holds).first().map(|(id, _)| id.to_string());
            fields.insert(name.to_owned(), latest.unwrap_or_else(|| "new".to_owned()));
        }
        Self { form, fields }
    }

    /// From the fields of a form that was sent. What it does not name is empty; a form without an id of its own gets one.
    pub fn from_fields(fields: Vec<(String, String)>) -> Self {
        let mut fields: BTreeMap<String, String> =
            fields.into_iter().map(|(name, text)| (name, text.trim().to_owned())).collect();
        let form = fields.remove("form").and_then(|form| form.parse().ok());
        Self { form: form.unwrap_or_else(Uuid::now_v7), fields }
    }

    /// A field; empty where it was not sent.
    pub fn of(&self, name: &str) -> &str {
        self.fields.get(name).map_or("", String::as_str)
    }

    /// A field that has something in it.
    pub fn given(&self, name: &str) -> Option<String> {
        Some(self.of(name)).filter(|text| !text.is_empty()).map(str::to_owned)
    }

    /// Whether a box of the form is ticked.
    pub fn ticked(&self, name: &str) -> bool {
        !self.of(name).is_empty()
    }

    /// All fields by name, to be sent again.
    pub fn fields(&self) -> impl Iterator<Item = (&str, &str)> {
        let fields = self.fields.iter().map(|(name, text)| (name.as_str(), text.as_str()));
        fields.filter(|(name, _)| *name != "act")
    }
}
