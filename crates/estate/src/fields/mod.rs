//! What each thing is described by: one table of fields per thing.
//!
//! Reading, writing, "did you mean", the JSON Schemas and the documentation
//! all come from these tables.

pub mod code;
pub(crate) mod read;

use std::collections::BTreeMap;

use ouncewise_measure::quantity::Dimension;
use serde_json::Value;

pub(crate) use read::{Fields, Flaw};

/// The fields of one thing, values as written: what a record of it keeps.
pub type Definition = BTreeMap<String, Value>;

/// One field of a thing: a key in TOML, a column in CSV.
#[derive(Debug, Clone, Copy)]
pub struct Field {
    /// Its name in files and records.
    pub name: &'static str,
    /// What may be written.
    pub shape: Shape,
    /// Whether it must be there.
    pub must: bool,
    /// What it says.
    pub says: &'static str,
    /// An example of a value.
    pub example: &'static str,
}

/// What may be written in a field.
#[derive(Debug, Clone, Copy)]
pub enum Shape {
    /// A key.
    Key,
    /// Words.
    Text,
    /// Words over several lines.
    Note,
    /// Yes or no.
    Flag,
    /// A number with a percent sign.
    Percent,
    /// A bare number.
    Number,
    /// One of these.
    Choice(&'static [&'static str]),
    /// A number with a unit of one of these dimensions.
    Quantity(&'static [Dimension]),
    /// Seconds, or whole doses.
    Draw,
    /// Turns of a screw.
    Turns,
    /// Days, weeks or months.
    Life,
    /// A time zone.
    Zone,
    /// A currency.
    Currency,
    /// Money per litre or kilogram.
    Cost,
    /// A density or Brix.
    Density,
    /// A list of words.
    Words,
    /// A list of `key = kind`.
    Pieces,
    /// A table with fields of its own.
    Table(&'static [Field]),
    /// Tables by key, each with these fields.
    Tables(&'static [Field]),
}

impl Field {
    /// A field that must be there.
    pub(crate) const fn must(
        name: &'static str,
        shape: Shape,
        says: &'static str,
        example: &'static str,
    ) -> Self {
        Self { name, shape, must: true, says, example }
    }

    /// A field that may be left out.
    pub(crate) const fn may(
        name: &'static str,
        shape: Shape,
        says: &'static str,
        example: &'static str,
    ) -> Self {
        Self { name, shape, must: false, says, example }
    }
}

/// The field that marks what is no longer in use.
pub(crate) const RETIRED: Field =
    Field::may("retired", Shape::Flag, "no longer in use; kept for its history", "yes");

/// A thing that is described by fields.
pub(crate) trait Described: Sized {
    /// What it is called in messages.
    const NAME: &'static str;
    /// Its fields, in the order in which they are written.
    const FIELDS: &'static [Field];

    /// Reads it. Faults go to `fields`; nothing is given only where there was one.
    fn read(fields: &mut Fields<'_>) -> Option<Self>;

    /// Its fields as they are written, without those that are left out.
    fn define(&self) -> Definition;
}

/// Builds a [`Definition`].
#[derive(Default)]
pub(crate) struct Define(Definition);

impl Define {
    #[expect(clippy::needless_pass_by_value, reason = "whatever prints may be handed over")]
    pub(crate) fn text(mut self, name: &str, value: impl ToString) -> Self {
        self.0.insert(name.to_owned(), Value::String(value.to_string()));
        self
    }

    pub(crate) fn maybe(self, name: &str, value: Option<impl ToString>) -> Self {
        match value {
            Some(value) => self.text(name, value),
            None => self,
        }
    }

    pub(crate) fn value(mut self, name: &str, value: impl Into<Value>) -> Self {
        self.0.insert(name.to_owned(), value.into());
        self
    }

    pub(crate) fn done(self) -> Definition {
        self.0
    }
}
