//! Reads the fields of one thing, and gathers every fault on the way.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::str::FromStr;

use ouncewise_estate::fault::nearest;
use ouncewise_estate::{Fault, Misread, Place, Severity};

use super::place::{At, Lines};
use crate::field::Field;
use crate::rule::Rule;
use crate::words::Words;
use ouncewise_estate::written::{Entry, Node, Table, Value};

pub(crate) type Span = std::ops::Range<usize>;

/// A text being read, and what is wrong with it so far.
pub(crate) struct Reader<'a> {
    pub(crate) lines: Lines<'a>,
    faults: RefCell<Vec<Fault>>,
}

impl<'a> Reader<'a> {
    pub(crate) fn new(file: &'a str, text: &'a str) -> Self {
        Self { lines: Lines::new(file, text), faults: RefCell::default() }
    }

    pub(crate) fn place(&self, span: Span) -> Place {
        self.lines.place(span)
    }

    pub(crate) fn at(&self, span: Span) -> At {
        At(self.place(span))
    }

    pub(crate) fn refuse(
        &self,
        rule: Rule,
        span: Span,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) {
        self.faults.borrow_mut().push(Fault {
            code: rule.code(),
            severity: Severity::Error,
            place: self.place(span),
            message: message.into(),
            hint: Some(hint.into()),
        });
    }

    pub(crate) fn faults(self) -> Vec<Fault> {
        let mut faults = self.faults.into_inner();
        faults.sort_by_key(|fault| (fault.place.line, fault.place.column));
        faults
    }
}

/// The fields of one thing as they were written.
pub(crate) struct Fields<'a> {
    pub(crate) reader: &'a Reader<'a>,
    table: &'a Table,
    /// Where the thing itself stands: what is missing is told here.
    pub(crate) whole: Span,
    thing: String,
}

/// What a reader of a value is given: the reader, the value's text and where it stands.
impl<'a> Fields<'a> {
    /// The fields of a thing; what it does not know is refused at once.
    pub(crate) fn new(
        reader: &'a Reader<'a>,
        table: &'a Table,
        specs: &[Field],
        whole: Span,
        thing: impl Into<String>,
    ) -> Self {
        let thing = thing.into();
        for entry in &table.0 {
            if !specs.iter().any(|spec| spec.name == entry.name) {
                let names = specs.iter().map(|spec| spec.name);
                let hint = match nearest(&entry.name, names.clone()) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("its fields are {}", names.collect::<Vec<_>>().join(", ")),
                };
                let message = format!("{thing} has no field `{}`", entry.name);
                reader.refuse(Rule::UnknownField, entry.name_span.clone(), message, hint);
            }
        }
        for spec in specs.iter().filter(|spec| spec.must) {
            if table.get(spec.name).is_none() {
                let message = format!("{thing} has no `{}`", spec.name);
                let hint = format!("{}: write {}", spec.says, spec.example);
                reader.refuse(Rule::Missing, whole.clone(), message, hint);
            }
        }
        Self { reader, table, whole, thing }
    }

    pub(crate) fn entry(&self, name: &str) -> Option<&'a Entry> {
        self.table.get(name)
    }

    fn wrong(&self, node: &Node, name: &str, wanted: &str) {
        let message = format!("`{name}` of {} is {}", self.thing, node.value.sort());
        self.reader.refuse(Rule::WrongSort, node.span.clone(), message, format!("write {wanted}"));
    }

    /// A text, with where it stands.
    pub(crate) fn text_at(&self, name: &str) -> Option<(String, Span)> {
        let node = &self.entry(name)?.node;
        match &node.value {
            Value::Text(text) => {
                sound(self.reader, text, node).then(|| (text.clone(), node.span.clone()))
            }
            _ => {
                self.wrong(node, name, "a text in quotation marks");
                None
            }
        }
    }

    pub(crate) fn text(&self, name: &str) -> Option<String> {
        self.text_at(name).map(|(text, _)| text)
    }

    /// A value that is read from a text.
    pub(crate) fn of<T: FromStr<Err = Misread>>(&self, name: &str) -> Option<T> {
        let (text, span) = self.text_at(name)?;
        match text.parse() {
            Ok(value) => Some(value),
            Err(Misread { message, hint }) => {
                self.reader.refuse(Rule::WrongSort, span, format!("`{name}`: {message}"), hint);
                None
            }
        }
    }

    /// One of some words.
    pub(crate) fn choice<T: Copy>(&self, name: &str, words: &[(&str, T)]) -> Option<T> {
        let (text, span) = self.text_at(name)?;
        let found = words.iter().find(|(word, _)| *word == text).map(|(_, value)| *value);
        if found.is_none() {
            let all: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            let hint = match nearest(&text, all.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("write one of {}", all.join(", ")),
            };
            let message = format!("`{name}` cannot be `{text}`");
            self.reader.refuse(Rule::WrongSort, span, message, hint);
        }
        found
    }

    pub(crate) fn flag(&self, name: &str) -> bool {
        let Some(entry) = self.entry(name) else { return false };
        match entry.node.value {
            Value::Flag(flag) => flag,
            _ => {
                self.wrong(&entry.node, name, "true or false");
                false
            }
        }
    }

    /// A whole number within limits.
    pub(crate) fn number(&self, name: &str, from: u8, to: u8) -> Option<u8> {
        let node = &self.entry(name)?.node;
        let number = match &node.value {
            Value::Number(text) => text.parse::<u8>().ok(),
            _ => None,
        };
        let number = number.filter(|number| (from..=to).contains(number));
        if number.is_none() {
            self.wrong(node, name, &format!("a whole number from {from} to {to}"));
        }
        number
    }

    /// A sentence for each language.
    pub(crate) fn words(&self, name: &str) -> Words {
        let Some(entry) = self.entry(name) else { return Words::default() };
        words(self.reader, &entry.node, name)
    }

    /// Texts, each with where it stands.
    pub(crate) fn list(&self, name: &str) -> Vec<(String, Span)> {
        let Some(entry) = self.entry(name) else { return Vec::new() };
        let mut texts = Vec::new();
        let Value::List(items) = &entry.node.value else {
            self.wrong(&entry.node, name, "a list of texts in brackets");
            return texts;
        };
        for item in items {
            match &item.value {
                Value::Text(text) if sound(self.reader, text, item) => {
                    texts.push((text.clone(), item.span.clone()));
                }
                Value::Text(_) => {}
                _ => self.wrong(item, name, "texts in quotation marks"),
            }
        }
        texts
    }

    /// Tables in a list.
    pub(crate) fn tables(&self, name: &str) -> Vec<(&'a Table, Span)> {
        let Some(entry) = self.entry(name) else { return Vec::new() };
        let mut tables = Vec::new();
        let Value::List(items) = &entry.node.value else {
            self.wrong(&entry.node, name, "tables, each beginning with its name in two brackets");
            return tables;
        };
        for item in items {
            match &item.value {
                Value::Table(table) => tables.push((table, item.span.clone())),
                _ => self.wrong(item, name, "tables"),
            }
        }
        tables
    }

    /// Named entries of a table; none where it is not there.
    pub(crate) fn named(&self, name: &str) -> &'a [Entry] {
        match self.entry(name).map(|entry| (&entry.node.value, &entry.node)) {
            Some((Value::Table(table), _)) => &table.0,
            Some((_, node)) => {
                self.wrong(node, name, "a table of names");
                &[]
            }
            None => &[],
        }
    }
}

/// Sentences by language.
pub(crate) fn words(reader: &Reader<'_>, node: &Node, name: &str) -> Words {
    let Value::Table(table) = &node.value else {
        let message = format!("`{name}` is {}", node.value.sort());
        let hint = format!("write a sentence for each language: `{name}.en = \"…\"`");
        reader.refuse(Rule::WrongSort, node.span.clone(), message, hint);
        return Words::default();
    };
    let mut by_language = BTreeMap::new();
    for entry in &table.0 {
        let is_code = (2..=8).contains(&entry.name.len())
            && entry.name.bytes().all(|b| b.is_ascii_lowercase() || b == b'-');
        match &entry.node.value {
            Value::Text(text) if is_code => {
                if sound(reader, text, &entry.node) && !text.trim().is_empty() {
                    by_language.insert(entry.name.clone(), text.clone());
                }
            }
            _ => {
                let message = format!("`{name}.{}` is no sentence of a language", entry.name);
                let hint = "write the language's short code and a text: `en = \"…\"`";
                reader.refuse(Rule::WrongSort, entry.name_span.clone(), message, hint);
            }
        }
    }
    Words(by_language)
}

/// Longest text, in characters.
const LONGEST: usize = 2000;

/// Whether a text can be shown: no control characters but line ends, and not too long.
fn sound(reader: &Reader<'_>, text: &str, node: &Node) -> bool {
    let odd = text.chars().any(|c| c.is_control() && c != '\n');
    let long = text.chars().count() > LONGEST;
    if odd || long {
        let message =
            if odd { "the text holds control characters" } else { "the text is too long" };
        let hint = format!("write plain words, at most {LONGEST} characters");
        reader.refuse(Rule::WrongSort, node.span.clone(), message, hint);
    }
    !odd && !long
}
