//! A small estate, and a writer of workbooks, for the tests of this module.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::{Cursor, Write as _};

use jiff::Timestamp;
use ouncewise_measure::{Adjuster, DrawRead, Metering, Quantity};

use crate::family::Touches;
use crate::measure_kind::{MarksRead, Reads};
use crate::{
    Estate, Family, Key, Line, Machine, MeasureKind, Part, Percent, Piece, Product, Site, State,
    Timing, Tubing,
};

pub(crate) fn q(text: &str) -> Quantity {
    text.parse().unwrap()
}

pub(crate) fn key(text: &str) -> Key {
    text.parse().unwrap()
}

/// Noon of 1 April 2026, UTC.
pub(crate) fn now() -> Timestamp {
    "2026-04-01T12:00:00Z".parse().unwrap()
}

pub(crate) fn line(product: &str, draw: &str) -> Line {
    Line {
        name: None,
        product: key(product),
        target: q("30 mL"),
        tolerance: Percent(5.into()),
        draw: draw.parse::<DrawRead>().unwrap(),
        water: None,
        measure: None,
        setting: None,
        portions: None,
        tubing: Tubing::default(),
        retired: false,
    }
}

fn family(metering: Metering, adjuster: Adjuster) -> Family {
    Family {
        name: "A family".to_owned(),
        metering,
        adjuster,
        faults: None,
        opening_offset: None,
        timing: Timing::Hand { spread: q("0.10 s"), resolution: q("0.01 s") },
        tubing: Tubing::default(),
        parts: BTreeMap::from([(
            key("valve-seat"),
            Part {
                name: "Valve seat".to_owned(),
                number: Some("VS-7".to_owned()),
                life: None,
                touches: Touches::Line,
                lubricate: None,
            },
        )]),
        notes: None,
        retired: false,
    }
}

/// `fernhollow` (Vienna; counter-1 by the second, pump by the dose) and `moss-end` (UTC; counter-1).
pub(crate) fn estate() -> Estate {
    let mut estate = Estate::default();
    estate.group.name = "Larkfield Counters".to_owned();
    estate.families.insert(
        key("screw-trim"),
        family(
            Metering::Rate,
            Adjuster::Screw { per_turn: None, anticlockwise_gives_more: true, slack_turns: 0.0 },
        ),
    );
    estate.families.insert(key("roller-pump"), family(Metering::Dose, Adjuster::Taught));
    for (k, name) in [
        ("gooseberry", "Gooseberry"),
        ("smoked-honey", "Smoked honey"),
        ("cardamom", "Cardamom"),
        ("pandan", "Pandan"),
    ] {
        estate.products.insert(
            key(k),
            Product {
                name: name.to_owned(),
                density: None,
                temperature: None,
                allergens: Vec::new(),
                cost: None,
                retired: false,
            },
        );
    }
    let cup =
        Reads::Vessel { marks: MarksRead::Every(q("5 mL")), tolerance: q("2 mL"), film: None };
    estate.measures.insert(
        key("cup-60"),
        MeasureKind {
            name: "60 mL cup".to_owned(),
            reads: cup,
            capacity: Some(q("60 mL")),
            retired: false,
        },
    );
    let machine = |family: &str, lines: &[(&str, &str)], draw: &str| Machine {
        name: "Counter 1".to_owned(),
        family: key(family),
        serial: None,
        state: State::Open,
        lines: lines.iter().map(|(k, product)| (key(k), line(product, draw))).collect(),
    };
    let site = |name: &str, zone: Option<&str>, machines: &[(&str, Machine)]| Site {
        name: name.to_owned(),
        owner: None,
        time_zone: zone.map(|z| z.parse().unwrap()),
        jurisdiction: None,
        measures: BTreeMap::from([(key("cup"), Piece { kind: key("cup-60"), retired: false })]),
        machines: machines.iter().map(|(k, m)| (key(k), m.clone())).collect(),
        retired: false,
    };
    let screw = machine(
        "screw-trim",
        &[("1", "gooseberry"), ("2", "smoked-honey"), ("3", "cardamom")],
        "7 s",
    );
    let mut pump = machine("roller-pump", &[("a", "pandan")], "1 dose");
    pump.name = "Pump".to_owned();
    estate.sites.insert(
        key("fernhollow"),
        site("Fern Hollow", Some("Europe/Vienna"), &[("counter-1", screw.clone()), ("pump", pump)]),
    );
    estate.sites.insert(key("moss-end"), site("Moss End", None, &[("counter-1", screw)]));
    estate
}

/// A cell of a workbook.
#[derive(Debug, Clone)]
pub(crate) enum X {
    None,
    Text(String),
    Number(f64),
    /// A serial number shown as a date.
    Date(f64),
}

/// The bytes of a workbook with one sheet; `merged` are ranges such as `B1:C1`.
pub(crate) fn xlsx(name: &str, rows: &[Vec<X>], merged: &[String]) -> Vec<u8> {
    let mut sheet = String::from(
        r#"<?xml version="1.0"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>"#,
    );
    for (r, row) in rows.iter().enumerate() {
        write!(sheet, "<row r=\"{}\">", r + 1).unwrap();
        for (c, cell) in row.iter().enumerate() {
            let at = format!("{}{}", super::mapping::letter(c), r + 1);
            match cell {
                X::None => {}
                X::Text(t) => {
                    let t = t.replace('&', "&amp;").replace('<', "&lt;");
                    write!(
                        sheet,
                        r#"<c r="{at}" t="inlineStr"><is><t xml:space="preserve">{t}</t></is></c>"#
                    )
                    .unwrap();
                }
                X::Number(n) => write!(sheet, r#"<c r="{at}"><v>{n}</v></c>"#).unwrap(),
                X::Date(n) => write!(sheet, r#"<c r="{at}" s="1"><v>{n}</v></c>"#).unwrap(),
            }
        }
        sheet.push_str("</row>");
    }
    sheet.push_str("</sheetData>");
    if !merged.is_empty() {
        write!(sheet, "<mergeCells count=\"{}\">", merged.len()).unwrap();
        merged.iter().for_each(|m| write!(sheet, "<mergeCell ref=\"{m}\"/>").unwrap());
        sheet.push_str("</mergeCells>");
    }
    sheet.push_str("</worksheet>");
    let files = [
        ("[Content_Types].xml", r#"<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="xml" ContentType="application/xml"/></Types>"#.to_owned()),
        ("_rels/.rels", r#"<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#.to_owned()),
        ("xl/workbook.xml", format!(r#"<?xml version="1.0"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="{name}" sheetId="1" r:id="rId1"/></sheets></workbook>"#)),
        ("xl/_rels/workbook.xml.rels", r#"<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="rId2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/styles" Target="styles.xml"/></Relationships>"#.to_owned()),
        ("xl/styles.xml", r#"<?xml version="1.0"?><styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="14"/></cellXfs></styleSheet>"#.to_owned()),
        ("xl/worksheets/sheet1.xml", sheet),
    ];
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let stored =
        zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (path, text) in files {
        zip.start_file(path, stored).unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}
