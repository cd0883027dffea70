//! A written tree with the place of each value: what TOML, a CSV row and a record have in common.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// What cannot be read as TOML, and how to mend it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Broken {
    /// Where.
    pub span: Range<usize>,
    /// What.
    pub message: String,
    /// How to mend it.
    pub hint: &'static str,
}

/// Tables nested deeper than this are nobody's text, and would end the program.
const DEEPEST: usize = 32;

/// A TOML text as far as it can be read, and what cannot be; nothing where it is nested too deep.
#[must_use]
pub fn toml(text: &str) -> (Option<Table>, Vec<Broken>) {
    if too_deep(text) {
        let message = format!("brackets are nested more than {DEEPEST} deep");
        let broken = Broken { span: 0..0, message, hint: "no table here is nested that deep" };
        return (None, vec![broken]);
    }
    let (table, errors) = DeTable::parse_recoverable(text);
    let broken = errors.iter().map(|error| Broken {
        span: error.span().unwrap_or(0..0),
        message: error.message().trim().to_owned(),
        hint: "text stands in quotes, and a table begins with its name in brackets",
    });
    (Some(Table::from_toml(table.get_ref())), broken.collect())
}

/// Whether reading a text might end the program.
pub(crate) fn too_deep(text: &str) -> bool {
    deepest(text) > DEEPEST
}

/// How deep opening brackets and dots of a line run at most.
fn deepest(text: &str) -> usize {
    let mut open = 0usize;
    let mut most = 0;
    for line in text.lines() {
        let dots = line.bytes().take_while(|b| *b != b'"').filter(|b| *b == b'.').count();
        most = most.max(dots);
        for byte in line.bytes() {
            match byte {
                b'[' | b'{' => open += 1,
                b']' | b'}' => open = open.saturating_sub(1),
                _ => {}
            }
            most = most.max(open);
        }
    }
    most
}

/// A value and its bytes in the file.
#[derive(Debug, Clone)]
pub struct Node {
    /// Where it stands.
    pub span: Range<usize>,
    /// What is written.
    pub value: Value,
}

/// What may be written.
#[derive(Debug, Clone)]
pub enum Value {
    /// Text.
    Text(String),
    /// A bare number, as written.
    Number(String),
    /// True or false.
    Flag(bool),
    /// Values in brackets.
    List(Vec<Node>),
    /// Named values.
    Table(Table),
    /// A bare date or time, for which no field has a use.
    Date,
}

impl Value {
    /// What sort of value it is, in words.
    #[must_use]
    pub fn sort(&self) -> &'static str {
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

/// Named values, in the order of the text.
#[derive(Debug, Clone, Default)]
pub struct Table(pub Vec<Entry>);

/// A named value.
#[derive(Debug, Clone)]
pub struct Entry {
    /// Its name.
    pub name: String,
    /// Where the name stands.
    pub name_span: Range<usize>,
    /// The value.
    pub node: Node,
}

impl Table {
    /// The value of this name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Entry> {
        self.0.iter().find(|e| e.name == name)
    }

    fn from_toml(table: &DeTable<'_>) -> Self {
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
