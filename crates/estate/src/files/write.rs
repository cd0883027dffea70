//! Writes an estate as files that read back as the same estate.

use serde_json::Value;

use super::{Files, GROUP, LINES, MACHINES, MEASURES, PRODUCTS, SITES, pieces};
use crate::estate::Estate;
use crate::family::Family;
use crate::fields::{Definition, Described, Field, Shape};
use crate::group::Group;
use crate::key::Key;
use crate::line::Line;
use crate::machine::Machine;
use crate::measure_kind::MeasureKind;
use crate::owner::Owner;
use crate::product::Product;
use crate::site::Site;

/// Writes the files of an estate. Reading them gives the same estate.
#[must_use]
pub fn write(estate: &Estate) -> Files {
    let mut files = Files::new();
    let mut add = |name: String, text: String| drop(files.insert(name, text.into_bytes()));

    let mut group = String::from("# The group, and the owners of its sites.\n\n[group]\n");
    fields(&mut group, "", Group::FIELDS, &estate.group.define(), false);
    for (key, owner) in &estate.owners {
        table(&mut group, &format!("owners.{key}"), Owner::FIELDS, &owner.define(), owner.retired);
    }
    add(GROUP.to_owned(), group);

    for (key, family) in &estate.families {
        let mut text = String::new();
        fields(&mut text, "", Family::FIELDS, &family.define(), family.retired);
        add(format!("families/{key}.toml"), text);
    }

    for (key, own) in &estate.profiles {
        add(format!("profiles/{key}.toml"), own.text.clone());
    }

    let mut text = String::from("# What the lines carry.\n");
    for (key, product) in &estate.products {
        table(&mut text, key, Product::FIELDS, &product.define(), product.retired);
    }
    add(PRODUCTS.to_owned(), text);

    let mut text =
        String::from("# Kinds of measures; sites.csv says which pieces each site keeps.\n");
    for (key, kind) in &estate.measures {
        table(&mut text, key, MeasureKind::FIELDS, &kind.define(), kind.retired);
    }
    add(MEASURES.to_owned(), text);

    let (mut sites, mut machines, mut lines) =
        (Sheet::default(), Sheet::default(), Sheet::default());
    for (s, site) in natural(&estate.sites) {
        let mut row = site.define();
        row.insert("site".to_owned(), s.as_str().into());
        if !site.measures.is_empty() {
            row.insert("measures".to_owned(), pieces::write(&site.measures).into());
        }
        sites.row(row, site.retired);
        for (m, machine) in natural(&site.machines) {
            let mut row = machine.define();
            row.insert("site".to_owned(), s.as_str().into());
            row.insert("machine".to_owned(), m.as_str().into());
            machines.row(row, false);
            for (l, line) in natural(&machine.lines) {
                let mut row = line.define();
                row.insert("site".to_owned(), s.as_str().into());
                row.insert("machine".to_owned(), m.as_str().into());
                row.insert("line".to_owned(), l.as_str().into());
                lines.row(row, line.retired);
            }
        }
    }
    add(SITES.to_owned(), sites.csv(Site::FIELDS));
    add(MACHINES.to_owned(), machines.csv(Machine::FIELDS));
    add(LINES.to_owned(), lines.csv(Line::FIELDS));
    files
}

/// In the order in which people list them.
fn natural<T>(things: &std::collections::BTreeMap<Key, T>) -> Vec<(&Key, &T)> {
    let mut listed: Vec<_> = things.iter().collect();
    listed.sort_by(|a, b| a.0.natural_cmp(b.0));
    listed
}

/// A table under its heading.
fn table(out: &mut String, name: &str, specs: &[Field], definition: &Definition, retired: bool) {
    out.push_str(&format!("\n[{name}]\n"));
    fields(out, name, specs, definition, retired);
}

/// The fields in their order; tables within come last.
fn fields(out: &mut String, name: &str, specs: &[Field], definition: &Definition, retired: bool) {
    let of = |value: &Value| {
        value.as_object().map(|map| map.clone().into_iter().collect::<Definition>())
    };
    let under =
        |inner: &str| if name.is_empty() { inner.to_owned() } else { format!("{name}.{inner}") };
    for spec in specs {
        let Some(value) = definition.get(spec.name) else { continue };
        if let Some(text) = toml_value(spec.shape, value) {
            out.push_str(&format!("{} = {text}\n", spec.name));
        }
    }
    if retired {
        out.push_str("retired = true\n");
    }
    for spec in specs {
        let Some(inner) = definition.get(spec.name).and_then(of) else { continue };
        match spec.shape {
            Shape::Table(specs) => table(out, &under(spec.name), specs, &inner, false),
            Shape::Tables(specs) => {
                for (key, value) in &inner {
                    let inner = of(value).unwrap_or_default();
                    table(out, &under(&format!("{}.{key}", spec.name)), specs, &inner, false);
                }
            }
            _ => {}
        }
    }
}

/// A value as TOML; nothing for a table.
fn toml_value(shape: Shape, value: &Value) -> Option<String> {
    match (shape, value) {
        (Shape::Number, Value::String(number)) => Some(number.clone()),
        (_, Value::String(text)) => Some(toml::Value::String(text.clone()).to_string()),
        (_, Value::Bool(flag)) => Some(flag.to_string()),
        (_, Value::Array(items)) => {
            let items: Vec<String> =
                items.iter().filter_map(|item| toml_value(Shape::Text, item)).collect();
            Some(format!("[{}]", items.join(", ")))
        }
        _ => None,
    }
}

/// Rows that become CSV: a column that no row fills is left out, unless it must be there.
#[derive(Default)]
struct Sheet {
    rows: Vec<Definition>,
}

impl Sheet {
    fn row(&mut self, mut row: Definition, retired: bool) {
        if retired {
            row.insert("retired".to_owned(), "yes".into());
        }
        self.rows.push(row);
    }

    fn csv(&self, specs: &[Field]) -> String {
        let used = |f: &&Field| f.must || self.rows.iter().any(|row| row.contains_key(f.name));
        let columns: Vec<&str> = specs.iter().filter(used).map(|f| f.name).collect();
        let mut out = columns.join(",") + "\n";
        for row in &self.rows {
            for (i, column) in columns.iter().enumerate() {
                if i > 0 {
                    out.push(',');
                }
                cell(&mut out, row.get(*column).and_then(Value::as_str).unwrap_or(""));
            }
            out.push('\n');
        }
        out
    }
}

fn cell(out: &mut String, text: &str) {
    if text.contains([',', '"', '\n', '\r']) {
        out.push('"');
        out.push_str(&text.replace('"', "\"\""));
        out.push('"');
    } else {
        out.push_str(text);
    }
}
