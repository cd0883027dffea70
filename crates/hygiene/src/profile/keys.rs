//! Reading a TOML table key by key, keeping every fault: a wrong key does not hide the next one.

use std::cell::RefCell;

use toml::{Table, Value};

use super::FieldFault;

/// Where faults are kept while a file is read.
pub(super) type Faults = RefCell<Vec<FieldFault>>;

/// One table, and where it stands.
pub(super) struct Keys<'a> {
    table: &'a Table,
    path: String,
    faults: &'a Faults,
    asked: RefCell<Vec<&'static str>>,
}

impl<'a> Keys<'a> {
    pub(super) fn new(table: &'a Table, path: String, faults: &'a Faults) -> Self {
        Self { table, path, faults, asked: RefCell::default() }
    }

    /// A key with the way to it.
    pub(super) fn at(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }

    pub(super) fn fault(&self, key: &str, what: impl Into<String>, mend: impl Into<String>) {
        let key = if key.is_empty() { self.path.clone() } else { self.at(key) };
        self.faults.borrow_mut().push(FieldFault::new(key, what, mend));
    }

    fn get(&self, key: &'static str) -> Option<&'a Value> {
        self.asked.borrow_mut().push(key);
        self.table.get(key)
    }

    fn wrong(&self, key: &str, value: &Value, wanted: &str) {
        self.fault(key, format!("it is {}", kind(value)), format!("write {wanted}"));
    }

    /// Whether a key is there at all.
    pub(super) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// A text with something in it, if the key is there.
    pub(super) fn text(&self, key: &'static str) -> Option<String> {
        match self.get(key)? {
            Value::String(text) if !text.trim().is_empty() => Some(text.trim().to_owned()),
            Value::String(_) => {
                self.fault(key, "it is empty", "write the text, or leave the key out");
                None
            }
            value => {
                self.wrong(key, value, "a text in quotation marks");
                None
            }
        }
    }

    /// A text that must be there.
    pub(super) fn need_text(&self, key: &'static str, mend: &str) -> String {
        if !self.table.contains_key(key) {
            self.missing(key, mend);
        }
        self.text(key).unwrap_or_default()
    }

    pub(super) fn missing(&self, key: &'static str, mend: &str) {
        self.asked.borrow_mut().push(key);
        self.fault(key, "it is missing", mend);
    }

    /// A number over zero, if the key is there.
    pub(super) fn number(&self, key: &'static str) -> Option<f64> {
        #[expect(clippy::cast_precision_loss, reason = "figures of a code are small")]
        let number = match self.get(key)? {
            Value::Integer(number) => *number as f64,
            Value::Float(number) => *number,
            value => {
                self.wrong(key, value, "a number without its unit, such as `50`");
                return None;
            }
        };
        if number > 0.0 && number.is_finite() {
            return Some(number);
        }
        self.fault(
            key,
            format!("{number} is not over zero"),
            "write the figure of the code, or leave the key out",
        );
        None
    }

    /// A number that must be there.
    pub(super) fn need_number(&self, key: &'static str, mend: &str) -> Option<f64> {
        if !self.table.contains_key(key) {
            self.missing(key, mend);
        }
        self.number(key)
    }

    /// Yes or no; no if the key is not there.
    pub(super) fn flag(&self, key: &'static str) -> bool {
        match self.get(key) {
            None => false,
            Some(Value::Boolean(flag)) => *flag,
            Some(value) => {
                self.wrong(key, value, "`true` or `false`");
                false
            }
        }
    }

    /// One of a closed list of words, if the key is there.
    pub(super) fn word<T: Copy>(&self, key: &'static str, words: &[(&str, T)]) -> Option<T> {
        let text = self.text(key)?;
        let found = words.iter().find(|(word, _)| *word == text).map(|(_, value)| *value);
        if found.is_none() {
            let list: Vec<String> = words.iter().map(|(word, _)| format!("`{word}`")).collect();
            self.fault(
                key,
                format!("`{}` is none of its words", short(&text)),
                format!("write one of {}", list.join(", ")),
            );
        }
        found
    }

    /// One of a closed list of words, which must be there.
    pub(super) fn need_word<T: Copy>(&self, key: &'static str, words: &[(&str, T)]) -> Option<T> {
        if !self.table.contains_key(key) {
            let list: Vec<String> = words.iter().map(|(word, _)| format!("`{word}`")).collect();
            self.missing(key, &format!("write one of {}", list.join(", ")));
        }
        self.word(key, words)
    }

    /// A list of texts; empty if the key is not there.
    pub(super) fn texts(&self, key: &'static str) -> Vec<String> {
        let Some(value) = self.get(key) else { return Vec::new() };
        let Value::Array(items) = value else {
            self.wrong(key, value, "a list of texts, such as `[\"milk\", \"egg\"]`");
            return Vec::new();
        };
        let mut texts = Vec::new();
        for (index, item) in items.iter().enumerate() {
            match item {
                Value::String(text) if !text.trim().is_empty() => {
                    texts.push(text.trim().to_owned());
                }
                _ => self.fault(
                    &format!("{key}[{}]", index + 1),
                    "it is no text",
                    "write it in quotation marks",
                ),
            }
        }
        texts
    }

    /// A table under a key, if it is there.
    pub(super) fn table(&self, key: &'static str) -> Option<Keys<'a>> {
        match self.get(key)? {
            Value::Table(table) => Some(Keys::new(table, self.at(key), self.faults)),
            value => {
                self.wrong(key, value, &format!("a table, under the heading `[{key}]`"));
                None
            }
        }
    }

    /// The tables of a list, counted from 1; none if the key is not there.
    pub(super) fn tables(&self, key: &'static str) -> Vec<Keys<'a>> {
        let Some(value) = self.get(key) else { return Vec::new() };
        let Value::Array(items) = value else {
            self.wrong(
                key,
                value,
                &format!("a list of tables, each under the heading `[[{key}]]`"),
            );
            return Vec::new();
        };
        let mut tables = Vec::new();
        for (index, item) in items.iter().enumerate() {
            let path = format!("{key}[{}]", index + 1);
            match item {
                Value::Table(table) => tables.push(Keys::new(table, self.at(&path), self.faults)),
                value => self.wrong(&path, value, "a table"),
            }
        }
        tables
    }

    /// Names every key that nobody asked for.
    pub(super) fn done(&self) {
        let asked = self.asked.borrow();
        for key in self.table.keys().filter(|key| !asked.contains(&key.as_str())) {
            let known: Vec<&str> =
                asked.iter().copied().filter(|known| !self.table.contains_key(*known)).collect();
            let mend = match known.iter().find(|known| near(known, key)) {
                Some(meant) => format!("write `{meant}` if that is what was meant"),
                None if known.is_empty() => "take it out".to_owned(),
                None => format!("take it out; the other keys here are {}", known.join(", ")),
            };
            self.fault(&short(key), "this key is not known here", mend);
        }
    }
}

/// What a value is, in words.
fn kind(value: &Value) -> &'static str {
    match value {
        Value::String(_) => "a text",
        Value::Integer(_) | Value::Float(_) => "a number",
        Value::Boolean(_) => "a yes or no",
        Value::Datetime(_) => "a date or a time",
        Value::Array(_) => "a list",
        Value::Table(_) => "a table",
    }
}

/// The beginning of somebody's text, for an error.
pub(super) fn short(text: &str) -> String {
    text.chars().take(40).map(|c| if c.is_control() { '\u{fffd}' } else { c }).collect()
}

/// Whether one key is the other but for a letter too many, too few or wrong.
fn near(one: &str, other: &str) -> bool {
    let (one, other): (Vec<char>, Vec<char>) =
        (one.chars().collect(), other.to_lowercase().chars().collect());
    let same_start = one.iter().zip(&other).take_while(|(a, b)| a == b).count();
    let same_end = one.iter().rev().zip(other.iter().rev()).take_while(|(a, b)| a == b).count();
    let longest = one.len().max(other.len());
    one.len().abs_diff(other.len()) <= 1 && same_start + same_end + 1 >= longest
}
