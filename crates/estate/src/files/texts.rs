//! One thing of an estate as texts by field: for forms, which ask what a file would say.

use std::collections::BTreeMap;

use ouncewise_ledger::Thing;
use serde_json::Value;

use super::{GROUP, LINES, MACHINES, MEASURES, PRODUCTS, SITES, pieces};
use crate::estate::Estate;
use crate::family::Family;
use crate::fields::{Definition, Described, Field};
use crate::group::Group;
use crate::line::Line;
use crate::machine::Machine;
use crate::measure_kind::MeasureKind;
use crate::owner::Owner;
use crate::product::Product;
use crate::profile::OwnProfile;
use crate::site::Site;

/// The fields of a sort of thing, in the order in which they are written. A measure is a kind of measure here: the pieces
/// of a site are one of its fields.
#[must_use]
pub fn fields_of(thing: Thing) -> &'static [Field] {
    match thing {
        Thing::Group => Group::FIELDS,
        Thing::Owner => Owner::FIELDS,
        Thing::Family => Family::FIELDS,
        Thing::Product => Product::FIELDS,
        Thing::Site => Site::FIELDS,
        Thing::Measure => MeasureKind::FIELDS,
        Thing::Profile => OwnProfile::FIELDS,
        Thing::Machine => Machine::FIELDS,
        Thing::Line => Line::FIELDS,
    }
}

/// The file in which a thing is described; `keys` are its keys from the site down.
#[must_use]
pub fn file_of(thing: Thing, keys: &[String]) -> String {
    match thing {
        Thing::Group | Thing::Owner => GROUP,
        Thing::Family => {
            return format!("families/{}.toml", keys.first().map_or("", String::as_str));
        }
        Thing::Profile => {
            return format!("profiles/{}.toml", keys.first().map_or("", String::as_str));
        }
        Thing::Product => PRODUCTS,
        Thing::Measure => MEASURES,
        Thing::Site => SITES,
        Thing::Machine => MACHINES,
        Thing::Line => LINES,
    }
    .to_owned()
}

/// A thing's fields as they are written; those of a table within are named `table.field`, and tables by key are left out.
/// `keys` are its keys from the site down. Nothing, where the estate does not have it.
#[must_use]
pub fn texts_of(
    estate: &Estate,
    thing: Thing,
    keys: &[String],
) -> Option<BTreeMap<String, String>> {
    let key = |n: usize| keys.get(n).map(String::as_str);
    let site = || estate.sites.get(key(0)?);
    let machine = || site()?.machines.get(key(1)?);
    let (definition, retired) = match thing {
        Thing::Group => (estate.group.define(), false),
        Thing::Owner => estate.owners.get(key(0)?).map(|o| (o.define(), o.retired))?,
        Thing::Family => estate.families.get(key(0)?).map(|f| (f.define(), f.retired))?,
        Thing::Product => estate.products.get(key(0)?).map(|p| (p.define(), p.retired))?,
        Thing::Measure => estate.measures.get(key(0)?).map(|m| (m.define(), m.retired))?,
        Thing::Profile => (estate.profiles.get(key(0)?)?.define(), false),
        Thing::Site => {
            let site = site()?;
            let mut definition = site.define();
            definition.insert("measures".to_owned(), pieces::write(&site.measures).into());
            (definition, site.retired)
        }
        // That it is removed is its state.
        Thing::Machine => (machine()?.define(), false),
        Thing::Line => machine()?.lines.get(key(2)?).map(|l| (l.define(), l.retired))?,
    };
    let mut texts = BTreeMap::new();
    flat("", &definition, &mut texts);
    if retired {
        texts.insert("retired".to_owned(), "yes".to_owned());
    }
    Some(texts)
}

fn flat(prefix: &str, definition: &Definition, texts: &mut BTreeMap<String, String>) {
    for (name, value) in definition {
        let name = format!("{prefix}{name}");
        match value {
            Value::Object(inner) => {
                let inner = inner.iter().map(|(name, value)| (name.clone(), value.clone()));
                flat(&format!("{name}."), &inner.collect(), texts);
            }
            Value::Array(items) => {
                let items: Vec<String> = items.iter().map(text).collect();
                texts.insert(name, items.join(", "));
            }
            value => drop(texts.insert(name, text(value))),
        }
    }
}

fn text(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Bool(true) => "yes".to_owned(),
        Value::Bool(false) => "no".to_owned(),
        value => value.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn things_are_told_as_their_files_tell_them() {
        let estate = crate::files::read(&crate::starter::files()).0;
        let family = texts_of(&estate, Thing::Family, &["screw-trim".to_owned()]).unwrap();
        assert_eq!(family["metering"], "rate");
        assert_eq!(family["adjuster.kind"], "screw");
        let (key, site) = estate.sites.iter().next().unwrap();
        let texts = texts_of(&estate, Thing::Site, &[key.to_string()]).unwrap();
        assert_eq!(texts["name"], site.name);
        assert!(texts["measures"].contains(" = "), "{texts:?}");
        assert_eq!(texts_of(&estate, Thing::Line, &["nowhere".to_owned()]), None);
        assert_eq!(file_of(Thing::Family, &["screw-trim".to_owned()]), "families/screw-trim.toml");
    }
}
