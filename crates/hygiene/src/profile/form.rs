//! A profile as texts by key, for a form: taken apart, and written as the file that such texts make.
//!
//! A key is named as in faults: `limit[2].from`, rows counted from 1.

use std::collections::{BTreeMap, BTreeSet};

use toml::{Table, Value};

use super::schema::{Key, PROFILE, Shape};

/// Texts by key.
pub type Texts = BTreeMap<String, String>;

/// The key by which a row says that it shall be left out: `limit[2].out`.
pub const OUT: &str = "out";

/// A key of a profile, and what a form asks for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// Its name in the table that it stands in.
    pub name: &'static str,
    /// Whether it must be there.
    pub must: bool,
    /// What it says.
    pub says: &'static str,
    /// What it holds.
    pub holds: Holds,
}

/// What a key holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Holds {
    /// Words.
    Text,
    /// A number.
    Number,
    /// Yes or no; no where it is left out.
    Flag,
    /// One of these words.
    Words(Vec<&'static str>),
    /// Several words, parted by `;`.
    Texts,
    /// Keys of its own.
    One(Vec<Asked>),
    /// Rows, each with these keys.
    Many(Vec<Asked>),
}

/// The keys of a profile, in the order in which they are written.
#[must_use]
pub fn keys() -> Vec<Asked> {
    asked(&[PROFILE])
}

fn asked(keys: &[&[Key]]) -> Vec<Asked> {
    let one = |key: &Key| Asked {
        name: key.name,
        must: key.must,
        says: key.says,
        holds: match &key.shape {
            Shape::Text | Shape::Id => Holds::Text,
            Shape::Number | Shape::Times | Shape::Ph | Shape::Days => Holds::Number,
            Shape::Flag => Holds::Flag,
            Shape::Words(words) => Holds::Words(words()),
            Shape::Texts => Holds::Texts,
            Shape::Table(inner) => Holds::One(asked(inner)),
            Shape::Tables(inner, _) => Holds::Many(asked(inner)),
        },
    };
    keys.iter().copied().flatten().map(one).collect()
}

/// The texts of a profile's file; none where it is not TOML.
#[must_use]
pub fn texts(file: &str) -> Texts {
    let mut texts = Texts::new();
    if let Ok(table) = file.parse::<Table>() {
        flat("", &table, &mut texts);
    }
    texts
}

fn flat(prefix: &str, table: &Table, texts: &mut Texts) {
    for (name, value) in table {
        let path = join(prefix, name);
        match value {
            Value::Table(inner) => flat(&path, inner, texts),
            Value::Array(items) => {
                let mut words = Vec::new();
                for (item, nth) in items.iter().zip(1..) {
                    match item {
                        Value::Table(inner) => flat(&format!("{path}[{nth}]"), inner, texts),
                        item => words.push(plain(item)),
                    }
                }
                if !words.is_empty() {
                    texts.insert(path, words.join("; "));
                }
            }
            value => drop(texts.insert(path, plain(value))),
        }
    }
}

fn plain(value: &Value) -> String {
    match value {
        Value::String(text) => text.trim().to_owned(),
        Value::Boolean(true) => "yes".to_owned(),
        Value::Boolean(false) => "no".to_owned(),
        // Without the point of a whole number.
        Value::Float(number) => number.to_string(),
        value => value.to_string(),
    }
}

fn join(prefix: &str, name: &str) -> String {
    if prefix.is_empty() { name.to_owned() } else { format!("{prefix}.{name}") }
}

/// Whether anything is written at a key or under it.
#[must_use]
pub fn filled(texts: &Texts, path: &str) -> bool {
    texts.iter().any(|(key, text)| {
        let below = key
            .strip_prefix(path)
            .is_some_and(|rest| rest.is_empty() || rest.starts_with('.') || rest.starts_with('['));
        below && !text.trim().is_empty() && !key.ends_with(&format!(".{OUT}"))
    })
}

/// The numbers of the rows under a key, in order: those of which anything is written.
#[must_use]
pub fn rows(texts: &Texts, path: &str) -> Vec<u32> {
    let head = format!("{path}[");
    let number = |key: &String| key.strip_prefix(&head)?.split(']').next()?.parse().ok();
    let numbers: BTreeSet<u32> = texts.keys().filter_map(number).collect();
    numbers.into_iter().filter(|n| filled(texts, &format!("{path}[{n}]"))).collect()
}

/// The same texts without blank ones and without rows that are left out, the others counted from 1: as faults count them.
#[must_use]
pub fn numbered(texts: &Texts) -> Texts {
    let mut out = Texts::new();
    renumber(&keys(), ("", ""), texts, &mut out);
    out
}

fn renumber(keys: &[Asked], (from, to): (&str, &str), texts: &Texts, out: &mut Texts) {
    for key in keys {
        let (from, to) = (join(from, key.name), join(to, key.name));
        match &key.holds {
            Holds::One(inner) => renumber(inner, (&from, &to), texts, out),
            Holds::Many(inner) => {
                let mut count = 0;
                for n in rows(texts, &from) {
                    let row = format!("{from}[{n}]");
                    if texts.get(&format!("{row}.{OUT}")).is_some_and(|text| text == "yes") {
                        continue;
                    }
                    count += 1;
                    renumber(inner, (&row, &format!("{to}[{count}]")), texts, out);
                }
            }
            _ => {
                if let Some(text) = texts.get(&from).map(|t| t.trim()).filter(|t| !t.is_empty()) {
                    out.insert(to, text.to_owned());
                }
            }
        }
    }
}

/// The file that texts make. What cannot be what its key holds is written as a text, so that reading the file says what is
/// wrong with it.
#[must_use]
pub fn written(texts: &Texts) -> String {
    let mut out = String::new();
    write(&keys(), ("", ""), texts, &mut out);
    out
}

fn write(keys: &[Asked], (path, heading): (&str, &str), texts: &Texts, out: &mut String) {
    let table = |holds: &Holds| matches!(holds, Holds::One(_) | Holds::Many(_));
    for key in keys.iter().filter(|key| !table(&key.holds)) {
        let text = texts.get(&join(path, key.name)).map(|text| text.trim());
        if let Some(text) = text.filter(|text| !text.is_empty()) {
            out.push_str(&format!("{} = {}\n", key.name, literal(&key.holds, text)));
        }
    }
    for key in keys {
        let (path, heading) = (join(path, key.name), join(heading, key.name));
        match &key.holds {
            Holds::One(inner) if filled(texts, &path) => {
                out.push_str(&format!("\n[{heading}]\n"));
                write(inner, (&path, &heading), texts, out);
            }
            Holds::Many(inner) => {
                for n in rows(texts, &path) {
                    out.push_str(&format!("\n[[{heading}]]\n"));
                    write(inner, (&format!("{path}[{n}]"), &heading), texts, out);
                }
            }
            _ => {}
        }
    }
}

/// A number beyond this is no figure of a code, and none that a file could hold.
const LARGEST: f64 = 1e12;

fn literal(holds: &Holds, text: &str) -> String {
    let quoted = |text: &str| Value::String(text.to_owned()).to_string();
    match holds {
        Holds::Number => match text.replace(',', ".").parse::<f64>() {
            Ok(number) if number.abs() < LARGEST => number.to_string(),
            _ => quoted(text),
        },
        Holds::Flag => match text.to_lowercase().as_str() {
            "yes" | "true" => "true".to_owned(),
            "no" | "false" => "false".to_owned(),
            _ => quoted(text),
        },
        Holds::Texts => {
            let words = text.split(';').map(str::trim).filter(|word| !word.is_empty());
            let words: Vec<String> = words.map(quoted).collect();
            format!("[{}]", words.join(", "))
        }
        _ => quoted(text),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::profile::Profile;

    #[test]
    fn every_shipped_profile_comes_back_from_its_texts() {
        for (id, file) in Profile::all_shipped() {
            let again = written(&texts(file));
            assert_eq!(Profile::read(&again), Profile::read(file), "{id}");
            assert_eq!(numbered(&texts(&again)), texts(file), "{id}");
        }
    }

    #[test]
    fn rows_that_are_left_out_or_blank_go_and_the_others_are_counted_anew() {
        let (_, file) = Profile::all_shipped().iter().find(|(id, _)| *id == "model-code").unwrap();
        let mut typed = texts(file);
        let all = rows(&typed, "limit").len() as u32;
        let second = typed["limit[2].clause"].clone();
        typed.insert("limit[1].out".to_owned(), "yes".to_owned());
        // A blank row at the end is no row.
        typed.insert(format!("limit[{}].clause", all + 1), "  ".to_owned());
        let left = numbered(&typed);
        assert_eq!(rows(&left, "limit").len() as u32, all - 1);
        assert_eq!(left["limit[1].clause"], second);
        let read = Profile::read(&written(&left)).unwrap();
        assert_eq!(read.limits.len() as u32, all - 1);
    }

    #[test]
    fn what_cannot_be_is_told_at_its_key() {
        let (_, file) = Profile::all_shipped().iter().find(|(id, _)| *id == "model-code").unwrap();
        let mut typed = texts(file);
        for (key, text) in
            [("limit[2].from", "fifty"), ("after.rule", "soak"), ("record[1].should", "perhaps")]
        {
            typed.insert(key.to_owned(), text.to_owned());
        }
        typed.remove("limit[3].source");
        let faults = Profile::read(&written(&typed)).unwrap_err();
        let told: BTreeSet<&str> = faults.iter().map(|fault| fault.key.as_str()).collect();
        let wanted = ["after.rule", "limit[2].from", "limit[3].source", "record[1].should"];
        assert_eq!(told, BTreeSet::from(wanted));
    }

    proptest! {
        /// Whatever is typed, the file is TOML, and says no more than what was typed.
        #[test]
        fn whatever_is_typed_is_a_file(a in ".{0,20}", b in "[0-9eE.,+-]{0,8}") {
            let typed = Texts::from([
                ("id".to_owned(), a.clone()),
                ("limit[7].from".to_owned(), b.clone()),
                ("limit[7].as_label".to_owned(), a.clone()),
                ("allergens.names".to_owned(), a.clone()),
                ("cleaning[1].room_to.c".to_owned(), b),
                (a, "x".to_owned()),
            ]);
            prop_assert!(written(&numbered(&typed)).parse::<Table>().is_ok());
        }
    }
}
