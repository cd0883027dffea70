//! The written tree with the place of each value.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

pub(crate) type Span = Range<usize>;

/// A value and its bytes in the text.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    pub(crate) span: Span,
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

/// Named values in the order of the text.
#[derive(Debug, Clone, Default)]
pub(crate) struct Table(pub(crate) Vec<Entry>);

#[derive(Debug, Clone)]
pub(crate) struct Entry {
    pub(crate) name: String,
    pub(crate) name_span: Span,
    pub(crate) node: Node,
}

impl Table {
    pub(crate) fn get(&self, name: &str) -> Option<&Entry> {
        self.0.iter().find(|entry| entry.name == name)
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
        entries.sort_by_key(|entry| entry.name_span.start);
        Self(entries)
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
}

/// How deep opening brackets, or dots of a line, run at most: what is nested too deep would end the program.
pub(crate) fn deepest(text: &str) -> usize {
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
