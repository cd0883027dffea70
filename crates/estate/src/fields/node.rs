//! A written tree with the place of each value: what TOML, a CSV row and a record have in common.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A value and its bytes in the file.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    pub(crate) span: Range<usize>,
    pub(crate) value: Value,
}

#[derive(Debug, Clone)]
pub(crate) enum Value {
    Text(String),
    /// A bare number, as written.
    Number(String),
    Flag(bool),
    List(Vec<Node>),
    Table(Table),
    /// A bare date or time, for which no field has a use.
    Date,
}

impl Value {
    pub(crate) fn sort(&self) -> &'static str {
        match self {
            Self::Text(_) => "text",
            Self::Number(_) => "a bare number",
            Self::Flag(_) => "true or false",
            Self::List(_) => "a list",
            Self::Table(_) => "a table",
            Self::Date => "a bare date",
        }
    }
}

/// Named values.
#[derive(Debug, Clone, Default)]
pub(crate) struct Table(pub(crate) Vec<Entry>);

#[derive(Debug, Clone)]
pub(crate) struct Entry {
    pub(crate) name: String,
    pub(crate) name_span: Range<usize>,
    pub(crate) node: Node,
}

impl Table {
    pub(crate) fn get(&self, name: &str) -> Option<&Entry> {
        self.0.iter().find(|e| e.name == name)
    }

    pub(crate) fn from_toml(table: &DeTable<'_>) -> Self {
        let mut entries: Vec<Entry> = table
            .iter()
            .map(|(name, value)| Entry {
                name: name.get_ref().to_string(),
                name_span: name.span(),
                node: Node::from_toml(value),
            })
            .collect();
        // Faults are told in the order of the file.
        entries.sort_by_key(|e| e.name_span.start);
        Self(entries)
    }

    pub(crate) fn from_json<'a>(
        map: impl IntoIterator<Item = (&'a String, &'a serde_json::Value)>,
    ) -> Self {
        let entry = |(name, value): (&String, _)| Entry {
            name: name.clone(),
            name_span: 0..0,
            node: Node::from_json(value),
        };
        Self(map.into_iter().map(entry).collect())
    }
}

impl Node {
    fn from_toml(value: &Spanned<DeValue<'_>>) -> Self {
        let span = value.span();
        let value = match value.get_ref() {
            DeValue::String(s) => Value::Text(s.to_string()),
            DeValue::Integer(i) if i.radix() == 10 => Value::Number(i.as_str().to_owned()),
            DeValue::Integer(i) => Value::Number(format!("{i:?}")),
            DeValue::Float(x) => Value::Number(x.as_str().to_owned()),
            DeValue::Boolean(b) => Value::Flag(*b),
            DeValue::Datetime(_) => Value::Date,
            DeValue::Array(items) => Value::List(items.iter().map(Self::from_toml).collect()),
            DeValue::Table(table) => Value::Table(Table::from_toml(table)),
        };
        Self { span, value }
    }

    fn from_json(value: &serde_json::Value) -> Self {
        use serde_json::Value as Json;
        let value = match value {
            Json::String(s) => Value::Text(s.clone()),
            Json::Number(n) => Value::Number(n.to_string()),
            Json::Bool(b) => Value::Flag(*b),
            Json::Array(items) => Value::List(items.iter().map(Self::from_json).collect()),
            Json::Object(map) => Value::Table(Table::from_json(map)),
            Json::Null => Value::Text(String::new()),
        };
        Self { span: 0..0, value }
    }
}
