//! One thing of the estate as texts by field, and the estate with such texts in its place: read by the same code that
//! reads files, so that a page and a file are held to the same rules.

use std::collections::BTreeMap;

use ouncewise_estate::fields::{Field, Shape};
use ouncewise_estate::files::{self, Files};
use ouncewise_estate::{Estate, Fault as FileFault, Severity};
use ouncewise_ledger::Thing as Sort;

/// Which thing: its sort, and its keys from the site down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Thing {
    pub sort: Sort,
    pub keys: Vec<String>,
}

/// Texts by field; those of a table within are named `table.field`.
pub type Texts = BTreeMap<String, String>;

impl Thing {
    /// From the path of its page. The last key may be missing for something new.
    pub fn from_path(path: &str) -> Option<Self> {
        let parts: Vec<&str> = path.trim_matches('/').split('/').collect();
        let (sort, keys): (Sort, Vec<&str>) = match parts.as_slice() {
            ["group"] => (Sort::Group, vec![]),
            ["owners", rest @ ..] if rest.len() <= 1 => (Sort::Owner, rest.to_vec()),
            ["families", rest @ ..] if rest.len() <= 1 => (Sort::Family, rest.to_vec()),
            ["products", rest @ ..] if rest.len() <= 1 => (Sort::Product, rest.to_vec()),
            ["measures", rest @ ..] if rest.len() <= 1 => (Sort::Measure, rest.to_vec()),
            ["sites", site, "machines", machine, "lines", rest @ ..] if rest.len() <= 1 => {
                (Sort::Line, [&[*site, *machine], rest].concat())
            }
            ["sites", site, "machines", rest @ ..] if rest.len() <= 1 => {
                (Sort::Machine, [&[*site], rest].concat())
            }
            ["sites", rest @ ..] if rest.len() <= 1 => (Sort::Site, rest.to_vec()),
            _ => return None,
        };
        Some(Self { sort, keys: keys.into_iter().map(ToOwned::to_owned).collect() })
    }

    /// Whether its own key is still to be chosen.
    pub fn is_new(&self) -> bool {
        self.keys.len() < depth(self.sort)
    }

    /// The path of its page below `/setup/`.
    pub fn path(&self) -> String {
        let keys = &self.keys;
        match self.sort {
            Sort::Group => "group".to_owned(),
            Sort::Owner => format!("owners/{}", keys.join("")),
            Sort::Family => format!("families/{}", keys.join("")),
            Sort::Product => format!("products/{}", keys.join("")),
            Sort::Measure => format!("measures/{}", keys.join("")),
            // Written as a file.
            Sort::Profile => "files".to_owned(),
            Sort::Site => format!("sites/{}", keys.join("")),
            Sort::Machine => format!("sites/{}/machines/{}", keys[0], keys[1..].join("")),
            Sort::Line => {
                format!("sites/{}/machines/{}/lines/{}", keys[0], keys[1], keys[2..].join(""))
            }
        }
    }

    /// The same thing with its own key.
    pub fn named(&self, key: &str) -> Self {
        let mut keys = self.keys.clone();
        keys.truncate(depth(self.sort).saturating_sub(1));
        if self.sort != Sort::Group {
            keys.push(key.to_owned());
        }
        Self { sort: self.sort, keys }
    }

    /// What people call its sort.
    pub fn word(&self) -> &'static str {
        match self.sort {
            Sort::Group => "group",
            Sort::Owner => "owner",
            Sort::Family => "family",
            Sort::Product => "product",
            Sort::Measure => "kind of measure",
            Sort::Profile => "profile",
            Sort::Site => "site",
            Sort::Machine => "machine",
            Sort::Line => "line",
        }
    }

    /// Its fields, without those that say where it stands. Parts of a family are written in its file.
    pub fn fields(&self) -> Vec<(String, &'static Field)> {
        let mut all = Vec::new();
        flat("", files::fields_of(self.sort), &mut all);
        let place: &[&str] = match self.sort {
            Sort::Site => &["site"],
            Sort::Machine => &["site", "machine"],
            Sort::Line => &["site", "machine", "line"],
            _ => &[],
        };
        all.retain(|(name, _)| !place.contains(&name.as_str()) && name != "retired");
        all
    }

    /// Whether the estate has it.
    pub fn is_in(&self, estate: &Estate) -> bool {
        !self.is_new() && (self.sort == Sort::Group || self.texts(estate).is_some())
    }

    /// Its texts as the estate has them.
    pub fn texts(&self, estate: &Estate) -> Option<Texts> {
        if self.is_new() {
            return None;
        }
        files::texts_of(estate, self.sort, &self.keys)
    }

    /// The estate with this thing as the texts say it, or what is wrong with them: the field, where it can be told, and
    /// the fault.
    pub fn with(&self, estate: &Estate, texts: &Texts) -> Result<Estate, Vec<(String, String)>> {
        let before: Vec<FileFault> = files::read(&files::write(estate)).1;
        let (written, places) = self.written(estate, texts);
        let (read, found) = files::read(&written);
        let known = |fault: &FileFault| {
            before.iter().any(|old| old.code == fault.code && old.message == fault.message)
        };
        let wrong: Vec<(String, String)> = found
            .iter()
            .filter(|fault| fault.severity == Severity::Error && !known(fault))
            .map(|fault| {
                let what = match &fault.hint {
                    Some(hint) => format!("{}; {hint} ({})", fault.message, fault.code),
                    None => format!("{} ({})", fault.message, fault.code),
                };
                (self.field_of(fault, &places, &written), what)
            })
            .collect();
        if wrong.is_empty() { Ok(read) } else { Err(wrong) }
    }

    /// The files with this thing written anew, and for TOML the field of each line.
    fn written(&self, estate: &Estate, texts: &Texts) -> (Files, Vec<Option<String>>) {
        let mut estate = estate.clone();
        let own = self.keys.last().cloned().unwrap_or_default();
        match self.sort {
            Sort::Owner => drop(estate.owners.remove(own.as_str())),
            Sort::Product => drop(estate.products.remove(own.as_str())),
            Sort::Measure => drop(estate.measures.remove(own.as_str())),
            _ => {}
        }
        let mut files = files::write(&estate);
        let file = files::file_of(self.sort, &self.keys);
        let text = files
            .remove(&file)
            .map(|bytes| String::from_utf8_lossy(&bytes).into_owned())
            .unwrap_or_default();
        let (text, places) = match self.sort {
            Sort::Site | Sort::Machine | Sort::Line => (self.row(&text, texts), Vec::new()),
            _ => self.table(&text, texts),
        };
        files.insert(file, text.into_bytes());
        (files, places)
    }

    /// The text of a TOML file with this thing's table at its end.
    fn table(&self, text: &str, texts: &Texts) -> (String, Vec<Option<String>>) {
        let own = self.keys.last().map_or("", String::as_str);
        let (mut lines, head) = match self.sort {
            // The group comes first, and the owners after it.
            Sort::Group => {
                let owners = text.find("\n[owners").map_or("", |at| &text[at + 1..]);
                (owners.lines().map(ToOwned::to_owned).collect::<Vec<_>>(), "group".to_owned())
            }
            Sort::Owner => {
                (text.lines().map(ToOwned::to_owned).collect(), format!("owners.{}", quoted(own)))
            }
            Sort::Family => {
                let parts = text.find("\n[parts").map_or("", |at| &text[at + 1..]);
                (parts.lines().map(ToOwned::to_owned).collect(), String::new())
            }
            _ => (text.lines().map(ToOwned::to_owned).collect(), quoted(own)),
        };
        let mut own: Vec<(String, Option<String>)> = Vec::new();
        if !head.is_empty() {
            own.push((format!("[{head}]"), None));
        }
        if texts.get("retired").is_some_and(|text| text == "yes") {
            own.push(("retired = true".to_owned(), None));
        }
        let mut inside = String::new();
        for (name, field) in self.fields() {
            let Some(value) =
                texts.get(&name).map(|text| text.trim()).filter(|text| !text.is_empty())
            else {
                continue;
            };
            let plain = match name.split_once('.') {
                None => name.clone(),
                Some((table, plain)) => {
                    if inside != table {
                        table.clone_into(&mut inside);
                        let head = if head.is_empty() {
                            table.to_owned()
                        } else {
                            format!("{head}.{table}")
                        };
                        own.push((format!("[{head}]"), Some(name.clone())));
                    }
                    plain.to_owned()
                }
            };
            own.push((format!("{plain} = {}", literal(field.shape, value)), Some(name)));
        }
        let before = self.sort != Sort::Group && self.sort != Sort::Family;
        let mut places: Vec<Option<String>> = Vec::new();
        if before {
            places.resize(lines.len(), None);
            places.extend(own.iter().map(|(_, field)| field.clone()));
            lines.extend(own.into_iter().map(|(line, _)| line));
        } else {
            places.extend(own.iter().map(|(_, field)| field.clone()));
            lines.splice(0..0, own.into_iter().map(|(line, _)| line));
        }
        (lines.join("\n") + "\n", places)
    }

    /// The text of a CSV file with this thing's row in its place, or at its end.
    fn row(&self, text: &str, texts: &Texts) -> String {
        let mut rows: Vec<Vec<String>> = csv(text);
        if rows.is_empty() {
            rows.push(Vec::new());
        }
        let place: &[&str] = match self.sort {
            Sort::Site => &["site"],
            Sort::Machine => &["site", "machine"],
            _ => &["site", "machine", "line"],
        };
        let mut wanted: Texts =
            texts.iter().map(|(name, text)| (name.clone(), text.trim().to_owned())).collect();
        wanted.extend(
            place.iter().zip(&self.keys).map(|(name, key)| ((*name).to_owned(), key.clone())),
        );
        for name in wanted.iter().filter(|(_, text)| !text.is_empty()).map(|(name, _)| name) {
            if !rows[0].contains(name) {
                rows[0].push(name.clone());
            }
        }
        let head = rows[0].clone();
        for row in &mut rows {
            row.resize(head.len(), String::new());
        }
        let at = |name: &str| head.iter().position(|known| known == name);
        let same = |row: &Vec<String>| {
            place.iter().zip(&self.keys).all(|(name, key)| at(name).is_some_and(|n| row[n] == *key))
        };
        let nth = match rows.iter().skip(1).position(same) {
            Some(nth) => nth + 1,
            None => {
                rows.push(vec![String::new(); head.len()]);
                rows.len() - 1
            }
        };
        for (name, text) in wanted {
            if let Some(n) = at(&name) {
                rows[nth][n] = text;
            }
        }
        rows.iter().map(|row| line(row)).collect()
    }

    /// The field that a fault is about; the first one where that cannot be told.
    fn field_of(&self, fault: &FileFault, places: &[Option<String>], written: &Files) -> String {
        let fields = self.fields();
        let first = || fields.first().map_or_else(String::new, |(name, _)| name.clone());
        let named = || {
            let named =
                fields.iter().find(|(name, _)| fault.message.contains(&format!("`{name}`")));
            named.map_or_else(first, |(name, _)| name.clone())
        };
        if fault.place.file != files::file_of(self.sort, &self.keys) {
            return named();
        }
        if let Some(Some(field)) = places.get(fault.place.line.saturating_sub(1)) {
            return field.clone();
        }
        if !places.is_empty() {
            return named();
        }
        let Some(bytes) = written.get(&fault.place.file) else { return named() };
        let text = String::from_utf8_lossy(bytes);
        let head = csv(text.lines().next().unwrap_or_default()).pop().unwrap_or_default();
        let cell = fault.place.span.as_ref().and_then(|span| {
            let line = text.get(..span.start)?.rfind('\n').map_or(0, |at| at + 1);
            let before = text.get(line..span.start)?;
            Some(csv(&format!("{before}x")).pop()?.len() - 1)
        });
        match cell.and_then(|n| head.get(n)) {
            Some(name) if fields.iter().any(|(known, _)| known == name) => name.clone(),
            _ => named(),
        }
    }
}

/// How many keys a thing of a sort has.
fn depth(sort: Sort) -> usize {
    match sort {
        Sort::Group => 0,
        Sort::Machine => 2,
        Sort::Line => 3,
        _ => 1,
    }
}

fn flat(prefix: &str, fields: &'static [Field], all: &mut Vec<(String, &'static Field)>) {
    // Tables come after plain fields, as TOML wants it.
    for field in fields {
        if !matches!(field.shape, Shape::Table(_) | Shape::Tables(_)) {
            all.push((format!("{prefix}{}", field.name), field));
        }
    }
    for field in fields {
        if let Shape::Table(inner) = field.shape {
            flat(&format!("{prefix}{}.", field.name), inner, all);
        }
    }
}

/// A value of TOML: as the shape wants it where the text can be that, else as text, which is then refused with its reason.
fn literal(shape: Shape, text: &str) -> String {
    match shape {
        Shape::Flag if matches!(text, "yes" | "true") => "true".to_owned(),
        Shape::Flag if matches!(text, "no" | "false") => "false".to_owned(),
        Shape::Number if text.parse::<f64>().is_ok_and(f64::is_finite) => {
            text.trim_start_matches('+').to_owned()
        }
        Shape::Words => {
            let words: Vec<String> = text
                .split([',', ';'])
                .map(str::trim)
                .filter(|word| !word.is_empty())
                .map(quoted)
                .collect();
            format!("[{}]", words.join(", "))
        }
        _ => quoted(text),
    }
}

/// A basic string of TOML.
fn quoted(text: &str) -> String {
    // JSON's escapes are TOML's, but for the one of DEL.
    serde_json::Value::from(text).to_string().replace('\u{7f}', "\\u007f")
}

/// Rows of cells.
fn csv(text: &str) -> Vec<Vec<String>> {
    let (mut rows, mut row, mut cell, mut inside) = (Vec::new(), Vec::new(), String::new(), false);
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '"' if inside && chars.peek() == Some(&'"') => {
                chars.next();
                cell.push('"');
            }
            '"' => inside = !inside,
            ',' if !inside => row.push(std::mem::take(&mut cell)),
            '\r' if !inside => {}
            '\n' if !inside => {
                row.push(std::mem::take(&mut cell));
                rows.push(std::mem::take(&mut row));
            }
            c => cell.push(c),
        }
    }
    if !cell.is_empty() || !row.is_empty() {
        row.push(cell);
        rows.push(row);
    }
    rows
}

fn line(row: &[String]) -> String {
    let cells: Vec<String> = row
        .iter()
        .map(|cell| {
            if cell.contains([',', '"', '\n', '\r']) {
                format!("\"{}\"", cell.replace('"', "\"\""))
            } else {
                cell.clone()
            }
        })
        .collect();
    cells.join(",") + "\n"
}
