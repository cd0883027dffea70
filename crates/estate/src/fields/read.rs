//! Reads the fields of one thing, and gathers every fault on the way.

use std::ops::Range;
use std::str::FromStr;

use ouncewise_measure::quantity::{Dimension, Fault as QuantityFault, QuantityError};
use ouncewise_measure::{DrawRead, Quantity};
use rust_decimal::Decimal;

use super::code;
use super::{Described, Field};
use crate::fault::{Severity, nearest};
use crate::key::Key;
use crate::misread::Misread;
use crate::percent::{Percent, decimal};
use crate::written::{Entry, Node, Table, Value};

pub(crate) type Span = Range<usize>;

/// A fault within one file: its place is only bytes.
#[derive(Debug, Clone)]
pub(crate) struct Flaw {
    pub(crate) code: &'static str,
    pub(crate) severity: Severity,
    pub(crate) span: Span,
    pub(crate) message: String,
    pub(crate) hint: Option<String>,
}

/// The fields of one thing as they were written.
pub(crate) struct Fields<'a> {
    table: &'a Table,
    specs: &'static [Field],
    /// Where the thing itself stands: what is missing is told here.
    whole: Span,
    thing: &'a str,
    flaws: &'a mut Vec<Flaw>,
    errors: usize,
}

/// Reads a thing, if nothing about it is wrong.
pub(crate) fn thing<T: Described>(
    table: &Table,
    whole: Span,
    name: &str,
    flaws: &mut Vec<Flaw>,
) -> Option<T> {
    let mut fields = Fields::new(table, T::FIELDS, whole, name, flaws);
    fields.refuse_unknown();
    let thing = T::read(&mut fields);
    thing.filter(|_| fields.clean())
}

/// Longest text and longest note, in characters.
const LONGEST_TEXT: usize = 200;
const LONGEST_NOTE: usize = 4000;

impl<'a> Fields<'a> {
    pub(crate) fn new(
        table: &'a Table,
        specs: &'static [Field],
        whole: Span,
        thing: &'a str,
        flaws: &'a mut Vec<Flaw>,
    ) -> Self {
        let errors = 0;
        Self { table, specs, whole, thing, flaws, errors }
    }

    /// Whether nothing was refused so far.
    pub(crate) fn clean(&self) -> bool {
        self.errors == 0
    }

    pub(crate) fn refuse(
        &mut self,
        code: &'static str,
        span: Span,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) {
        self.errors += 1;
        self.flaws.push(Flaw {
            code,
            severity: Severity::Error,
            span,
            message: message.into(),
            hint: Some(hint.into()),
        });
    }

    /// Refuses the thing without a word, since the cause is told elsewhere.
    pub(crate) fn spoil(&mut self) {
        self.errors += 1;
    }

    /// Refuses what is written in a field (or the thing, where the field is not there).
    pub(crate) fn refuse_field(
        &mut self,
        name: &str,
        code: &'static str,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) {
        let span = self.span(name);
        self.refuse(code, span, message, hint);
    }

    pub(crate) fn warn_field(
        &mut self,
        name: &str,
        code: &'static str,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) {
        self.flaws.push(Flaw {
            code,
            severity: Severity::Warning,
            span: self.span(name),
            message: message.into(),
            hint: Some(hint.into()),
        });
    }

    pub(crate) fn span(&self, name: &str) -> Span {
        self.table.get(name).map_or(self.whole.clone(), |e| e.node.span.clone())
    }

    pub(crate) fn has(&self, name: &str) -> bool {
        self.entry(name).is_some()
    }

    /// Refuses every field that the thing does not have.
    pub(crate) fn refuse_unknown(&mut self) {
        for entry in &self.table.0 {
            if self.specs.iter().all(|f| f.name != entry.name) {
                let (message, hint) = unknown(self.thing, "field", &entry.name, self.specs);
                self.refuse(code::UNKNOWN_FIELD, entry.name_span.clone(), message, hint);
            }
        }
    }

    /// Refuses those of the fields that do not go with the kind of this thing.
    pub(crate) fn refuse_others(&mut self, kind: &str, allowed: &[&str]) {
        for entry in &self.table.0 {
            let known = self.specs.iter().any(|f| f.name == entry.name);
            if known && !allowed.contains(&entry.name.as_str()) {
                self.refuse(
                    code::OTHER_KIND,
                    entry.name_span.clone(),
                    format!("`{}` does not go with {kind}", entry.name),
                    format!("leave it out, or change the kind; {kind} takes {}", listed(allowed)),
                );
            }
        }
    }

    /// What is written in a field; an empty text is nothing.
    fn entry(&self, name: &str) -> Option<&'a Entry> {
        self.table
            .get(name)
            .filter(|e| !matches!(&e.node.value, Value::Text(t) if t.trim().is_empty()))
    }

    /// As [`Fields::entry`], and tells of it when a field that must be there is not.
    fn expect(&mut self, name: &str) -> Option<&'a Entry> {
        let found = self.entry(name);
        let spec = self.specs.iter().find(|f| f.name == name);
        if let (None, Some(spec)) = (found, spec.filter(|f| f.must)) {
            let span = self.span(name);
            self.refuse(
                code::MISSING,
                span,
                format!("{} has no `{name}`", self.thing),
                format!("{}: `{}`", spec.says, spec.example),
            );
        }
        found
    }

    /// Says that a field must be there in this case.
    pub(crate) fn need(&mut self, name: &str, why: &str) {
        if !self.has(name) {
            let example = self.specs.iter().find(|f| f.name == name).map_or("", |f| f.example);
            let span = self.span(name);
            self.refuse(
                code::MISSING,
                span,
                format!("{} has no `{name}`", self.thing),
                format!("{why}: `{example}`"),
            );
        }
    }

    fn wrong_sort(&mut self, entry: &Entry, wanted: &str) {
        self.refuse(
            code::WRONG_SORT,
            entry.node.span.clone(),
            format!("`{}` is {} and not {wanted}", entry.name, entry.node.value.sort()),
            match (&entry.node.value, self.specs.iter().find(|f| f.name == entry.name)) {
                (Value::Date, _) => "write it in quotes".to_owned(),
                (_, Some(spec)) => format!("write it like `{}`", written(spec)),
                (_, None) => format!("write {wanted}"),
            },
        );
    }

    /// The text of a field, trimmed. A bare number stands for its own digits.
    fn raw(&mut self, name: &str) -> Option<(&'a str, &'a Node)> {
        let entry = self.expect(name)?;
        match &entry.node.value {
            Value::Text(t) | Value::Number(t) => Some((t.trim(), &entry.node)),
            _ => {
                self.wrong_sort(entry, "text");
                None
            }
        }
    }

    fn parsed<T: FromStr<Err = Misread>>(&mut self, name: &str, code: &'static str) -> Option<T> {
        let (text, node) = self.raw(name)?;
        match text.parse() {
            Ok(value) => Some(value),
            Err(Misread { message, hint }) => {
                self.refuse(code, node.span.clone(), message, hint);
                None
            }
        }
    }

    /// As [`FromStr`] of the type, with the code of its faults.
    pub(crate) fn of<T: FromStr<Err = Misread> + Coded>(&mut self, name: &str) -> Option<T> {
        self.parsed(name, T::CODE)
    }

    /// What is written, if it can be read; what is wrong with it is told by whoever reads it in earnest.
    pub(crate) fn peek<T: FromStr>(&self, name: &str) -> Option<T> {
        match &self.entry(name)?.node.value {
            Value::Text(t) | Value::Number(t) => t.trim().parse().ok(),
            _ => None,
        }
    }

    /// Whether a flag is set.
    pub(crate) fn peek_flag(&self, name: &str) -> bool {
        self.entry(name).is_some_and(|e| match &e.node.value {
            Value::Flag(flag) => *flag,
            Value::Text(t) => flag_word(t) == Some(true),
            _ => false,
        })
    }

    /// Words on one line.
    pub(crate) fn text(&mut self, name: &str) -> Option<String> {
        let (text, node) = self.raw(name)?;
        self.plain(text, node, name, LONGEST_TEXT, false)
    }

    /// Words over several lines.
    pub(crate) fn note(&mut self, name: &str) -> Option<String> {
        let (text, node) = self.raw(name)?;
        let text = text.replace("\r\n", "\n");
        self.plain(&text, node, name, LONGEST_NOTE, true)
    }

    fn plain(
        &mut self,
        text: &str,
        node: &Node,
        name: &str,
        longest: usize,
        lines: bool,
    ) -> Option<String> {
        if let Some(c) = text.chars().find(|c| hidden(*c) && !(lines && *c == '\n')) {
            self.refuse(
                code::BAD_TEXT,
                node.span.clone(),
                format!("`{name}` holds the hidden character U+{:04X}", u32::from(c)),
                "take it out; line breaks, tabs and marks that turn the writing cannot stand here",
            );
            return None;
        }
        if text.chars().count() > longest {
            self.refuse(
                code::BAD_TEXT,
                node.span.clone(),
                format!("`{name}` has more than {longest} characters"),
                "shorten it",
            );
            return None;
        }
        Some(text.to_owned())
    }

    pub(crate) fn flag(&mut self, name: &str) -> Option<bool> {
        let entry = self.expect(name)?;
        match &entry.node.value {
            Value::Flag(flag) => Some(*flag),
            Value::Text(t) => match flag_word(t) {
                Some(flag) => Some(flag),
                None => {
                    self.refuse(
                        code::NOT_A_CHOICE,
                        entry.node.span.clone(),
                        format!("`{t}` is neither yes nor no"),
                        "write `yes`, or `no`, or leave it empty",
                    );
                    None
                }
            },
            _ => {
                self.wrong_sort(entry, "yes or no");
                None
            }
        }
    }

    /// One of several words.
    pub(crate) fn choice<T: Copy>(&mut self, name: &str, choices: &[(&str, T)]) -> Option<T> {
        let (text, node) = self.raw(name)?;
        let found = choices.iter().find(|(word, _)| word.eq_ignore_ascii_case(text));
        if found.is_none() {
            let words: Vec<&str> = choices.iter().map(|(w, _)| *w).collect();
            self.refuse(
                code::NOT_A_CHOICE,
                node.span.clone(),
                format!("`{text}` cannot stand in `{name}`"),
                match nearest(text, words.iter().copied()) {
                    Some(word) => format!("did you mean `{word}`? it takes {}", listed(&words)),
                    None => format!("write one of {}", listed(&words)),
                },
            );
        }
        found.map(|(_, value)| *value)
    }

    /// A bare number.
    pub(crate) fn number(&mut self, name: &str) -> Option<Decimal> {
        let (text, node) = self.raw(name)?;
        let read = decimal(text);
        if read.is_none() {
            self.refuse(
                code::NUMBER,
                node.span.clone(),
                format!("`{text}` is not a number"),
                "write digits with at most one decimal point, and no unit: `5`, `0.5`",
            );
        }
        read
    }

    /// A percent that lies above nothing and up to `most`.
    pub(crate) fn percent(&mut self, name: &str, most: u32) -> Option<Percent> {
        let percent: Percent = self.of(name)?;
        if percent.0.is_sign_negative() || percent.0.is_zero() || percent.0 > most.into() {
            self.refuse_field(
                name,
                code::OUT_OF_RANGE,
                format!("`{name}` is {percent}"),
                format!("it must be over 0 % and at most {most} %"),
            );
            return None;
        }
        Some(percent)
    }

    /// A quantity of one of these dimensions.
    pub(crate) fn quantity(&mut self, name: &str, allowed: &[Dimension]) -> Option<Quantity> {
        let (text, node) = self.raw(name)?;
        let quantity = match text.parse::<Quantity>() {
            Ok(quantity) => quantity,
            Err(error) => {
                self.refuse_quantity(code::QUANTITY, text, node, error);
                return None;
            }
        };
        if !allowed.contains(&quantity.unit.dimension()) {
            let wanted: Vec<&str> = allowed.iter().map(|d| example(*d)).collect();
            self.refuse(
                code::WRONG_UNIT,
                node.span.clone(),
                format!("`{name}` cannot be in {}", quantity.unit),
                format!("write it like {}", listed(&wanted)),
            );
            return None;
        }
        Some(quantity)
    }

    /// A quantity above nothing.
    pub(crate) fn positive(&mut self, name: &str, allowed: &[Dimension]) -> Option<Quantity> {
        let quantity = self.quantity(name, allowed)?;
        self.above(name, quantity, false)
    }

    /// A quantity that is not below nothing.
    pub(crate) fn not_negative(&mut self, name: &str, allowed: &[Dimension]) -> Option<Quantity> {
        let quantity = self.quantity(name, allowed)?;
        self.above(name, quantity, true)
    }

    fn above(&mut self, name: &str, quantity: Quantity, zero: bool) -> Option<Quantity> {
        let number = quantity.number;
        if number.is_zero() && zero || number > Decimal::ZERO {
            return Some(quantity);
        }
        self.refuse_field(
            name,
            code::OUT_OF_RANGE,
            format!("`{name}` is {quantity}"),
            if zero { "it must be zero or more" } else { "it must be more than nothing" },
        );
        None
    }

    /// Seconds, or whole doses.
    pub(crate) fn draw(&mut self, name: &str) -> Option<DrawRead> {
        let (text, node) = self.raw(name)?;
        match text.parse::<DrawRead>() {
            Ok(draw) => Some(draw),
            Err(error) => {
                self.refuse_quantity(code::DRAW, text, node, error);
                None
            }
        }
    }

    fn refuse_quantity(
        &mut self,
        otherwise: &'static str,
        text: &str,
        node: &Node,
        error: QuantityError,
    ) {
        let code = match error.fault {
            QuantityFault::WhichUnit => code::WHICH_UNIT,
            QuantityFault::WrongDimension => code::WRONG_UNIT,
            QuantityFault::TooSmall => code::OUT_OF_RANGE,
            _ => otherwise,
        };
        // Where the text stands in the file as it is, the caret goes to the very word.
        let quotes = match node.span.len().checked_sub(text.len()) {
            Some(0) => Some(0),
            Some(2) => Some(1),
            _ => None,
        };
        let span = match quotes {
            Some(n) if !error.span.is_empty() => {
                let start = node.span.start + n;
                start + error.span.start..start + error.span.end
            }
            _ => node.span.clone(),
        };
        self.refuse(code, span, error.what, error.mend);
    }

    /// A list of words; in a cell they are parted by `;`.
    pub(crate) fn words(&mut self, name: &str) -> Option<Vec<String>> {
        let entry = self.expect(name)?;
        let mut words: Vec<String> = Vec::new();
        match &entry.node.value {
            Value::Text(t) => words.extend(t.split(';').map(|w| w.trim().to_owned())),
            Value::List(items) => {
                for item in items {
                    match &item.value {
                        Value::Text(t) => words.push(t.trim().to_owned()),
                        _ => {
                            self.wrong_sort(entry, "a list of words");
                            return None;
                        }
                    }
                }
            }
            _ => {
                self.wrong_sort(entry, "a list of words");
                return None;
            }
        }
        words.retain(|w| !w.is_empty());
        for word in &words {
            self.plain(word, &entry.node, name, LONGEST_TEXT, false)?;
        }
        Some(words)
    }

    /// Reads a table within this one.
    pub(crate) fn within<T: Described>(&mut self, name: &str) -> Option<T> {
        let entry = self.expect(name)?;
        let Value::Table(table) = &entry.node.value else {
            self.wrong_sort(entry, "a table");
            return None;
        };
        let before = self.flaws.len();
        let read = thing(table, entry.name_span.clone(), T::NAME, self.flaws);
        self.count_since(before);
        read
    }

    /// Reads tables by key within this one.
    pub(crate) fn by_key<T: Described>(&mut self, name: &str) -> Vec<(Key, T)> {
        let Some(entry) = self.expect(name) else {
            return Vec::new();
        };
        let Value::Table(table) = &entry.node.value else {
            self.wrong_sort(entry, "a table");
            return Vec::new();
        };
        let before = self.flaws.len();
        let read = tables(table, self.flaws, |_| {});
        self.count_since(before);
        read
    }

    fn count_since(&mut self, before: usize) {
        let new = &self.flaws[before..];
        self.errors += new.iter().filter(|f| f.severity == Severity::Error).count();
    }
}

/// Reads tables by key; `named` hears of every key, also of those whose table is refused.
pub(crate) fn tables<T: Described>(
    table: &Table,
    flaws: &mut Vec<Flaw>,
    mut named: impl FnMut(&Key),
) -> Vec<(Key, T)> {
    let mut read = Vec::new();
    for entry in &table.0 {
        let key = match entry.name.parse::<Key>() {
            Ok(key) => key,
            Err(Misread { message, hint }) => {
                flaws.push(Flaw {
                    code: code::BAD_KEY,
                    severity: Severity::Error,
                    span: entry.name_span.clone(),
                    message,
                    hint: Some(hint),
                });
                continue;
            }
        };
        named(&key);
        let Value::Table(inner) = &entry.node.value else {
            flaws.push(Flaw {
                code: code::WRONG_SORT,
                severity: Severity::Error,
                span: entry.node.span.clone(),
                message: format!(
                    "{} `{key}` is {} and not a table",
                    T::NAME,
                    entry.node.value.sort()
                ),
                hint: Some(format!("begin it with a heading in brackets that ends in `{key}`")),
            });
            continue;
        };
        let name = format!("{} `{key}`", T::NAME);
        if let Some(value) = thing(inner, entry.name_span.clone(), &name, flaws) {
            read.push((key, value));
        }
    }
    read
}

/// What to say of a field or column that a thing does not have.
pub(crate) fn unknown(thing: &str, word: &str, name: &str, specs: &[Field]) -> (String, String) {
    let names: Vec<&str> = specs.iter().map(|f| f.name).collect();
    (
        format!("{thing} has no {word} `{name}`"),
        match nearest(name, names.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("it has {}", listed(&names)),
        },
    )
}

/// `a`, `b` and `c`.
pub(crate) fn listed(words: &[&str]) -> String {
    match words {
        [] => "nothing".to_owned(),
        [one] => format!("`{one}`"),
        [some @ .., last] => format!("`{}` and `{last}`", some.join("`, `")),
    }
}

/// Controls, line separators, and marks that turn the direction of writing: the same that a record refuses.
fn hidden(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// What people write for yes and for no.
fn flag_word(text: &str) -> Option<bool> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" | "true" | "x" | "1" => Some(true),
        "no" | "n" | "false" | "0" | "-" => Some(false),
        _ => None,
    }
}

fn written(spec: &Field) -> String {
    match spec.shape {
        super::Shape::Number | super::Shape::Flag => format!("{} = {}", spec.name, spec.example),
        super::Shape::Words => format!("{} = [\"{}\"]", spec.name, spec.example),
        super::Shape::Table(_) | super::Shape::Tables(_) => format!("[{}]", spec.name),
        _ => format!("{} = \"{}\"", spec.name, spec.example),
    }
}

fn example(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Volume => "30 mL",
        Dimension::Mass => "38 g",
        Dimension::Duration => "7 s",
        Dimension::Temperature => "4 °C",
    }
}

/// A type that people type, and the code of its faults.
pub(crate) trait Coded {
    const CODE: &'static str;
}

macro_rules! coded {
    ($($kind:ty = $code:ident;)*) => { $(impl Coded for $kind { const CODE: &'static str = code::$code; })* };
}

coded! {
    Key = BAD_KEY;
    Percent = NO_PERCENT;
    crate::zone::Zone = ZONE;
    crate::money::Currency = CURRENCY;
    crate::money::Cost = COST;
    crate::product::Density = DENSITY;
    crate::life::Life = LIFE;
    crate::turns::Turns = TURNS;
}
