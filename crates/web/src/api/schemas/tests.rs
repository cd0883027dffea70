//! Schemas written by hand are those of the types themselves.

use std::collections::BTreeSet;

use jiff::Timestamp;
use ouncewise_estate::sheets::mapping::{Means, propose};
use ouncewise_estate::sheets::{About, Mapping, Table};
use ouncewise_estate::{Estate, files};
use ouncewise_ledger::Body;
use ouncewise_paper::sheet::{MachineSheet, Paper, Print};
use serde_json::{Value, json};

use super::super::fits;
use super::super::openapi::document;

fn schema(name: &str) -> &'static Value {
    document().pointer(&format!("/components/schemas/{name}")).unwrap()
}

/// Something that a schema allows: with all that may be there, or only with what must.
fn example(schema: &Value, full: bool) -> Value {
    if let Some(value) = schema.get("const") {
        return value.clone();
    }
    if let Some(words) = schema.get("enum") {
        return words[0].clone();
    }
    if schema.get("$ref").is_some() {
        return json!({ "kind": "line-cleaned" });
    }
    match schema["type"].as_str().unwrap() {
        "boolean" => json!(true),
        "integer" => json!(7),
        "object" => {
            let must = schema["required"].as_array().map_or(&[][..], Vec::as_slice);
            let fields = schema["properties"].as_object().into_iter().flatten();
            let fields = fields.filter(|(name, _)| full || must.iter().any(|known| known == *name));
            fields
                .map(|(name, schema)| (name.clone(), example(schema, full)))
                .collect::<serde_json::Map<_, _>>()
                .into()
        }
        _ => match (schema["pattern"].as_str(), schema["format"].as_str()) {
            (Some(fits::HASH), _) => json!("0a".repeat(32)),
            (None, Some("uuid")) => json!("0195540a-c212-7000-8000-000000000007"),
            _ => json!("counter-1"),
        },
    }
}

#[test]
fn bodies_of_records_are_what_the_ledger_reads() {
    let kinds = schema("RecordBody")["oneOf"].as_array().unwrap();
    let names: Vec<&str> = kinds.iter().map(|kind| kind["title"].as_str().unwrap()).collect();
    assert_eq!(names, Body::KINDS);
    for kind in kinds {
        for full in [true, false] {
            let value = example(kind, full);
            assert_eq!(fits::faults(document(), schema("RecordBody"), &value), []);
            let body: Body =
                serde_json::from_value(value.clone()).unwrap_or_else(|e| panic!("{value}: {e}"));
            // Nothing is lost on the way: every field that the schema knows is one of the type.
            assert_eq!(serde_json::to_value(&body).unwrap(), value);
        }
        for must in kind["required"].as_array().unwrap() {
            let mut value = example(kind, true);
            value.as_object_mut().unwrap().remove(must.as_str().unwrap());
            assert!(serde_json::from_value::<Body>(value).is_err(), "{kind}: {must}");
        }
        let mut more = example(kind, true);
        more["more"] = json!(1);
        assert!(serde_json::from_value::<Body>(more).is_err(), "{kind}");
    }
}

#[test]
fn drafts_are_what_the_ledger_reads() {
    let text = include_str!("../../../../../checks/verify/good.jsonl");
    let mut kinds = BTreeSet::new();
    for line in text.lines() {
        let entry: Value = serde_json::from_str(line).unwrap();
        assert_eq!(fits::faults(document(), schema("Entry"), &entry), [], "{entry}");
        let draft = json!({ "record": entry["record"], "person": "Ada", "note": "x" });
        assert_eq!(fits::faults(document(), schema("Draft"), &draft), []);
        let read: ouncewise_ledger::Draft = serde_json::from_value(draft.clone()).unwrap();
        assert_eq!(serde_json::to_value(&read).unwrap(), draft);
        kinds.insert(entry["record"]["body"]["kind"].as_str().unwrap().to_owned());
    }
    assert_eq!(kinds.len(), Body::KINDS.len());
}

fn demo() -> Estate {
    let root = std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../content/demo");
    let mut all = files::Files::new();
    for (inner, prefix) in [("", ""), ("families", "families/")] {
        for entry in std::fs::read_dir(root.join(inner)).unwrap().map(Result::unwrap) {
            if entry.file_type().unwrap().is_file() {
                let name = format!("{prefix}{}", entry.file_name().into_string().unwrap());
                all.insert(name, std::fs::read(entry.path()).unwrap());
            }
        }
    }
    // A cup with one mark, in every kitchen, and one that shows nothing.
    let cups = "\n[one-mark]\nname = \"Cup\"\nkind = \"vessel\"\nmark = \"30 mL\"\ntolerance = \"0.3 mL\"\n\
        [poor]\nname = \"Poor cup\"\nkind = \"vessel\"\ndivision = \"10 mL\"\ntolerance = \"8 mL\"\n";
    all.get_mut("measures.toml").unwrap().extend(cups.bytes());
    let sites = String::from_utf8(all["sites.csv"].clone()).unwrap();
    let sites: Vec<String> =
        sites
            .lines()
            .enumerate()
            .map(|(i, row)| {
                if i == 0 { row.to_owned() } else { format!("{row}; mark = one-mark; poor = poor") }
            })
            .collect();
    all.insert("sites.csv".to_owned(), (sites.join("\n") + "\n").into_bytes());
    let (estate, faults) = files::read(&all);
    assert_eq!(faults, []);
    estate
}

#[test]
fn sheets_are_what_paper_prints() {
    let estate = demo();
    let mut seen = BTreeSet::new();
    for (site, here) in &estate.sites {
        for machine in here.machines.keys() {
            for measure in
                std::iter::once(None).chain(here.measures.keys().map(|key| Some(key.as_str())))
            {
                let print = Print {
                    paper: Paper::A4,
                    units: estate.group.units,
                    printed_on: "2026-03-02",
                    measure,
                };
                let sheet = MachineSheet::new(&estate, site, machine, &[], &print).unwrap();
                let value = serde_json::to_value(&sheet).unwrap();
                assert_eq!(
                    fits::faults(document(), schema("MachineSheet"), &value),
                    [],
                    "{value:#}"
                );
                for row in value["rows"].as_array().unwrap() {
                    for place in ["/says/says", "/says/leave/leave", "/pen/amount/read"] {
                        seen.extend(row.pointer(place).map(ToString::to_string));
                    }
                    seen.extend(row["water"].is_object().then(|| "water".to_owned()));
                }
            }
        }
    }
    let wanted = [
        "\"any\"",
        "\"between\"",
        "\"given\"",
        "\"marks\"",
        "\"mean\"",
        "\"never\"",
        "\"number\"",
        "\"side\"",
        "\"trouble\"",
        "\"windows\"",
        "\"with\"",
        "water",
    ];
    let unseen: Vec<_> = wanted.iter().filter(|word| !seen.contains(**word)).collect();
    assert!(unseen.is_empty(), "not seen: {unseen:?}");
}

#[test]
fn mappings_are_what_the_estate_proposes() {
    let sheet = "Site,Counter,Flavour,Date,Found (mL),Left (mL),Secs,By,Notes\n\
        Mossgate,Front counter,Gooseberry,03/02/2026,30.5,30,7,Ada,ok\n";
    let mut table = Table::open(sheet.as_bytes()).unwrap();
    let rows = table.take_rows(100).unwrap();
    let now: Timestamp = "2026-03-02T09:00:00Z".parse().unwrap();
    let mut mapping =
        propose(&rows, About { file: "x.csv", sheet: None }, &Estate::default(), now).unwrap();
    for _ in 0..2 {
        let value = serde_json::to_value(&mapping).unwrap();
        assert_eq!(fits::faults(document(), schema("Mapping"), &value), [], "{value:#}");
        assert_eq!(serde_json::from_value::<Mapping>(value).unwrap(), mapping);
        mapping.accept_defaults();
    }
}

/// Breaks where a meaning is added.
fn word(means: Means) -> &'static str {
    match means {
        Means::Site => "site",
        Means::SiteNumber => "site-number",
        Means::Machine => "machine",
        Means::Serial => "serial",
        Means::Line => "line",
        Means::Product => "product",
        Means::Date => "date",
        Means::Time => "time",
        Means::Amount => "amount",
        Means::Unit => "unit",
        Means::Seconds => "seconds",
        Means::Doses => "doses",
        Means::Measure => "measure",
        Means::By => "by",
        Means::State => "state",
        Means::Note => "note",
        Means::Temperature => "temperature",
        Means::Water => "water",
        Means::Target => "target",
        Means::Tolerance => "tolerance",
        Means::Done => "done",
        Means::Adjusted => "adjusted",
        Means::Nothing => "nothing",
    }
}

#[test]
fn columns_mean_what_the_estate_knows() {
    let words =
        schema("Mapping").pointer("/properties/column/items/properties/means/enum").unwrap();
    for said in words.as_array().unwrap() {
        let means: Means = serde_json::from_value(said.clone()).unwrap();
        assert_eq!(word(means), said);
    }
    assert_eq!(words.as_array().unwrap().len(), 23);
}
