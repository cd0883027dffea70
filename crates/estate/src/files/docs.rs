//! The documents and schemas say what the tables of fields say.
//!
//! `UPDATE_DOCS=1 cargo test -p ouncewise-estate docs` writes them anew.

use std::path::PathBuf;

use super::schema::{NAMES, schema};
use super::{Files, read};
use crate::fields::{Described, Field};

fn path(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..").join(name)
}

/// What is on disk is what it should be, or becomes so where that is asked for.
fn same(name: &str, wanted: &str) {
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(path(name), wanted).unwrap();
    }
    let found = std::fs::read_to_string(path(name)).unwrap_or_default();
    assert!(
        found == wanted,
        "{name} is not what the code says; set UPDATE_DOCS=1 to write it anew"
    );
}

const THINGS: &[(&str, &[Field])] = &[
    ("Group", crate::Group::FIELDS),
    ("Owner", crate::Owner::FIELDS),
    ("Family", crate::Family::FIELDS),
    ("Adjuster", crate::adjuster::FIELDS),
    ("Timing", crate::Timing::FIELDS),
    ("Tubing", crate::Tubing::FIELDS),
    ("Part", crate::Part::FIELDS),
    ("Product", crate::Product::FIELDS),
    ("MeasureKind", crate::MeasureKind::FIELDS),
    ("Site", crate::Site::FIELDS),
    ("Machine", crate::Machine::FIELDS),
    ("Line", crate::Line::FIELDS),
];

#[test]
fn the_document_lists_every_field() {
    let mut doc = std::fs::read_to_string(path("docs/files.md")).unwrap();
    for (thing, fields) in THINGS {
        let mut table = String::from("\n| field | | says | example |\n| --- | --- | --- | --- |\n");
        for f in *fields {
            let must = if f.must { "must" } else { "" };
            table.push_str(&format!("| `{}` | {must} | {} | `{}` |\n", f.name, f.says, f.example));
        }
        let start = format!("<!-- fields of {thing} -->\n");
        let from = doc.find(&start).unwrap_or_else(|| panic!("no place for {thing}")) + start.len();
        let to = from + doc[from..].find("<!-- end -->").unwrap();
        doc.replace_range(from..to, &(table + "\n"));
    }
    same("docs/files.md", &doc);
}

#[test]
fn the_schemas_are_those_of_the_code() {
    for name in NAMES {
        let text = serde_json::to_string_pretty(&schema(name).unwrap()).unwrap() + "\n";
        same(&format!("content/schemas/{}", name.replace(".toml", ".json")), &text);
    }
    assert!(schema("lines.csv").is_none());
}

/// The document's own examples, put together, are an estate without a fault.
#[test]
fn the_documents_examples_are_good() {
    let doc = std::fs::read_to_string(path("docs/files.md")).unwrap();
    let mut files = Files::new();
    for section in doc.split("\n## ").skip(2) {
        let name = section.split('`').nth(1).unwrap();
        let name = name.replace("profiles/KEY", "profiles/our-county").replace("KEY", "screw-trim");
        let block = section.split("```").nth(1).unwrap().split_once('\n').unwrap().1;
        files.insert(name, block.as_bytes().to_vec());
    }
    // One family stands for three, and some names are only named.
    for (from, name) in [("roller-pump", "window-1"), ("twin-valve", "fountain-1")] {
        let family = std::fs::read(path(&format!("content/families/{from}.toml"))).unwrap();
        files.insert(format!("families/{from}.toml"), family);
        let machines = files.get_mut("machines.csv").unwrap();
        machines.extend(format!("fernhollow,{name},,{from},,\n").bytes());
    }
    let products = files.get_mut("products.toml").unwrap();
    products.extend(
        b"[smoked-honey]\nname = \"Smoked honey\"\n[sour-cherry]\nname = \"Sour cherry\"\n",
    );
    let measures = files.get_mut("measures.toml").unwrap();
    measures.extend(
        b"[cup-30]\nname = \"Cup\"\nkind = \"vessel\"\nmark = \"30 mL\"\ntolerance = \"2 mL\"\n",
    );
    let (estate, faults) = read(&files);
    assert!(faults.is_empty(), "{faults:#?}");
    assert_eq!(estate.lines().count(), 3);
}

/// A folder of the shipped content, read as the files of an estate.
fn shipped(folder: &str) -> Files {
    let mut files = Files::new();
    for (inner, prefix) in [("", ""), ("families", "families/")] {
        let Ok(entries) = std::fs::read_dir(path(folder).join(inner)) else { continue };
        for entry in entries.map(Result::unwrap).filter(|e| e.file_type().unwrap().is_file()) {
            let name = format!("{prefix}{}", entry.file_name().into_string().unwrap());
            files.insert(name, std::fs::read(entry.path()).unwrap());
        }
    }
    files
}

#[test]
fn the_demo_has_no_fault() {
    let (estate, faults) = read(&shipped("content/demo"));
    assert!(faults.is_empty(), "{faults:#?}");
    assert_eq!(estate.sites.len(), 24);
}

#[test]
fn the_starter_has_no_fault_and_every_kind_of_adjuster() {
    let files = crate::starter::files();
    let (estate, faults) = read(&files);
    assert!(faults.is_empty(), "{faults:#?}");
    let kinds: std::collections::BTreeSet<String> =
        estate.families.values().map(|f| f.define()["adjuster"]["kind"].to_string()).collect();
    assert_eq!(kinds.len(), 6, "{kinds:?}");
    // Every line of it can be read at once.
    for (address, _) in estate.lines() {
        estate.setup(&address, None).unwrap();
    }
    // What is compiled in is what is on disk.
    assert!(shipped("content/starter").iter().all(|(name, bytes)| files.get(name) == Some(bytes)));
    let families = shipped("content").into_keys().filter(|n| n.starts_with("families/")).count();
    assert_eq!(families, estate.families.len());
}
